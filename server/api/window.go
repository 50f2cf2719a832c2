package api

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// WearServer answers WearService: window tests, advice on light, and published
// studies.
type WearServer struct {
	dyelotv1.UnsafeWearServiceServer
	store *store.Store
}

// NewWearServer answers from a store.
func NewWearServer(s *store.Store) *WearServer { return &WearServer{store: s} }

// PutOut writes that a specimen was put into a window, and when it is to be
// looked at again.
func (s *WearServer) PutOut(ctx context.Context, req *dyelotv1.PutOutRequest) (*dyelotv1.PutOutResponse, error) {
	w, err := decodeWindow(req.GetWindow())
	if err != nil {
		return nil, fault.In("window", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.PutOutResponse, error) {
		w := w
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		lots, err := tx.LockLots([]int64{w.LotID})
		if err != nil {
			return nil, fault.In("window", err)
		}
		if err := lots[0].State.Measurable(lots[0].Code); err != nil {
			return nil, err
		}
		if w.PutOut, err = dayOr(tx, "window.put_out_on", req.GetWindow().GetPutOutOn(), today); err != nil {
			return nil, err
		}
		if w.Again, err = lookDays(w.PutOut, req); err != nil {
			return nil, err
		}
		// The light of a harvest is evidence only where the cloth's harvest is known.
		if err := knownHarvest(tx, store.FastnessTest{LotID: w.LotID, Test: fastness.Test{Subject: fastness.Subject{Scope: w.Scope}}}); err != nil {
			return nil, onField("window.scope", err)
		}
		w.By = otherwise(w.By, tx.By.Name)
		id, err := tx.AddWindow(w)
		if err != nil {
			return nil, err
		}
		m, err := windowNow(tx, id, today)
		return &dyelotv1.PutOutResponse{Window: m, Warnings: putOutWarnings(w)}, err
	})
}

func putOutWarnings(w store.WindowTest) (warnings []string) {
	if len(w.Beside) == 0 {
		warnings = append(warnings, "no blue wool lies beside it, so no light grade can be read off: put some beside it and begin anew")
	}
	if w.Lux == 0 {
		warnings = append(warnings, "the light of the place is not known, so nobody can say when a blue wool should change: --lux and --hours say it")
	}
	return warnings
}

func decodeWindow(m *dyelotv1.Window) (w store.WindowTest, err error) {
	if w.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
		return w, err
	}
	w.Scope = fastness.Scope(otherwise(m.GetScope(), string(fastness.EachLot)))
	if !slices.Contains(fastness.Scopes(), w.Scope) {
		return w, fault.BadField("scope", "%.40q cannot be tested for; a test is of a lot, a harvest or a recipe", m.GetScope())
	}
	if err := needed("place", m.GetPlace()); err != nil {
		return w, err
	}
	if w.Faces = m.GetFaces(); w.Faces != "" && !slices.Contains(fastness.Facings(), w.Faces) {
		return w, fault.BadField("faces", "%.40q is no direction that a window faces; they are %s", w.Faces, strings.Join(fastness.Facings(), ", "))
	}
	w.Specimen, w.Place, w.By, w.Note = m.GetSpecimen(), strings.TrimSpace(m.GetPlace()), strings.TrimSpace(m.GetBy()), m.GetNote()
	w.Lux, w.HoursPerDay, w.UV, w.Beside = m.GetLux(), m.GetHoursPerDay(), !m.GetUvFiltered(), wools(m.GetBlueWools())
	if err := w.Check(); err != nil {
		return w, err
	}
	slices.Sort(w.Beside)
	return w, nil
}

func wools(list []int32) []int {
	var all []int
	for _, n := range list {
		all = append(all, int(n))
	}
	return all
}

func lookDays(putOut time.Time, req *dyelotv1.PutOutRequest) ([]time.Time, error) {
	var on []time.Time
	for i, text := range req.GetWindow().GetLookOn() {
		d, err := day(fmt.Sprintf("window.look_on[%d]", i), text)
		if err != nil {
			return nil, err
		}
		if d.IsZero() {
			return nil, fault.BadField(fmt.Sprintf("window.look_on[%d]", i), "is empty")
		}
		on = append(on, d)
	}
	days, err := fastness.LookDays(putOut, wools(req.GetLookAfterDays()), on)
	if f, bad := fault.Of(err); bad && strings.HasPrefix(f.Field, "look_on") {
		return nil, fault.In("window", err)
	}
	return days, err
}

// dayOr is a past day, or today where none is said.
func dayOr(tx *store.Tx, field, text string, today time.Time) (time.Time, error) {
	d, err := pastDay(tx, field, text)
	if d.IsZero() {
		d = today
	}
	return d, err
}

// Look writes what somebody saw at the window.
func (s *WearServer) Look(ctx context.Context, req *dyelotv1.LookRequest) (*dyelotv1.LookResponse, error) {
	id, err := store.ID('X', "window_code", req.GetWindowCode())
	if err != nil {
		return nil, err
	}
	l, err := decodeLook(req.GetLook())
	if err != nil {
		return nil, fault.In("look", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.LookResponse, error) {
		l := l
		w, today, err := lockWindow(tx, id)
		if err != nil {
			return nil, err
		}
		if l.On, err = dayOr(tx, "look.looked_on", req.GetLook().GetLookedOn(), today); err != nil {
			return nil, err
		}
		if err := w.MayLook(l.Look); err != nil {
			return nil, inLook(err)
		}
		l.By = otherwise(l.By, tx.By.Name)
		if err := tx.AddLook(id, l); err != nil {
			return nil, err
		}
		m, err := windowNow(tx, id, today)
		return &dyelotv1.LookResponse{Window: m, Warnings: lookWarnings(l)}, err
	})
}

// inLook places a bad field; a rule that said no has none.
func inLook(err error) error {
	if f, ok := fault.Of(err); ok && f.Field != "" {
		return fault.In("look", err)
	}
	return err
}

func decodeLook(m *dyelotv1.WindowLook) (l store.WindowLook, err error) {
	if m == nil {
		return l, fault.BadField("", "is needed: what was seen")
	}
	l.Changed, l.By, l.Note = wools(m.GetChanged()), strings.TrimSpace(m.GetBy()), m.GetNote()
	slices.Sort(l.Changed)
	if m.GetGrade() != "" {
		if l.Grade, err = fastness.Parse(m.GetGrade(), fastness.GreyChange); err != nil {
			return l, onField("grade", err)
		}
	}
	if m.GetMeasured() == nil {
		return l, nil
	}
	window, err := fastness.MethodOf(windowMethod)
	if err != nil {
		return l, err
	}
	p, err := decodePair(window, windowComponent, m.GetMeasured())
	l.Measured = &p
	if l.Grade == 0 {
		l.Grade = p.Grade
	}
	return l, fault.In("measured", err)
}

const (
	windowMethod    = "studio-window"
	windowComponent = "light"
)

// lookWarnings tells of a grade that the instrument does not agree with.
func lookWarnings(l store.WindowLook) []string {
	if p := l.Measured; p != nil && max(l.Grade-p.Grade, p.Grade-l.Grade) > 1 {
		return []string{fastness.Apart{Component: "change of the specimen", Assessed: l.Grade, Measured: p.Grade, Scale: fastness.GreyChange}.String()}
	}
	return nil
}

// lockWindow locks the lot of a window test, and loads it.
func lockWindow(tx *store.Tx, id int64) (w store.WindowTest, today time.Time, err error) {
	lotID, err := tx.LotOfWindow(id)
	if err != nil {
		return w, today, err
	}
	if _, err = tx.LockLots([]int64{lotID}); err != nil {
		return w, today, err
	}
	if today, err = tx.Today(); err != nil {
		return w, today, err
	}
	w, err = tx.Window(id)
	return w, today, err
}
