package paper

import (
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"measured": func(s *Sheet) { s.Measured(measurements()) },
		"measurement": func(s *Sheet) {
			s.Measurement(&dyelotv1.GetMeasurementResponse{Measurement: measurements().GetMeasurements()[0]})
		},
		"would-measure": func(s *Sheet) {
			s.WouldMeasure(&dyelotv1.RecordMeasurementsRequest{Measurements: measurements().GetMeasurements()})
		},
		"ground":      func(s *Sheet) { s.GroundKept(ground()) },
		"eye":         func(s *Sheet) { s.EyeJudged(looked()) },
		"judged-eyes": func(s *Sheet) { s.Judged(judgedByEyes()) },
		"standard-spectrum": func(s *Sheet) {
			s.StandardAdded(&dyelotv1.CreateShadeStandardResponse{Standard: &dyelotv1.ShadeStandard{Code: "madder-red", Name: "madder red", Colour: &dyelotv1.Lab{L: 44.09, A: 49.82, B: 35.17}, Tolerance: "1.5",
				DatedOn: "2026-03-01", Spectrum: curve(), File: tuesday("madder 3"), Instrument: "spectro-1"}})
		},
	} {
		sheets[name] = write
	}
}

// curve is 400 to 700 nm by 10, the gloss excluded.
func curve() *dyelotv1.Spectrum {
	return &dyelotv1.Spectrum{FirstNm: 400, StepNm: 10, Reflectance: make([]float64, 31), Specular: "excluded"}
}

func tuesday(sample string) *dyelotv1.InstrumentFile {
	return &dyelotv1.InstrumentFile{Name: "tuesday.txt", Sha256: strings.Repeat("9f86d081", 8), Sample: sample}
}

// measurements are one garment read as spectra, a spot left out and one that
// stands out, and a lot's witness strip of another day's L*a*b*. The figures of the
// metamerism and K/S are those of the made-up spectra of the project's checks.
func measurements() *dyelotv1.RecordMeasurementsResponse {
	spot := func(place string, l, a, b, away float64) *dyelotv1.Spot {
		return &dyelotv1.Spot{Place: place, Lab: &dyelotv1.LabValues{L: l, A: a, B: b}, ToMean: away, Spectrum: curve()}
	}
	garment := &dyelotv1.Measurement{Code: "C4", LotCode: "L1", Tag: "16JD", Illuminant: "D65", Observer: 10, Condition: "dry", Rested: true, By: "bench-1", Instrument: "spectro-1", File: tuesday(""), HappenedAt: at("2026-05-20T08:00:00Z"),
		Spots: []*dyelotv1.Spot{spot("16JD", 44.1, 49.8, 35.2, 0.31), spot("16JD 2", 44.2, 49.7, 35.1, 0.36), spot("16JD 3", 44, 49.9, 35.3, 0.28), spot("16JD 4", 44.1, 49.8, 35.1, 0.33), spot("16JD 5", 46.2, 48, 34, 1.41), spot("16JD 6", 40, 38, 30, 6.2)},
		Colour: &dyelotv1.MeasuredColour{Mean: &dyelotv1.LabValues{L: 44.51, A: 49.45, B: 34.94}, Chroma: 60.55, Hue: 35.24, MeanOf: "reflectances", Counted: 5, SpreadGreatest: 1.41, SpreadMean: 0.54, Spectrum: curve(),
			ToStandard: &dyelotv1.StandardDifference{StandardCode: "madder-red", Ciede2000: "1.72", Tolerance: "1.5", Cmc: 1.32, DeltaE: 2.6, DeltaL: 0.42, DeltaC: -0.44, DeltaH: 2.53},
			Depth:      &dyelotv1.ClothDepth{Max: 11.27, MaxNm: 400, Sum: 187.6, OverItemCode: "silk-strip", Formula: "K/S = (1 − R)²/2R (Kubelka & Munk 1931)"},
			Metamerism: []*dyelotv1.MetamericIndex{{Reference: "D65", Test: "F11", Observer: 10, Index: 8.637, Formula: "special index of metamerism, change of illuminant (CIE 015): X, Y, Z of the sample corrected by ratio, then ΔE*ab"},
				{Reference: "D65", Test: "A", Observer: 10, Index: 22.181, Formula: "special index of metamerism, change of illuminant (CIE 015): X, Y, Z of the sample corrected by ratio, then ΔE*ab"}}},
		Warnings: []*dyelotv1.Warning{{Key: "outlier", Text: "spot 5 (16JD 5) stands out, 1.41 from the mean (CIEDE2000, D65/10°): look at it. It counts unless the measurement is recorded anew without it, with a reason",
			Source: "modified z-score above 3.5: Iglewicz & Hoaglin 1993, NIST/SEMATECH e-Handbook 1.3.5.17 [M]"}}}
	garment.Spots[4].Outlier, garment.Spots[5].LeftOut = true, "rust stain"
	strip := &dyelotv1.Measurement{Code: "C5", LotCode: "L1", Illuminant: "D65", Observer: 10, Condition: "dry", By: "bench-1", HappenedAt: at("2026-05-20T08:10:00Z"), File: tuesday(""),
		Spots:    []*dyelotv1.Spot{{Place: "L1/3", Lab: &dyelotv1.LabValues{L: 62.6, A: -1.8, B: 38.9}}},
		Colour:   &dyelotv1.MeasuredColour{Mean: &dyelotv1.LabValues{L: 62.6, A: -1.8, B: 38.9}, Chroma: 38.94, Hue: 92.65, MeanOf: "L*a*b*", Counted: 1, ToStandard: &dyelotv1.StandardDifference{StandardCode: "harbour-gold", Ciede2000: "0.63", Tolerance: "1.5", Within: true, Cmc: 0.61, DeltaE: 1.1, DeltaL: 0.6, DeltaC: 0.89, DeltaH: -0.24}},
		Warnings: []*dyelotv1.Warning{{Key: "not-rested", Text: "it was read on cloth that was not dry and rested, and does not count for the lot", Source: "common practice [CP]"}}}
	return &dyelotv1.RecordMeasurementsResponse{Measurements: []*dyelotv1.Measurement{garment, strip}}
}

func ground() *dyelotv1.RecordGroundResponse {
	return &dyelotv1.RecordGroundResponse{Ground: &dyelotv1.Ground{ItemCode: "silk-strip", Spectrum: curve(), By: "bench-1", Instrument: "spectro-1", File: tuesday("mean of 3 samples"), HappenedAt: at("2026-05-02T08:00:00Z"),
		Colour: &dyelotv1.LabValues{L: 76.07}, Depth: &dyelotv1.ClothDepth{Max: 0.25, MaxNm: 400, Sum: 7.75, Formula: "K/S = (1 − R)²/2R (Kubelka & Munk 1931)"}}}
}

func looked() *dyelotv1.JudgeByEyeResponse {
	return &dyelotv1.JudgeByEyeResponse{Judgement: looks()[0], Warnings: []*dyelotv1.Warning{{Key: "one-eye", Text: "one person looked alone: two people look, and agree", Source: "common practice [CP]"}}}
}

func looks() []*dyelotv1.EyeJudgement {
	return []*dyelotv1.EyeJudgement{
		{Code: "V1", LotCode: "L2", Grade: "3-4", Directions: []string{"weaker", "yellower"}, Light: "D65 lamp", By: "dyer-1", HappenedAt: at("2026-05-20T09:00:00Z"), MeasuredDeltaE: 1.93, MeasuredGrade: "4", MeasuredCiede2000: "1.23",
			Disagreements: []string{"the eye says 3-4, worse than 4, and the instrument is within tolerance (CIEDE2000 1.23 of 1.5, D65/10°): look again in another light, and read more spots"}},
		{Code: "V2", LotCode: "L2", Tag: "16JD", AgainstLotCode: "L1", Grade: "4-5", Light: "north light", By: "dyer-1", SecondBy: "owner", Rested: true, Note: "at ten in the morning", HappenedAt: at("2026-05-21T08:00:00Z"),
			WithdrawnBy: "owner", WithdrawnReason: "the blind was down", WithdrawnAt: at("2026-05-21T10:00:00Z")},
	}
}

func judgedByEyes() *dyelotv1.GetJudgementResponse {
	r := judgedB(false)
	r.Judgement.Eyes = looks()
	r.Judgement.Readings[0].Spots, r.Judgement.Readings[0].Specular = "mean of 4 of 5 spots, at most 0.41 from it, spot 3 stands out", "excluded"
	return r
}
