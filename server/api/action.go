package api

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/cause"
	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// RecordAction writes what is changed, and blocks the parcels that it names in
// the same transaction, so that none can be picked from then on.
func (s *CauseServer) RecordAction(ctx context.Context, req *dyelotv1.RecordActionRequest) (*dyelotv1.RecordActionResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordActionResponse, error) {
		a, err := askedAction(tx, req)
		if err != nil {
			return nil, err
		}
		parcels, err := lockAll(tx, a.ParcelIDs)
		if err != nil {
			return nil, err
		}
		id, err := tx.AddAction(a)
		if err != nil {
			return nil, err
		}
		reason := a.BlockReason(store.Code('A', id))
		for _, p := range parcels {
			if p.Blocked != "" {
				continue // its own reason stands, and may be another rule's
			}
			if err := stock.MayBlock(p, reason, false); err != nil {
				return nil, err
			}
			if err := tx.BlockParcel(p.ID, reason, false); err != nil {
				return nil, err
			}
		}
		shown, err := actionNow(tx, id)
		if err != nil {
			return nil, err
		}
		warnings, err := stillPromised(tx, parcels)
		return &dyelotv1.RecordActionResponse{Action: shown, Warnings: warnings}, err
	})
}

// askedAction decodes an action and holds it against the rule.
func askedAction(tx *store.Tx, req *dyelotv1.RecordActionRequest) (store.Action, error) {
	a := store.Action{Action: cause.Action{Recipe: req.GetRecipeCode(), Version: int(req.GetRecipeVersion()), Supplier: req.GetSupplier(), SupplierLot: strings.TrimSpace(req.GetSupplierLot()),
		Parcels: req.GetParcelCodes(), Method: strings.TrimSpace(req.GetMethod()), Because: strings.TrimSpace(req.GetBecause()), By: otherwise(strings.TrimSpace(req.GetBy()), tx.By.Name)}}
	var err error
	if a.DueOn, err = day("due_on", req.GetDueOn()); err != nil {
		return a, err
	}
	if a.RecordedOn, err = tx.Today(); err != nil {
		return a, err
	}
	if err := a.Check(a.RecordedOn); err != nil {
		return a, err
	}
	if a.ParcelIDs, err = blockedIDs(tx, req); err != nil {
		return a, err
	}
	switch {
	case a.Version < 0:
		return a, fault.BadField("recipe_version", "%d is negative", a.Version)
	case a.Version > 0 && a.Recipe == "":
		return a, fault.BadField("recipe_code", "is needed with a version")
	case a.Recipe != "":
		v, err := tx.RecipeVersion(a.Recipe, a.Version)
		if err != nil {
			return a, err
		}
		a.VersionID = v.ID
	}
	if len(req.GetTags()) > 0 {
		back, err := returnsTagged(tx, req.GetTags())
		if err != nil {
			return a, err
		}
		for _, b := range back {
			a.GarmentIDs = append(a.GarmentIDs, b.Garment)
		}
	}
	return a, nil
}

// blockedIDs are the parcels that are named, or all of a supplier's lot.
func blockedIDs(tx *store.Tx, req *dyelotv1.RecordActionRequest) ([]int64, error) {
	if lot := strings.TrimSpace(req.GetSupplierLot()); lot != "" {
		ids, err := tx.ParcelsOfSupplierLot(strings.TrimSpace(req.GetSupplier()), lot)
		if err == nil && len(ids) == 0 {
			err = fault.Missing("supplier_lot", lot)
		}
		return ids, err
	}
	var ids []int64
	for i, code := range req.GetParcelCodes() {
		id, err := store.ID('P', fmt.Sprintf("parcel_codes[%d]", i), code)
		if err != nil {
			return nil, err
		}
		if slices.Contains(ids, id) {
			return nil, fault.BadField(fmt.Sprintf("parcel_codes[%d]", i), "%s is named twice", code)
		}
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids, nil
}

// lockAll locks parcels in ascending id and reads them as they stand then.
func lockAll(tx *store.Tx, ids []int64) ([]stock.Parcel, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	if _, err := tx.LockParcels(ids); err != nil {
		return nil, err
	}
	known, err := tx.ParcelsByID(ids)
	if err != nil {
		return nil, err
	}
	var ps []stock.Parcel
	for _, id := range ids {
		p, is := known[id]
		if !is {
			return nil, fault.Missing("parcel", store.Code('P', id))
		}
		ps = append(ps, p)
	}
	return ps, nil
}

// stillPromised warns of what blocked parcels were promised for before: a
// promise stands until it is released, and the bench card still names the bag.
func stillPromised(tx *store.Tx, parcels []stock.Parcel) ([]*dyelotv1.Warning, error) {
	var ids []int64
	for _, p := range parcels {
		ids = append(ids, p.ID)
	}
	promises, err := tx.OutstandingPromises(ids)
	var warnings []*dyelotv1.Warning
	for _, p := range promises {
		what := otherwise(p.Purpose, "promise "+store.Code('H', p.ID))
		var lots []string
		for _, id := range p.LotIDs {
			lots = append(lots, store.Code('L', id))
		}
		if len(lots) > 0 {
			what = "lot " + strings.Join(lots, ", ")
		}
		warnings = append(warnings, &dyelotv1.Warning{Key: "still-promised", Source: "house rule",
			Text: fmt.Sprintf("%s of %s is still promised for %s: use another parcel at the pot, or plan it anew", p.Outstanding, store.Code('P', p.ParcelID), what)})
	}
	return warnings, err
}

// CompleteAction writes that an action was done.
func (s *CauseServer) CompleteAction(ctx context.Context, req *dyelotv1.CompleteActionRequest) (*dyelotv1.CompleteActionResponse, error) {
	id, err := store.ID('A', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CompleteActionResponse, error) {
		a, err := tx.Action(id)
		if err != nil {
			return nil, err
		}
		d := cause.Done{By: otherwise(strings.TrimSpace(req.GetBy()), tx.By.Name), Found: strings.TrimSpace(req.GetFound())}
		if d.On, err = pastDay(tx, "done_on", req.GetDoneOn()); err != nil {
			return nil, err
		}
		if d.On.IsZero() {
			if d.On, err = tx.Today(); err != nil {
				return nil, err
			}
		}
		if err := a.MayComplete(store.Code('A', id), d); err != nil {
			return nil, err
		}
		if err := tx.CompleteAction(id, d); err != nil {
			return nil, err
		}
		shown, err := actionNow(tx, id)
		return &dyelotv1.CompleteActionResponse{Action: shown}, err
	})
}

// ListActions lists actions, the soonest due first.
func (s *CauseServer) ListActions(ctx context.Context, req *dyelotv1.ListActionsRequest) (*dyelotv1.ListActionsResponse, error) {
	limit, key, err := page(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	var after time.Time
	var afterID int64
	if key != "" {
		on, id, _ := strings.Cut(key, " ")
		var bad error
		if after, err = time.Parse(time.DateOnly, on); err == nil {
			afterID, bad = strconv.ParseInt(id, 10, 64)
		}
		if err != nil || bad != nil {
			return nil, fault.BadField("page_token", "is not one that this service gave")
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListActionsResponse, error) {
		as, err := tx.Actions(req.GetAll(), after, afterID, limit)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListActionsResponse{}
		if len(as) == limit {
			resp.NextPageToken = nextPage(fmt.Sprintf("%s %d", showDay(as[limit-1].DueOn), as[limit-1].ID))
		}
		resp.Actions, err = encodeActions(tx, as)
		return resp, err
	})
}

func actionNow(tx *store.Tx, id int64) (*dyelotv1.Action, error) {
	a, err := tx.Action(id)
	if err != nil {
		return nil, err
	}
	ms, err := encodeActions(tx, []store.Action{a})
	if err != nil {
		return nil, err
	}
	return ms[0], nil
}

// actionsAbout are the actions that a trace shows.
func actionsAbout(tx *store.Tx, garmentIDs, parcelIDs, lotIDs []int64) ([]*dyelotv1.Action, error) {
	as, err := tx.ActionsAbout(garmentIDs, parcelIDs, lotIDs)
	if err != nil || len(as) == 0 {
		return nil, err
	}
	return encodeActions(tx, as)
}

// actionsOfLot are those about what is in a lot, its garments or its recipe.
func actionsOfLot(tx *store.Tx, id int64) ([]*dyelotv1.Action, error) {
	h, err := tx.Above(id)
	if err != nil {
		return nil, err
	}
	ever, err := tx.GarmentsEverOf(id)
	if err != nil {
		return nil, err
	}
	var garments []int64
	for _, g := range ever {
		garments = append(garments, g.ID)
	}
	return actionsAbout(tx, garments, parcelsIn(h, nil), []int64{id})
}

func encodeActions(tx *store.Tx, as []store.Action) ([]*dyelotv1.Action, error) {
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	var ms []*dyelotv1.Action
	for _, a := range as {
		m := &dyelotv1.Action{Code: store.Code('A', a.ID), Kind: "method", RecipeCode: a.Recipe, RecipeVersion: int32(a.Version), Supplier: a.Supplier, SupplierLot: a.SupplierLot,
			ParcelCodes: a.Parcels, Method: a.Method, Change: a.Change(), Because: a.Because, Tags: a.Returns, By: a.By, RecordedAt: stamp(a.RecordedAt), DueOn: showDay(a.DueOn),
			State: a.State(today), DoneOn: showDay(a.Done.On), DoneBy: a.Done.By, Found: a.Done.Found}
		switch {
		case a.Recipe != "":
			m.Kind = "recipe"
		case a.Blocks():
			m.Kind = "block"
		}
		ms = append(ms, m)
	}
	return ms, nil
}
