package paper

import (
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"dips-recorded": func(s *Sheet) { s.DipsRecorded(&dyelotv1.RecordTestDipsResponse{Dips: weldDips("")}) },
		"dips-set":      func(s *Sheet) { s.DipsRecorded(&dyelotv1.RecordTestDipsResponse{Dips: weldDips("85.5")}) },
		"dips-refused":  func(s *Sheet) { s.DipsRecorded(&dyelotv1.RecordTestDipsResponse{Dips: deepDips()}) },
		"dips":          func(s *Sheet) { s.Dips(&dyelotv1.GetTestDipsResponse{Dips: weldDips("85.5")}) },
		"dips-list": func(s *Sheet) {
			s.DipsList(&dyelotv1.ListTestDipsResponse{Dips: []*dyelotv1.TestDips{deepDips(), weldDips("85.5")}})
		},
		"dips-none": func(s *Sheet) { s.DipsList(&dyelotv1.ListTestDipsResponse{}) },
		"dose":      func(s *Sheet) { s.DoseProposed(weldDose(), false) },
		"dose-why":  func(s *Sheet) { s.DoseProposed(weldDose(), true) },
	} {
		sheets[name] = write
	}
}

func dip(wof string, ks float64, sample string) *dyelotv1.TestDip {
	return &dyelotv1.TestDip{PercentWof: wof, Ks: ks, File: &dyelotv1.InstrumentFile{Name: "dips.csv", Sample: sample}}
}

// weldDips are the worked number of package depth, one dose dipped twice, and
// against a harvest that itself stands at 95 %.
func weldDips(set string) *dyelotv1.TestDips {
	return &dyelotv1.TestDips{Code: "D1", ParcelCode: "P6", ItemCode: "weld", ItemName: "weld", ReferenceParcelCode: "P2", Fibre: "wool", Mordant: "alum 12 %", By: "bench-1", HappenedAt: at("2026-07-03T08:00:00Z"),
		Dips:          []*dyelotv1.TestDip{dip("1", 0.826, "P6 1%"), dip("2", 1.51, "P6 2%"), dip("2", 1.54, "P6 2% again"), dip("4", 2.647, "P6 4%")},
		ReferenceDips: []*dyelotv1.TestDip{dip("1", 0.909, "P2 1%"), dip("2", 1.667, "P2 2%"), dip("4", 2.857, "P2 4%")}, WavelengthNm: 400, SetPercent: set, Note: "same cloth, same day",
		Strength: &dyelotv1.DipStrength{Percent: "90", LowPercent: "73.6", HighPercent: "110.1", AtKs: 1.78, FirstGuessPercent: "90.9", FirstGuessPercentWof: "1", ReferenceStrengthPercent: "95", ParcelPercent: "85.5",
			Text: "P6 is 90.0 % (74 to 110) as strong as P2: 2.40 % WOF of it dyes as deep as 2.16 % of that, K/S 1.78"}}
}

func deepDips() *dyelotv1.TestDips {
	refused := "they share only depths from K/S 8.18 up, and beyond K/S 3.51 the slope of the sample is under half of what it begins with: dip both at lower doses"
	return &dyelotv1.TestDips{Code: "D2", ParcelCode: "P6", ItemCode: "weld", ItemName: "weld", Reference: "last year's weld, jar 3", Fibre: "silk", By: "dyer-1", HappenedAt: at("2026-07-04T08:00:00Z"), WavelengthNm: 420,
		Dips: []*dyelotv1.TestDip{dip("40", 8.64, ""), dip("90", 10.2, "")}, ReferenceDips: []*dyelotv1.TestDip{dip("30", 8.18, ""), dip("90", 10.4, "")},
		Strength: &dyelotv1.DipStrength{Refused: refused, Text: "no strength can be given: " + refused, FirstGuessPercent: "98.1", FirstGuessPercentWof: "90",
			Warnings: []*dyelotv1.Warning{{Key: "near-saturation", Source: "this program's own limit", Text: "dips of K/S 8.18 to 10.2 say nothing of strength: beyond K/S 3.51 the slope of the sample is under half of what it begins with"}}}}
}

// weldDose is ExampleFit_Dose of package depth, for a harvest of 90 %.
func weldDose() *dyelotv1.ProposeDoseResponse {
	r := &dyelotv1.ProposeDoseResponse{Plant: "weld", Fibre: "wool", Mordant: "potassium alum", TargetKs: 5.7, Target: "standard harbour-gold", WavelengthNm: 400, Ground: "undyed cloth of swatch T17",
		Text: "P6 (weld) 59 % WOF (52 to 66), which is 53 % at full strength, from 6 swatches at 20 to 80 %", Form: "saturating",
		Curves: []*dyelotv1.DepthCurve{{Form: "line", Equation: "K/S = 2.64 + 0.053 · w", ResidualSd: 0.28, LeftOutError: 0.481}, {Form: "log", Equation: "K/S = −3.91 + 2.42 · ln w", ResidualSd: 0.07, LeftOutError: 0.102},
			{Form: "saturating", Equation: "K/S = 9.97 · w/(39.5 + w)", ResidualSd: 0.07, LeftOutError: 0.095, Chosen: true}},
		PassedOver: []*dyelotv1.PassedSwatch{{Code: "T14", Why: "the reflectance at 700 nm is 1.02, above 1: a brightener gives off light of its own there and has no reflectance colour (and percent are written as fractions, 0 to 1)"}},
		Warnings: []*dyelotv1.Warning{{Key: "harvests-differ", Text: "the swatches are of 2 harvests, and those of T9, T10, T11, T12 and 1 more are counted at full strength because nobody set theirs"},
			{Key: "depth-only", Source: "common practice", Text: "K/S says how deep and not which hue: dye a swatch with this dose before a lot"}}}
	for i, ks := range []float64{3.3, 4.3, 5.1, 5.5, 6.3, 6.6} {
		wof := []string{"20", "30", "40", "50", "65", "80"}[i]
		one := &dyelotv1.DepthSwatch{Code: []string{"T9", "T10", "T11", "T12", "T16", "T17"}[i], PercentWof: wof, AtFullStrength: wof, Ks: ks, CurveKs: ks + 0.05, DyedOn: "2026-07-01"}
		if i == 5 {
			one.ParcelCode, one.StrengthPercent, one.PercentWof = "P2", "95", "84.2105"
		}
		r.Swatches = append(r.Swatches, one)
	}
	return r
}
