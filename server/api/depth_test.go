package api_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
)

// Dips made of a harvest that dyes like 90 % of the reference, on a curve that
// bends, say 90 %, and nothing is set by itself.
func TestTestDipsSayAKnownStrength(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	q := s.asked()
	d := s.record(q)
	st := d.GetStrength()
	if d.GetCode() != "D1" || st.GetPercent() != "90" || st.GetRefused() != "" || d.GetWavelengthNm() != 400 || keysOf(st.GetWarnings()) != "no-replicates" {
		t.Errorf("%v", d)
	}
	if math.Abs(d.GetReferenceDips()[2].GetKs()-dipBends(4)) > 1e-9 {
		t.Errorf("K/S %v, made to be %v", d.GetReferenceDips()[2].GetKs(), dipBends(4))
	}
	if !strings.HasPrefix(st.GetText(), "P2 is 90.0 % as strong as P1: ") || st.GetFirstGuessPercent() != "90.6" || st.GetFirstGuessPercentWof() != "1" {
		t.Errorf("%q, at first guess %s", st.GetText(), st.GetFirstGuessPercent())
	}
	if got := s.strength("P2"); got != "" {
		t.Errorf("a strength of %s was set by itself", got)
	}
	shown := fine(s.Depth.GetTestDips(s.Ctx, &pb.GetTestDipsRequest{Code: "d1"}))(s.House).GetDips()
	if !proto.Equal(shown, d) {
		t.Errorf("recorded as\n%v\nand shown as\n%v", d, shown)
	}
	if again := s.record(q); again.GetCode() != "D1" {
		t.Errorf("asked twice, recorded as %s too", again.GetCode())
	}
	words := s.asked()
	words.ReferenceParcelCode, words.Reference, words.ParcelCode = "", "last year's weld, jar 3", s.first
	second := s.record(words)
	if d := second; d.GetReference() != "last year's weld, jar 3" || d.GetStrength().GetPercent() != "90" || d.GetStrength().GetParcelPercent() != "90" {
		t.Errorf("%v", d)
	}
	all := fine(s.Depth.ListTestDips(s.Ctx, &pb.ListTestDipsRequest{PageSize: 1}))(s.House)
	if len(all.GetDips()) != 1 || all.GetDips()[0].GetCode() != second.GetCode() || all.GetNextPageToken() == "" {
		t.Errorf("%d, %q", len(all.GetDips()), all.GetNextPageToken())
	}
	next := fine(s.Depth.ListTestDips(s.Ctx, &pb.ListTestDipsRequest{PageSize: 1, PageToken: all.GetNextPageToken()}))(s.House)
	of := fine(s.Depth.ListTestDips(s.Ctx, &pb.ListTestDipsRequest{ParcelCode: "P2"}))(s.House)
	if next.GetDips()[0].GetCode() != "D1" || len(of.GetDips()) != 1 || of.GetDips()[0].GetCode() != "D1" {
		t.Errorf("%v %v", next, of)
	}
}

// stories.md: weld 60 % of 1 080 g is 648 g; with a strength of 90 % it is 720 g.
// The strength comes from dips, and is asked for.
func TestTheStrengthThatDipsSetSetsTheDose(t *testing.T) {
	t.Parallel()
	c := saddenedChoir(t)
	fine(c.Stock.SetStrength(c.Ctx, &pb.SetStrengthRequest{RequestId: c.ID(), ParcelCode: c.weld, StrengthPercent: "100"}))(c.House)
	d := fine(c.Depth.RecordTestDips(c.Ctx, &pb.RecordTestDipsRequest{RequestId: c.ID(), ParcelCode: c.weld, Reference: "the weld of the recipe's swatches", Fibre: "silk",
		Ground: dipCloth(0, 10), Dips: dipsOf(0.9, 1, 2, 4), ReferenceDips: dipsOf(1, 1, 2, 4), Set: true}))(c.House).GetDips()
	if d.GetSetPercent() != "90" {
		t.Fatalf("%v", d)
	}
	c.planned("tub-60", true, c.load("pot-40", c.tunics, "105", "104", "106", "103", "105"), c.load("pot-30", c.tunics, "104", "105", "103", "106", "103"))
	p := fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: c.weld}))(c.House).GetParcel()
	if p.GetStrengthPercent() != "90" || p.GetPromised().GetValue() != "720" {
		t.Errorf("%s %% and %v promised", p.GetStrengthPercent(), p.GetPromised())
	}
}

// A reference that itself stands at 95 % is not full strength: 90 % of it is
// 85.5 %, and that is what is set.
func TestAStrengthIsAgainstFullStrength(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	fine(s.Stock.SetStrength(s.Ctx, &pb.SetStrengthRequest{RequestId: s.ID(), ParcelCode: s.first, StrengthPercent: "95"}))(s.House)
	q := s.asked()
	q.Set, q.HappenedAt = true, ago(time.Hour)
	d := s.record(q)
	if d.GetStrength().GetPercent() != "90" || d.GetStrength().GetReferenceStrengthPercent() != "95" || d.GetStrength().GetParcelPercent() != "85.5" || d.GetSetPercent() != "85.5" {
		t.Errorf("%v", d)
	}
	if got := s.strength(s.second); got != "85.5" {
		t.Errorf("it stands at %s", got)
	}
	if got := s.strength(s.first); got != "95" {
		t.Errorf("the reference stands at %s", got)
	}
	penned(s.House, `select parcel_id from parcel_strength where basis = 'test dips D1 against P1'`)
}

// Two dips of a dose say how well dips repeat.
func TestReplicatesGiveAnInterval(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	q := s.asked()
	for _, off := range []float64{0.97, 1.03} {
		q.Dips = append(q.Dips, &pb.TestDip{PercentWof: "3", Spectrum: dipCloth(off*dipBends(2.7), 10)})
	}
	st := s.record(q).GetStrength()
	if st.GetLowPercent() == "" || st.GetHighPercent() == "" || keysOf(st.GetWarnings()) != "" || !strings.Contains(st.GetText(), " to ") {
		t.Errorf("%v", st)
	}
}

// Near saturation the dips are kept, for they were dyed; a number is not given,
// and so none can be set.
func TestDipsNearSaturationGiveNoNumber(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	q := s.asked()
	q.Dips, q.ReferenceDips = dipsOf(0.9, 40, 60, 90), dipsOf(1, 40, 60, 90)
	d := s.record(q)
	st := d.GetStrength()
	if st.GetPercent() != "" || !strings.Contains(st.GetRefused(), "dip both at lower doses") || !strings.Contains(keysOf(st.GetWarnings()), "near-saturation") || st.GetFirstGuessPercent() == "" {
		t.Errorf("%v", st)
	}
	q.RequestId, q.Set = s.ID(), true
	_, err := s.Depth.RecordTestDips(s.Ctx, q)
	saysNo(t, err, codes.FailedPrecondition, "", "there is no strength to set")
	if all := fine(s.Depth.ListTestDips(s.Ctx, &pb.ListTestDipsRequest{}))(s.House).GetDips(); len(all) != 1 {
		t.Errorf("a refused series was kept: %v", all)
	}
}

func TestWhatIsOffAboutTestDipsIsNamed(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	madder := s.Receive("madder", "1kg")
	bright, black, short := dipCloth(1, 10), dipCloth(1, 10), dipCloth(1, 10)
	bright.Reflectance[20], black.Reflectance[0], short.Reflectance = 1.04, 0, short.Reflectance[:3]
	for name, c := range map[string]struct {
		spoil       func(*pb.RecordTestDipsRequest)
		code        codes.Code
		field, says string
	}{
		"no parcel":               {func(q *pb.RecordTestDipsRequest) { q.ParcelCode = "L1" }, codes.InvalidArgument, "parcel_code", "is not a parcel code such as P7"},
		"another parcel":          {func(q *pb.RecordTestDipsRequest) { q.ParcelCode = "P99" }, codes.NotFound, "parcel", `there is no parcel "P99"`},
		"a mordant":               {func(q *pb.RecordTestDipsRequest) { q.ParcelCode = s.alum }, codes.InvalidArgument, "parcel_code", "test dips are of a dyestuff"},
		"no reference":            {func(q *pb.RecordTestDipsRequest) { q.ReferenceParcelCode = "" }, codes.InvalidArgument, "reference_parcel_code", "is needed"},
		"two references":          {func(q *pb.RecordTestDipsRequest) { q.Reference = "jar 3" }, codes.InvalidArgument, "reference", "not both"},
		"itself":                  {func(q *pb.RecordTestDipsRequest) { q.ReferenceParcelCode = q.ParcelCode }, codes.InvalidArgument, "reference_parcel_code", "not compared with itself"},
		"another plant":           {func(q *pb.RecordTestDipsRequest) { q.ReferenceParcelCode = madder }, codes.InvalidArgument, "reference_parcel_code", "parcels of one dyestuff"},
		"no fibre":                {func(q *pb.RecordTestDipsRequest) { q.Fibre = "moss" }, codes.InvalidArgument, "fibre", "use one of wool"},
		"no undyed cloth":         {func(q *pb.RecordTestDipsRequest) { q.Ground = nil }, codes.InvalidArgument, "ground", "is needed"},
		"undyed cloth never read": {func(q *pb.RecordTestDipsRequest) { q.Ground, q.GroundItemCode = nil, "wool-strip" }, codes.FailedPrecondition, "", "undyed cloth of wool-strip was never read"},
		"two undyed cloths":       {func(q *pb.RecordTestDipsRequest) { q.GroundItemCode = "wool-strip" }, codes.InvalidArgument, "ground_item_code", "given already"},
		"one dose":                {func(q *pb.RecordTestDipsRequest) { q.Dips = q.Dips[:1] }, codes.InvalidArgument, "dips", "at least two doses"},
		"no reference dips":       {func(q *pb.RecordTestDipsRequest) { q.ReferenceDips = nil }, codes.InvalidArgument, "reference_dips", "at least two doses"},
		"no dose":                 {func(q *pb.RecordTestDipsRequest) { q.Dips[1].PercentWof = "" }, codes.InvalidArgument, "dips[1].percent_wof", "is needed"},
		"a dose in words":         {func(q *pb.RecordTestDipsRequest) { q.Dips[1].PercentWof = "some" }, codes.InvalidArgument, "dips[1].percent_wof", ""},
		"a dose of nothing":       {func(q *pb.RecordTestDipsRequest) { q.ReferenceDips[0].PercentWof = "0" }, codes.InvalidArgument, "reference_dips[0].percent_wof", "no dose"},
		"a dip not read":          {func(q *pb.RecordTestDipsRequest) { q.Dips[2].Spectrum = nil }, codes.InvalidArgument, "dips[2].spectrum", "is needed"},
		"a brightener":            {func(q *pb.RecordTestDipsRequest) { q.Dips[2].Spectrum = bright }, codes.InvalidArgument, "dips[2].spectrum", "a brightener"},
		"pitch black":             {func(q *pb.RecordTestDipsRequest) { q.Dips[2].Spectrum = black }, codes.InvalidArgument, "dips[2].spectrum", "needs one above 0"},
		"half a spectrum":         {func(q *pb.RecordTestDipsRequest) { q.ReferenceDips[0].Spectrum = short }, codes.InvalidArgument, "reference_dips[0].spectrum", "at least 4 are needed"},
		"odd steps":               {func(q *pb.RecordTestDipsRequest) { q.Ground.StepNm = 7 }, codes.InvalidArgument, "ground", "step must be 5, 10 or 20 nm"},
		"gloss in other words":    {func(q *pb.RecordTestDipsRequest) { q.Ground.Specular = "shiny" }, codes.InvalidArgument, "ground.specular", "neither included nor excluded"},
		"undyed dips":             {func(q *pb.RecordTestDipsRequest) { q.Dips[0].Spectrum = dipCloth(0, 10) }, codes.InvalidArgument, "dips[0].spectrum", "no deeper than undyed cloth"},
		"no hash":                 {func(q *pb.RecordTestDipsRequest) { q.Dips[0].File = &pb.InstrumentFile{Name: "dips.csv", Sha256: "12"} }, codes.InvalidArgument, "dips[0].file.sha256", "64 hexadecimal digits"},
		"tomorrow":                {func(q *pb.RecordTestDipsRequest) { q.HappenedAt = ago(-24 * time.Hour) }, codes.InvalidArgument, "happened_at", "in the future"},
	} {
		q := s.asked()
		c.spoil(q)
		_, err := s.Depth.RecordTestDips(s.Ctx, q)
		if err == nil {
			t.Errorf("%s was taken", name)
			continue
		}
		saysNo(t, err, c.code, c.field, c.says)
	}
	_, err := s.Depth.GetTestDips(s.Ctx, &pb.GetTestDipsRequest{Code: "D9"})
	saysNo(t, err, codes.NotFound, "test dip series", `there is no test dip series "D9"`)
	_, err = s.Depth.ListTestDips(s.Ctx, &pb.ListTestDipsRequest{ParcelCode: "P99"})
	saysNo(t, err, codes.NotFound, "parcel", "P99")
}

// The undyed cloth that the books hold of an item serves as well as one that is
// sent.
func TestDipsOverTheKeptUndyedCloth(t *testing.T) {
	t.Parallel()
	s := openShed(t)
	s.groundOf("wool-strip")
	q := s.asked()
	q.Ground, q.GroundItemCode = nil, "wool-strip"
	if d := s.record(q); d.GetStrength().GetPercent() != "90" {
		t.Errorf("%v", d)
	}
}
