package api_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"dyelot/inventory/colour"
	"dyelot/inventory/season"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// lane is a studio with a harvest log: weld, picked so many days ago in each of
// two years, all of it gone since, and a run of 520 g of silk that lacks it.
type lane struct {
	*apitest.House
	today time.Time
	run   string
}

func newLane(t *testing.T, ago int) *lane {
	t.Helper()
	h := oliveShelf(t)
	for _, v := range []*pb.Vessel{{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant", "brew"}}} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	r := weldOlive()
	r.Stages = r.Stages[:3]
	fine(write(h, r))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "olive-silk", StandardCode: "choir-olive", RecipeCode: "weld-olive"}}))(h)
	h.Receive("alum", "500g")
	today, err := time.Parse(time.DateOnly, fine(h.Studio.GetToday(h.Ctx, &pb.GetTodayRequest{}))(h).GetToday())
	if err != nil {
		t.Fatal(err)
	}
	l := &lane{House: h, today: today}
	l.gone(l.harvest("weld-dry", ago, "14.6kg", "2.70kg"))
	l.gone(l.harvest("weld-dry", ago+365, "5.4kg", "1kg"))
	l.run = l.plan("")
	return l
}

func (l *lane) ago(days int) string { return l.today.AddDate(0, 0, -days).Format(time.DateOnly) }

func (l *lane) harvest(item string, ago int, fresh, dry string) string {
	l.T.Helper()
	h := &pb.Harvest{FreshMass: l.Amount(fresh), Place: "lane behind the boathouse", PickedOn: l.ago(ago)}
	if dry != "" {
		h.DryMass = l.Amount(dry)
	}
	return fine(l.Stock.LogHarvest(l.Ctx, &pb.LogHarvestRequest{RequestId: l.ID(), ItemCode: item, Harvest: h}))(l.House).GetParcel().GetCode()
}

func (l *lane) gone(parcel string) {
	l.T.Helper()
	fine(l.Stock.WriteOffParcel(l.Ctx, &pb.WriteOffParcelRequest{RequestId: l.ID(), ParcelCode: parcel, Reason: "mould"}))(l.House)
}

func (l *lane) plan(due string) string {
	l.T.Helper()
	return fine(l.Runs.PlanRun(l.Ctx, &pb.PlanRunRequest{RequestId: l.ID(), ColourwayCode: "olive-silk", DueOn: due, PotCodes: []string{"pot-40"},
		Blanks:        []*pb.Blanks{{ParcelCode: l.Receive("tunic", "5pc"), Count: 5}},
		SharedVessels: map[int32]string{1: "tub-60", 2: "tub-60"}}))(l.House).GetRun().GetCode()
}

func (l *lane) list() *pb.GetGatherListResponse {
	l.T.Helper()
	return fine(l.Gather.GetGatherList(l.Ctx, &pb.GetGatherListRequest{}))(l.House)
}

// tasks are those of today that are about gathering.
func (l *lane) tasks() string {
	l.T.Helper()
	var all []string
	for _, task := range fine(l.Studio.GetToday(l.Ctx, &pb.GetTodayRequest{}))(l.House).GetTasks() {
		if strings.HasPrefix(task.GetKey(), "gather") {
			all = append(all, task.GetKey()+" "+task.GetText())
		}
	}
	return strings.Join(all, "\n")
}

// By hand: 520 g of silk at 60 % WOF are 312 g of weld; (14.6 + 5.4) kg fresh
// gave (2.7 + 1.0) kg dry, so 312 g take 1686.49 g, and a picking gave 10 kg.
func TestAPlantInSeasonIsOnTheList(t *testing.T) {
	t.Parallel()
	l := newLane(t, 0)
	r := l.list()
	if len(r.GetLines()) != 1 || len(r.GetCautions()) < 4 {
		t.Fatalf("%v", r)
	}
	line := r.GetLines()[0]
	if !strings.HasPrefix(line.GetText(), "weld, 1.7 kg fresh (lane behind the boathouse), closes t") || line.GetState() != "open" || line.GetPlant() != "weld" || line.GetPart() != "flowering top" {
		t.Errorf("%s %q", line.GetState(), line.GetText())
	}
	if line.GetDry().GetValue() != "312" || line.GetFreshLow().GetValue() != "1686.486487" || !proto.Equal(line.GetFreshLow(), line.GetFreshHigh()) || line.GetRatio().GetRatio() != "5.41" || line.GetPickingsLow() != 1 {
		t.Errorf("%v", line)
	}
	if w := line.GetWeeks(); !w.GetOwn() || w.GetPickings() != 2 || w.GetYears() != 2 || !w.GetOpen() || w.GetTableText() != "10 June to 10 August (common practice)" {
		t.Errorf("%v", w)
	}
	if of := line.GetFor(); len(of) != 1 || of[0].GetSubject() != l.run || of[0].GetColourwayCode() != "olive-silk" || of[0].GetText() != "R1 (olive-silk), 312 g dry" {
		t.Errorf("%v", of)
	}
	if got := l.tasks(); !strings.HasPrefix(got, "gather gather 1.7 kg fresh (lane behind the boathouse), closes t") {
		t.Errorf("today says %q", got)
	}
	// A damp bag counts for what it will dry to: 0.54 kg by 20 : 3.7 are 99.9 g.
	l.harvest("weld-dry", 0, "540g", "")
	line = l.list().GetLines()[0]
	if line.GetDry().GetValue() != "212.1" || !strings.Contains(strings.Join(line.GetWhy(), "\n"), "about 100 g from P") {
		t.Errorf("%v", line)
	}
	// What is on the shelf covers the rest, and today is silent.
	l.Receive("weld-dry", "213g")
	if r := l.list(); len(r.GetLines()) != 0 || l.tasks() != "" {
		t.Errorf("%v\n%s", r, l.tasks())
	}
}

// A strength that was found for the own harvest raises what is dried and
// gathered: 312 g at 80 % are 390 g.
func TestAWeakHarvestTakesMore(t *testing.T) {
	t.Parallel()
	l := newLane(t, 0)
	fine(l.Stock.SetStrength(l.Ctx, &pb.SetStrengthRequest{RequestId: l.ID(), ParcelCode: l.parcelOf("weld-dry"), StrengthPercent: "80", Basis: "test dips"}))(l.House)
	line := l.list().GetLines()[0]
	if line.GetDry().GetValue() != "390" || line.GetFor()[0].GetDry().GetValue() != "312" {
		t.Errorf("%v", line)
	}
}

// parcelOf is the first parcel of an item, empty or not.
func (l *lane) parcelOf(item string) string {
	l.T.Helper()
	return fine(l.Stock.ListParcels(l.Ctx, &pb.ListParcelsRequest{ItemCode: item, IncludeEmpty: true}))(l.House).GetParcels()[0].GetCode()
}

// Weeks 142 days ago, 20 weeks also after a 29 February, whatever the day: missed for a run without a day, and for
// one that is due in a month; not for one that is due after the next weeks.
func TestAMissedPlantAndItsStandInAgreeWithAFullScan(t *testing.T) {
	t.Parallel()
	l := newLane(t, 142)
	l.plan(l.ago(-30))
	l.plan(l.ago(-300))
	l.Item(&pb.Item{Code: "onion", Kind: "dyestuff", Plant: "onion", Part: "skin"})
	l.Item(&pb.Item{Code: "birch", Kind: "dyestuff", Plant: "birch", Part: "leaf"})
	l.Receive("birch", "500g") // 1040 g of silk are lacking: enough for 40 % WOF, and not for 60 %
	var book []*pb.Swatch
	for i := range 60 {
		s := &pb.Swatch{Fibre: []string{"silk", "wool"}[i%3/2], Plant: []string{"weld", "onion skin", "birch leaf", "walnut hull", "cochineal", "moon moss"}[i%6], DyedOn: "2025-03-01",
			PercentWof: []string{"60", "40", "", "60", "40"}[i%5], Colour: &pb.Lab{L: 62 + float64(i%7), A: -2 + float64(i%5), B: 38 - float64(i%11)}}
		s.Code = page(l.House, s).GetCode()
		book = append(book, s)
	}
	r := l.list()
	if len(r.GetLines()) != 1 || r.GetLater() != 1 {
		t.Fatalf("%d lines, %d later: %v", len(r.GetLines()), r.GetLater(), r)
	}
	line := r.GetLines()[0]
	if line.GetState() != "missed" || line.GetText() != "weld: over since 20 weeks: missed; 624 g dry is lacking" || len(line.GetFor()) != 2 || line.GetCloses() < l.ago(143) || line.GetCloses() > l.ago(141) {
		t.Fatalf("%v", line)
	}
	want := l.scan(book, "1040g", 3)
	got := standIns(line.GetStandIns()[0])
	if got != want || strings.Count(got, "\n") != 2 || line.GetStandIns()[0].GetFibreMass().GetValue() != "1040" {
		t.Errorf("stand-ins\n%s\na full scan says\n%s", got, want)
	}
	more := fine(l.Gather.ListStandIns(l.Ctx, &pb.ListStandInsRequest{Plant: "weld tops", K: 20, Within: "7"}))(l.House)
	if got, want := standIns(more.GetColourways()[0]), l.scan(book, "1560g", 20); got != want {
		t.Errorf("stand-ins\n%s\na full scan says\n%s", got, want)
	}
	same := fine(l.Gather.ListStandIns(l.Ctx, &pb.ListStandInsRequest{ColourwayCode: "olive-silk", K: 20, Within: "7"}))(l.House)
	if got := standIns(same.GetColourways()[0]); strings.Contains(got, "weld") {
		t.Errorf("the plant that lacks stands in for itself:\n%s", got)
	}
	l.givenUp(line)
}

// givenUp notes the missed year; from then on nobody is reminded.
func (l *lane) givenUp(line *pb.GatherLine) {
	t := l.T
	t.Helper()
	if got := l.tasks(); !strings.HasPrefix(got, "gather-missed over since 20 weeks: missed; 624 g dry is lacking; what can stand in") {
		t.Errorf("today says %q", got)
	}
	code := line.GetStandIns()[0].GetStandIns()[0].GetSwatch().GetCode()
	req := &pb.NoteMissedRequest{RequestId: l.ID(), Plant: "Weld", Reason: "mown before it flowered", SwatchCode: strings.ToLower(code)}
	note := fine(l.Gather.NoteMissed(l.Ctx, req))(l.House).GetNote()
	year, err := time.Parse(time.DateOnly, line.GetOpens())
	if err != nil || note.GetYear() != int32(year.Year()) || note.GetSwatchCode() != code || note.GetPart() != "flowering top" || note.GetBy() != "owner" {
		t.Errorf("%v, %v", note, err)
	}
	if again := fine(l.Gather.NoteMissed(l.Ctx, req))(l.House).GetNote(); !proto.Equal(again, note) {
		t.Errorf("the same request again: %v", again)
	}
	if got := l.tasks(); got != "" {
		t.Errorf("today says still %q", got)
	}
	if got := l.list().GetLines()[0]; !proto.Equal(got.GetNote(), note) || got.GetStandIns() != nil {
		t.Errorf("%v", got)
	}
	fine(l.Gather.NoteMissed(l.Ctx, &pb.NoteMissedRequest{RequestId: l.ID(), Plant: "weld", Year: note.GetYear(), Reason: "and the bags were wet", ColourwayCode: "olive-silk", By: "dyer-1"}))(l.House)
	if n := l.list().GetLines()[0].GetNote(); n.GetReason() != "and the bags were wet" || n.GetColourwayCode() != "olive-silk" || n.GetBy() != "dyer-1" {
		t.Errorf("the newer note is in force: %v", n)
	}
	if parts := fine(l.Gather.GetPlantYear(l.Ctx, &pb.GetPlantYearRequest{Plant: "weld"}))(l.House).GetParts(); len(parts) != 1 || len(parts[0].GetMissed()) != 1 || len(parts[0].GetLines()) != 2 {
		t.Errorf("%v", parts)
	}
}

// scan looks at every page, by rules written anew: on silk, by CIEDE2000, onion
// skins all year, cochineal bought, walnut hulls by the table's month, birch only
// while 500 g are enough.
func (l *lane) scan(book []*pb.Swatch, fibre string, k int) string {
	const far = 10
	within := far * 1.0
	if k > 3 {
		within = 7
	}
	standard := colour.Lab{L: 62, A: -2, B: 38}
	has := func(s *pb.Swatch) bool {
		now := season.MonthDay{Month: l.today.Month(), Day: l.today.Day()}
		switch s.GetPlant() {
		case "onion skin", "cochineal":
			return true
		case "walnut hull":
			return season.GatheringsOf("walnut", "hull")[0].On(now)
		case "birch leaf":
			enough := map[string]map[string]bool{"1040g": {"40": true, "": true}, "1560g": {"": true}}
			return enough[fibre][s.GetPercentWof()] || season.GatheringsOf("birch", "leaf")[0].On(now)
		}
		return false
	}
	type near struct {
		far  float64
		text string
	}
	var all []near
	for _, s := range book {
		d := colour.CIEDE2000(standard, colour.Lab{L: s.GetColour().GetL(), A: s.GetColour().GetA(), B: s.GetColour().GetB()})
		if s.GetFibre() == "silk" && d <= within && has(s) {
			all = append(all, near{d, fmt.Sprintf("%s %.2f %s", s.GetCode(), d, strings.Fields(s.GetPlant())[0])})
		}
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.far, b.far) })
	var text []string
	for _, n := range all[:min(k, len(all))] {
		text = append(text, n.text)
	}
	return strings.Join(text, "\n")
}

func standIns(c *pb.ColourwayStandIns) string {
	var text []string
	for _, s := range c.GetStandIns() {
		text = append(text, fmt.Sprintf("%s %s %s", s.GetSwatch().GetCode(), s.GetDifference(), s.GetSwatch().GetPlant()))
	}
	return strings.Join(text, "\n")
}

// An empty book, and one with nothing near, say so; what a swatch had is told as
// what to expect.
func TestNoneNearIsSaid(t *testing.T) {
	t.Parallel()
	l := newLane(t, 142)
	none := l.list().GetLines()[0].GetStandIns()[0]
	if want := "no page of the book on silk is within 10 of choir-olive with a plant that can be had now"; none.GetNoneText() != want || none.GetStandIns() != nil {
		t.Errorf("%v", none)
	}
	page(l.House, &pb.Swatch{Fibre: "silk", Plant: "moon moss", Colour: &pb.Lab{L: 62, A: -2, B: 38}})
	page(l.House, &pb.Swatch{Fibre: "silk", Plant: "cochineal", Colour: &pb.Lab{L: 30, A: 60, B: 0}})
	near := l.list().GetLines()[0].GetStandIns()[0]
	if near.GetPassedOver() != 1 || !strings.HasSuffix(near.GetNoneText(), "; 1 is that near and cannot be had") {
		t.Errorf("%v", near)
	}
	onion := page(l.House, &pb.Swatch{Fibre: "silk", Plant: "onion skin", PercentWof: "50", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "alum", PercentWof: "15"}}, DyedOn: "2025-01-01", Colour: &pb.Lab{L: 63, A: -2, B: 38}})
	fine(grade(l.House, onion.GetCode(), "studio-window", "light=3-4"))(l.House)
	one := l.list().GetLines()[0].GetStandIns()[0].GetStandIns()
	if len(one) != 1 || one[0].GetWay() != "season" || one[0].GetExpected()[0].GetText() != "expect 3-4 from T3 (studio-window)" || strings.Join(one[0].GetSwatch().GetMetals(), "") != "Al" {
		t.Errorf("%v", one)
	}
}

func TestAPlantsYear(t *testing.T) {
	t.Parallel()
	l := newLane(t, 142)
	r := fine(l.Gather.GetPlantYear(l.Ctx, &pb.GetPlantYearRequest{Plant: "weld-dry", WidenDays: 3}))(l.House)
	p := r.GetParts()[0]
	if len(r.GetParts()) != 1 || r.GetPlant() != "weld" || len(p.GetYears()) != 2 || p.GetYears()[0].GetFresh().GetValue() != "14600" || p.GetYears()[0].GetHarvests()[0].GetRatio() != "5.41" ||
		p.GetWeeks().GetWidenedDays() != 3 || p.GetPlaces()[0].GetText() != "lane behind the boathouse: 2 pickings, 10 kg fresh on average (5.4 kg to 14.6 kg)" {
		t.Errorf("%v", r)
	}
	walnut := fine(l.Gather.GetPlantYear(l.Ctx, &pb.GetPlantYearRequest{Plant: "walnut"}))(l.House)
	if len(walnut.GetParts()) != 2 || walnut.GetParts()[0].GetWeeks().GetOwn() || walnut.GetParts()[0].GetRatio().GetLow() != "2" {
		t.Errorf("%v", walnut)
	}
	if c := fine(l.Gather.GetPlantYear(l.Ctx, &pb.GetPlantYearRequest{Plant: "cochineal"}))(l.House).GetParts()[0]; !c.GetWeeks().GetBought() || c.GetWeeks().GetKnown() {
		t.Errorf("%v", c)
	}
}

func TestGatheringRefusesNonsenseByItsField(t *testing.T) {
	t.Parallel()
	l := newLane(t, 142)
	struck := page(l.House, weldOnSilk()).GetCode()
	fine(l.Swatch.StrikeSwatch(l.Ctx, &pb.StrikeSwatchRequest{RequestId: l.ID(), SwatchCode: struck, Reason: "a slip"}))(l.House)
	list := func(q *pb.GetGatherListRequest) error { _, err := l.Gather.GetGatherList(l.Ctx, q); return err }
	plant := func(q *pb.GetPlantYearRequest) error { _, err := l.Gather.GetPlantYear(l.Ctx, q); return err }
	stand := func(q *pb.ListStandInsRequest) error { _, err := l.Gather.ListStandIns(l.Ctx, q); return err }
	note := func(q *pb.NoteMissedRequest) error {
		q.RequestId = l.ID()
		_, err := l.Gather.NoteMissed(l.Ctx, q)
		return err
	}
	for _, c := range []struct {
		name  string
		err   error
		field string
		code  codes.Code
	}{
		{"from yesterday", list(&pb.GetGatherListRequest{From: l.ago(1)}), "from", codes.InvalidArgument},
		{"no day", list(&pb.GetGatherListRequest{From: "soon"}), "from", codes.InvalidArgument},
		{"to before from", list(&pb.GetGatherListRequest{To: l.ago(1)}), "to", codes.InvalidArgument},
		{"three years", list(&pb.GetGatherListRequest{To: l.ago(-1100)}), "to", codes.InvalidArgument},
		{"narrower", list(&pb.GetGatherListRequest{WidenDays: -1}), "widen_days", codes.InvalidArgument},
		{"widened too far", plant(&pb.GetPlantYearRequest{Plant: "weld", WidenDays: 61}), "widen_days", codes.InvalidArgument},
		{"no plant", plant(&pb.GetPlantYearRequest{}), "plant", codes.InvalidArgument},
		{"unknown plant", plant(&pb.GetPlantYearRequest{Plant: "moon moss"}), "plant", codes.InvalidArgument},
		{"unknown part", plant(&pb.GetPlantYearRequest{Plant: "weld", Part: "seed"}), "part", codes.InvalidArgument},
		{"unknown part of an item", plant(&pb.GetPlantYearRequest{Plant: "weld-dry", Part: "seed"}), "part", codes.InvalidArgument},
		{"neither", stand(&pb.ListStandInsRequest{}), "colourway_code", codes.InvalidArgument},
		{"both", stand(&pb.ListStandInsRequest{ColourwayCode: "olive-silk", Plant: "weld"}), "colourway_code", codes.InvalidArgument},
		{"no such colourway", stand(&pb.ListStandInsRequest{ColourwayCode: "grey"}), "colourway_code", codes.NotFound},
		{"k", stand(&pb.ListStandInsRequest{ColourwayCode: "olive-silk", K: 21}), "k", codes.InvalidArgument},
		{"within", stand(&pb.ListStandInsRequest{ColourwayCode: "olive-silk", Within: "NaN"}), "within", codes.InvalidArgument},
		{"below zero", stand(&pb.ListStandInsRequest{ColourwayCode: "olive-silk", Within: "-2"}), "within", codes.InvalidArgument},
		{"no reason", note(&pb.NoteMissedRequest{Plant: "weld"}), "reason", codes.InvalidArgument},
		{"which part", note(&pb.NoteMissedRequest{Plant: "walnut", Reason: "no crop"}), "part", codes.InvalidArgument},
		{"next year", note(&pb.NoteMissedRequest{Plant: "weld", Year: int32(l.today.Year() + 1), Reason: "no crop"}), "year", codes.InvalidArgument},
		{"a negative year", note(&pb.NoteMissedRequest{Plant: "weld", Year: -1, Reason: "no crop"}), "year", codes.InvalidArgument},
		{"two stand in", note(&pb.NoteMissedRequest{Plant: "weld", Reason: "no crop", SwatchCode: "T1", ColourwayCode: "olive-silk"}), "swatch_code", codes.InvalidArgument},
		{"no code", note(&pb.NoteMissedRequest{Plant: "weld", Reason: "no crop", SwatchCode: "P1"}), "swatch_code", codes.InvalidArgument},
		{"no such swatch", note(&pb.NoteMissedRequest{Plant: "weld", Reason: "no crop", SwatchCode: "T99"}), "swatch_code", codes.NotFound},
		{"no such colourway stands in", note(&pb.NoteMissedRequest{Plant: "weld", Reason: "no crop", ColourwayCode: "grey"}), "colourway_code", codes.NotFound},
		{"a struck page", note(&pb.NoteMissedRequest{Plant: "weld", Reason: "no crop", SwatchCode: struck}), "", codes.FailedPrecondition},
	} {
		_, _, figures := said(c.err)
		if status.Code(c.err) != c.code || figures["field"] != c.field {
			t.Errorf("%s: %v at %q, want %s at %q", c.name, c.err, figures["field"], c.code, c.field)
		}
	}
	_, err := l.Gather.NoteMissed(l.As("viewer", "viewer"), &pb.NoteMissedRequest{RequestId: l.ID(), Plant: "weld", Reason: "no crop"})
	l.Refused(err, codes.PermissionDenied)
	if got := l.list().GetLines()[0].GetNote(); got != nil {
		t.Errorf("a refusal left a note: %v", got)
	}
}

// A collection of 10 tunics of 104 g at 60 % WOF needs 624 g of weld, beside the
// 312 g of the open run, on the day its brew begins; a run that takes the pieces
// takes the need with it.
func TestACollectionLacksItsPlantToo(t *testing.T) {
	t.Parallel()
	l := newLane(t, 142)
	page(l.House, &pb.Swatch{Fibre: "silk", Plant: "onion skin", PercentWof: "50", Colour: &pb.Lab{L: 63, A: -2, B: 38}})
	fine(l.Season.CreateCollection(l.Ctx, &pb.CreateCollectionRequest{RequestId: l.ID(), Collection: &pb.Collection{Code: "spring", Name: "Spring"}}))(l.House)
	set := func(pieces int32, due string) {
		t.Helper()
		fine(l.Season.SetCollectionLine(l.Ctx, &pb.SetCollectionLineRequest{RequestId: l.ID(), CollectionCode: "spring",
			Line: &pb.CollectionLine{ColourwayCode: "olive-silk", ItemCode: "tunic", Pieces: pieces, DueOn: due}}))(l.House)
	}
	set(10, l.ago(-40))
	set(5, l.ago(-300)) // after the next weeks
	r := l.list()
	if len(r.GetLines()) != 1 || r.GetLater() != 1 {
		t.Fatalf("%v", r)
	}
	line := r.GetLines()[0]
	if line.GetState() != "missed" || line.GetDry().GetValue() != "936" || len(line.GetFor()) != 2 || !strings.HasPrefix(line.GetFor()[0].GetText(), "collection spring (olive-silk), 624 g dry by ") {
		t.Errorf("%v", line)
	}
	if s := line.GetStandIns(); len(s) != 1 || s[0].GetFibreMass().GetValue() != "1560" || len(s[0].GetStandIns()) != 1 {
		t.Errorf("%v", s)
	}
	far := fine(l.Gather.GetGatherList(l.Ctx, &pb.GetGatherListRequest{To: l.ago(-360)}))(l.House)
	if len(far.GetLines()) != 2 || far.GetLines()[0].GetState() != "later" || far.GetLines()[0].GetDry().GetValue() != "312" {
		t.Errorf("%v", far)
	}
	set(0, l.ago(-40))
	if got := l.list().GetLines()[0]; got.GetDry().GetValue() != "312" {
		t.Errorf("the line was taken out: %v", got)
	}
}
