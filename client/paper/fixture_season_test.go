package paper

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"collection": func(s *Sheet) { s.Collection(&dyelotv1.GetCollectionResponse{Collection: spring()}) },
		"collection-empty": func(s *Sheet) {
			s.Collection(&dyelotv1.GetCollectionResponse{Collection: &dyelotv1.Collection{Code: "spring-27", Name: "spring-27"}})
		},
		"collections": func(s *Sheet) {
			s.Collections(&dyelotv1.ListCollectionsResponse{Collections: []*dyelotv1.Collection{spring()}})
		},
		"collection-set": func(s *Sheet) {
			s.CollectionLineSet(&dyelotv1.SetCollectionLineResponse{Collection: spring(), Line: spring().GetLines()[0], PiecesBefore: 18})
			s.CollectionLineSet(&dyelotv1.SetCollectionLineResponse{Collection: spring(), Line: &dyelotv1.CollectionLine{ColourwayCode: "tarn", ItemCode: "scarf-wool", DueOn: "2027-08-01"}, PiecesBefore: 4})
		},
		"needs":     func(s *Sheet) { s.Needs(needs()) },
		"needs-why": func(s *Sheet) { s.Needs(needsWhy()) },
		"needs-none": func(s *Sheet) {
			s.Needs(&dyelotv1.PlanNeedsResponse{Today: "2027-05-03", CollectionCodes: []string{"spring-27"}, Pieces: 24, Planned: 26})
		},
		"needs-plain": func(s *Sheet) { s.Needs(needsPlain()) },
	} {
		sheets[name] = write
	}
}

func spring() *dyelotv1.Collection {
	return &dyelotv1.Collection{Code: "spring-27", Name: "spring 2027", Note: "the shop opens in July", Pieces: 60, Planned: 14, RunCodes: []string{"R4", "R6"}, Lines: []*dyelotv1.CollectionLine{
		{ColourwayCode: "harbour-gold", ItemCode: "tunic-silk-m", Pieces: 24, Planned: 14, DueOn: "2027-06-30"},
		{ColourwayCode: "tarn", ItemCode: "scarf-wool", Pieces: 36, DueOn: "2027-08-01"}}}
}

func neededAlum() *dyelotv1.ItemNeeds {
	return &dyelotv1.ItemNeeds{ItemCode: "alum", ItemName: "potassium alum", ItemKind: "mordant", Needed: g("1240.5"), Free: g("500"), Arriving: g("0"), Short: g("740.5"),
		ShortBy: "2027-04-28", ShortFirst: g("311"), Late: true,
		Weeks: []*dyelotv1.NeedWeek{
			{PastDue: true, Monday: "2027-04-26", Needed: g("811"), Arriving: g("0"), OutOfDate: g("0"), Short: g("311"), Left: g("0")},
			{Week: "2027-W24", Monday: "2027-06-14", Needed: g("429.5"), Arriving: g("0"), OutOfDate: g("0"), Short: g("429.5"), Left: g("0")}},
		Beyond: &dyelotv1.BeyondPlan{Method: "croston-tsb", Low: g("20"), High: g("45"), Months: 24, MonthsWithUse: 11, Minimum: g("150"),
			Text: "11 of 24 months had use, every 2.18 months, CV² 0.61: lumpy (1.32 and 0.49 divide), so by Croston (31.2) and TSB (29)"}}
}

func needs() *dyelotv1.PlanNeedsResponse {
	return &dyelotv1.PlanNeedsResponse{Today: "2027-05-03", CollectionCodes: []string{"spring-27"}, Pieces: 60, Planned: 14, DyePots: 2,
		Items: []*dyelotv1.ItemNeeds{neededAlum(),
			{ItemCode: "weld", ItemName: "weld", Needed: g("1555"), Free: g("1200"), Arriving: g("0"), Short: g("355"), ShortFirst: g("355"), ShortBy: "2027-06-15", Weeks: []*dyelotv1.NeedWeek{{Week: "2027-W24"}}, Beyond: &dyelotv1.BeyondPlan{Method: "none"}},
			{ItemCode: "soap", ItemName: "neutral soap", Needed: g("77.8"), Free: g("500"), Arriving: g("0"), Short: g("0"), Weeks: []*dyelotv1.NeedWeek{{Week: "2027-W24"}}, Beyond: &dyelotv1.BeyondPlan{Method: "none"}}},
		Pots:   []*dyelotv1.PotWeek{{Week: "2027-W24", Loads: 3, PotDays: 3}, {Week: "2027-W28", Loads: 1, PotDays: 2}},
		Spares: "3 of 60 garments of the last 8 lots did not pass: 2 to spare",
		Notes:  []string{"tarn: 1.5 % WOF of iron-liquor cannot be told in mL: none of known strength was made, and no item is kept to make it of"}}
}

func needsWhy() *dyelotv1.PlanNeedsResponse {
	i := neededAlum()
	i.Why = []*dyelotv1.NeedReason{
		{Amount: g("811"), On: "2027-04-28", For: "R4", Text: "R4 is planned and lacks 811 g: it is promised from no parcel"},
		{Amount: g("429.5"), On: "2027-06-16", For: "harbour-gold: 24 × tunic", CollectionCode: "spring-27", Text: "harbour-gold: 24 × tunic of 147.4 g = 3.538 kg, with 41 g of witness cloth 3.579 kg; alum 12 % WOF = 429.5 g"}}
	i.PassedOver = []string{"P2 was usable until 2027-04-01"}
	return &dyelotv1.PlanNeedsResponse{Today: "2027-05-03", Items: []*dyelotv1.ItemNeeds{i}}
}

func needsPlain() *dyelotv1.PlanNeedsResponse {
	return &dyelotv1.PlanNeedsResponse{Today: "2027-05-03", Items: []*dyelotv1.ItemNeeds{{ItemCode: "soap", ItemName: "neutral soap", Needed: g("0"), Free: g("500"), Arriving: g("0"), Short: g("0"),
		Beyond: &dyelotv1.BeyondPlan{Method: "none", Text: "3 of 14 months had any use: under 8 nothing is told", Minimum: g("100")}}}}
}

// A row a week of each item, and what a spreadsheet would reckon with is quoted.
func TestNeedsAsATable(t *testing.T) {
	t.Parallel()
	r := needsWhy()
	r.Items[0].ItemName = "=alum"
	var out bytes.Buffer
	if err := NeedsCSV(&out, r); err != nil {
		t.Fatal(err)
	}
	want := "item,name,kind,unit,week,monday,past_due,needed,on_order,out_of_date,short,left\n" +
		"alum,'=alum,mordant,g,,2027-04-26,yes,811,0,0,311,0\n" +
		"alum,'=alum,mordant,g,2027-W24,2027-06-14,,429.5,0,0,429.5,0\n"
	if diff := cmp.Diff(want, out.String()); diff != "" {
		t.Error(diff)
	}
}
