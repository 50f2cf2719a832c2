package paper

import (
	"fmt"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"shades":         func(s *Sheet) { s.ShadesSorted(choirSorted()) },
		"shades-kept":    func(s *Sheet) { s.ShadesKept(&dyelotv1.KeepShadesResponse{Sorted: choirKept()}) },
		"shades-no-set":  func(s *Sheet) { s.ShadesSorted(choirWithoutASet()) },
		"shades-across":  func(s *Sheet) { s.ShadesSorted(choirAcross()) },
		"shades-unread":  func(s *Sheet) { s.ShadesSorted(choirUnread()) },
		"shade-history":  func(s *Sheet) { s.ShadeHistory(goldOverLots()) },
		"shade-one-lot":  func(s *Sheet) { s.ShadeHistory(goldOnce()) },
		"shade-alike":    func(s *Sheet) { s.ShadeHistory(goldAlike()) },
		"shade-none-yet": func(s *Sheet) { s.ShadeHistory(&dyelotv1.GetShadeHistoryResponse{StandardCode: "gold"}) },
		"shade-garments": func(s *Sheet) { s.Garments(garmentsInGroups()) },
	} {
		sheets[name] = write
	}
}

func hung(tag, lot string, l float64, worst, difference, reading string) *dyelotv1.ShadeGarment {
	return &dyelotv1.ShadeGarment{Tag: tag, LotCode: lot, ItemCode: "tunic-silk-m", Style: "tunic", Size: "M", Colour: &dyelotv1.Lab{L: l, A: -2, B: 38}, WorstTag: worst, WorstDifference: difference, ReadingCodes: []string{reading}}
}

func choirSorted() *dyelotv1.SortShadesResponse {
	return &dyelotv1.SortShadesResponse{Of: "R1", LotCodes: []string{"L1", "L2"}, StandardCode: "choir-olive", View: "D65/10°", Tolerance: "1", ToleranceFrom: "as agreed for W1",
		Groups: []*dyelotv1.ShadeGroup{
			{Number: 1, Spread: "0.95", Mean: &dyelotv1.Lab{L: 61.14, A: -2, B: 38}, Garments: []*dyelotv1.ShadeGarment{
				hung("1000X", "L1", 60.8, "10037", "0.95", "C1"), hung("10013", "L1", 60.9, "10037", "0.86", "C2"), hung("10025", "L1", 61, "10037", "0.78", "C3"), hung("10037", "L1", 61.9, "1000X", "0.95", "C4"),
			}},
			{Number: 2, Spread: "0.08", Mean: &dyelotv1.Lab{L: 63.05, A: -0.04, B: 38}, Garments: []*dyelotv1.ShadeGarment{hung("1005B", "L2", 63, "1006D", "0.08", "C6"), hung("1006D", "L2", 63.1, "1005B", "0.08", "C7")}},
			{Number: 3, Spread: "0", Mean: &dyelotv1.Lab{L: 66, A: -2, B: 38}, Garments: []*dyelotv1.ShadeGarment{hung("1007F", "L2", 66, "", "", "C8")}},
		},
		Proved: true, Proof: "1000X, 1005B, 1007F are each more than 1 from all the others, so no fewer than 3 groups will do", Pairs: 21, PairsBeyond: 14,
		Set:        &dyelotv1.ShadeSet{Pieces: []*dyelotv1.ShadePieces{{What: "tunic", Count: 3}}, Group: 1, Tags: []string{"1000X", "10013", "10025"}, Spread: "0.17", WorstTag: "1000X", WorstOtherTag: "10025", Exact: true},
		Unmeasured: []*dyelotv1.ShadeLeftOut{{Tag: "10049", LotCode: "L1", Why: "never read by itself"}, {Tag: "1008H", LotCode: "L2", Why: "C9 was of wet cloth"}},
		Apart:      []*dyelotv1.ShadeLeftOut{{Tag: "1009K", LotCode: "L2", Why: "its own verdict: imperfect"}},
	}
}

func choirKept() *dyelotv1.SortShadesResponse {
	r := choirSorted()
	r.Set, r.Unmeasured, r.Apart = nil, nil, nil
	r.Kept = &dyelotv1.KeptShades{Of: "R1", KeptAt: at("2026-07-09T12:00:00Z"), By: "bench-1", Tolerance: "1", Groups: 3, Garments: 7, StillSo: true}
	return r
}

func choirWithoutASet() *dyelotv1.SortShadesResponse {
	r := choirKept()
	r.Proved, r.Proof = false, "the search was cut short: fewer than 3 groups may do, but not fewer than 2"
	r.Kept.StillSo, r.Kept.Groups = false, 2
	r.Warnings = []*dyelotv1.Warning{{Key: "wider-than-agreed", Source: "as agreed for W1", Text: "sorted at 1, and a set may be 0.5 apart at most: what hangs together here is no set by that"}}
	r.Set = &dyelotv1.ShadeSet{Pieces: []*dyelotv1.ShadePieces{{What: "tunic", Count: 4}, {What: "scarf", Count: 1}}, Exact: true,
		Lacks: []*dyelotv1.ShadeLack{{Group: 1, Text: "has 0 of 1 scarf"}, {Group: 2, Text: "has 2 of 4 tunic, 0 of 1 scarf"}, {Group: 3, Text: "has enough pieces, but not of one harvest of weld: lot L1 has P3 and lot L2 has P9"}}}
	return r
}

// choirAcross is four pieces in steps of 1 in L*, of which the two in the middle
// are asked for.
func choirAcross() *dyelotv1.SortShadesResponse {
	scarf := func(m *dyelotv1.ShadeGarment) *dyelotv1.ShadeGarment {
		m.Style, m.ItemCode, m.Size = "", "scarf-silk", ""
		return m
	}
	r := choirSorted()
	r.Apart, r.Unmeasured, r.Pairs, r.PairsBeyond, r.Proof = nil, nil, 6, 3, "1000X and 10025 are more than 1 apart, so no fewer than 2 groups will do"
	r.Groups = []*dyelotv1.ShadeGroup{
		{Number: 1, Spread: "0.86", Mean: &dyelotv1.Lab{L: 60.5, A: -2, B: 38}, Garments: []*dyelotv1.ShadeGarment{scarf(hung("1000X", "L1", 60, "10013", "0.86", "C1")), hung("10013", "L1", 61, "1000X", "0.86", "C2")}},
		{Number: 2, Spread: "0.85", Mean: &dyelotv1.Lab{L: 62.5, A: -2, B: 38}, Garments: []*dyelotv1.ShadeGarment{hung("10025", "L1", 62, "10037", "0.85", "C3"), scarf(hung("10037", "L1", 63, "10025", "0.85", "C4"))}},
	}
	r.Set = &dyelotv1.ShadeSet{Pieces: []*dyelotv1.ShadePieces{{What: "tunic", Count: 2}}, Across: true, Exact: true, Tags: []string{"10013", "10025"}, Spread: "0.86", WorstTag: "10013", WorstOtherTag: "10025",
		Lacks: []*dyelotv1.ShadeLack{{Group: 1, Text: "has 1 of 2 tunic"}, {Group: 2, Text: "has 1 of 2 tunic"}}}
	return r
}

func choirUnread() *dyelotv1.SortShadesResponse {
	r := &dyelotv1.SortShadesResponse{Of: "L1, L2", View: "D65/10°", Tolerance: "1", ToleranceFrom: "the set tolerance of choir-olive", Proved: true,
		Set: &dyelotv1.ShadeSet{Pieces: []*dyelotv1.ShadePieces{{What: "tunic", Count: 4}}, Exact: true}}
	for i := range 14 {
		r.Unmeasured = append(r.Unmeasured, &dyelotv1.ShadeLeftOut{Tag: fmt.Sprintf("1%03dX", i), LotCode: "L1", Why: "never read by itself"})
	}
	return r
}

// goldOverLots is eight lots of which the last jumped, five of them read as
// spectra.
func goldOverLots() *dyelotv1.GetShadeHistoryResponse {
	r := &dyelotv1.GetShadeHistoryResponse{StandardCode: "gold", View: "D65/10°", Tolerance: "1.5", StrengthNm: 420,
		Difference: &dyelotv1.ShadeChart{Key: "difference", Title: "difference to standard gold, CIEDE2000, D65/10°", Drawn: true, Provisional: true, Mean: 0.7975, MeanMovingRange: 0.3543, Lower: 0, Upper: 1.7398, OutsideLotCodes: []string{"L12"},
			Text: "limits from 8 lots (individuals chart, NIST/SEMATECH 6.3.2.2); provisional under 20 lots: they still move; outside the limits: L12"},
		Strength: &dyelotv1.ShadeChart{Key: "strength", Title: "strength, per cent of standard gold: K/S at 420 nm over the standard's", Drawn: true, Provisional: true, Mean: 97.6, MeanMovingRange: 7, Lower: 78.98, Upper: 116.22,
			Text: "limits from 5 lots (individuals chart, NIST/SEMATECH 6.3.2.2); provisional under 20 lots: they still move"}}
	for i, d := range []float64{0.63, 0.71, 0.52, 0.8, 0.66, 0.48, 0.55, 2.03} {
		when := at(fmt.Sprintf("2026-0%d-14T08:00:00Z", i+1))
		l := &dyelotv1.ShadeHistoryLot{LotCode: fmt.Sprintf("L%d", i+5), RunCode: fmt.Sprintf("R%d", i+3), DyedAt: when, State: "closed", Difference: fmt.Sprintf("%.2f", d), StrengthWhy: "no spectrum"}
		r.Difference.Points = append(r.Difference.Points, &dyelotv1.ShadePoint{LotCode: l.LotCode, DyedAt: when, Value: d, Outside: d > 1.7398})
		if i >= 3 {
			v := []float64{100, 104, 95, 98, 91}[i-3]
			l.StrengthPercent, l.StrengthWhy = fmt.Sprintf("%.1f", v), ""
			r.Strength.Points = append(r.Strength.Points, &dyelotv1.ShadePoint{LotCode: l.LotCode, DyedAt: when, Value: v})
		}
		r.Lots = append(r.Lots, l)
	}
	r.Lots = append(r.Lots, &dyelotv1.ShadeHistoryLot{LotCode: "L13", RunCode: "R11", DyedAt: at("2026-09-20T08:00:00Z"), State: "waiting-for-tests", StrengthWhy: "no reading counts"})
	return r
}

func goldOnce() *dyelotv1.GetShadeHistoryResponse {
	r := goldOverLots()
	one := &dyelotv1.ShadeChart{Key: "difference", Title: r.GetDifference().GetTitle(), Points: r.GetDifference().GetPoints()[:1], Provisional: true, Text: "one lot alone has no limits: there is no step from lot to lot yet"}
	lot := proto.CloneOf(r.GetLots()[0])
	lot.StrengthWhy = "standard gold has no spectrum"
	return &dyelotv1.GetShadeHistoryResponse{StandardCode: "gold", View: r.GetView(), Tolerance: "1.5", Lots: []*dyelotv1.ShadeHistoryLot{lot}, Difference: one,
		Strength: &dyelotv1.ShadeChart{Key: "strength", Title: "strength, per cent of standard gold", Provisional: true, Text: "standard gold has no spectrum"}}
}

func goldAlike() *dyelotv1.GetShadeHistoryResponse {
	r := goldOverLots()
	r.Lots, r.Strength = r.GetLots()[:2], &dyelotv1.ShadeChart{Title: "strength, per cent of standard gold", Text: "standard gold has no spectrum"}
	r.StrengthNm, r.Difference.OutsideLotCodes = 0, nil
	r.Difference.Points = r.GetDifference().GetPoints()[:2]
	for i := range 2 {
		r.Lots[i].Difference, r.Difference.Points[i].Value = "0.63", 0.63
	}
	r.Difference.Mean, r.Difference.Lower, r.Difference.Upper, r.Difference.Text = 0.63, 0.63, 0.63, "limits from 2 lots (individuals chart, NIST/SEMATECH 6.3.2.2); provisional under 20 lots: they still move"
	return r
}

func garmentsInGroups() *dyelotv1.ListGarmentsResponse {
	gs := tunics("L1", "shelf", "", "105", "104", "106")
	gs[0].Shade, gs[1].Shade = "1 of 2 of R1", "2 of 2 of R1"
	return &dyelotv1.ListGarmentsResponse{Garments: gs}
}
