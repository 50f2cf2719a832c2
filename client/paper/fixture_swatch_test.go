package paper

import (
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"swatch-added": func(s *Sheet) {
			s.SwatchAdded(&dyelotv1.AddSwatchResponse{Swatch: moonMoss(), Warnings: []*dyelotv1.Warning{{Key: "weeks-unknown", Source: "common practice [CP]",
				Text: "nothing is known of when moon moss is gathered, or whether it is a food plant: a search by month or by food plants will not find this page"}}})
		},
		"swatch":        func(s *Sheet) { s.Swatch(&dyelotv1.GetSwatchResponse{Swatch: weldSwatch()}) },
		"swatch-struck": func(s *Sheet) { s.SwatchStruck(&dyelotv1.StrikeSwatchResponse{Swatch: struckSwatch()}) },
		"swatches": func(s *Sheet) {
			s.Swatches(&dyelotv1.ListSwatchesResponse{Swatches: []*dyelotv1.Swatch{weldSwatch(), onionSwatch()}})
		},
		"swatches-none": func(s *Sheet) {
			s.Swatches(&dyelotv1.ListSwatchesResponse{Unknown: "nothing is known of when moon moss is gathered, so none is found by month or by food plants"})
		},
		"swatch-near":    func(s *Sheet) { s.Nearest(nearTarn()) },
		"swatch-expect":  func(s *Sheet) { s.Expected(expectWeld()) },
		"judged-expect":  func(s *Sheet) { j := judgedOpen(); s.Judged(j); s.ExpectOpen(j.GetJudgement(), expectWeld()) },
		"swatch-import":  func(s *Sheet) { s.SwatchesImported(importedCards()) },
		"swatch-refused": func(s *Sheet) { s.SwatchesImported(refusedCards()) },
	} {
		sheets[name] = write
	}
}

func weldSwatch() *dyelotv1.Swatch {
	return &dyelotv1.Swatch{Code: "T12", Name: "lane gold", Fibre: "silk", Plant: "weld", Part: "flowering top", DyedOn: "2025-07-02", By: "dyer-1", Page: "book 2 p. 31",
		Text:   "silk: mordant potassium alum 15 % WOF; weld (flowering top) 60 % WOF; after-dip vinegar-and-scrap iron liquor, how much nobody knows",
		Colour: &dyelotv1.Lab{L: 62.314, A: -2, B: 38.06, Illuminant: "D65", Observer: 10}, Instrument: "spectro-1", ReadOn: "2025-07-05",
		ParcelCode: "P7", Place: "lane behind the boathouse", PickedOn: "2025-06-20", RecipeCode: "weld-olive", RecipeVersion: 3,
		Season: "10 June to 10 August (common practice)", SeasonKnown: true, Note: "a little greener in shop light",
		Grades: []*dyelotv1.SwatchGrade{
			{Method: "studio-window", Component: "light", Grade: "3-4", Assessor: "owner", TestedOn: "2025-09-02", Evidence: "window book p. 12"},
			{Method: "iso-105-x12", Edition: "2016", Component: "dry", Grade: "4-5", Assessor: "bench-1", TestedOn: "2025-09-03"},
			{Method: "iso-105-x12", Edition: "2016", Component: "wet", Grade: "3-4", Assessor: "bench-1", TestedOn: "2025-09-03"},
		}}
}

func onionSwatch() *dyelotv1.Swatch {
	return &dyelotv1.Swatch{Code: "T3", Fibre: "silk", Plant: "onion", Part: "skin", DyedOn: "2025-01-10", By: "owner", Text: "silk: onion (skin) 50 % WOF",
		Season: "all year (common practice)", SeasonKnown: true, FoodPlant: true}
}

func lampSwatch() *dyelotv1.Swatch {
	w := onionSwatch()
	w.Colour = &dyelotv1.Lab{L: 67, A: 9, B: 36, Illuminant: "A", Observer: 2}
	return w
}

func moonMoss() *dyelotv1.Swatch {
	return &dyelotv1.Swatch{Code: "T13", Fibre: "wool", Plant: "moon moss", DyedOn: "2026-05-14", By: "bench-1", Text: "wool: moon moss, how much nobody knows", Season: "nothing is known of when moon moss is gathered"}
}

func struckSwatch() *dyelotv1.Swatch {
	w := onionSwatch()
	w.StruckBy, w.StruckReason, w.StruckAt = "owner", "the cloth was viscose", at("2026-05-14T10:00:00Z")
	return w
}

func nearTarn() *dyelotv1.NearestSwatchesResponse {
	return &dyelotv1.NearestSwatchesResponse{Colour: &dyelotv1.Lab{L: 62, A: -2, B: 38, Illuminant: "D65", Observer: 10}, Compared: 418, LeftOut: 2,
		Nearest: []*dyelotv1.NearSwatch{{Swatch: weldSwatch(), Difference: "0.27", Colour: weldSwatch().GetColour()}, {Swatch: lampSwatch(), Difference: "6.10", Colour: &dyelotv1.Lab{L: 66, A: 2, B: 33, Illuminant: "D65", Observer: 10}}}}
}

func expectWeld() *dyelotv1.ExpectForResponse {
	return &dyelotv1.ExpectForResponse{Plants: []string{"weld"}, Fibre: "silk", Metals: []string{"Al", "Fe"}, Swatches: 3, Expected: []*dyelotv1.ExpectedGrade{
		{Kind: "light", Title: "fading in light", Worst: "3", Middle: "3-4", Count: 3, HouseRows: []string{"own-light"},
			Text: "expect 3 at worst, 3-4 in the middle: 3 from T2 (studio-window), 3-4 from T12 (studio-window), 4 from T9 (iso-105-b02)"},
		{Kind: "rubbing-wet", Title: "colour rubbed off wet", Worst: "3-4", Middle: "3-4", Count: 1, HouseRows: []string{"own-rubbing-wet"}, Text: "expect 3-4 from T12 (iso-105-x12)"},
	}}
}

func judgedOpen() *dyelotv1.GetJudgementResponse {
	return &dyelotv1.GetJudgementResponse{Judgement: &dyelotv1.Judgement{LotCode: "L1", State: "waiting for tests", Blocking: []string{"own-light"}, Rows: []*dyelotv1.JudgedRow{
		{Key: "own-rubbing-wet", Title: "colour rubbed off wet", State: "passed", Asked: "3", Found: "4", Evidence: "test F2 of lot L1"},
		{Key: "own-light", Title: "fading in light", State: "not-tested", Asked: "3"},
	}}}
}

func importedCards() *dyelotv1.AddSwatchesResponse {
	return &dyelotv1.AddSwatchesResponse{Swatches: []*dyelotv1.ImportedSwatch{{Line: 2, Code: "T1", Text: "silk: mordant potassium alum 15 % WOF; weld 60.5 % WOF"}, {Line: 3, Code: "T2", Text: "wool: tannin acorns"}},
		WarningCount: 1, Warnings: []*dyelotv1.OpeningNote{{Sheet: "swatches", Line: 3, Column: "plant", Text: "nothing is known of when moon moss is gathered"}}}
}

func refusedCards() *dyelotv1.AddSwatchesResponse {
	return &dyelotv1.AddSwatchesResponse{DryRun: true, FindingCount: 2, Findings: []*dyelotv1.OpeningNote{
		{Sheet: "swatches", Line: 2, Column: "fibre", Text: "\"fur\" is no fibre known here: use one of wool, alpaca, silk"},
		{Sheet: "swatches", Line: 3, Column: "dyed_on", Text: "2199-07-01 is in the future: today is 2026-05-14"}}}
}
