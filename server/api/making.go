package api

import (
	"context"
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// MakeParcel books what was taken of some parcels and the one made from them.
func (s *StockServer) MakeParcel(ctx context.Context, req *dyelotv1.MakeParcelRequest) (*dyelotv1.MakeParcelResponse, error) {
	ids, err := parentIDs(req.GetFrom())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.MakeParcelResponse, error) {
		parents, err := tx.LockParcels(ids)
		if err != nil {
			return nil, err
		}
		made, err := decodeMaking(tx, req, ids, parents)
		if err != nil {
			return nil, err
		}
		m, struck, err := addMade(tx, &made, parents)
		if err != nil {
			return nil, err
		}
		late, err := overtaken(tx, m.HappenedAt, parents)
		if err != nil {
			return nil, err
		}
		parcel, err := shown(tx, made.Parcel.ID)
		return &dyelotv1.MakeParcelResponse{Parcel: parcel, Movement: encodeMovement(m, tx.By.Name), Warnings: append(encodeWarnings(append(made.Warnings, late...)), warnOf(struck)...)}, err
	})
}

func parentIDs(from []*dyelotv1.Taken) ([]int64, error) {
	ids := make([]int64, len(from))
	for i, f := range from {
		var err error
		if ids[i], err = store.ID('P', fmt.Sprintf("from[%d].parcel_code", i), f.GetParcelCode()); err != nil {
			return nil, err
		}
	}
	return ids, nil
}

// decodeMaking reads the request against the parcels it names and lets the rule
// decide what is made.
func decodeMaking(tx *store.Tx, req *dyelotv1.MakeParcelRequest, ids []int64, parents []stock.Parcel) (made stock.Making, err error) {
	it, err := tx.ItemByCode(req.GetItemCode())
	if err != nil {
		return made, err
	}
	out, err := amount("amount", req.GetAmount(), it.Unit)
	if err != nil {
		return made, err
	}
	by := map[int64]stock.Parcel{}
	for _, p := range parents {
		by[p.ID] = p
	}
	given := make([]stock.Given, len(ids))
	for i, id := range ids {
		given[i].Parcel = by[id]
		if given[i].Amount, err = amount(fmt.Sprintf("from[%d].amount", i), req.GetFrom()[i].GetAmount(), by[id].Item.Unit); err != nil {
			return made, err
		}
	}
	if made, err = stock.Make(it, out, given, req.GetStrengthUnknown()); err != nil {
		return made, err
	}
	if made.Parcel.ArrivedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
		return made, err
	}
	if made.Parcel.UsableUntil, err = keepsUntil(req.GetUsableUntil(), made.Parcel.ArrivedAt); err != nil {
		return made, err
	}
	made.Parcel.Note = req.GetNote()
	return made, pastParents(tx, &made, parents)
}

// pastParents warns of what was taken from a parcel beyond its date.
func pastParents(tx *store.Tx, made *stock.Making, parents []stock.Parcel) error {
	today, err := tx.Today()
	for _, p := range parents {
		if f, no := fault.Of(p.Usable(today)); no && f.Reason == "PARCEL_PAST" {
			made.Warnings = append(made.Warnings, recipe.Warning{Key: "past-its-date", Text: f.Say, Source: recipe.Source{Mark: recipe.Practice}})
		}
	}
	return err
}

// addMade writes the new parcel, its strength where its parents bring one, and
// the movement.
func addMade(tx *store.Tx, made *stock.Making, parents []stock.Parcel) (m stock.Movement, struck []*dyelotv1.Shortage, err error) {
	if made.Parcel.ID, err = tx.AddParcel(made.Parcel); err != nil {
		return m, nil, err
	}
	if made.Basis != "" {
		today, err := tx.Today()
		if err != nil {
			return m, nil, err
		}
		if err := tx.SetStrength(made.Parcel.ID, made.Parcel.Strength, made.Basis, today); err != nil {
			return m, nil, err
		}
	}
	m = made.Movement(made.Parcel.ID)
	m.HappenedAt = made.Parcel.ArrivedAt
	return book(tx, m, parents)
}

// warnOf tells what was struck where the answer has no place for shortages.
func warnOf(struck []*dyelotv1.Shortage) []*dyelotv1.Warning {
	var found []*dyelotv1.Warning
	for _, s := range struck {
		found = append(found, &dyelotv1.Warning{Key: "promise-struck", Text: s.GetOf() + ": " + s.GetText(), Source: "law 2: facts are never refused"})
	}
	return found
}
