package api_test

import (
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

func addSwatch(h *apitest.House, s *pb.Swatch) (*pb.AddSwatchResponse, error) {
	return h.Swatch.AddSwatch(h.Ctx, &pb.AddSwatchRequest{RequestId: h.ID(), Swatch: s})
}

// page adds one that must be fine and returns it.
func page(h *apitest.House, s *pb.Swatch) *pb.Swatch {
	h.T.Helper()
	return fine(addSwatch(h, s))(h).GetSwatch()
}

func grade(h *apitest.House, code, method string, grades ...string) (*pb.AddSwatchGradeResponse, error) {
	req := &pb.AddSwatchGradeRequest{RequestId: h.ID(), SwatchCode: code, Method: method, Assessor: "bench-1"}
	for _, g := range grades {
		component, written, _ := strings.Cut(g, "=")
		req.Grades = append(req.Grades, &pb.ComponentGrade{Component: component, Grade: written})
	}
	return h.Swatch.AddSwatchGrade(h.Ctx, req)
}

func found(h *apitest.House, f *pb.SwatchFilter) string {
	h.T.Helper()
	var all []string
	for _, s := range fine(h.Swatch.ListSwatches(h.Ctx, &pb.ListSwatchesRequest{Filter: f}))(h).GetSwatches() {
		all = append(all, s.GetCode())
	}
	return strings.Join(all, " ")
}

func weldOnSilk() *pb.Swatch {
	return &pb.Swatch{Name: "lane gold", Fibre: "mulberry silk", Plant: "weld tops", Place: "lane behind the boathouse", PickedOn: "2025-06-20", PercentWof: "60", DyedOn: "2025-07-02",
		Page: "book 2 p. 31", Colour: &pb.Lab{L: 68, A: -3, B: 46}, Instrument: "spectro-1", ReadOn: "2025-07-05",
		Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "alum", PercentWof: "15"}, {Kind: "after-dip", Substance: "iron water"}}}
}

func TestAPageIsKeptInTheWordsOfTheTables(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	s := page(h, weldOnSilk())
	want := "silk: mordant potassium alum 15 % WOF; weld (flowering top) 60 % WOF; after-dip vinegar-and-scrap iron liquor, how much nobody knows"
	if s.GetCode() != "T1" || s.GetText() != want {
		t.Errorf("%s is told as\n%s, want\n%s", s.GetCode(), s.GetText(), want)
	}
	if s.GetFibre() != "silk" || s.GetPlant() != "weld" || s.GetPart() != "flowering top" || s.GetDyeFamily() != "flavonoid" || strings.Join(s.GetMetals(), " ") != "Al Fe" || s.GetBy() != "owner" {
		t.Errorf("%v", s)
	}
	if s.GetSeason() != "10 June to 10 August (common practice)" || s.GetFoodPlant() || !s.GetSeasonKnown() {
		t.Errorf("season %q, food %v", s.GetSeason(), s.GetFoodPlant())
	}
	again := fine(h.Swatch.GetSwatch(h.Ctx, &pb.GetSwatchRequest{SwatchCode: "t1"}))(h).GetSwatch()
	if again.GetText() != want || again.GetColour().GetB() != 46 || again.GetReadOn() != "2025-07-05" || again.GetBaths()[1].GetPercentWof() != "" {
		t.Errorf("%v", again)
	}
	odd := fine(addSwatch(h, &pb.Swatch{Fibre: "wool", Plant: "Moon  Moss", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "copper sulfate", PercentWof: "2"}}}))(h)
	if keysOf(odd.GetWarnings()) != "weeks-unknown old-records-only" || odd.GetSwatch().GetPlant() != "moon moss" || odd.GetSwatch().GetDyedOn() == "" {
		t.Errorf("%v", odd)
	}
}

// A page's colour is computed from its spectrum: a flat reflectance of 0.5 is
// grey in every light, L* 76.07 = 116·∛0.5 − 16 (CIE 1976).
func TestASpectrumGivesTheColour(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	flat := make([]float64, 31)
	for i := range flat {
		flat[i] = 0.5
	}
	s := page(h, &pb.Swatch{Fibre: "wool", Plant: "weld", Spectrum: &pb.Spectrum{FirstNm: 400, StepNm: 10, Reflectance: flat, Specular: "excluded"}, Colour: &pb.Lab{Illuminant: "A", Observer: 2},
		File: &pb.InstrumentFile{Name: "weld.txt", Sha256: strings.Repeat("ab", 32), Sample: "3"}})
	c := s.GetColour()
	if c.GetL() < 76.06 || c.GetL() > 76.08 || max(c.GetA(), -c.GetA(), c.GetB(), -c.GetB()) > 0.01 || c.GetIlluminant() != "A" || c.GetObserver() != 2 {
		t.Errorf("%v", c)
	}
	if s.GetFile().GetName() != "weld.txt, sample 3" || s.GetFile().GetSha256() != strings.Repeat("ab", 32) || s.GetSpectrum().GetSpecular() != "excluded" || len(s.GetSpectrum().GetReflectance()) != 31 {
		t.Errorf("%v", s.GetFile())
	}
}

func TestPagesThatAreRefused(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	tomorrow := time.Now().AddDate(0, 0, 2).Format(time.DateOnly)
	for _, c := range []struct {
		change      func(s *pb.Swatch)
		field, says string
	}{
		{func(s *pb.Swatch) { s.Fibre = "fur" }, "swatch.fibre", "no fibre known here"},
		{func(s *pb.Swatch) { s.Plant, s.PercentWof, s.Baths = "", "", nil }, "swatch.plant", "is needed"},
		{func(s *pb.Swatch) { s.Plant, s.PercentWof, s.Part = "", "", "leaf" }, "swatch.part", "of no plant"},
		{func(s *pb.Swatch) { s.Plant = "" }, "swatch.percent_wof", "no plant is named"},
		{func(s *pb.Swatch) { s.PercentWof = "0" }, "swatch.percent_wof", "no dose"},
		{func(s *pb.Swatch) { s.PercentWof = "6000" }, "swatch.percent_wof", "5000"},
		{func(s *pb.Swatch) { s.DyeFamily = "magic" }, "swatch.dye_family", "flavonoid"},
		{func(s *pb.Swatch) { s.Baths[0].Kind = "brew" }, "swatch.baths[0].kind", "mordant"},
		{func(s *pb.Swatch) { s.Baths[0].Substance = "" }, "swatch.baths[0].substance", "is needed"},
		{func(s *pb.Swatch) { s.Baths[0].Substance = "acorns" }, "swatch.baths[0].substance", "which metal"},
		{func(s *pb.Swatch) { s.Baths[0].Metal = "Fe" }, "swatch.baths[0].metal", "brings Al, not Fe"},
		{func(s *pb.Swatch) { s.Baths[0].Metal = "gold" }, "swatch.baths[0].metal", "no metal of a mordant"},
		{func(s *pb.Swatch) { s.Baths[1].PercentWof = "2" }, "swatch.baths[1].percent_wof", "no known strength"},
		{func(s *pb.Swatch) { s.DyedOn = tomorrow }, "swatch.dyed_on", "future"},
		{func(s *pb.Swatch) { s.PickedOn = "2025-08-01" }, "swatch.picked_on", "after it was dyed"},
		{func(s *pb.Swatch) { s.PickedOn = "June" }, "swatch.picked_on", "not a day"},
		{func(s *pb.Swatch) { s.ReadOn = "2025-07-01" }, "swatch.read_on", "before it was dyed"},
		{func(s *pb.Swatch) { s.Colour.L = 120 }, "swatch.colour.l", "100"},
		{func(s *pb.Swatch) { s.Colour.Illuminant = "moon" }, "swatch.colour.illuminant", "D65"},
		{func(s *pb.Swatch) { s.Colour = nil }, "swatch.instrument", "no colour"},
		{func(s *pb.Swatch) { s.Ground = &pb.Spectrum{FirstNm: 400, StepNm: 10} }, "swatch.ground", "own spectrum"},
		{func(s *pb.Swatch) { s.Spectrum = &pb.Spectrum{FirstNm: 400, StepNm: 10} }, "swatch.colour", "computed from the spectrum"},
		{func(s *pb.Swatch) {
			s.Colour, s.Spectrum = nil, &pb.Spectrum{FirstNm: 400, StepNm: 10, Reflectance: []float64{0.1, 0.2, 3, 0.4}}
		}, "swatch.spectrum.reflectance", "brightener"},
		{func(s *pb.Swatch) { s.File = &pb.InstrumentFile{Sha256: "zz"} }, "swatch.file.sha256", "64"},
	} {
		s := weldOnSilk()
		c.change(s)
		_, err := addSwatch(h, s)
		saysNo(t, err, codes.InvalidArgument, c.field, c.says)
	}
	for field, s := range map[string]*pb.Swatch{"swatch.recipe_code": {Fibre: "silk", Plant: "weld", RecipeCode: "none"}, "swatch.parcel_code": {Fibre: "silk", ParcelCode: "P77"}, "swatch.lot_code": {LotCode: "L9"}} {
		_, err := addSwatch(h, s)
		saysNo(t, err, codes.NotFound, field, "there is no")
	}
	for _, c := range []struct {
		f           *pb.SwatchFilter
		field, says string
	}{
		{&pb.SwatchFilter{Fibre: "fur"}, "filter.fibre", "silk"}, {&pb.SwatchFilter{Part: "leaf"}, "filter.part", "no plant"}, {&pb.SwatchFilter{Metal: "gold"}, "filter.metal", "none"},
		{&pb.SwatchFilter{InSeason: 13}, "filter.in_season", "12 December"}, {&pb.SwatchFilter{Words: "?!"}, "filter.words", "no letter"},
		{&pb.SwatchFilter{Least: []*pb.LeastGrade{{Kind: "shine", Grade: "4"}}}, "filter.least[0].kind", "wash-change"},
		{&pb.SwatchFilter{Least: []*pb.LeastGrade{{Kind: "light", Grade: "9"}}}, "filter.least[0].grade", "8"},
	} {
		_, err := h.Swatch.ListSwatches(h.Ctx, &pb.ListSwatchesRequest{Filter: c.f})
		saysNo(t, err, codes.InvalidArgument, c.field, c.says)
	}
}

func TestPagesAreFoundByWordsAndFilters(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	page(h, weldOnSilk())                                                                                                                                                                   // T1
	page(h, &pb.Swatch{Fibre: "silk", Plant: "onion", Part: "skins", DyedOn: "2025-01-10", Note: "supplier NS-118, brighter than weld"})                                                    // T2
	page(h, &pb.Swatch{Fibre: "wool", Plant: "walnut", Part: "hulls", DyedOn: "2025-02-10"})                                                                                                // T3
	page(h, &pb.Swatch{Fibre: "silk", Plant: "madder root", DyedOn: "2025-02-11", Baths: []*pb.SwatchBath{{Kind: "mordant", Substance: "KAl(SO4)2·12H2O", PercentWof: "20"}}})              // T4
	page(h, &pb.Swatch{Fibre: "silk", Plant: "moon moss", DyedOn: "2025-02-12", Baths: []*pb.SwatchBath{{Kind: "tannin", Substance: "Acorn Brew", Metal: "none"}}, Place: "Höfn í Nesjum"}) // T5
	fine(grade(h, "T2", "studio-window", "light=4"))(h)
	fine(grade(h, "T1", "studio-window", "light=5"))(h)
	fine(grade(h, "T1", "studio-window", "light=3-4"))(h)
	light := []*pb.LeastGrade{{Kind: "light", Grade: "4"}}
	for _, c := range []struct {
		f    *pb.SwatchFilter
		want string
	}{
		{nil, "T5 T4 T3 T2 T1"}, {&pb.SwatchFilter{Words: "onion skin"}, "T2"}, {&pb.SwatchFilter{Words: "ONI sk"}, "T2"}, {&pb.SwatchFilter{Words: "118"}, "T2"},
		{&pb.SwatchFilter{Words: "weld"}, "T2 T1"}, {&pb.SwatchFilter{Words: "alum"}, "T4 T1"}, {&pb.SwatchFilter{Words: "p.31"}, "T1"}, {&pb.SwatchFilter{Words: "nion"}, ""},
		{&pb.SwatchFilter{Words: "höf"}, "T5"}, {&pb.SwatchFilter{Words: "iron boat"}, "T1"}, {&pb.SwatchFilter{Words: "it's' :* & |"}, ""},
		{&pb.SwatchFilter{Fibre: "silk"}, "T5 T4 T2 T1"}, {&pb.SwatchFilter{Plant: "weld"}, "T1"}, {&pb.SwatchFilter{Plant: "walnut", Part: "leaf"}, ""}, {&pb.SwatchFilter{Plant: "walnut hull"}, "T3"},
		{&pb.SwatchFilter{Metal: "none"}, "T5 T3 T2"}, {&pb.SwatchFilter{Metal: "iron"}, "T1"}, {&pb.SwatchFilter{Metal: "Al", Fibre: "silk"}, "T4 T1"}, {&pb.SwatchFilter{Mordant: "alum"}, "T4 T1"}, {&pb.SwatchFilter{Mordant: "acorn brew"}, "T5"},
		// October: walnut hulls and madder roots are gathered, onion skins are kept all
		// year, weld is past, and of moon moss nobody knows (common practice).
		{&pb.SwatchFilter{InSeason: 10}, "T4 T3 T2"}, {&pb.SwatchFilter{InSeason: 7}, "T2 T1"}, {&pb.SwatchFilter{FoodPlants: true}, "T3 T2"}, {&pb.SwatchFilter{InSeason: 10, Plant: "weld"}, ""},
		{&pb.SwatchFilter{Least: light}, "T2"}, {&pb.SwatchFilter{Least: []*pb.LeastGrade{{Kind: "light", Grade: "3-4"}}}, "T2 T1"}, {&pb.SwatchFilter{Least: []*pb.LeastGrade{{Kind: "light", Grade: "L4"}}}, ""},
		{&pb.SwatchFilter{Fibre: "silk", InSeason: 10, Metal: "none", FoodPlants: true, Least: light, Words: "onion skin"}, "T2"},
	} {
		if got := found(h, c.f); got != c.want {
			t.Errorf("%v finds %q, want %q", c.f, got, c.want)
		}
	}
	r := fine(h.Swatch.ListSwatches(h.Ctx, &pb.ListSwatchesRequest{Filter: &pb.SwatchFilter{Plant: "moon moss", InSeason: 5}}))(h)
	if len(r.GetSwatches()) != 0 || !strings.Contains(r.GetUnknown(), "nothing is known of when moon moss is gathered") {
		t.Errorf("%v", r)
	}
	first := fine(h.Swatch.ListSwatches(h.Ctx, &pb.ListSwatchesRequest{PageSize: 3}))(h)
	rest := fine(h.Swatch.ListSwatches(h.Ctx, &pb.ListSwatchesRequest{PageSize: 3, PageToken: first.GetNextPageToken()}))(h)
	if len(first.GetSwatches()) != 3 || len(rest.GetSwatches()) != 2 || rest.GetSwatches()[0].GetCode() != "T2" || rest.GetNextPageToken() != "" {
		t.Errorf("%v %v", first, rest)
	}
}

func TestAStruckPageIsFoundNoMoreAndCanBeRead(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	page(h, weldOnSilk())
	page(h, weldOnSilk())
	near := func() *pb.NearestSwatchesResponse {
		return fine(h.Swatch.NearestSwatches(h.Ctx, &pb.NearestSwatchesRequest{Colour: &pb.Lab{L: 68, A: -3, B: 46}}))(h)
	}
	if r := near(); len(r.GetNearest()) != 2 || r.GetNearest()[0].GetSwatch().GetCode() != "T1" || r.GetNearest()[0].GetDifference() != "0.00" {
		t.Fatalf("%v", r) // of two equally far the older comes first
	}
	strike := func(reason string) (*pb.StrikeSwatchResponse, error) {
		return h.Swatch.StrikeSwatch(h.Ctx, &pb.StrikeSwatchRequest{RequestId: h.ID(), SwatchCode: "T1", Reason: reason})
	}
	_, err := strike(" ")
	saysNo(t, err, codes.InvalidArgument, "reason", "needed")
	s := fine(strike("that was viscose"))(h).GetSwatch()
	if s.GetStruckBy() != "owner" || s.GetStruckReason() != "that was viscose" || s.GetStruckAt() == nil {
		t.Errorf("%v", s)
	}
	if got := found(h, nil) + "," + found(h, &pb.SwatchFilter{Words: "weld"}); got != "T2,T2" {
		t.Errorf("found %s", got)
	}
	if r := near(); len(r.GetNearest()) != 1 || r.GetCompared() != 1 {
		t.Errorf("%v", r)
	}
	if got := fine(h.Swatch.GetSwatch(h.Ctx, &pb.GetSwatchRequest{SwatchCode: "T1"}))(h).GetSwatch(); got.GetText() == "" || got.GetStruckReason() == "" {
		t.Errorf("%v", got)
	}
	_, err = strike("again")
	saysNo(t, err, codes.FailedPrecondition, "", "struck out by owner: that was viscose")
	_, err = grade(h, "T1", "studio-window", "light=4")
	saysNo(t, err, codes.FailedPrecondition, "", "struck out")
}

func TestGradesOfASwatchThatAreRefused(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	page(h, weldOnSilk())
	for _, c := range []struct {
		change      func(r *pb.AddSwatchGradeRequest)
		field, says string
	}{
		{func(r *pb.AddSwatchGradeRequest) { r.SwatchCode = "L1" }, "swatch_code", "T7"},
		{func(r *pb.AddSwatchGradeRequest) { r.Method = "sunshine" }, "method", "studio-window"},
		{func(r *pb.AddSwatchGradeRequest) { r.Method = "iso-105-b02" }, "edition", "edition"},
		{func(r *pb.AddSwatchGradeRequest) { r.Grades[0].Component = "shine" }, "grades[0].component", "light"},
		{func(r *pb.AddSwatchGradeRequest) { r.Grades[0].Grade = "3.5" }, "grades[0].grade", "never as a decimal"},
		{func(r *pb.AddSwatchGradeRequest) { r.Grades = nil }, "grades", "at least one"},
		{func(r *pb.AddSwatchGradeRequest) { r.TestedOn = "2025-07-01" }, "tested_on", "before T1 was dyed"},
		{func(r *pb.AddSwatchGradeRequest) { r.TestedOn = "2199-01-01" }, "tested_on", "future"},
	} {
		r := &pb.AddSwatchGradeRequest{RequestId: h.ID(), SwatchCode: "T1", Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "4"}}}
		c.change(r)
		_, err := h.Swatch.AddSwatchGrade(h.Ctx, r)
		saysNo(t, err, codes.InvalidArgument, c.field, c.says)
	}
}
