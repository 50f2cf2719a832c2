package api_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// The choir's lot as a page: 15 % of alum and 60 % of weld on 1080 g, and the
// mean of its two readings.
func TestALotBecomesAPage(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	c.read(c.a, 62, -2, 38)
	c.read(c.a, 64, -2, 40)
	s := page(c.House, &pb.Swatch{LotCode: c.a, Page: "book 3 p. 2"})
	want := "silk: mordant potassium alum 15 % WOF; weld 60 % WOF"
	if s.GetText() != want || s.GetLotCode() != c.a || s.GetRecipeCode() != "weld-olive" || s.GetRecipeVersion() != 1 || s.GetParcelCode() != c.weld || s.GetPage() != "book 3 p. 2" {
		t.Errorf("%s\n%v", s.GetText(), s)
	}
	if s.GetColour().GetL() != 63 || s.GetColour().GetB() != 39 || s.GetInstrument() != "spectro-1" || s.GetReadOn() == "" || s.GetDyedOn() == "" {
		t.Errorf("%v", s.GetColour())
	}
	near := fine(c.Swatch.NearestSwatches(c.Ctx, &pb.NearestSwatchesRequest{LotCode: c.a, K: 1}))(c.House)
	if len(near.GetNearest()) != 1 || near.GetNearest()[0].GetDifference() != "0.00" || near.GetColour().GetL() != 63 {
		t.Errorf("%v", near)
	}
	if n := fine(c.Swatch.NearestSwatches(c.Ctx, &pb.NearestSwatchesRequest{StandardCode: "choir-olive"}))(c.House); n.GetColour().GetL() != 62 || len(n.GetNearest()) != 1 {
		t.Errorf("%v", n)
	}
	_, err := c.Swatch.NearestSwatches(c.Ctx, &pb.NearestSwatchesRequest{LotCode: c.b})
	saysNo(t, err, codes.FailedPrecondition, "", "no reading of lot")
	_, err = c.Swatch.NearestSwatches(c.Ctx, &pb.NearestSwatchesRequest{LotCode: c.b, StandardCode: "choir-olive"})
	saysNo(t, err, codes.InvalidArgument, "colour", "one of the three")
	_, err = addSwatch(c.House, &pb.Swatch{LotCode: c.a, Fibre: "wool"})
	saysNo(t, err, codes.InvalidArgument, "swatch.lot_code", "leave out fibre")
	// What a person says of it wins; without a reading there is no colour.
	b := page(c.House, &pb.Swatch{LotCode: c.b, Plant: "birch leaf", PercentWof: "40", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "alum", PercentWof: "12"}}})
	if b.GetText() != "silk: mordant potassium alum 12 % WOF; birch (leaf) 40 % WOF" || b.GetColour() != nil || b.GetDyeFamily() != "flavonoid" {
		t.Errorf("%v", b)
	}
}

// Law 5: what a swatch had is told as what to expect, and no judgement of a lot
// is touched by it, be the swatch of that very lot.
func TestASwatchsGradeNeverEntersALotsJudgement(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	c.readAsInTheStory()
	before := c.judged(c.a)
	own := page(c.House, &pb.Swatch{LotCode: c.a})
	fine(grade(c.House, own.GetCode(), "studio-window", "light=4"))(c.House)
	like := page(c.House, &pb.Swatch{Fibre: "silk", Plant: "weld", DyedOn: "2025-07-01", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "aluminium lactate", PercentWof: "9"}}})
	fine(grade(c.House, like.GetCode(), "studio-window", "light=3-4"))(c.House)
	saddened := page(c.House, &pb.Swatch{Fibre: "silk", Plant: "weld", DyedOn: "2025-07-01", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "alum"}, {Kind: "after-dip", Substance: "copperas", PercentWof: "1"}}})
	fine(grade(c.House, saddened.GetCode(), "studio-window", "light=5"))(c.House)
	page(c.House, &pb.Swatch{Fibre: "wool", Plant: "weld", DyedOn: "2025-07-01", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "alum"}}})

	after := c.judged(c.a)
	if after.GetMayPass() || after.String() != before.String() {
		t.Errorf("the judgement changed:\n%v\n%v", before, after)
	}
	if r := c.row(c.a, "own-light"); r.GetState() != "not-tested" || strings.Contains(r.String(), "T1") {
		t.Errorf("%v", r)
	}
	_, err := c.Judge.GiveVerdict(c.Ctx, &pb.GiveVerdictRequest{RequestId: c.ID(), LotCode: c.a, Outcome: "passed", Reason: "the swatch was fast"})
	saysNo(t, err, codes.FailedPrecondition, "", "not yet tested")

	for _, q := range []*pb.ExpectForRequest{{LotCode: c.a}, {ColourwayCode: "olive-silk"}} {
		r := fine(c.Swatch.ExpectFor(c.Ctx, q))(c.House)
		if len(r.GetExpected()) != 1 || r.GetSwatches() != 2 || strings.Join(r.GetMetals(), " ") != "Al" || r.GetFibre() != "silk" || strings.Join(r.GetPlants(), " ") != "weld" {
			t.Fatalf("%v", r)
		}
		e := r.GetExpected()[0]
		if e.GetText() != "expect 3-4 at worst, 3-4 in the middle: 3-4 from T2 (studio-window), 4 from T1 (studio-window)" || strings.Join(e.GetHouseRows(), " ") != "own-light" || e.GetCount() != 2 {
			t.Errorf("%v", e)
		}
	}
	_, err = c.Swatch.ExpectFor(c.Ctx, &pb.ExpectForRequest{})
	saysNo(t, err, codes.InvalidArgument, "colourway_code", "one of the two")
	_, err = c.Swatch.ExpectFor(c.Ctx, &pb.ExpectForRequest{ColourwayCode: "none"})
	saysNo(t, err, codes.NotFound, "colourway_code", "there is no colourway")
}
