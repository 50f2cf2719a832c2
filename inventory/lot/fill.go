package lot

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
)

// Fill picks parcels for every dose of the baths that has none, in their order,
// from a shelf that shrinks as it goes. What no parcel covers is short; nothing
// of it is picked.
//
// In a matched set each dyestuff comes from one harvest throughout (law 11), so
// its doses are picked together; one that was picked before decides for the
// rest. prefer names parcels by item.
//
// An error is a dose that cannot be reckoned at all: no parcel tells how strong
// a solution is, or the scale shows it as nothing. One that was reckoned before
// keeps its amount and is short. ONE_HARVEST (fault.Refused) is a preferred
// parcel for a set that is picked from another one already, BLEND_NOT_SAMPLED one
// that is a blend which nobody sampled; without a name such blends are passed
// over, and Shelf.PassedOver says so.
func Fill(baths []Bath, shelf *Shelf, matched bool, prefer map[int64]int64) error {
	filled := map[*Dose]bool{}
	for _, n := range needs(baths) {
		if filled[n.dose] || !n.dose.open() {
			continue
		}
		group, from := []need{n}, prefer[n.dose.Item.ID]
		var err error
		if matched && n.dose.Item.GivesShade() {
			group, from, err = shelf.ofOneHarvest(baths, n.dose.Item, from)
		}
		if err == nil {
			err = shelf.fill(group, from)
		}
		if err != nil {
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

// ofOneHarvest are the open doses of a dyestuff, and the parcel that the picked
// ones came from, in this run or in another of its commission, which the rest
// must come from too.
func (s *Shelf) ofOneHarvest(baths []Bath, item stock.Item, prefer int64) (open []need, from int64, err error) {
	from = prefer
	for _, n := range needs(baths) {
		switch {
		case n.dose.Item.ID != item.ID:
			continue
		case n.dose.open():
			n.alone = true
			open = append(open, n)
			continue
		}
		for _, p := range n.dose.Picks {
			if from != 0 && from != p.ParcelID {
				return nil, 0, otherHarvest(item, "this set", p.ParcelID, from)
			}
			from = p.ParcelID
		}
	}
	if bound := s.Bound[item.ID]; len(bound) > 0 {
		switch {
		case from == 0:
			from = bound[0]
		case !slices.Contains(bound, from):
			return nil, 0, otherHarvest(item, "the other runs of this commission", bound[0], from)
		}
	}
	return open, from, s.sampled(item, from)
}

func otherHarvest(item stock.Item, whose string, is, asked int64) error {
	return fault.Refuse("ONE_HARVEST", "%s of %s comes from P%d: a matched set takes one harvest of each dyestuff, so P%d cannot join it", item.Name, whose, is, asked).
		With("from", fmt.Sprintf("P%d", is)).With("parcel", fmt.Sprintf("P%d", asked))
}

// sampled refuses (fault.Refused, BLEND_NOT_SAMPLED) a parcel that was named for
// a set and is a blend that no swatch was dyed with.
func (s *Shelf) sampled(item stock.Item, named int64) error {
	for _, p := range s.Parcels[item.ID] {
		if p.ID == named && p.Unsampled {
			return fault.Refuse("BLEND_NOT_SAMPLED", "%s: dye one, then record it", unsampled(p)).With("parcel", p.Code())
		}
	}
	return nil
}

func unsampled(p stock.Parcel) string {
	return fmt.Sprintf("%s is a blend of %s that no swatch was dyed with, and a matched set takes one harvest or a blend that was sampled", p.Code(), p.Item.Name)
}
