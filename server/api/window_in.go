package api

import (
	"context"
	"fmt"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// TakeIn ends a window test and records what it gave, in one transaction.
func (s *WearServer) TakeIn(ctx context.Context, req *dyelotv1.TakeInRequest) (*dyelotv1.TakeInResponse, error) {
	id, err := store.ID('X', "window_code", req.GetWindowCode())
	if err != nil {
		return nil, err
	}
	given, err := givenGrade(req)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.TakeInResponse, error) {
		w, today, err := lockWindow(tx, id)
		if err != nil {
			return nil, err
		}
		in, err := dayOr(tx, "taken_in_on", req.GetTakenInOn(), today)
		if err != nil {
			return nil, err
		}
		if err := w.MayTakeIn(in); err != nil {
			return nil, err
		}
		by := otherwise(strings.TrimSpace(req.GetBy()), tx.By.Name)
		resp := &dyelotv1.TakeInResponse{}
		if strings.TrimSpace(req.GetGivenUp()) == "" {
			place := w.Window.Place()
			if given == 0 && place.Grade == 0 {
				return nil, fault.Refuse("WINDOW_NO_GRADE", "the looks at %s give no light grade: %s", w.Code, place.Text).At("grade").With("window", w.Code)
			}
			resp.Warnings = gradeWarnings(given, place)
			if resp.Test, err = recordWindow(tx, windowResult(w, in, gradeOr(given, place.Grade), by, req)); err != nil {
				return nil, err
			}
		}
		w.In, w.GivenUp, w.EndNote = in, strings.TrimSpace(req.GetGivenUp()), req.GetNote()
		if err := tx.EndWindow(w, by); err != nil {
			return nil, err
		}
		resp.Window, err = windowNow(tx, id, today)
		return resp, err
	})
}

// givenGrade is the person's own, zero where they leave it to the looks.
func givenGrade(req *dyelotv1.TakeInRequest) (g fastness.Grade, err error) {
	if req.GetGrade() == "" {
		return 0, nil
	}
	if strings.TrimSpace(req.GetGivenUp()) != "" {
		return 0, fault.BadField("given_up", "a test with a grade is not given up: leave one of the two out")
	}
	g, err = fastness.Parse(req.GetGrade(), fastness.BlueWool)
	return g, onField("grade", err)
}

func gradeOr(given, proposed fastness.Grade) fastness.Grade {
	if given != 0 {
		return given
	}
	return proposed
}

// gradeWarnings tells where the person and the looks are more than half a grade
// apart; the person's word stands.
func gradeWarnings(given fastness.Grade, place fastness.Placed) []string {
	if given == 0 || place.Grade == 0 || max(given-place.Grade, place.Grade-given) <= 1 {
		return nil
	}
	return []string{fmt.Sprintf("the looks say %s, since %s: more than half a grade from %s, and the person's word counts", place.Grade, place.Text, given)}
}

func windowResult(w store.WindowTest, in time.Time, g fastness.Grade, by string, req *dyelotv1.TakeInRequest) store.FastnessTest {
	f := store.FastnessTest{LotID: w.LotID, Direction: req.GetDirection(), Assessor: by, Evidence: req.GetEvidence(), Note: req.GetNote(), Specimen: w.Specimen, Instrument: "eye", WindowID: w.ID,
		Test: fastness.Test{Method: windowMethod, Date: in, Subject: fastness.Subject{Scope: w.Scope, Code: store.Code('L', w.LotID)},
			Grades: map[string]fastness.Grade{windowComponent: g}}}
	// Of several looks on a day the last counts, so the last of all does; only its
	// colours say how much the strip changed in all.
	if n := len(w.Looked); n > 0 && w.Looked[n-1].Measured != nil {
		p := *w.Looked[n-1].Measured
		f.Pairs, f.Measured = []store.MeasuredPair{p}, map[string]fastness.Measured{windowComponent: p.Measured}
	}
	return f
}

func recordWindow(tx *store.Tx, f store.FastnessTest) (*dyelotv1.FastnessTest, error) {
	if err := f.Validate(); err != nil {
		return nil, testField(err)
	}
	if err := knownHarvest(tx, f); err != nil {
		return nil, onField("window_code", err)
	}
	var err error
	f.ID, err = tx.AddFastnessTest(f)
	return encodeTest(f), err
}
