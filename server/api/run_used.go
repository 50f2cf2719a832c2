package api

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// asPlanned takes what was picked for these lots. A bath that is recorded for
// some of its lots only has no plan of its own: say what was used.
func (r *record) asPlanned(b lot.Before) error {
	for _, bath := range b.Baths {
		for _, l := range bath.Lots {
			if !slices.Contains(r.lots, l.LotID) {
				return fault.BadField("as_planned", "the bath was planned for %s too: record them together, or say what was used", store.Code('L', l.LotID))
			}
		}
		for _, d := range bath.Doses {
			if !d.Short.IsZero() {
				return fault.Refuse("NOT_PICKED", "%s of %s is not promised from any parcel: pick the run first, or say what was used", d.Short, d.Item.Name)
			}
			for _, p := range d.Picks {
				if _, had := r.taken[p.ParcelID]; !had {
					r.order = append(r.order, p.ParcelID)
				}
				r.taken[p.ParcelID] = r.taken[p.ParcelID].Add(p.Amount)
			}
		}
	}
	return nil
}

// lockUsed locks the parcels that were used; each amount is in the unit of its
// item.
func (r record) lockUsed(tx *store.Tx) (map[int64]stock.Parcel, error) {
	if len(r.order) == 0 {
		return nil, nil
	}
	locked, err := tx.LockParcels(r.order)
	if err != nil {
		return nil, err
	}
	parcels := map[int64]stock.Parcel{}
	for _, p := range locked {
		parcels[p.ID] = p
	}
	for i, id := range r.order {
		p := parcels[id]
		if err := unit(fmt.Sprintf("used[%d].amount", i), r.taken[id], p.Item.Unit); err != nil {
			return nil, err
		}
		if p.Item.Kind == stock.Blank || p.Item.Kind == stock.WitnessCloth {
			return nil, fault.BadField(fmt.Sprintf("used[%d].parcel_code", i), "%s is %s: cloth is issued with its lot, not poured into a bath", p.Code(), p.Item.Name)
		}
	}
	return parcels, nil
}

func (r record) used(parcels map[int64]stock.Parcel) []lot.Used {
	var used []lot.Used
	for _, id := range r.order {
		used = append(used, lot.Used{Parcel: parcels[id], Amount: r.taken[id]})
	}
	return used
}

// vessel is the one named, or the planned one.
func (r record) vessel(tx *store.Tx, b lot.Before, again lot.Liquor) (lot.Pot, error) {
	if r.req.GetVesselCode() != "" {
		v, err := tx.Vessel(r.req.GetVesselCode())
		return v.Pot(), fault.In("vessel_code", err)
	}
	if again.Vessel.ID != 0 {
		return again.Vessel, nil
	}
	if len(b.Baths) == 0 { // the rule refuses it
		return lot.Pot{}, nil
	}
	planned := b.Baths[0].Vessel
	for _, bath := range b.Baths {
		if bath.Vessel.ID != planned.ID {
			return lot.Pot{}, fault.BadField("vessel_code", "is needed: the plan has %s and %s, so record these lots one by one or say which vessel they shared", planned.Code, bath.Vessel.Code)
		}
	}
	if b.Baths[0].Kind.Bath && planned.ID == 0 {
		return lot.Pot{}, fault.BadField("vessel_code", "is needed: which vessel the bath was in")
	}
	return planned, nil
}
