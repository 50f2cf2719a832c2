package api

import (
	"context"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// diary is a decoded entry of a bath's diary, with what went in.
type diary struct {
	record
	entry lot.Entry
}

// written is what a request says of an entry; both requests say it alike.
type written interface {
	GetUsed() []*dyelotv1.Taken
	GetLitres() *dyelotv1.Amount
	GetPh() string
	GetCelsius() int32
	GetNote() string
}

func decodeBathEntry(req written, kind lot.EntryKind, route string) (d diary, err error) {
	d = diary{record: record{taken: map[int64]quantity.Amount{}}, entry: lot.Entry{Kind: kind, Celsius: int(req.GetCelsius()), Route: strings.TrimSpace(route), Note: req.GetNote()}}
	if err = d.takes(req.GetUsed()); err != nil {
		return d, err
	}
	read, err := ph("ph", req.GetPh())
	if err != nil {
		return d, err
	}
	d.entry.PH = hundredths(read)
	if d.entry.Litres, err = amountOrNone("litres", req.GetLitres(), quantity.Volume); err != nil {
		return d, err
	}
	return d, gauges(req.GetCelsius(), 0)
}

// SetVat sets a vat: a bath that no lot has been in yet.
func (s *PotServer) SetVat(ctx context.Context, req *dyelotv1.SetVatRequest) (*dyelotv1.SetVatResponse, error) {
	d, err := decodeBathEntry(req, lot.EntrySet, "")
	if err != nil {
		return nil, err
	}
	if err := needed("vessel_code", req.GetVesselCode()); err != nil {
		return nil, err
	}
	fibre := ""
	if req.GetFibre() != "" {
		f, err := recipe.FibreOf(req.GetFibre())
		if err != nil {
			return nil, onField("fibre", err)
		}
		fibre = f.Key
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetVatResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		v, err := tx.Vessel(req.GetVesselCode())
		if err != nil {
			return nil, fault.In("vessel_code", err)
		}
		if err := v.Pot().Holds(d.entry.Litres); err != nil {
			return nil, err
		}
		vat, err := lot.VatKind()
		if err != nil {
			return nil, err
		}
		kept, err := tx.Liquors(0, maxPage, false)
		if err != nil {
			return nil, err
		}
		taken := encodeWarnings(lot.StillIn(v.Pot(), kept))
		id, err := tx.AddVat(vat, v.ID, fibre, at)
		if err != nil {
			return nil, err
		}
		d.entry.BathID, d.entry.HappenedAt, d.entry.By = id, at, otherwise(req.GetBy(), tx.By.Name)
		resp, err := d.write(tx)
		return &dyelotv1.SetVatResponse{Bath: resp.GetBath(), Entry: resp.GetEntry(), Warnings: append(taken, resp.GetWarnings()...), Shortages: resp.GetShortages(),
			Parcels: resp.GetParcels(), Cautions: resp.GetCautions()}, err
	})
}

// LogBath keeps a bath, tops it up, notes how it is, or logs it spent.
func (s *PotServer) LogBath(ctx context.Context, req *dyelotv1.LogBathRequest) (*dyelotv1.LogBathResponse, error) {
	if err := needed("bath_code", req.GetBathCode()); err != nil {
		return nil, err
	}
	if err := needed("kind", req.GetKind()); err != nil {
		return nil, err
	}
	d, err := decodeBathEntry(req, lot.EntryKind(req.GetKind()), req.GetRoute())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.LogBathResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		id, err := bathID(tx, "bath_code", req.GetBathCode())
		if err != nil {
			return nil, err
		}
		b, err := tx.LockLiquor(id)
		if err != nil {
			return nil, err
		}
		d.entry.BathID, d.entry.HappenedAt, d.entry.AfterUse, d.entry.By = id, at, b.UsesBy(at), otherwise(req.GetBy(), tx.By.Name)
		if err := b.MayLog(d.entry, len(d.taken)); err != nil {
			return nil, err
		}
		return d.write(tx)
	})
}

// bathID reads a bath's code, or that of a record whose bath it was.
func bathID(tx *store.Tx, field, code string) (int64, error) {
	if !strings.HasPrefix(strings.ToUpper(strings.TrimSpace(code)), "S") {
		return store.ID('B', field, code)
	}
	id, err := store.ID('S', field, code)
	if err != nil {
		return 0, err
	}
	r, err := tx.Record(id)
	if err != nil {
		return 0, err
	}
	if r.BathID == 0 {
		return 0, fault.Refuse("NOT_A_BATH", "%s (%s) had no bath", store.Code('S', id), r.Kind.Name)
	}
	return r.BathID, nil
}

// write books an entry and its movement together (law 3), and says what to mind.
func (d diary) write(tx *store.Tx) (*dyelotv1.LogBathResponse, error) {
	parcels, err := d.lockUsed(tx)
	if err != nil {
		return nil, err
	}
	if d.entry.ID, err = tx.AddEntry(d.entry); err != nil {
		return nil, err
	}
	m := stock.Movement{Kind: stock.ActUse, HappenedAt: d.entry.HappenedAt, ByName: d.entry.By, EntryID: d.entry.ID}
	struck, err := settle(tx, &m, parcels, d.taken, nil)
	if err != nil {
		return nil, err
	}
	b, err := tx.Liquor(d.entry.BathID)
	if err != nil {
		return nil, err
	}
	e, err := tx.Entry(d.entry.ID)
	if err != nil {
		return nil, err
	}
	resp := &dyelotv1.LogBathResponse{Bath: encodeLiquor(tx, b), Entry: encodeBathEntry(e, parcels), Shortages: encodeStruck(struck, parcels),
		Warnings: encodeWarnings(append(readWarnings(b, e), unusable(tx, d.used(parcels))...)), Cautions: bathCautions(b, e, parcels)}
	resp.Parcels, err = d.after(tx)
	return resp, err
}

// readWarnings holds a vat's pH against the fibre that it is meant for, or tells
// each fibre apart where it is meant for none.
func readWarnings(b lot.Liquor, e lot.Entry) []recipe.Warning {
	if b.Fibre != "" {
		return vatWarnings(b.Kind, []string{b.Fibre}, e.PH)
	}
	var said []recipe.Warning
	for _, f := range []string{"wool", "cotton"} { // one of each line of the table
		said = append(said, vatWarnings(b.Kind, []string{f}, e.PH)...)
	}
	return said
}

// bathCautions are those of pouring a bath away, or of what went into a vat.
func bathCautions(b lot.Liquor, e lot.Entry, parcels map[int64]stock.Parcel) []*dyelotv1.Caution {
	var substances []string
	unknown := false
	for _, p := range parcels {
		if p.Item.Substance != "" {
			substances = append(substances, p.Item.Substance)
		}
		unknown = unknown || p.StrengthUnknown
	}
	switch {
	case e.Kind == lot.EntrySpent:
		return encodeCautions(caution.ForStage("spent-bath", nil, false))
	case e.Kind == lot.EntrySet || len(parcels) > 0:
		return encodeCautions(caution.ForStage(b.Kind.Key, substances, unknown))
	}
	return nil
}

// UndoBathEntry takes an entry back: its amounts return to their parcels, and it
// stays, marked. Later uses then have nothing of it.
func (s *PotServer) UndoBathEntry(ctx context.Context, req *dyelotv1.UndoBathEntryRequest) (*dyelotv1.UndoBathEntryResponse, error) {
	id, err := store.ID('E', "entry_code", req.GetEntryCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.UndoBathEntryResponse, error) {
		e, err := tx.Entry(id)
		if err != nil {
			return nil, err
		}
		if _, err := tx.LockLiquor(e.BathID); err != nil {
			return nil, err
		}
		if e, err = tx.Entry(id); err != nil { // as it is, now that it is locked
			return nil, err
		}
		if e.Undone {
			return nil, fault.Refuse("UNDONE_ALREADY", "%s has been taken back already: %s", lot.EntryCode(id), e.UndoneWhy)
		}
		resp := &dyelotv1.UndoBathEntryResponse{}
		if resp.Movement, err = takeEntryBack(tx, e, req.GetReason()); err != nil {
			return nil, err
		}
		if err := tx.UndoEntry(id, req.GetReason()); err != nil {
			return nil, err
		}
		if e, err = tx.Entry(id); err != nil {
			return nil, err
		}
		b, err := tx.Liquor(e.BathID)
		if err != nil {
			return nil, err
		}
		parcels, err := fedParcels(tx, []lot.Entry{e})
		resp.Bath, resp.Entry = encodeLiquor(tx, b), encodeBathEntry(e, parcels)
		return resp, err
	})
}

// takeEntryBack posts the mirror of what an entry took; nothing when it took
// nothing.
func takeEntryBack(tx *store.Tx, e lot.Entry, reason string) (*dyelotv1.Movement, error) {
	was, took, err := tx.MovementOfEntry(e.ID)
	if err != nil || !took {
		return nil, err
	}
	m, err := mirror(tx, was, reason)
	if err != nil {
		return nil, err
	}
	return encodeMovement(m, tx.By.Name), nil
}
