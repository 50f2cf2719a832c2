package api

import (
	"context"
	"fmt"
	"slices"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// record is a decoded request to record a stage.
type record struct {
	req    *dyelotv1.RecordStageRequest
	lots   []int64
	taken  map[int64]quantity.Amount
	order  []int64 // parcels, as the caller gave them
	ph     *int
	volume quantity.Amount
	bath   int64 // used again; zero: a fresh one
	// wrong is the record that this one puts right; its ID is zero where it is new.
	wrong lot.Standing
}

// RecordStage: see the contract.
func (s *RunServer) RecordStage(ctx context.Context, req *dyelotv1.RecordStageRequest) (*dyelotv1.RecordStageResponse, error) {
	r, err := decodeRecord(req)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordStageResponse, error) { return r.write(tx) })
}

func decodeRecord(req *dyelotv1.RecordStageRequest) (r record, err error) {
	r = record{req: req, taken: map[int64]quantity.Amount{}}
	if r.lots, err = decodeLots(req.GetLotCodes()); err != nil {
		return r, err
	}
	if err := stagePosition(req.GetPosition()); err != nil {
		return r, err
	}
	if err := r.takes(req.GetUsed()); err != nil {
		return r, err
	}
	if req.GetAsPlanned() && len(r.taken) > 0 {
		return r, fault.BadField("as_planned", "give either as_planned or what was used, not both")
	}
	if req.GetPh() != "" {
		ph, err := recipe.ParsePH(req.GetPh())
		if err != nil {
			return r, err
		}
		r.ph = hundredths(&ph)
	}
	if r.volume, err = amountOrNone("bath_volume", req.GetBathVolume(), quantity.Volume); err != nil {
		return r, err
	}
	if req.GetBathCode() != "" {
		if r.bath, err = store.ID('B', "bath_code", req.GetBathCode()); err != nil {
			return r, err
		}
	}
	if n := req.GetLabourMinutes(); n < 0 || n > mostMinutes {
		return r, fault.BadField("labour_minutes", "%d: 0 to %d is believed", n, mostMinutes)
	}
	return r, gauges(req.GetCelsius(), req.GetMinutes())
}

// takes reads what was weighed or measured, and adds up what came from one
// parcel.
func (r *record) takes(used []*dyelotv1.Taken) error {
	for i, u := range used {
		at := fmt.Sprintf("used[%d]", i)
		id, err := store.ID('P', at+".parcel_code", u.GetParcelCode())
		if err != nil {
			return err
		}
		a, err := amount(at+".amount", u.GetAmount())
		if err != nil {
			return err
		}
		if had, twice := r.taken[id]; twice && had.Unit != a.Unit {
			return fault.BadField(at+".amount", "%s is given in %s and in %s", store.Code('P', id), had.Unit, a.Unit)
		} else if !twice {
			r.order = append(r.order, id)
		}
		r.taken[id] = r.taken[id].Add(a)
	}
	return nil
}

// gauges refuses readings that no bench shows.
func gauges(celsius, minutes int32) error {
	switch {
	case celsius < 0 || celsius > 250:
		return fault.BadField("celsius", "%d °C: 0 to 250 is believed", celsius)
	case minutes < 0 || minutes > 60*24*60:
		return fault.BadField("minutes", "%d: 0 to 86400 (60 days) is believed", minutes)
	}
	return nil
}

func stagePosition(p int32) error {
	if p <= 0 {
		return fault.BadField("position", "%d: the stage's number in the recipe is needed, from 1", p)
	}
	return nil
}

func decodeLots(codes []string) ([]int64, error) {
	if len(codes) == 0 {
		return nil, fault.BadField("lot_codes", "is needed: one lot, or all that shared the bath")
	}
	var ids []int64
	for i, c := range codes {
		at := fmt.Sprintf("lot_codes[%d]", i)
		id, err := store.ID('L', at, c)
		if err != nil {
			return nil, err
		}
		if slices.Contains(ids, id) {
			return nil, fault.BadField(at, "%s is named twice", c)
		}
		ids = append(ids, id)
	}
	return ids, nil
}

// write is one transaction: lock and load, let the rule decide, book it.
func (r record) write(tx *store.Tx) (*dyelotv1.RecordStageResponse, error) {
	at, started, finished, err := times(tx, r.req)
	if err != nil {
		return nil, err
	}
	b, err := lockStage(tx, r.lots, int(r.req.GetPosition()))
	if err != nil {
		return nil, err
	}
	if r.req.GetAsPlanned() {
		if err := r.asPlanned(b.Before); err != nil {
			return nil, err
		}
	}
	again, err := r.again(tx, b.Before, at, started)
	if err != nil {
		return nil, err
	}
	done := lot.Done{Started: started, Finished: finished, Celsius: int(r.req.GetCelsius()), Minutes: int(r.req.GetMinutes()), PH: r.ph,
		Reason: r.req.GetReason(), Override: lot.Override{By: r.req.GetOverrideBy(), Reason: r.req.GetOverrideReason()}}
	if done.Dips, err = dipsOf(tx, b.Lots, r.req.GetDips()); err != nil {
		return nil, err
	}
	if done.Vessel, err = r.vessel(tx, b.Before, again); err != nil {
		return nil, err
	}
	parcels, err := r.lockUsed(tx)
	if err != nil {
		return nil, err
	}
	done.Used = r.used(parcels)
	if err := b.loadIron(tx, done, again); err != nil {
		return nil, err
	}
	dec, err := lot.Record(b.Before, done)
	if err != nil {
		return nil, err
	}
	if err := undipped(tx, &dec, done.Dips); err != nil {
		return nil, err
	}
	dec.Warnings = append(dec.Warnings, usedBefore(again, b.Fibres, done.PH)...)
	stands := lot.Standing{RunID: b.run.ID, Position: int(r.req.GetPosition()), Kind: dec.Kind, Vessel: done.Vessel, By: otherwise(r.req.GetBy(), tx.By.Name),
		HappenedAt: at, RecordedAt: tx.Now, StartedAt: started, FinishedAt: finished, Celsius: done.Celsius, Minutes: done.Minutes, PH: r.ph, Volume: r.volume,
		Dips: done.Dips, Note: r.req.GetNote(), Reason: done.Reason, Override: done.Override, Lots: dec.Lots, Deviations: dec.Deviations, Corrects: r.wrong.ID}
	stands.BathID, stands.BathUse = r.inBath(again, done.Vessel)
	return r.book(tx, b, stands, dec, parcels)
}

// inBath is the bath that the record is of, and its use of it: one used again,
// that of the record it corrects where the vessel is the same, or a fresh one.
func (r record) inBath(again lot.Liquor, vessel lot.Pot) (id int64, use int) {
	if again.ID == 0 && r.wrong.BathID != 0 && r.wrong.Vessel.ID == vessel.ID {
		return r.wrong.BathID, r.wrong.BathUse
	}
	return again.ID, again.Uses() + 1
}

func times(tx *store.Tx, req *dyelotv1.RecordStageRequest) (at, started, finished time.Time, err error) {
	given := func(field string, ts *timestamppb.Timestamp) time.Time {
		if ts == nil || err != nil {
			return time.Time{}
		}
		var t time.Time
		t, err = happened(tx, field, ts)
		return t
	}
	started, finished, at = given("started_at", req.GetStartedAt()), given("finished_at", req.GetFinishedAt()), given("happened_at", req.GetHappenedAt())
	switch {
	case !at.IsZero():
	case !finished.IsZero():
		at = finished
	default:
		at = tx.Now
	}
	return at, started, finished, err
}
