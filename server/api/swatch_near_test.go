package api_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/quantity"
	"dyelot/inventory/swatch"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// known is a page of a random book, as the pure rules have it.
type known struct {
	code   string
	page   swatch.Page
	grades []swatch.Grade
	struck bool
}

func drawPage(t *rapid.T) *pb.Swatch {
	s := &pb.Swatch{
		Fibre: rapid.SampledFrom([]string{"silk", "wool", "linen"}).Draw(t, "fibre"), Plant: rapid.SampledFrom([]string{"weld", "onion skin", "walnut", "walnut leaf", "madder", "moon moss"}).Draw(t, "plant"),
		DyedOn: "2025-03-01", Note: rapid.SampledFrom([]string{"", "boathouse lane", "NS-118", "lanes"}).Draw(t, "note"),
	}
	for _, salt := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"alum", "copperas", "oak gall"}), 0, 2, rapid.ID[string]).Draw(t, "salts") {
		s.Baths = append(s.Baths, &pb.SwatchBath{Kind: "mordant", Substance: salt, PercentWof: "2"})
	}
	if rapid.IntRange(0, 5).Draw(t, "measured") > 0 { // few colours, so that some are equally far
		at := rapid.IntRange(0, 6)
		s.Colour = &pb.Lab{L: float64(40 + 5*at.Draw(t, "l")), A: float64(4 * at.Draw(t, "a")), B: float64(6 * at.Draw(t, "b")), Illuminant: rapid.SampledFrom([]string{"D65", "D65", "D65", "A"}).Draw(t, "light")}
	}
	return s
}

func drawFilter(t *rapid.T) *pb.SwatchFilter {
	some := func(label string, of ...string) string {
		return rapid.SampledFrom(append(of, "", "", "")).Draw(t, label)
	}
	f := &pb.SwatchFilter{Fibre: some("fibre?", "silk", "wool"), Plant: some("plant?", "weld", "walnut", "moon moss", "onion skin"), Metal: some("metal?", "none", "Al", "iron"), Mordant: some("mordant?", "alum", "oak gall"),
		Words: some("words?", "lan", "118 ns", "boat weld", "copp"), FoodPlants: rapid.IntRange(0, 4).Draw(t, "food?") == 0}
	if rapid.IntRange(0, 2).Draw(t, "month?") == 0 {
		f.InSeason = rapid.Int32Range(1, 12).Draw(t, "month")
	}
	if g := some("light?", "3", "4"); g != "" {
		f.Least = []*pb.LeastGrade{{Kind: "light", Grade: g}}
	}
	return f
}

// asRules is what a page and a filter are to the rules alone.
func asRules(t *rapid.T, s *pb.Swatch) swatch.Page {
	p := swatch.Page{Fibre: s.GetFibre(), Plant: s.GetPlant(), Note: s.GetNote(), Dyed: time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)}
	for _, b := range s.GetBaths() {
		p.Baths = append(p.Baths, swatch.Bath{Kind: b.GetKind(), Substance: b.GetSubstance(), WOF: quantity.WholePercent(2)})
	}
	if c := s.GetColour(); c != nil {
		light, err := colour.NewIlluminant("", c.GetIlluminant())
		if err != nil {
			t.Fatal(err)
		}
		p.Measured = &swatch.Measured{Lab: colour.Lab{L: c.GetL(), A: c.GetA(), B: c.GetB()}, View: colour.View{Illuminant: light}}
	}
	p, _, err := p.Check(p.Dyed)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func filterAsRules(t *rapid.T, m *pb.SwatchFilter) swatch.Filter {
	f := swatch.Filter{Fibre: m.GetFibre(), Plant: m.GetPlant(), Metal: m.GetMetal(), Mordant: m.GetMordant(), Words: m.GetWords(), Food: m.GetFoodPlants(), Month: time.Month(m.GetInSeason())}
	for _, l := range m.GetLeast() {
		least, err := swatch.LeastOf(l.GetKind(), l.GetGrade())
		if err != nil {
			t.Fatal(err)
		}
		f.Least = append(f.Least, least)
	}
	f, err := f.Check()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// scan is what the search must answer: every open page that the rules let
// through and that was read in D65, by CIEDE2000 and then by age.
func scan(book []known, f swatch.Filter, q colour.Lab, k int) []string {
	type near struct {
		code string
		far  float64
	}
	var all []near
	for _, p := range book {
		if !p.struck && p.page.Measured != nil && p.page.Measured.View == (colour.View{}) && f.Matches(p.page, p.grades) {
			all = append(all, near{p.code, colour.CIEDE2000(q, p.page.Measured.Lab)})
		}
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.far, b.far) })
	var codes []string
	for _, n := range all[:min(k, len(all))] {
		codes = append(codes, n.code)
	}
	return codes
}

// A random book grows page by page, is graded and struck, and is asked again and
// again: the nearest with any filter are those of a full scan by the pure rules,
// and the list is what the rules let through.
func TestTheNearestWithFiltersAreThoseOfAFullScan(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	var book []known
	rapid.Check(t, func(t *rapid.T) {
		for range rapid.IntRange(0, 4).Draw(t, "new pages") {
			s := drawPage(t)
			code := page(h, s).GetCode()
			book = append(book, known{code: code, page: asRules(t, s)})
			if g := rapid.SampledFrom([]string{"", "", "2-3", "3", "4", "5"}).Draw(t, "grade"); g != "" {
				fine(grade(h, code, "studio-window", "light="+g))(h)
				worn, err := fastness.Parse(g, fastness.BlueWool)
				if err != nil {
					t.Fatal(err)
				}
				book[len(book)-1].grades = []swatch.Grade{{Kind: "light", Scale: fastness.BlueWool, Grade: worn}}
			}
		}
		if len(book) > 0 && rapid.IntRange(0, 5).Draw(t, "strike") == 0 {
			i := rapid.IntRange(0, len(book)-1).Draw(t, "which")
			if !book[i].struck {
				fine(h.Swatch.StrikeSwatch(h.Ctx, &pb.StrikeSwatchRequest{RequestId: h.ID(), SwatchCode: book[i].code, Reason: "a slip"}))(h)
				book[i].struck = true
			}
		}
		m := drawFilter(t)
		f, k := filterAsRules(t, m), rapid.IntRange(1, 8).Draw(t, "k")
		q := colour.Lab{L: rapid.Float64Range(30, 80).Draw(t, "L"), A: rapid.Float64Range(-10, 30).Draw(t, "A"), B: rapid.Float64Range(-10, 50).Draw(t, "B")}
		r, err := h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: q.L, A: q.A, B: q.B}, K: int32(k), Filter: m})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, n := range r.GetNearest() {
			got = append(got, n.GetSwatch().GetCode())
		}
		if want := scan(book, f, q, k); !slices.Equal(got, want) {
			t.Fatalf("of %d pages with %v: %v, a full scan says %v", len(book), m, got, want)
		}
		var listed []string
		for _, p := range slices.Backward(book) {
			if !p.struck && f.Matches(p.page, p.grades) {
				listed = append(listed, p.code)
			}
		}
		if got, want := found(h, m), strings.Join(listed[:min(100, len(listed))], " "); got != want {
			t.Fatalf("%v lists %q, the rules say %q", m, got, want)
		}
	})
}

// Colours of two lights are never compared: a page read in lamp light is computed
// anew from its spectrum where that was kept, and counted as left out where not.
func TestAnotherLightIsComputedOrLeftOut(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	rise := make([]float64, 31)
	for i := range rise {
		rise[i] = 0.05 + 0.02*float64(i)
	}
	page(h, &pb.Swatch{Fibre: "wool", Plant: "weld", Colour: &pb.Lab{Illuminant: "A"}, Spectrum: &pb.Spectrum{FirstNm: 400, StepNm: 10, Reflectance: rise}})
	page(h, &pb.Swatch{Fibre: "wool", Plant: "weld", Colour: &pb.Lab{L: 60, A: 1, B: 20, Illuminant: "A"}})
	page(h, &pb.Swatch{Fibre: "wool", Plant: "weld"})
	w, err := colour.NewWavelengths("", wavelengths())
	if err != nil {
		t.Fatal(err)
	}
	s, err := w.Spectrum("", rise)
	if err != nil {
		t.Fatal(err)
	}
	day := s.Lab(colour.View{})
	r := fine(h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: day.L, A: day.A, B: day.B}}))(h)
	if len(r.GetNearest()) != 1 || r.GetNearest()[0].GetDifference() != "0.00" || r.GetLeftOut() != 1 || r.GetCompared() != 1 {
		t.Errorf("%v", r)
	}
	lamp := fine(h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: 60, A: 1, B: 20, Illuminant: "A"}}))(h)
	if len(lamp.GetNearest()) != 2 || lamp.GetNearest()[0].GetSwatch().GetCode() != "T2" || lamp.GetLeftOut() != 0 {
		t.Errorf("%v", lamp)
	}
	for _, light := range []string{"F11", "F2", "D65", "A"} { // more lights than are kept at once
		r := fine(h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: 60, A: 1, B: 20, Illuminant: light}}))(h)
		if r.GetCompared()+r.GetLeftOut() != 2 {
			t.Errorf("%s: %v", light, r)
		}
	}
}

func wavelengths() []float64 {
	nm := make([]float64, 31)
	for i := range nm {
		nm[i] = float64(400 + 10*i)
	}
	return nm
}

// Many write while many look: each page is found as soon as its writer was
// answered, and none is lost to a writer who committed late.
func TestManyWriteAndLookAtOnce(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	var all sync.WaitGroup
	for w := range 6 {
		all.Go(func() {
			for i := range 8 {
				c := &pb.Lab{L: float64(20 + 10*w), A: float64(i), B: float64(w)}
				code := page(h, &pb.Swatch{Fibre: "silk", Plant: "weld", Colour: c}).GetCode()
				r, err := h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: c, K: 1})
				if err != nil || len(r.GetNearest()) != 1 || r.GetNearest()[0].GetSwatch().GetCode() != code {
					t.Errorf("%s is not the nearest to itself: %v, %v", code, r, err)
				}
			}
		})
	}
	all.Wait()
	r := fine(h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: 50}, K: 100}))(h)
	if r.GetCompared() != 48 || len(r.GetNearest()) != 48 {
		t.Errorf("%d of 48 are found", r.GetCompared())
	}
}

// Old cards come in all or not at all, and every cell that is off is told.
func TestOldCardsComeInAllOrNothing(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	csv := func(rows ...string) *pb.OpeningSheet {
		return &pb.OpeningSheet{Name: "cards.csv", Content: []byte("fibre;plant;dyed_on;percent_wof;baths;lab;grades;tested_on;page\n" + strings.Join(rows, "\n"))}
	}
	bad := csv("fur;weld;2023-07-01;60;;;;;", "silk;weld;2199-07-01;;mordant alum=15% | after-dip acorns;;;;", "silk;weld;2023-07-01;0;;62/-2;;;", "silk;weld;2023-07-01;;;;studio-window light=9;2023-08-01;", "silk;weld;2023-07-01;;;;studio-window light=4;;")
	dry := fine(h.Swatch.AddSwatches(h.Ctx, &pb.AddSwatchesRequest{RequestId: h.ID(), Sheet: bad, DryRun: true}))(h)
	var cells []string
	for _, n := range dry.GetFindings() {
		cells = append(cells, fmt.Sprintf("%d:%s", n.GetLine(), n.GetColumn()))
	}
	if want := "2:fibre 3:dyed_on 3:baths 4:percent_wof 4:lab 5:grades 6:tested_on"; strings.Join(cells, " ") != want {
		t.Errorf("%s, want %s\n%v", strings.Join(cells, " "), want, dry.GetFindings())
	}
	if _, err := h.Swatch.AddSwatches(h.Ctx, &pb.AddSwatchesRequest{RequestId: h.ID(), Sheet: bad}); err == nil || found(h, nil) != "" {
		t.Errorf("%v; found %s", err, found(h, nil))
	}
	good := csv(`silk;weld;2023-07-01;60,5;mordant alum=15% | after-dip copperas=1;62,5 / -2 / 38;"studio-window light=3-4 | iso-105-x12 dry=4 wet=3 edition=2016";2023-08-01;book 1 p. 3`, "wool;moon moss;2023-07-02;;tannin acorns metal none;;;;")
	if r := fine(h.Swatch.AddSwatches(h.Ctx, &pb.AddSwatchesRequest{RequestId: h.ID(), Sheet: good, DryRun: true}))(h); len(r.GetSwatches()) != 2 || found(h, nil) != "" || r.GetSwatches()[0].GetCode() != "" {
		t.Errorf("%v", r)
	}
	r := fine(h.Swatch.AddSwatches(h.Ctx, &pb.AddSwatchesRequest{RequestId: h.ID(), Sheet: good}))(h)
	if r.GetWarningCount() != 1 || r.GetRead().GetRows() != 2 || len(r.GetSwatches()) != 2 || !strings.HasPrefix(r.GetSwatches()[0].GetText(), "silk: mordant potassium alum 15 % WOF; weld 60.5 % WOF; after-dip copperas 1 % WOF") {
		t.Errorf("%v", r)
	}
	s := fine(h.Swatch.GetSwatch(h.Ctx, &pb.GetSwatchRequest{SwatchCode: r.GetSwatches()[0].GetCode()}))(h).GetSwatch()
	if len(s.GetGrades()) != 3 || s.GetGrades()[0].GetGrade() != "3-4" || s.GetColour().GetL() != 62.5 || s.GetPage() != "book 1 p. 3" || s.GetGrades()[2].GetEdition() != "2016" {
		t.Errorf("%v", s)
	}
	if cols := fine(h.Swatch.ListSwatchColumns(h.Ctx, &pb.ListSwatchColumnsRequest{}))(h).GetColumns(); len(cols) < 15 || !cols[0].GetNeeded() {
		t.Errorf("%v", cols)
	}
}
