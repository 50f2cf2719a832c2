package api

import (
	"context"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/logbook"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// LogbookServer answers LogbookService: corrections, the year's books and the
// small books.
type LogbookServer struct {
	dyelotv1.UnsafeLogbookServiceServer
	store *store.Store
}

// NewLogbookServer answers from a store.
func NewLogbookServer(s *store.Store) *LogbookServer { return &LogbookServer{store: s} }

// AddLogEntry writes a line of the small books. Figures that are off warn and
// are written all the same.
func (s *LogbookServer) AddLogEntry(ctx context.Context, req *dyelotv1.AddLogEntryRequest) (*dyelotv1.AddLogEntryResponse, error) {
	e, err := decodeEntry(req.GetEntry())
	if err != nil {
		return nil, fault.In("entry", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.AddLogEntryResponse, error) {
		e, err := e.complete(tx, req.GetEntry())
		if err != nil {
			return nil, fault.In("entry", err)
		}
		if e.ID, err = tx.AddLogEntry(e.LogEntry); err != nil {
			return nil, err
		}
		studio, err := tx.Studio()
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.AddLogEntryResponse{Entry: encodeEntry(e.LogEntry), Warnings: encodeWarnings(e.Warnings()), Cautions: encodeCautions(e.Cautions())}
		if e.Mishap != nil {
			resp.PoisonCentre = studio.PoisonCentre
			return resp, nil
		}
		due, err := dueOf(tx, e.Book, e.Subject)
		resp.NextDue = showDay(due.Next())
		return resp, err
	})
}

// entryRequest is a decoded line before the books have completed it.
type entryRequest struct{ store.LogEntry }

func decodeEntry(m *dyelotv1.LogEntry) (e entryRequest, err error) {
	if e.Book, err = logbook.BookOf(m.GetBook()); err != nil {
		return e, err
	}
	e.By, e.Note = strings.TrimSpace(m.GetBy()), m.GetNote()
	if e.Subject = m.GetSubject(); e.Book.Checks() {
		if err := handCode("subject", e.Subject); err != nil {
			return e, err
		}
	}
	if m.GetWater() != nil {
		if e.Water, err = decodeWater(m.GetWater()); err != nil {
			return e, fault.In("water", err)
		}
	}
	if m.GetScale() != nil {
		if e.Scale, err = decodeScale(m.GetScale()); err != nil {
			return e, fault.In("scale", err)
		}
	}
	if m.GetBuffer() != nil {
		if e.Buffer, err = decodeBuffer(m.GetBuffer()); err != nil {
			return e, fault.In("buffer", err)
		}
	}
	if h := m.GetMishap(); h != nil {
		e.Mishap = &logbook.Mishap{What: h.GetWhat(), Stage: h.GetStage(), Done: h.GetDone()}
	}
	return e, nil
}

func decodeWater(m *dyelotv1.WaterCheck) (*logbook.Water, error) {
	w := &logbook.Water{}
	if m.GetHardnessDh() != "" {
		h, err := logbook.ParseHardness(m.GetHardnessDh())
		if err != nil {
			return nil, err
		}
		w.Hardness = &h
	}
	if m.GetIronMgPerL() != "" {
		i, err := logbook.ParseIron(m.GetIronMgPerL())
		if err != nil {
			return nil, err
		}
		w.Iron = &i
	}
	return w, nil
}

func decodeScale(m *dyelotv1.ScaleCheck) (s *logbook.Scale, err error) {
	s = &logbook.Scale{}
	if s.Mass, err = amount("check_mass", m.GetCheckMass(), quantity.Mass); err != nil {
		return nil, err
	}
	if m.GetRead() == nil {
		return nil, fault.BadField("read", "is needed: what the scale shows")
	}
	if s.Read, err = amountOrNone("read", m.GetRead(), quantity.Mass); err != nil {
		return nil, err
	}
	if m.GetResolution() != nil {
		s.Step, err = amount("resolution", m.GetResolution(), quantity.Mass)
	}
	return s, err
}

func decodeBuffer(m *dyelotv1.BufferCheck) (*logbook.Buffer, error) {
	b := &logbook.Buffer{}
	for _, f := range []struct {
		field, text string
		into        *recipe.PH
	}{{"ph", m.GetPh(), &b.PH}, {"read", m.GetRead(), &b.Read}} {
		if err := needed(f.field, f.text); err != nil {
			return nil, err
		}
		var err error
		if *f.into, err = recipe.ParsePH(f.text); err != nil {
			return nil, onField(f.field, err)
		}
	}
	return b, nil
}

// complete adds what the books know: the time, who writes, a scale's step.
func (e entryRequest) complete(tx *store.Tx, m *dyelotv1.LogEntry) (entryRequest, error) {
	var err error
	if e.HappenedAt, err = happened(tx, "happened_at", m.GetHappenedAt()); err != nil {
		return e, err
	}
	e.By, e.RecordedAt = otherwise(e.By, tx.By.Name), tx.Now
	if s := e.Scale; s != nil && s.Step.N == 0 {
		known := *s // fn may run again
		if known.Step, err = tx.LastStep(e.Subject); err != nil {
			return e, err
		}
		if known.Step.N == 0 {
			known.Step = lastDigit(m.GetScale().GetRead())
		}
		e.Scale = &known
	}
	return e, e.Validate()
}

// lastDigit is the step that the last written digit stands for: of 199.8 g it is
// 0.1 g.
func lastDigit(a *dyelotv1.Amount) quantity.Amount {
	_, decimals, _ := strings.Cut(strings.TrimSpace(a.GetValue()), ".")
	one := "1"
	if decimals != "" {
		one = "0." + strings.Repeat("0", len(decimals)-1) + "1"
	}
	step, err := quantity.Parse(one, a.GetUnit())
	if err != nil || step.N == 0 { // finer than a microgram
		return quantity.Amount{N: 1, Unit: quantity.Mass}
	}
	return step
}

func encodeEntry(e store.LogEntry) *dyelotv1.LogEntry {
	m := &dyelotv1.LogEntry{Code: store.Code('J', e.ID), Book: string(e.Book), Subject: e.Subject, HappenedAt: stamp(e.HappenedAt), RecordedAt: stamp(e.RecordedAt),
		By: e.By, Note: e.Note, Text: e.Text(), Withdrawal: encodeWithdrawal(e.Withdrawn)}
	if w := e.Water; w != nil {
		m.Water = &dyelotv1.WaterCheck{}
		if w.Hardness != nil {
			m.Water.HardnessDh = w.Hardness.Decimal()
		}
		if w.Iron != nil {
			m.Water.IronMgPerL = w.Iron.Decimal()
		}
	}
	if s := e.Scale; s != nil {
		m.Scale = &dyelotv1.ScaleCheck{CheckMass: encode(s.Mass), Read: encode(s.Read), Resolution: encode(s.Step), Error: encode(s.Error()),
			ErrorPercent: s.Percent().Decimal(), ErrorPerMille: s.PerMille()}
	}
	if b := e.Buffer; b != nil {
		m.Buffer = &dyelotv1.BufferCheck{Ph: b.PH.Decimal(), Read: b.Read.Decimal(), Error: b.Error().Decimal()}
	}
	if h := e.Mishap; h != nil {
		m.Mishap = &dyelotv1.Mishap{What: h.What, Stage: h.Stage, Done: h.Done}
	}
	return m
}
