package api_test

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	pb "dyelot/proto/dyelot/v1"
)

func about(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %v, want %v ± %v", what, got, want, tolerance)
	}
}

// The spectra of spectra_inputs.csv come back from the database as the colours of
// spectra_checks.csv (ASTM E2022 weights at 10 nm: another route), in each light
// and by each eye, within 0.05.
func TestSpectraComeBackAsTheCheckedColours(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	curves, checks := inputs(t), ofCSV(t, "spectra_checks.csv")
	var ms []*pb.Measurement
	for _, row := range checks {
		m := dry(c.a, spotsOf(curves[row["sample"]])...)
		m.Illuminant, m.Observer = row["illuminant"], int32(number(t, row["observer"]))
		m.Spots[0].Place = row["sample"]
		ms = append(ms, m)
	}
	recorded := fine(c.measure(ms...))(c.House)
	if len(recorded) != 12 {
		t.Fatalf("%d of 12", len(recorded))
	}
	for i, row := range checks {
		got := c.shown(recorded[i].GetCode())
		if diff := cmp.Diff(recorded[i], got, protocmp.Transform()); diff != "" {
			t.Errorf("what was answered is not what is kept (-answered +kept):\n%s", diff)
		}
		mean, what := got.GetColour().GetMean(), row["sample"]+" "+row["illuminant"]+"/"+row["observer"]
		about(t, what+" L*", mean.GetL(), number(t, row["L"]), 0.05)
		about(t, what+" a*", mean.GetA(), number(t, row["a"]), 0.05)
		about(t, what+" b*", mean.GetB(), number(t, row["b"]), 0.05)
		about(t, what+" C*", got.GetColour().GetChroma(), math.Hypot(mean.GetA(), mean.GetB()), 1e-9)
		if diff := cmp.Diff(curves[row["sample"]].GetReflectance(), got.GetSpots()[0].GetSpectrum().GetReflectance()); diff != "" {
			t.Errorf("%s: the spectrum came back as another:\n%s", what, diff)
		}
		if daylight := row["illuminant"] == "D65" && row["observer"] == "10"; daylight != (got.GetColour().GetToStandard() != nil) || daylight == strings.Contains(keysOf(got.GetWarnings()), "other-light") {
			t.Errorf("%s: %v, %v", what, got.GetColour().GetToStandard(), got.GetWarnings())
		}
	}
}

// A measurement counts for its lot as a reading does: the mean of its spots. The
// figures of the choir: 62.6, -1.8, 38.9 is 0.63 from the standard.
func TestAMeasurementIsAReading(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	m := dry(c.a, labSpots([3]float64{62.4, -1.7, 38.8}, [3]float64{62.8, -1.9, 39.0}, [3]float64{40, 10, 10})...)
	m.Spots[2].LeftOut, m.Spots[2].Place = "rust stain", "hem"
	m.File = &pb.InstrumentFile{Name: "tuesday.txt", Sha256: strings.Repeat("ab", 32)}
	got := fine(c.measure(m))(c.House)[0]
	if got.GetCode() != "C1" || got.GetIlluminant() != "D65" || got.GetObserver() != 10 || got.GetBy() != "owner" || got.GetFile().GetSha256() != strings.Repeat("ab", 32) || len(got.GetWarnings()) != 0 {
		t.Errorf("%v", got)
	}
	k := got.GetColour()
	if k.GetCounted() != 2 || k.GetMeanOf() != "L*a*b*" || k.GetSpectrum() != nil || k.GetDepth() != nil || len(k.GetMetamerism()) != 0 || got.GetSpots()[2].GetLeftOut() != "rust stain" {
		t.Errorf("%v", k)
	}
	d := k.GetToStandard()
	if d.GetCiede2000() != "0.63" || d.GetTolerance() != "1.5" || !d.GetWithin() || d.GetStandardCode() != "choir-olive" {
		t.Errorf("%v", d)
	}
	about(t, "ΔL*", d.GetDeltaL(), 0.6, 1e-9)
	about(t, "ΔC*", d.GetDeltaC(), math.Hypot(1.8, 38.9)-math.Hypot(2, 38), 1e-9)
	about(t, "ΔE*ab", d.GetDeltaE(), math.Sqrt(0.6*0.6+0.2*0.2+0.9*0.9), 1e-9)
	about(t, "the parts", d.GetDeltaL()*d.GetDeltaL()+d.GetDeltaC()*d.GetDeltaC()+d.GetDeltaH()*d.GetDeltaH(), d.GetDeltaE()*d.GetDeltaE(), 1e-9)
	if row := c.row(c.a, "colour"); row.GetFound() != "0.63" || row.GetEvidence() != "reading C1" || row.GetState() != "passed" {
		t.Errorf("%v", row)
	}
	if again := fine(c.measure(m))(c.House)[0]; keysOf(again.GetWarnings()) != "same-file" || !strings.Contains(again.GetWarnings()[0].GetText(), "withdraw C1") {
		t.Errorf("a file that is read in twice: %v", again.GetWarnings())
	}
	fine(c.withdraw("C2", "read in twice"))(c.House)
	r := c.judged(c.a).GetReadings()[0]
	if !strings.HasPrefix(r.GetSpots(), "mean of 2 of 3 spots, at most 0.19 from it") {
		t.Errorf("%q", r.GetSpots())
	}
	fine(c.withdraw("C1", "wrong lot"))(c.House)
	if got := c.shown("C1"); got.GetWithdrawnReason() != "wrong lot" || len(got.GetSpots()) != 3 {
		t.Errorf("%v", got)
	}
	plain := c.read(c.b, 60.8, -1.4, 36.6)
	if got := c.shown(plain.GetCode()); len(got.GetSpots()) != 0 || got.GetColour().GetToStandard().GetCiede2000() != "1.23" || got.GetColour().GetMean().GetL() != 60.8 {
		t.Errorf("a reading that is no measurement: %v", got)
	}
}

// CMC(2:1) of checks.md [C]: 50,30,20 → 52,28,23 is 3.3655.
func TestCMCStandsBeside(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	lot, _ := c.dyedTo(&pb.ShadeStandard{Code: "madder", Colour: &pb.Lab{L: 50, A: 30, B: 20}, Tolerance: "1.5"})
	got := fine(c.measure(dry(lot, labSpots([3]float64{52, 28, 23})...)))(c.House)[0]
	about(t, "CMC(2:1)", got.GetColour().GetToStandard().GetCmc(), 3.3655, 6e-5)
	if got.GetColour().GetToStandard().GetWithin() {
		t.Error("3.4 is within 1.5")
	}
}

// One spot of five off is pointed out and stays in the mean; wet cloth and cloth
// that did not rest never count, whatever their spots say.
func TestAnOutlierIsPointedOutAndWetSpotsNeverCount(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	same := [3]float64{62, -2, 38}
	m := dry(c.a, labSpots(same, [3]float64{62.1, -2, 38}, [3]float64{61.9, -2, 38}, same, [3]float64{52, -2, 38})...)
	m.Spots[4].Place = "left cuff"
	got := fine(c.measure(m))(c.House)[0]
	if !got.GetSpots()[4].GetOutlier() || got.GetSpots()[0].GetOutlier() || keysOf(got.GetWarnings()) != "outlier" || !strings.Contains(got.GetWarnings()[0].GetText(), "spot 5 (left cuff) stands out, 7.") ||
		!strings.Contains(got.GetWarnings()[0].GetSource(), "Iglewicz") {
		t.Errorf("%v", got.GetWarnings())
	}
	about(t, "the mean keeps it", got.GetColour().GetMean().GetL(), 60, 1e-9)
	if r := c.judged(c.a).GetReadings()[0]; !strings.HasSuffix(r.GetSpots(), ", spot 5 stands out") {
		t.Errorf("%q", r.GetSpots())
	}
	wet, fresh := dry(c.b, labSpots(same, same)...), dry(c.b, labSpots(same, same)...)
	wet.Condition, wet.Rested, fresh.Rested = "wet", false, false
	both := fine(c.measure(wet, fresh))(c.House)
	if row := c.row(c.b, "colour"); row.GetState() != "not-tested" || keysOf(both[0].GetWarnings()) != "not-rested" || keysOf(both[1].GetWarnings()) != "not-rested" {
		t.Errorf("%v, %v", row, both)
	}
}

// The figures for the lamp are those of inventory/colour's second program, computed
// from spectra_checks.csv; those for the tube, and K/S, were computed for this test
// by a program written from CIE 015 and Kubelka & Munk with the tables of
// cie_tables_5nm.csv: K/S at 400 nm, (1 − 0.04)²/0.08 = 11.52, over a grey of 50 %
// whose own is 0.25.
func TestASpectrumTellsDepthAndMetamerism(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	curves := inputs(t)
	lot, tags := c.dyedTo(&pb.ShadeStandard{Code: "ramp", Spectrum: curves["ramp"], Tolerance: "1.5"})
	m := dry(lot, spotsOf(curves["madder_like"], curves["madder_like"])...)
	got := fine(c.measure(m))(c.House)[0].GetColour()
	if d := got.GetDepth(); d.GetOverItemCode() != "" || !strings.Contains(d.GetWhyNot(), "undyed silk-strip was never read") || d.GetMaxNm() != 400 || !strings.Contains(d.GetFormula(), "(1 − R)²/2R") {
		t.Errorf("%v", d)
	}
	about(t, "K/S", got.GetDepth().GetMax(), 11.52, 1e-6)
	if got.GetMeanOf() != "reflectances" || len(got.GetMetamerism()) != 2 {
		t.Fatalf("%v", got)
	}
	for i, want := range []struct {
		test  string
		index float64
	}{{"F11", 8.6372}, {"A", 22.1810}} {
		x := got.GetMetamerism()[i]
		about(t, "D65 to "+want.test, x.GetIndex(), want.index, 0.05)
		if x.GetReference() != "D65" || x.GetTest() != want.test || x.GetObserver() != 10 || !strings.Contains(x.GetFormula(), "CIE 015") {
			t.Errorf("%v", x)
		}
	}

	ground := fine(c.measures().RecordGround(c.Ctx, &pb.RecordGroundRequest{RequestId: c.ID(), Ground: &pb.Ground{ItemCode: "silk-strip", Spectrum: curves["grey50"], Instrument: "spectro-1"}}))(c.House).GetGround()
	about(t, "L* of the ground", ground.GetColour().GetL(), 76.069261, 0.05)
	about(t, "K/S of the ground", ground.GetDepth().GetMax(), 0.25, 1e-12)
	code := c.judged(lot).GetReadings()[0].GetCode()
	over := c.shown(code).GetColour().GetDepth()
	about(t, "K/S over it", over.GetMax(), 11.27, 1e-6)
	if over.GetOverItemCode() != "silk-strip" || over.GetWhyNot() != "" {
		t.Errorf("%v", over)
	}
	// A tunic is not its witness strip: it has a ground of its own, or none.
	piece := dry("", spotsOf(curves["madder_like"])...)
	piece.Tag = tags[0]
	if d := fine(c.measure(piece))(c.House)[0].GetColour().GetDepth(); !strings.Contains(d.GetWhyNot(), "undyed tunic was never read") {
		t.Errorf("%v", d)
	}
	by20 := &pb.Spectrum{FirstNm: 400, StepNm: 20, Reflectance: flat(0.6).GetReflectance()[:16]}
	fine(c.measures().RecordGround(c.Ctx, &pb.RecordGroundRequest{RequestId: c.ID(), Ground: &pb.Ground{ItemCode: "silk-strip", Spectrum: by20}}))(c.House)
	if d := c.shown(code).GetColour().GetDepth(); !strings.Contains(d.GetWhyNot(), "other wavelengths") {
		t.Errorf("the newest ground is not in force: %v", d)
	}
}

// Gloss included and excluded are not compared in silence.
func TestGlossIsSaid(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	shiny, matt := proto.CloneOf(inputs(t)["ramp"]), proto.CloneOf(inputs(t)["ramp"])
	shiny.Specular, matt.Specular = "included", "excluded"
	lot, _ := c.dyedTo(&pb.ShadeStandard{Code: "ramp", Spectrum: shiny, Tolerance: "1.5"})
	_, err := c.measure(dry(lot, spotsOf(shiny, matt)...))
	saysNo(t, err, codes.InvalidArgument, "measurements[0].spots", "they do not compare")
	got := fine(c.measure(dry(lot, spotsOf(matt)...)))(c.House)[0]
	if keysOf(got.GetWarnings()) != "other-gloss" || len(got.GetColour().GetMetamerism()) != 0 || got.GetSpots()[0].GetSpectrum().GetSpecular() != "excluded" {
		t.Errorf("%v", got)
	}
	if r := c.judged(lot).GetReadings()[0]; r.GetSpecular() != "excluded" || r.GetSpots() != "one spot" {
		t.Errorf("%v", r)
	}
	same := fine(c.measure(dry(lot, spotsOf(shiny)...)))(c.House)[0]
	if len(same.GetWarnings()) != 0 || len(same.GetColour().GetMetamerism()) != 2 {
		t.Errorf("%v", same)
	}
	about(t, "the standard to itself", same.GetColour().GetMetamerism()[0].GetIndex(), 0, 1e-9)
}

// All of a request is recorded, or nothing; the same request counts once.
func TestMeasurementsAreOneAct(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	good, bad := dry(c.a, labSpots([3]float64{62, -2, 38})...), dry("L99", labSpots([3]float64{62, -2, 38})...)
	_, err := c.measure(good, bad)
	saysNo(t, err, codes.NotFound, "measurements.lot", "L99")
	if len(c.judged(c.a).GetReadings()) != 0 {
		t.Fatal("half a request was recorded")
	}
	q := &pb.RecordMeasurementsRequest{RequestId: c.ID(), Measurements: []*pb.Measurement{good, dry(c.b, labSpots([3]float64{61, -2, 38})...)}}
	first := fine(c.measures().RecordMeasurements(c.Ctx, q))(c.House)
	if again := fine(c.measures().RecordMeasurements(c.Ctx, q))(c.House); !proto.Equal(first, again) {
		t.Errorf("first %v, again %v", first, again)
	}
	if first.GetMeasurements()[1].GetLotCode() != c.b || len(c.judged(c.a).GetReadings()) != 1 {
		t.Errorf("%v", first)
	}
	fine(c.measure(dry(c.a, spotsOf(flat(0.123456789))...)))(c.House)
	audit := fine(c.Studio.ListAuditEntries(c.Ctx, &pb.ListAuditEntriesRequest{PageSize: 1000}))(c.House).GetEntries()
	if last := audit[len(audit)-1]; !strings.HasSuffix(last.GetAct(), "RecordMeasurements") || strings.Contains(last.GetBody(), "0.123456789") || !strings.Contains(last.GetBody(), `"first_nm":400`) {
		t.Errorf("the audit holds the whole spectrum: %v", last)
	}
	q.Measurements[0] = dry(c.a, labSpots([3]float64{50, -2, 38})...)
	_, err = c.measures().RecordMeasurements(c.Ctx, q)
	c.Refused(err, codes.AlreadyExists)
}

// However many are measured at once, the statements are the same number.
func TestManyMeasurementsAreFewStatements(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	count := func(n int) int64 {
		var ms []*pb.Measurement
		for i := range n {
			m := dry("", spotsOf(flat(0.3), flat(0.31), flat(0.32))...)
			m.Tag = c.tags[c.a][i%5]
			ms = append(ms, m)
		}
		before := c.Store.Statements()
		fine(c.measure(ms...))(c.House)
		return c.Store.Statements() - before
	}
	if one, many := count(1), count(40); one != many {
		t.Errorf("%d statements for one, %d for forty", one, many)
	}
}

func TestMeasurementsThatAreRefused(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	ok := func(with func(*pb.Measurement)) *pb.Measurement {
		m := dry(c.a, labSpots([3]float64{62, -2, 38})...)
		with(m)
		return m
	}
	for name, r := range map[string]struct {
		m           *pb.Measurement
		code        codes.Code
		field, says string
	}{
		"no spot":       {dry(c.a), codes.InvalidArgument, "spots", "from 1 to 100"},
		"empty spot":    {dry(c.a, &pb.Spot{}), codes.InvalidArgument, "spots[0].spectrum", "one of the two"},
		"both":          {dry(c.a, &pb.Spot{Spectrum: flat(0.4), Lab: &pb.LabValues{L: 50}}), codes.InvalidArgument, "spots[0].spectrum", "one of the two"},
		"percent":       {dry(c.a, spotsOf(flat(0.4), flat(40))...), codes.InvalidArgument, "spots[1].spectrum", "0 to 1"},
		"gloss":         {dry(c.a, &pb.Spot{Spectrum: &pb.Spectrum{Specular: "shiny"}}), codes.InvalidArgument, "spots[0].spectrum.specular", "neither included nor excluded"},
		"no colour":     {dry(c.a, labSpots([3]float64{120, 0, 0})...), codes.InvalidArgument, "spots[0].lab.l", "0 to 100"},
		"all left out":  {ok(func(m *pb.Measurement) { m.Spots[0].LeftOut = "stain" }), codes.InvalidArgument, "spots", "at least one must count"},
		"light":         {ok(func(m *pb.Measurement) { m.Illuminant = "D75" }), codes.InvalidArgument, "illuminant", "D65"},
		"eye":           {ok(func(m *pb.Measurement) { m.Observer = 5 }), codes.InvalidArgument, "observer", "2 or 10"},
		"damp":          {ok(func(m *pb.Measurement) { m.Condition = "damp" }), codes.InvalidArgument, "condition", "neither dry nor wet"},
		"wet, rested":   {ok(func(m *pb.Measurement) { m.Condition = "wet" }), codes.InvalidArgument, "rested", "wet cloth"},
		"of nothing":    {ok(func(m *pb.Measurement) { m.LotCode = "" }), codes.InvalidArgument, "lot_code", "or the garment's tag"},
		"file":          {ok(func(m *pb.Measurement) { m.File = &pb.InstrumentFile{Name: "a.txt", Sha256: "abc"} }), codes.InvalidArgument, "file.sha256", "64 hexadecimal"},
		"no hash":       {ok(func(m *pb.Measurement) { m.File = &pb.InstrumentFile{Name: "a.txt"} }), codes.InvalidArgument, "file.sha256", "is needed"},
		"unknown tag":   {ok(func(m *pb.Measurement) { m.LotCode, m.Tag = "", "16JD" }), codes.NotFound, "tag", "16JD"},
		"another's tag": {ok(func(m *pb.Measurement) { m.Tag = c.tags[c.b][0] }), codes.InvalidArgument, "tag", "is of lot L2"},
		"tomorrow":      {ok(func(m *pb.Measurement) { m.HappenedAt = ago(-3600e9) }), codes.InvalidArgument, "happened_at", "in the future"},
	} {
		_, err := c.measure(r.m)
		t.Log(name)
		saysNo(t, err, r.code, "measurements[0]."+r.field, r.says)
	}
	_, err := c.measure()
	saysNo(t, err, codes.InvalidArgument, "measurements", "nothing was measured")
	_, err = c.measures().GetMeasurement(c.Ctx, &pb.GetMeasurementRequest{Code: "C99"})
	saysNo(t, err, codes.NotFound, "reading", "C99")
	for field, g := range map[string]*pb.Ground{
		"ground.item_code": {ItemCode: "alum", Spectrum: flat(0.5)},
		"ground.spectrum":  {ItemCode: "tunic"},
	} {
		_, err := c.measures().RecordGround(c.Ctx, &pb.RecordGroundRequest{RequestId: c.ID(), Ground: g})
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err = c.measures().RecordGround(c.Ctx, &pb.RecordGroundRequest{RequestId: c.ID(), Ground: &pb.Ground{ItemCode: "nettle", Spectrum: flat(0.5)}})
	saysNo(t, err, codes.NotFound, "ground.item_code", "nettle")
	_, err = c.measures().RecordGround(c.Ctx, &pb.RecordGroundRequest{RequestId: c.ID(), Ground: &pb.Ground{ItemCode: "tunic", Spectrum: flat(0)}})
	saysNo(t, err, codes.InvalidArgument, "ground.spectrum", "K/S needs one above 0")
}

// A standard's colour is its spectrum's, or agrees with it within 0.5 CIEDE2000.
func TestAStandardFromItsSpectrum(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	add := func(s *pb.ShadeStandard) (*pb.ShadeStandard, error) {
		s.Tolerance = "1.5"
		resp, err := c.Recipes.CreateShadeStandard(c.Ctx, &pb.CreateShadeStandardRequest{RequestId: c.ID(), Standard: s})
		return resp.GetStandard(), err
	}
	madder := inputs(t)["madder_like"]
	file := &pb.InstrumentFile{Name: "master.cxf", Sha256: strings.Repeat("0f", 32), Sample: "madder 3"}
	got := fine(add(&pb.ShadeStandard{Code: "m1", Spectrum: madder, File: file, Instrument: "spectro-1"}))(c.House)
	for _, row := range ofCSV(t, "spectra_checks.csv") {
		if row["sample"] == "madder_like" && row["illuminant"] == "D65" && row["observer"] == "10" {
			about(t, "L*", got.GetColour().GetL(), number(t, row["L"]), 0.05)
			about(t, "b*", got.GetColour().GetB(), number(t, row["b"]), 0.05)
		}
	}
	near := &pb.Lab{L: math.Round(got.GetColour().GetL()), A: got.GetColour().GetA(), B: got.GetColour().GetB()}
	fine(add(&pb.ShadeStandard{Code: "m2", Spectrum: madder, Colour: near}))(c.House)
	_, err := add(&pb.ShadeStandard{Code: "m3", Spectrum: madder, Colour: &pb.Lab{L: near.GetL() + 2, A: near.GetA(), B: near.GetB()}})
	saysNo(t, err, codes.InvalidArgument, "standard.colour", "at most 0.5")
	lamp := fine(add(&pb.ShadeStandard{Code: "m4", Spectrum: madder, Colour: &pb.Lab{Illuminant: "A"}}))(c.House)
	if lamp.GetColour().GetIlluminant() != "A" || lamp.GetColour().GetA() == got.GetColour().GetA() {
		t.Errorf("%v", lamp)
	}
	_, err = add(&pb.ShadeStandard{Code: "m5", Colour: near, File: file})
	saysNo(t, err, codes.InvalidArgument, "standard.spectrum", "is needed with the file")
	_, err = add(&pb.ShadeStandard{Code: "m6"})
	saysNo(t, err, codes.InvalidArgument, "standard.colour", "or its spectrum")
	kept := 0
	for _, s := range fine(c.Recipes.ListShadeStandards(c.Ctx, &pb.ListShadeStandardsRequest{}))(c.House).GetStandards() {
		if s.GetCode() == "m1" && !proto.Equal(s, got) {
			t.Errorf("%v, answered %v", s, got)
		}
		if s.GetSpectrum() != nil {
			kept++
		}
	}
	if kept != 3 {
		t.Errorf("%d of 3 spectra are listed", kept)
	}
}
