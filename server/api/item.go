package api

import (
	"context"
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CreateItem writes an item down for good: only its reorder terms change later.
func (s *StockServer) CreateItem(ctx context.Context, req *dyelotv1.CreateItemRequest) (*dyelotv1.CreateItemResponse, error) {
	it, err := decodeItem(req.GetItem())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateItemResponse, error) {
		if _, err := tx.CreateItem(it); err != nil {
			return nil, err
		}
		return &dyelotv1.CreateItemResponse{Item: encodeItem(it)}, nil
	})
}

func decodeItem(in *dyelotv1.Item) (it stock.Item, err error) {
	if in == nil {
		return it, fault.BadField("item", "is needed")
	}
	it = stock.Item{
		Code: in.GetCode(), Name: in.GetName(), Kind: stock.Kind(in.GetKind()), Style: in.GetStyle(), Size: in.GetSize(),
		Substance: in.GetSubstance(), Plant: in.GetPlant(), Part: in.GetPart(), DyeFamily: in.GetDyeFamily(),
	}
	if it.Unit, err = decodeUnit("item.unit", in.GetUnit()); err != nil {
		return it, err
	}
	if it.PieceMass, err = amountOrNone("item.piece_mass", in.GetPieceMass(), quantity.Mass); err != nil {
		return it, err
	}
	if it.Resolution, err = amountOrNone("item.resolution", in.GetResolution()); err != nil {
		return it, err
	}
	for i, p := range in.GetFibres() {
		share, ok, err := percent(fmt.Sprintf("item.fibres[%d].percent", i), p.GetPercent())
		if err != nil {
			return it, err
		}
		if !ok {
			return it, fault.BadField(fmt.Sprintf("item.fibres[%d].percent", i), "is needed")
		}
		it.Fibres = append(it.Fibres, stock.FibrePart{Fibre: p.GetFibre(), Percent: share})
	}
	if it.Terms, err = decodeTerms("item.reorder", in.GetReorder()); err != nil {
		return it, err
	}
	it, _, err = it.Check()
	return it, fault.In("item", err)
}

// decodeUnit reads what an item is counted in; empty is left to its kind.
func decodeUnit(field, name string) (quantity.Unit, error) {
	if name == "" {
		return 0, nil
	}
	for _, u := range []quantity.Unit{quantity.Mass, quantity.Volume, quantity.Count} {
		if strings.EqualFold(name, u.Name()) {
			return u, nil
		}
	}
	return 0, fault.BadField(field, "%.40q: an item is counted in g, mL or pc", name)
}

func decodeTerms(at string, in *dyelotv1.ReorderTerms) (t stock.Terms, err error) {
	t = stock.Terms{Supplier: in.GetSupplier(), LeadDays: int(in.GetLeadDays())}
	if t.Minimum, err = amountOrNone(at+".minimum", in.GetMinimum()); err != nil {
		return t, err
	}
	t.Pack, err = amountOrNone(at+".pack", in.GetPack())
	return t, err
}

// SetReorderTerms replaces minimum, pack, supplier and lead time whole.
func (s *StockServer) SetReorderTerms(ctx context.Context, req *dyelotv1.SetReorderTermsRequest) (*dyelotv1.SetReorderTermsResponse, error) {
	if req.GetReorder() == nil {
		return nil, fault.BadField("reorder", "is needed")
	}
	terms, err := decodeTerms("reorder", req.GetReorder())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetReorderTermsResponse, error) {
		it, err := tx.ItemByCode(req.GetItemCode())
		if err != nil {
			return nil, err
		}
		if it.Terms, err = it.CheckTerms(terms); err != nil {
			return nil, fault.In("reorder", err)
		}
		if err := tx.SetReorderTerms(it.ID, it.Terms); err != nil {
			return nil, err
		}
		return &dyelotv1.SetReorderTermsResponse{Item: encodeItem(it)}, nil
	})
}

// ListItems lists items by code with the sums over their parcels.
func (s *StockServer) ListItems(ctx context.Context, req *dyelotv1.ListItemsRequest) (*dyelotv1.ListItemsResponse, error) {
	limit, after, err := page(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if err := knownKind(req.GetKind()); err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListItemsResponse, error) {
		items, err := tx.Items(req.GetKind(), after, limit)
		resp := &dyelotv1.ListItemsResponse{}
		for _, it := range items {
			resp.Items = append(resp.Items, encodeItem(it))
		}
		if len(items) == limit {
			resp.NextPageToken = nextPage(items[limit-1].Code)
		}
		return resp, err
	})
}

func knownKind(kind string) error {
	if kind != "" && !stock.KindKnown(stock.Kind(kind)) {
		return fault.BadField("kind", "%.40q is no kind of item: use one of %s", kind, strings.Join(stock.Kinds(), ", "))
	}
	return nil
}
