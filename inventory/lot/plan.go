package lot

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Stage is a stage of the recipe as planning needs it, each line with its item.
type Stage struct {
	Position int
	Kind     Kind
	Shared   bool
	Celsius  int
	Minutes  int
	Ratio    quantity.Ratio // of this very bath; zero: the recipe's
	PHLow    *int
	PHHigh   *int
	Note     string
	Lines    []Line
}

// Line is one dose of the recipe.
type Line struct {
	Item stock.Item
	Ask  recipe.Ask
}

// Baths lays the stages over the lots: one bath a lot, or one for all where the
// stage is shared. lots are given by their place in the list, since they have
// no number before they are stored; vessels name shared baths by position.
//
// fault.Refused: VESSEL_TOO_SMALL. fault.Invalid: a vessel named for a stage
// that is not shared or does not exist.
func Baths(stages []Stage, ratio quantity.Ratio, lots []Lot, vessels map[int]Pot) ([]Bath, error) {
	var baths []Bath
	used := 0
	for _, s := range stages {
		if s.Shared {
			b := bath(s, ratio, lots, 0, len(lots))
			if v, named := vessels[s.Position]; named {
				b.Vessel = v
				used++
			}
			baths = append(baths, b)
			continue
		}
		for i := range lots {
			b := bath(s, ratio, lots, i, i+1)
			if s.Kind.Dyes {
				b.Vessel = lots[i].Pot
			}
			baths = append(baths, b)
		}
	}
	if used < len(vessels) {
		return nil, fault.BadField("shared_vessels", "names a stage that is not shared by the lots: only shared baths have a vessel of their own in the plan")
	}
	for _, b := range baths {
		if b.Vessel.ID != 0 && b.Kind.Bath {
			if err := b.Vessel.Holds(b.Volume); err != nil {
				return nil, err
			}
		}
	}
	return baths, nil
}

func bath(s Stage, ratio quantity.Ratio, lots []Lot, from, to int) Bath {
	b := Bath{Position: s.Position, Kind: s.Kind, Shared: s.Shared, Celsius: s.Celsius, Minutes: s.Minutes,
		PHLow: s.PHLow, PHHigh: s.PHHigh, Note: s.Note, Volume: quantity.Amount{Unit: quantity.Volume}}
	for i := from; i < to; i++ {
		b.Lots = append(b.Lots, BathLot{int64(i), lots[i].Fibre()})
	}
	if s.Kind.Bath {
		if s.Ratio > 0 {
			ratio = s.Ratio
		}
		b.Volume = ratio.Bath(b.Fibre())
	}
	for _, l := range s.Lines {
		b.Doses = append(b.Doses, Dose{Item: l.Item, Ask: l.Ask})
	}
	return b
}

// In is the dose's amount when it is filled from a parcel: more of a weaker
// harvest, millilitres of a solution by its g/L.
func (d Dose) In(p stock.Parcel, b Bath) (quantity.Amount, error) {
	ask := d.Ask
	if p.Strength != 0 && p.Item.Unit == quantity.Mass {
		strength := p.Strength
		ask.Strength = &strength
	}
	if p.Concentration > 0 {
		c := p.Concentration
		ask.Stock = &c
	}
	if ask.Basis != recipe.OfLiquor && d.Item.Unit == quantity.Volume && p.Concentration == 0 {
		return quantity.Amount{}, fault.Refuse("STRENGTH_UNKNOWN", "%s (%s) is of unknown strength: no % s can be measured from it; dose it in mL/kg by swatch", p.Code(), p.Item.Name, ask)
	}
	step := recipe.Scale{}
	switch d.Item.Unit {
	case quantity.Mass:
		step.Mass = d.Item.Resolution
	case quantity.Volume:
		step.Volume = d.Item.Resolution
	}
	dose, err := ask.For(recipe.Pot{Dry: b.Fibre(), Bath: b.Volume}, step)
	return dose.Take, err
}

// Fill picks parcels for every dose of the baths that has none, in their order,
// from a shelf that shrinks as it goes. What no parcel covers is short; nothing
// of it is picked.
//
// In a matched set each dyestuff comes from one harvest throughout (law 11), so
// its doses are picked together; one that was picked before decides for the
// rest. prefer names parcels by item.
//
// An error is a dose that cannot be reckoned at all: no parcel tells how strong
// a solution is, or the scale shows it as nothing.
func Fill(baths []Bath, shelf *Shelf, matched bool, prefer map[int64]int64) error {
	filled := map[*Dose]bool{}
	for _, n := range needs(baths) {
		if filled[n.dose] || !n.dose.open() {
			continue
		}
		group, from := []need{n}, prefer[n.dose.Item.ID]
		if matched && n.dose.Item.Kind == stock.Dyestuff {
			group, from = ofOneHarvest(baths, n.dose.Item.ID, from)
		}
		if err := shelf.fill(group, from); err != nil {
			return fault.In(fmt.Sprintf("stage %d, %s", n.bath.Position, n.dose.Item.Code), err)
		}
		for _, g := range group {
			filled[g.dose] = true
		}
	}
	return nil
}

// need is a dose in its bath. alone: one parcel must serve it.
type need struct {
	bath  *Bath
	dose  *Dose
	alone bool
}

func needs(baths []Bath) []need {
	var all []need
	for i := range baths {
		for j := range baths[i].Doses {
			all = append(all, need{bath: &baths[i], dose: &baths[i].Doses[j]})
		}
	}
	return all
}

// open is true of a dose that is not picked, or no longer in full.
func (d Dose) open() bool { return d.Amount.Unit == 0 || !d.Short.IsZero() }

// ofOneHarvest are the open doses of a dyestuff, and the parcel that the picked
// ones came from, which the rest must come from too.
func ofOneHarvest(baths []Bath, item, prefer int64) ([]need, int64) {
	var open []need
	for _, n := range needs(baths) {
		switch {
		case n.dose.Item.ID != item:
		case n.dose.open():
			n.alone = true
			open = append(open, n)
		case prefer == 0 && len(n.dose.Picks) > 0:
			prefer = n.dose.Picks[0].ParcelID
		}
	}
	return open, prefer
}
