package api

import (
	"context"
	"fmt"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// PotServer answers PotService.
type PotServer struct {
	dyelotv1.UnsafePotServiceServer
	store *store.Store
}

// NewPotServer answers from a store.
func NewPotServer(s *store.Store) *PotServer { return &PotServer{store: s} }

// AddToBath records more that went into a bath, as a record of its own in the
// same bath and use.
func (s *PotServer) AddToBath(ctx context.Context, req *dyelotv1.AddToBathRequest) (*dyelotv1.AddToBathResponse, error) {
	id, err := store.ID('S', "record_code", req.GetRecordCode())
	if err != nil {
		return nil, err
	}
	r := record{taken: map[int64]quantity.Amount{}}
	if err := r.takes(req.GetUsed()); err != nil {
		return nil, err
	}
	ph, err := ph("ph", req.GetPh())
	if err != nil {
		return nil, err
	}
	r.ph = hundredths(ph)
	if err := gauges(req.GetCelsius(), req.GetMinutes()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.AddToBathResponse, error) { return r.add(tx, id, req) })
}

// add is one transaction: lock lots, bath and parcels; let the rule decide; book
// record and movement together.
func (r record) add(tx *store.Tx, id int64, req *dyelotv1.AddToBathRequest) (*dyelotv1.AddToBathResponse, error) {
	at, err := happened(tx, "happened_at", req.GetHappenedAt())
	if err != nil {
		return nil, err
	}
	main, err := tx.Record(id)
	if err != nil {
		return nil, err
	}
	for _, l := range main.Lots {
		r.lots = append(r.lots, l.LotID)
	}
	b, err := lockStage(tx, r.lots, main.Position)
	if err != nil {
		return nil, err
	}
	bath := lot.Liquor{}
	if main.BathID != 0 {
		if bath, err = tx.LockLiquor(main.BathID); err != nil {
			return nil, err
		}
	}
	if main, err = tx.Record(id); err != nil { // as it is, now that nobody undoes it
		return nil, err
	}
	parcels, err := r.lockUsed(tx)
	if err != nil {
		return nil, err
	}
	done := lot.Done{Used: r.used(parcels), Celsius: int(req.GetCelsius()), Minutes: int(req.GetMinutes()), PH: r.ph,
		Override: lot.Override{By: req.GetOverrideBy(), Reason: req.GetOverrideReason()}}
	if err := b.loadIron(tx, done, lot.Liquor{}); err != nil {
		return nil, err
	}
	dec, err := lot.Add(b.Before, main, bath, at, done)
	if err != nil {
		return nil, err
	}
	stands := lot.Standing{RunID: main.RunID, Position: main.Position, Kind: main.Kind, BathID: main.BathID, BathUse: main.BathUse, AdditionTo: id, Vessel: main.Vessel,
		LookBefore: req.GetLookBefore(), LookAfter: req.GetLookAfter(), By: otherwise(req.GetBy(), tx.By.Name), HappenedAt: at, RecordedAt: tx.Now,
		Celsius: done.Celsius, Minutes: done.Minutes, PH: r.ph, Note: req.GetNote(), Reason: req.GetLookBefore(), Override: done.Override, Lots: dec.Lots, Deviations: dec.Deviations}
	booked, err := r.book(tx, b, stands, dec, parcels)
	return &dyelotv1.AddToBathResponse{Record: booked.GetRecord(), Warnings: booked.GetWarnings(), Shortages: booked.GetShortages(), Parcels: booked.GetParcels()}, err
}

// again is the bath that is used again, locked; absent for a fresh one.
func (r record) again(tx *store.Tx, b lot.Before, at, started time.Time) (lot.Liquor, error) {
	if r.bath == 0 || len(b.Baths) == 0 { // of no such stage the rule speaks
		return lot.Liquor{}, nil
	}
	bath, err := tx.LockLiquor(r.bath)
	if err != nil {
		return bath, err
	}
	if !started.IsZero() && started.Before(at) {
		at = started
	}
	return bath, bath.MayServe(b.Baths[0].Kind, at)
}

// usedBefore says what nobody can say of a bath that is used again, and holds a
// vat's last reading against the fibre where none was taken now.
func usedBefore(b lot.Liquor, fibres []string, read *int) []recipe.Warning {
	if b.ID == 0 {
		return nil
	}
	said := []recipe.Warning{{Key: "bath-used-before", Source: recipe.Source{Mark: recipe.Practice},
		Text: fmt.Sprintf("%s, use %d: how much is left in it of what went in before is not known, so no %% WOF is said of it", b.Code, b.Uses()+1)}}
	if last, _ := b.Read(); read == nil && last != nil {
		for _, w := range vatWarnings(b.Kind, fibres, last) {
			w.Text = "at its last reading " + w.Text
			said = append(said, w)
		}
	}
	return said
}

// vatWarnings holds a pH against the limits of some fibres, all together.
func vatWarnings(k lot.Kind, fibres []string, ph *int) []recipe.Warning {
	if ph == nil {
		return nil
	}
	p := recipe.Planned{Stage: k.Key, PH: new(recipe.PH(*ph))}
	for _, name := range fibres {
		if f, err := recipe.FibreOf(name); err == nil {
			p.Fibres = append(p.Fibres, f.Key)
		}
	}
	said, err := recipe.Check(p)
	if err != nil {
		return nil // nothing here can be refused: fibres are known ones, and no dose is given
	}
	return slices.DeleteFunc(said, func(w recipe.Warning) bool { return w.Key != "vat-ph" })
}

// dipsOf looks up the garments of each group: of the lots that are dipped.
func dipsOf(tx *store.Tx, lots []lot.Lot, groups []*dyelotv1.Dips) ([]lot.Dips, error) {
	var found []lot.Dips
	for i, g := range groups {
		d := lot.Dips{Dips: int(g.GetDips()), Airings: int(g.GetAirings())}
		for j, tag := range g.GetTags() {
			at := fmt.Sprintf("dips[%d].tags[%d]", i, j)
			garment, err := tagged(tx, tag)
			if err != nil {
				return nil, onField(at, err)
			}
			if !slices.ContainsFunc(lots, func(l lot.Lot) bool { return l.ID == garment.LotID }) {
				return nil, fault.BadField(at, "%s is of lot %s, which is not recorded here", garment.Tag, store.Code('L', garment.LotID))
			}
			d.Garments, d.Tags = append(d.Garments, garment.ID), append(d.Tags, garment.Tag)
		}
		found = append(found, d)
	}
	return found, nil
}

// undipped adds the warning of garments that no group counts; where none is
// counted, nothing is read.
func undipped(tx *store.Tx, dec *lot.Decision, groups []lot.Dips) error {
	if len(groups) == 0 {
		return nil
	}
	for _, l := range dec.Lots {
		garments, err := tx.GarmentsOfLots(l.LotID)
		if err != nil {
			return err
		}
		dec.Warnings = append(dec.Warnings, lot.Undipped(garments, groups)...)
	}
	return nil
}

// lastOfBath refuses (fault.Refused, UNDO_THE_LATER) to take a record back while
// something stands on it: an addition, or a later use of its bath.
func lastOfBath(tx *store.Tx, r lot.Standing) error {
	if r.BathID == 0 {
		return nil
	}
	if _, err := tx.LockLiquor(r.BathID); err != nil {
		return err
	}
	later, err := tx.LaterThan(r)
	if err != nil || later == "" {
		return err
	}
	return fault.Refuse("UNDO_THE_LATER", "%s is in the same bath as %s and came after it: undo %s first", later, store.Code('S', r.ID), later).With("record", later)
}

// additions are those to a record, in order, taken back or not.
func (b *runBook) additions(recordID int64) []*dyelotv1.StageRecord {
	var found []*dyelotv1.StageRecord
	for _, r := range b.records {
		if r.AdditionTo == recordID {
			found = append(found, b.encodeRecord(r))
		}
	}
	return found
}

// brewedLiquor is what falls to a dye bath of the litres that its brew gave, as
// far as they were measured.
func (b *runBook) brewedLiquor(dye lot.Bath) []*dyelotv1.LotShare {
	var shares []*dyelotv1.LotShare
	for _, bath := range b.baths {
		if !bath.Kind.Brews || bath.Position > dye.Position || !serves(bath, dye.Lots[0].LotID) {
			continue
		}
		if r, ok := b.standing(bath.Position, dye.Lots[0].LotID); ok {
			for _, s := range liquorShares(r) {
				if s.GetLotCode() == store.Code('L', dye.Lots[0].LotID) {
					shares = append(shares, s)
				}
			}
		}
	}
	return shares
}

// liquorShares divides the measured litres of a brew among its lots.
func liquorShares(r lot.Standing) []*dyelotv1.LotShare {
	if !r.Kind.Brews || r.AdditionTo != 0 {
		return nil
	}
	var shares []*dyelotv1.LotShare
	for i, part := range lot.DivideLiquor(r.Volume, r.Left.Litres, r.Lots) {
		shares = append(shares, &dyelotv1.LotShare{LotCode: store.Code('L', r.Lots[i].LotID), Amount: encode(part)})
	}
	return shares
}

// encodePot writes what is of the pot and not of the plan.
func encodePot(m *dyelotv1.StageRecord, r lot.Standing) {
	m.LookBefore, m.LookAfter = r.LookBefore, r.LookAfter
	if r.AdditionTo != 0 {
		m.AdditionTo = store.Code('S', r.AdditionTo)
	}
	for _, d := range r.Dips {
		m.Dips = append(m.Dips, &dyelotv1.Dips{Tags: d.Tags, Dips: int32(d.Dips), Airings: int32(d.Airings)})
	}
	m.LeftOver, m.LeftWent, m.LiquorShares = encode(r.Left.Litres), r.Left.Went, liquorShares(r)
}

// fedParcels are the parcels named in a diary, for people.
func fedParcels(tx *store.Tx, entries []lot.Entry) (map[int64]stock.Parcel, error) {
	var ids []int64
	for _, e := range entries {
		for _, u := range e.Used {
			ids = append(ids, u.ParcelID)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	return tx.ParcelsByID(ids)
}
