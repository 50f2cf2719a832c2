package api

import (
	"context"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/server/store"
)

// GetWindow shows one window test with its looks and its dose of light so far.
func (s *WearServer) GetWindow(ctx context.Context, req *dyelotv1.GetWindowRequest) (*dyelotv1.GetWindowResponse, error) {
	id, err := store.ID('X', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetWindowResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		m, err := windowNow(tx, id, today)
		return &dyelotv1.GetWindowResponse{Window: m}, err
	})
}

// ListWindows lists window tests, the newest first.
func (s *WearServer) ListWindows(ctx context.Context, req *dyelotv1.ListWindowsRequest) (*dyelotv1.ListWindowsResponse, error) {
	limit, below, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	var lotID int64
	if req.GetLotCode() != "" {
		if lotID, err = store.ID('L', "lot_code", req.GetLotCode()); err != nil {
			return nil, err
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListWindowsResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		windows, err := tx.Windows(req.GetAll(), lotID, below, limit)
		resp := &dyelotv1.ListWindowsResponse{}
		for _, w := range windows {
			resp.Windows = append(resp.Windows, encodeWindow(w, today))
		}
		if len(windows) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(windows[limit-1].ID, 10))
		}
		return resp, err
	})
}

func windowNow(tx *store.Tx, id int64, today time.Time) (*dyelotv1.Window, error) {
	w, err := tx.Window(id)
	return encodeWindow(w, today), err
}

func encodeWindow(w store.WindowTest, today time.Time) *dyelotv1.Window {
	m := &dyelotv1.Window{
		Code: w.Code, LotCode: store.Code('L', w.LotID), Scope: string(w.Scope), Specimen: w.Specimen, Place: w.Place, Faces: w.Faces,
		Lux: w.Lux, HoursPerDay: w.HoursPerDay, UvFiltered: !w.UV, BlueWools: numbers(w.Beside), PutOutOn: showDay(w.PutOut), By: w.By, Note: w.Note,
		State: "out", TakenInOn: showDay(w.In), GivenUp: w.GivenUp, NextLookOn: showDay(w.NextLook()),
	}
	until := today
	switch {
	case w.GivenUp != "":
		m.State, until = "given-up", w.In
	case !w.In.IsZero():
		m.State, until = "in", w.In
	}
	m.Late = !w.NextLook().IsZero() && w.NextLook().Before(today)
	m.DaysOut = int32(until.Sub(w.PutOut).Hours() / 24)
	for _, d := range w.Again {
		m.LookOn = append(m.LookOn, showDay(d))
	}
	for _, l := range w.Looked {
		m.Looks = append(m.Looks, encodeLook(l))
	}
	if w.TestID != 0 {
		m.TestCode = store.Code('F', w.TestID)
	}
	var known bool
	if m.MegaluxHours, known = w.MegaluxHours(until); known {
		m.Source, m.Uncertainty = fastness.LightSource, fastness.LightDoubt
	}
	for _, e := range w.Expect() {
		m.Expected = append(m.Expected, &dyelotv1.ExpectedWool{BlueWool: int32(e.BlueWool), On: showDay(e.On), ChangedOn: showDay(e.Changed), Text: e.Say(until)})
	}
	place := w.Window.Place()
	m.ProposedWhy = place.Text
	if place.Grade != 0 {
		m.ProposedGrade = fastness.BlueWool.Text(place.Grade)
	}
	return m
}

func encodeLook(l store.WindowLook) *dyelotv1.WindowLook {
	m := &dyelotv1.WindowLook{LookedOn: showDay(l.On), Changed: numbers(l.Changed), By: l.By, Note: l.Note, Superseded: l.Superseded}
	if l.Grade != 0 {
		m.Grade = fastness.GreyChange.Text(l.Grade)
	}
	if l.Measured != nil {
		m.Measured = encodePair(*l.Measured)
		if said := lookWarnings(l); len(said) > 0 {
			m.Measured.Disagreement = strings.Join(said, "; ")
		}
	}
	return m
}

func numbers(list []int) []int32 {
	var all []int32
	for _, n := range list {
		all = append(all, int32(n))
	}
	return all
}

// GetFastnessTest shows one test, with what was measured beside it.
func (s *WearServer) GetFastnessTest(ctx context.Context, req *dyelotv1.GetFastnessTestRequest) (*dyelotv1.GetFastnessTestResponse, error) {
	id, err := store.ID('F', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetFastnessTestResponse, error) {
		f, err := tx.FastnessTest(id)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.GetFastnessTestResponse{Test: encodeTest(f)}, nil
	})
}

// AdviseFade says how long a lot may hang in a light, by its own light grade
// alone: of several the worst, as a judgement takes it.
func (s *WearServer) AdviseFade(ctx context.Context, req *dyelotv1.AdviseFadeRequest) (*dyelotv1.AdviseFadeResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	// Light that no place has is refused before anything is looked up.
	if _, err := fastness.Advise(fastness.BlueWool.Worst(), req.GetLux(), req.GetHoursPerDay(), !req.GetUvFiltered()); err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.AdviseFadeResponse, error) {
		c, err := tx.CaseOf(id)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.AdviseFadeResponse{LotCode: c.Lot.Code, Source: fastness.LightSource}
		test, grade := ownLight(c)
		if grade == 0 {
			resp.Text = "not tested: lot " + c.Lot.Code + " has no light grade of its own on the blue wools, and another lot's says nothing of it"
			return resp, nil
		}
		a, err := fastness.Advise(grade, req.GetLux(), req.GetHoursPerDay(), !req.GetUvFiltered())
		if err != nil {
			return nil, err
		}
		resp.Tested, resp.Grade, resp.TestCode = true, fastness.BlueWool.Text(grade), test
		resp.SoonerDays, resp.LaterDays = a.Days.Sooner.JustNoticeableAfterDays, a.Days.Later.JustNoticeableAfterDays
		resp.Text, resp.Uncertainty = a.String(), a.Uncertainty()
		return resp, nil
	})
}

// ownLight is the worst light grade of the lot's own tests that stand.
func ownLight(c store.Case) (test string, worst fastness.Grade) {
	for _, f := range c.Tests {
		method, err := fastness.MethodOf(f.Method)
		if err != nil || f.Withdrawn != "" || f.Subject != (fastness.Subject{Scope: fastness.EachLot, Code: c.Lot.Code}) {
			continue
		}
		for _, k := range method.Components {
			if g, _, graded := f.Counting(k); graded && k.Scale == fastness.BlueWool && (worst == 0 || g < worst) {
				test, worst = f.Test.ID, g
			}
		}
	}
	return test, worst
}
