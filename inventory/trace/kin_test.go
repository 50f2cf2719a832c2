package trace_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/trace"
)

var (
	mordantTub = trace.Touch{Record: "S1", Position: 1, Name: "mordant bath"}
	brewOfAll  = trace.Touch{Record: "S2", Position: 2, Name: "brew"}
	theAlum    = trace.Part{Parcel: "P3", Item: "alum", Name: "alum", Direct: true, Colours: true}
	theWeld    = trace.Part{Parcel: "P4", Item: "weld", Name: "weld", Direct: true, Colours: true}
	theLiquor  = trace.Part{Parcel: "P6", Item: "iron-liquor", Name: "iron liquor", Direct: true, Colours: true}
	theIron    = trace.Part{Parcel: "P5", Item: "copperas", Name: "copperas", Colours: true, Into: []string{"P6"}}
)

func pastA() trace.Past {
	return trace.Past{Run: "R1", Pot: "pot-40",
		Baths: []trace.Touch{mordantTub, brewOfAll, {Record: "S3", Position: 3, Name: "dye bath"}, {Record: "S6", Position: 4, Name: "after-dip"}},
		Parts: []trace.Part{theAlum, theWeld, theLiquor, theIron}}
}

func pastB() trace.Past {
	return trace.Past{Run: "R1", Pot: "pot-30",
		Baths: []trace.Touch{mordantTub, brewOfAll, {Record: "S4", Position: 3, Name: "dye bath"},
			{Record: "S7", Position: 4, Name: "after-dip", Unusual: []string{"iron liquor: 30 mL instead of 27 mL (+3 mL)"}}},
		Parts: []trace.Part{theAlum, theWeld, theLiquor, theIron}}
}

// The choir's two lots share weld, alum and liquor bottle, but not the pot nor
// the extra iron: two days in the studio, worked by hand by two people.
func TestKinOfTheChoir(t *testing.T) {
	t.Parallel()
	shared, apart := trace.Kin(pastB(), pastA())
	if d := cmp.Diff([]string{"mordant bath S1", "brew S2", "alum P3", "weld P4", "iron liquor P6"}, shared); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"pot pot-30/pot-40", "dye bath S4/S3", "after-dip S7/S6", "S7: iron liquor: 30 mL instead of 27 mL (+3 mL)"}, apart); d != "" {
		t.Error(d)
	}
}

func TestKinOfAnotherRun(t *testing.T) {
	t.Parallel()
	other := trace.Past{Run: "R2", Pot: "pot-30", Baths: []trace.Touch{{Record: "S9", Position: 1, Name: "mordant bath"}},
		Parts: []trace.Part{{Parcel: "P9", Item: "alum", Name: "alum", Direct: true, Colours: true}, {Parcel: "P8", Item: "iron-liquor", Name: "iron liquor", Direct: true, Colours: true},
			{Parcel: "P5", Item: "copperas", Name: "copperas", Colours: true, Into: []string{"P8"}}}}
	shared, apart := trace.Kin(pastB(), other)
	if d := cmp.Diff([]string{"copperas P5"}, shared); d != "" {
		t.Error(d)
	}
	want := []string{"run R1/R2", "pot pot-30, at another time", "S7: iron liquor: 30 mL instead of 27 mL (+3 mL)", "alum P3/P9", "weld P4/none", "iron liquor P6/P8"}
	if d := cmp.Diff(want, apart); d != "" {
		t.Error(d)
	}
}

func TestKinWhereOneLotHadABathMore(t *testing.T) {
	t.Parallel()
	a, b := pastA(), pastB()
	a.Baths = a.Baths[:3]
	_, apart := trace.Kin(a, b)
	want := []string{"pot pot-40/pot-30", "dye bath S3/S4", "after-dip none/S7", "S7: iron liquor: 30 mL instead of 27 mL (+3 mL)"}
	if d := cmp.Diff(want, apart); d != "" {
		t.Error(d)
	}
	_, apart = trace.Kin(b, a)
	if apart[2] != "after-dip S7/none" {
		t.Errorf("got %v", apart)
	}
}
