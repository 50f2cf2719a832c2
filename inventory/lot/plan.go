package lot

import (
	"slices"

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

// ratio is the stage's own, else the recipe's.
func (s Stage) ratio(recipes quantity.Ratio) quantity.Ratio {
	if s.Ratio > 0 {
		return s.Ratio
	}
	return recipes
}

// Baths lays the stages over the lots: one bath a lot, or one for all where the
// stage is shared. lots are given by their place in the list, since they have
// no number before they are stored; vessels name shared baths by position. A
// dye bath of one lot is in that lot's pot. A stage that a lot leaves out, since
// its cloth had it before, has no bath for it.
//
// fault.Refused: VESSEL_TOO_SMALL. fault.Invalid, field "shared_vessels": a
// vessel named for a stage that is not shared or does not exist.
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
			baths = append(baths, bath(s, ratio, lots, i, i+1))
		}
	}
	baths = slices.DeleteFunc(baths, func(b Bath) bool { return len(b.Lots) == 0 })
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

// bath is a stage for the lots from one place in the list to another.
func bath(s Stage, ratio quantity.Ratio, lots []Lot, from, to int) Bath {
	b := Bath{Position: s.Position, Kind: s.Kind, Shared: s.Shared, Celsius: s.Celsius, Minutes: s.Minutes,
		PHLow: s.PHLow, PHHigh: s.PHHigh, Note: s.Note, Volume: quantity.Amount{Unit: quantity.Volume}}
	for i := from; i < to; i++ {
		if lots[i].leavesOut(s.Position) {
			continue
		}
		b.Lots = append(b.Lots, BathLot{int64(i), lots[i].Fibre()})
	}
	if s.Kind.Bath {
		b.Volume = s.ratio(ratio).Bath(b.Fibre())
	}
	if s.Kind.Dyes && to == from+1 {
		b.Vessel = lots[from].Pot
	}
	for _, l := range s.Lines {
		b.Doses = append(b.Doses, Dose{Item: l.Item, Ask: l.Ask})
	}
	return b
}
