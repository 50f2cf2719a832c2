package lot

import (
	"fmt"

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
// parcel for a set that is picked from another one already.
func Fill(baths []Bath, shelf *Shelf, matched bool, prefer map[int64]int64) error {
	filled := map[*Dose]bool{}
	for _, n := range needs(baths) {
		if filled[n.dose] || !n.dose.open() {
			continue
		}
		group, from := []need{n}, prefer[n.dose.Item.ID]
		var err error
		if matched && gives(n.dose.Item) {
			group, from, err = ofOneHarvest(baths, n.dose.Item, from)
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

// gives is true of what gives the shade: a dyestuff, or a liquor made of one.
func gives(it stock.Item) bool {
	return it.Kind == stock.Dyestuff || it.Kind == stock.Solution && it.Plant != ""
}

// ofOneHarvest are the open doses of a dyestuff, and the parcel that the picked
// ones came from, which the rest must come from too.
func ofOneHarvest(baths []Bath, item stock.Item, prefer int64) (open []need, from int64, err error) {
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
				return nil, 0, fault.Refuse("ONE_HARVEST", "%s of this set comes from %s: a matched set takes one harvest of each dyestuff, so P%d cannot join it", item.Name, p.Code, from).
					With("from", p.Code).With("parcel", fmt.Sprintf("P%d", from))
			}
			from = p.ParcelID
		}
	}
	return open, from, nil
}
