package api

import (
	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

func encodeItem(it stock.Item) *dyelotv1.Item {
	out := &dyelotv1.Item{
		Code: it.Code, Name: it.Name, Kind: string(it.Kind), Unit: it.Unit.Name(), Style: it.Style, Size: it.Size, PieceMass: encode(it.PieceMass),
		Substance: it.Substance, Plant: it.Plant, Part: it.Part, DyeFamily: it.DyeFamily, Resolution: encode(it.Resolution),
		Reorder: &dyelotv1.ReorderTerms{Minimum: encodeSome(it.Terms.Minimum), Pack: encodeSome(it.Terms.Pack), Supplier: it.Terms.Supplier, LeadDays: int32(it.Terms.LeadDays)},
		OnHand:  encode(it.Zero().Add(it.OnHand)), Promised: encode(it.Zero().Add(it.Promised)), Free: encode(it.Zero().Add(it.Free())),
		Warnings: encodeWarnings(it.Warnings()),
	}
	for _, p := range it.Fibres {
		out.Fibres = append(out.Fibres, &dyelotv1.FibrePart{Fibre: p.Fibre, Percent: p.Percent.Decimal()})
	}
	return out
}

// encodeSome leaves an amount of nothing absent.
func encodeSome(a quantity.Amount) *dyelotv1.Amount {
	if a.IsZero() {
		return nil
	}
	return encode(a)
}

func encodeParcel(p stock.Parcel) *dyelotv1.Parcel {
	out := &dyelotv1.Parcel{
		Code: p.Code(), ItemCode: p.Item.Code, ItemName: p.Item.Name, ItemKind: string(p.Item.Kind), Origin: string(p.Origin),
		Supplier: p.Supplier, SupplierLot: p.SupplierLot, StrengthUnknown: p.StrengthUnknown,
		ArrivedAt: stamp(p.ArrivedAt), UsableUntil: showDay(p.UsableUntil), Damp: p.Damp(), BlockedReason: p.Blocked,
		OnHand: encode(p.OnHand), Promised: encode(p.Promised), Free: encode(p.Free()), Note: p.Note, RecordedBy: p.RecordedBy, PieceMass: encode(p.PieceMass),
		CustomersCommissionCode: codeOr('W', p.CommissionID),
	}
	if p.Cost.Currency != "" {
		out.Cost = &dyelotv1.Money{Value: p.Cost.Decimal(), Currency: p.Cost.Currency}
	}
	if p.Strength != 0 {
		out.StrengthPercent = p.Strength.Decimal()
	}
	if p.Concentration != 0 {
		out.GramsPerLitre = p.Concentration.Decimal()
	}
	if p.Origin == stock.FromHarvest {
		h := p.Harvest
		out.Harvest = &dyelotv1.Harvest{Part: h.Part, Place: h.Place, Ripeness: h.Ripeness, PickedOn: showDay(h.PickedOn), Permission: h.Permission,
			FreshMass: encode(h.Fresh), DryMass: encode(h.Dry), FreshToDry: h.FreshToDry()}
	}
	return out
}

// encodeMovement writes a movement; by is who did it where the movement itself
// does not say.
func encodeMovement(m stock.Movement, by string) *dyelotv1.Movement {
	if m.ByName != "" {
		by = m.ByName
	}
	out := &dyelotv1.Movement{Code: m.Code(), Kind: string(m.Kind), HappenedAt: stamp(m.HappenedAt), RecordedAt: stamp(m.RecordedAt), By: by, Reason: m.Reason}
	for _, l := range m.Legs {
		out.Legs = append(out.Legs, &dyelotv1.Leg{ParcelCode: store.Code('P', l.ParcelID), From: string(l.From), To: string(l.To), Amount: encode(l.Amount)})
	}
	for _, ref := range []struct {
		field  *string
		letter byte
		id     int64
	}{{&out.Reverses, 'M', m.ReversesID}, {&out.ReversedBy, 'M', m.ReversedByID}, {&out.UsedBy, 'L', m.LotID}, {&out.UsedBy, 'S', m.RecordID}, {&out.UsedBy, 'E', m.EntryID}} {
		if ref.id != 0 {
			*ref.field = store.Code(ref.letter, ref.id)
		}
	}
	return out
}

func encodePromise(p stock.Promise) *dyelotv1.PromiseNote {
	return &dyelotv1.PromiseNote{Code: p.Of(), ParcelCode: store.Code('P', p.ParcelID), Amount: encode(p.Outstanding), Purpose: p.Purpose}
}
