package api

import (
	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// StockServer answers StockService: items, parcels and every movement.
type StockServer struct {
	dyelotv1.UnsafeStockServiceServer
	store *store.Store
}

// NewStockServer answers from a store.
func NewStockServer(s *store.Store) *StockServer { return &StockServer{store: s} }

// book writes an act on parcels that are locked: first what it eats of the
// promises on them, then the movement, which comes back with its id. What was
// struck is told to whoever it concerns.
func book(tx *store.Tx, m stock.Movement, parcels []stock.Parcel) (stock.Movement, []*dyelotv1.Shortage, error) {
	ids := make([]int64, len(parcels))
	by := map[int64]stock.Parcel{}
	for i, p := range parcels {
		ids[i], by[p.ID] = p.ID, p
	}
	var outstanding []stock.Promise
	if len(ids) > 0 { // a delivery has no parcel that anybody could know of
		var err error
		if outstanding, err = tx.OutstandingPromises(ids); err != nil {
			return m, nil, err
		}
	}
	eaten, struck := stock.Settle(parcels, m.Legs, outstanding, nil)
	if err := tx.AddPromiseEntries(eaten); err != nil {
		return m, nil, err
	}
	m.RecordedAt, m.ByName = tx.Now, tx.By.Name
	var err error
	m.ID, err = tx.Post(m)
	return m, encodeStruck(struck, by), err
}

// locked locks the parcel whose code stands in a field of the call, and loads
// it after the lock, with whatever another call wrote to it meanwhile.
func locked(tx *store.Tx, field, code string) (stock.Parcel, error) {
	id, err := store.ID('P', field, code)
	if err != nil {
		return stock.Parcel{}, err
	}
	if _, err := tx.LockParcels([]int64{id}); err != nil {
		return stock.Parcel{}, err
	}
	return tx.Parcel(id)
}

// shown is a parcel as it stands now, with what it was made from.
func shown(tx *store.Tx, id int64) (*dyelotv1.Parcel, error) {
	p, err := tx.Parcel(id)
	if err != nil {
		return nil, err
	}
	ps, err := withParents(tx, []stock.Parcel{p})
	if err != nil {
		return nil, err
	}
	return ps[0], nil
}

// withParents encodes parcels with what each was made from.
func withParents(tx *store.Tx, ps []stock.Parcel) ([]*dyelotv1.Parcel, error) {
	var made []int64
	for _, p := range ps {
		if p.Origin == stock.FromMaking {
			made = append(made, p.ID)
		}
	}
	var parents map[int64][]stock.Leg
	if len(made) > 0 {
		var err error
		if parents, err = tx.MadeFrom(made); err != nil {
			return nil, err
		}
	}
	encoded := make([]*dyelotv1.Parcel, len(ps))
	for i, p := range ps {
		encoded[i] = encodeParcel(p)
		for _, l := range parents[p.ID] {
			encoded[i].MadeFrom = append(encoded[i].MadeFrom, &dyelotv1.Taken{ParcelCode: store.Code('P', l.ParcelID), Amount: encode(l.Amount)})
		}
	}
	return encoded, nil
}
