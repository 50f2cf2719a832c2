package api

import (
	"context"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// RecordFastnessTest keeps a test as it was graded, today unless it says so. Its
// scope says what it is evidence for; it is a grade of this lot only where that
// is the lot.
func (s *JudgeServer) RecordFastnessTest(ctx context.Context, req *dyelotv1.RecordFastnessTestRequest) (*dyelotv1.RecordFastnessTestResponse, error) {
	f, err := decodeTest(req.GetTest())
	if err != nil {
		return nil, fault.In("test", err)
	}
	if code := req.GetTest().GetWindowCode(); code != "" {
		return nil, fault.BadField("test.window_code", "a window test gives its result when it is taken in: dyelot window in %.20s", code)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordFastnessTestResponse, error) {
		f := f
		lots, err := tx.LockLots([]int64{f.LotID})
		if err != nil {
			return nil, fault.In("test", err)
		}
		if err := lots[0].State.Measurable(lots[0].Code); err != nil {
			return nil, err
		}
		if f.Date, err = testedOn(tx, req.GetTest().GetTestedOn()); err != nil {
			return nil, err
		}
		if err := f.Validate(); err != nil {
			return nil, fault.In("test", testField(err))
		}
		if err := knownHarvest(tx, f); err != nil {
			return nil, err
		}
		f.Assessor = otherwise(f.Assessor, otherwise(f.Laboratory, tx.By.Name))
		f.ID, err = tx.AddFastnessTest(f)
		return &dyelotv1.RecordFastnessTestResponse{Test: encodeTest(f)}, err
	})
}

func testedOn(tx *store.Tx, s string) (time.Time, error) {
	if s == "" {
		return tx.Today()
	}
	return pastDay(tx, "test.tested_on", s)
}

// knownHarvest refuses evidence for a harvest from cloth whose dyestuff nobody
// knows.
func knownHarvest(tx *store.Tx, f store.FastnessTest) error {
	if f.Subject.Scope != fastness.EachHarvest {
		return nil
	}
	used, err := tx.DyestuffsOf([]int64{f.LotID})
	if err == nil && len(used[f.LotID]) == 0 {
		code := store.Code('L', f.LotID)
		err = fault.Refuse("NO_HARVEST", "lot %s has no dyestuff on record, so its cloth is evidence for no harvest", code).At("test.scope").With("lot", code)
	}
	return err
}

// testField gives a field of the rules its name in the contract.
func testField(err error) error {
	f, ok := fault.Of(err)
	if !ok {
		return err
	}
	if name, other := map[string]string{"subject.scope": "scope", "subject.code": "lot_code", "date": "tested_on"}[f.Field]; other {
		return f.At(name)
	}
	return err
}

func decodeTest(m *dyelotv1.FastnessTest) (f store.FastnessTest, err error) {
	if f.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
		return f, err
	}
	f.Method, f.Edition, f.Variant, f.Direction = m.GetMethod(), m.GetEdition(), m.GetVariant(), m.GetDirection()
	f.Assessor, f.Evidence, f.Note = m.GetAssessor(), m.GetEvidence(), m.GetNote()
	f.Subject = fastness.Subject{Scope: fastness.Scope(otherwise(m.GetScope(), string(fastness.EachLot))), Code: store.Code('L', f.LotID)}
	f.Specimen, f.Laboratory, f.Instrument = m.GetSpecimen(), m.GetLaboratory(), m.GetInstrument()
	if f.Report, err = decodeReport(m); err != nil {
		return f, err
	}
	if f.Grades, err = decodeGrades(m); err != nil {
		return f, err
	}
	return f, decodeMeasured(m, &f)
}

// stainOf begins the components of the strips sewn against the cloth, so that
// "wool" is understood as the staining of wool.
const stainOf = "stain-"

func decodeGrades(m *dyelotv1.FastnessTest) (map[string]fastness.Grade, error) {
	method, err := fastness.MethodOf(m.GetMethod())
	if err != nil {
		return nil, err
	}
	grades := map[string]fastness.Grade{}
	for i, g := range m.GetGrades() {
		at := fmt.Sprintf("grades[%d].", i)
		c, err := componentOf(method, at+"component", g.GetComponent())
		if err != nil {
			return nil, err
		}
		if g.GetMeasured() {
			return nil, fault.BadField(at+"measured", "is told by the service: give the two colours of %s in measured", c.Key)
		}
		if _, twice := grades[c.Key]; twice {
			return nil, fault.BadField(at+"component", "%s is graded twice", c.Key)
		}
		if grades[c.Key], err = fastness.Parse(g.GetGrade(), c.Scale); err != nil {
			return nil, onField(at+"grade", err)
		}
	}
	return grades, nil
}

// componentOf finds a component by its key, or a strip by its fibre alone.
func componentOf(m fastness.Method, field, key string) (fastness.Component, error) {
	for _, k := range []string{key, stainOf + key} {
		if c, ok := m.Component(k); ok {
			return c, nil
		}
	}
	return fastness.Component{}, fault.BadField(field, "%s does not grade %.40q: it grades %s", m.Key, key, componentsOf(m))
}

func componentsOf(m fastness.Method) string {
	var keys []string
	for _, c := range m.Components {
		keys = append(keys, c.Key)
	}
	return strings.Join(keys, ", ")
}

func encodeTest(f store.FastnessTest) *dyelotv1.FastnessTest {
	m := &dyelotv1.FastnessTest{
		Code: store.Code('F', f.ID), LotCode: store.Code('L', f.LotID), Scope: string(f.Subject.Scope), Method: f.Method, Edition: f.Edition, Variant: f.Variant,
		Direction: f.Direction, Assessor: f.Assessor, Evidence: f.Evidence, TestedOn: showDay(f.Date), Note: f.Note,
		Specimen: f.Specimen, Laboratory: f.Laboratory, Instrument: f.Instrument, ReportName: f.Report.Name, ReportSha256: hex.EncodeToString(f.Report.SHA256),
		WithdrawnBy: f.TakenBack.By, WithdrawnReason: f.TakenBack.Reason, WithdrawnAt: stamp(f.TakenBack.At),
	}
	method, err := fastness.MethodOf(f.Method)
	if err != nil { // it was known when it was recorded; its grades stay in the books
		return m
	}
	for _, c := range method.Components {
		if g, measured, graded := f.Counting(c); graded {
			m.Grades = append(m.Grades, &dyelotv1.ComponentGrade{Component: c.Key, Grade: c.Scale.Text(g), Measured: measured})
		}
	}
	encodeMeasured(f, m)
	if f.WindowID != 0 {
		m.WindowCode = store.Code('X', f.WindowID)
	}
	return m
}
