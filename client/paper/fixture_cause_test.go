package paper

import (
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	sheets["cause"] = func(s *Sheet) { s.Cause(causeOfNine(), false) }
	sheets["cause-why"] = func(s *Sheet) { s.Cause(causeOfNine(), true) }
	sheets["cause-few"] = func(s *Sheet) { s.Cause(causeOfThree(), false) }
	sheets["action"] = func(s *Sheet) { s.ActionRecorded(bagBlocked()) }
	sheets["action-done"] = func(s *Sheet) {
		s.ActionDone(&dyelotv1.CompleteActionResponse{Action: doneBlock()})
	}
	sheets["actions"] = func(s *Sheet) {
		s.Actions(&dyelotv1.ListActionsResponse{Actions: []*dyelotv1.Action{lateMethod(), bagBlocked().GetAction(), doneBlock()}})
	}
	sheets["actions-none"] = func(s *Sheet) { s.Actions(&dyelotv1.ListActionsResponse{}) }
	sheets["trace-parcel-blocked"] = func(s *Sheet) {
		r := traceLiquor()
		r.Actions = []*dyelotv1.Action{bagBlocked().GetAction()}
		s.TracedParcel(r)
	}
}

var (
	badAlum   = &dyelotv1.CauseFactor{Kind: "parcel", Code: "P3", Name: "potassium alum P3 (Northern Salts, lot NS-140)"}
	badTub    = &dyelotv1.CauseFactor{Kind: "bath-use", Code: "S16", Name: "mordant S16 of 2026-05-02 in tub-60"}
	dyedBy    = &dyelotv1.CauseFactor{Kind: "person", Code: "dyer-1 at dye", Name: "dyer-1 at dye"}
	thirdUse  = &dyelotv1.CauseFactor{Kind: "bath-use", Code: "S14", Name: "dye S14 of 2026-05-01 in pot-40, use 3 of B2"}
	oneRecipe = &dyelotv1.CauseFactor{Kind: "recipe", Code: "gold version 1", Name: "recipe gold version 1"}
	noIron    = &dyelotv1.CauseFactor{Kind: "iron", Code: "none", Name: "no iron"}
)

// causeOfNine is the case, with the counts that the doc of inventory/cause
// works out.
func causeOfNine() *dyelotv1.FindCauseResponse {
	return &dyelotv1.FindCauseResponse{
		Population: "all 245 garments that left the studio since 2025-06-14", Garments: 245, Returned: 9, LookedAt: 41, SuspectCount: 7,
		ReturnedTags: []string{"1000Q", "1001R", "1006X", "100XF", "100YG", "1013N", "1014P", "1015Q", "1019V"}, LeftOutTags: []string{"0ZZ10"},
		Suspects: []*dyelotv1.CauseSuspect{
			{Rank: 1, Factors: []*dyelotv1.CauseFactor{badAlum, badTub}, Exposed: 24, ExposedReturned: 6, Expected: 0.8816, PValue: 3.2756e-05, Corrected: 0.001343, WorthALook: true,
				Text:      "6 of 9 returns came from the 24 garments that had potassium alum P3 (Northern Salts, lot NS-140) in them; 0.9 expected of 245",
				Relations: []string{"inseparable here from mordant S16 of 2026-05-02 in tub-60: exactly the same garments had both", "all 24 are among the 180 of dyer-1 at dye"},
				Tags:      []string{"1000Q", "1001R", "100XF", "1013N", "1014P", "1015Q"}},
			{Rank: 2, Factors: []*dyelotv1.CauseFactor{thirdUse}, Exposed: 6, ExposedReturned: 2, Expected: 0.2204, PValue: 0.01796, Corrected: 0.7183, Tags: []string{"100XF", "100YG"},
				Text: "2 of 9 returns came from the 6 garments that were in dye S14 of 2026-05-01 in pot-40, use 3 of B2; 0.2 expected of 245"},
			{Rank: 3, Factors: []*dyelotv1.CauseFactor{dyedBy}, Exposed: 180, ExposedReturned: 8, Expected: 6.6122, PValue: 0.2728, Corrected: 1, Tags: []string{"1000Q"},
				Text: "8 of 9 returns came from the 180 garments whose dye dyer-1 did; 6.6 expected of 245"},
		},
		Everywhere: []*dyelotv1.CauseFactor{oneRecipe, noIron},
		Partings: []*dyelotv1.CauseParting{{A: badAlum, B: badTub, Inseparable: true, OnlyALotCodes: []string{"L9"}, Text: []string{
			"potassium alum P3 (Northern Salts, lot NS-140) and mordant S16 of 2026-05-02 in tub-60 cannot be told apart by counting: exactly the same garments had both",
			"test the kept witness cloth of L9 (20 g of P5): it had potassium alum P3 (Northern Salts, lot NS-140) without mordant S16 of 2026-05-02 in tub-60"}}},
		Method: "Fisher's exact test, one-sided (Fisher 1935), of 9 returns among 245 garments; corrected for 41 exposures looked at (Holm 1979); up to 0.05 is worth a look, and never a proof",
	}
}

func causeOfThree() *dyelotv1.FindCauseResponse {
	return &dyelotv1.FindCauseResponse{Population: "all 14 garments that left the studio since 2025-06-14, of colourway tarn", Garments: 14, Returned: 3, ReturnedTags: []string{"1000Q", "1001R", "1006X"}, LookedAt: 6,
		Notes: []string{"three returns are few: even what all of them share may be chance, so take this as questions to ask", "none stands out from chance: with 6 exposures looked at, the best gives 0.58, and up to 0.05 is worth a look"},
		Suspects: []*dyelotv1.CauseSuspect{{Rank: 1, Factors: []*dyelotv1.CauseFactor{badTub}, Exposed: 7, ExposedReturned: 3, Expected: 1.5, PValue: 0.0962, Corrected: 0.577,
			Text: "3 of 3 returns came from the 7 garments that were in mordant S16 of 2026-05-02 in tub-60; 1.5 expected of 14"}}, SuspectCount: 1}
}

func bagBlocked() *dyelotv1.RecordActionResponse {
	return &dyelotv1.RecordActionResponse{
		Action: &dyelotv1.Action{Code: "A4", Kind: "block", Supplier: "Northern Salts", SupplierLot: "NS-140", ParcelCodes: []string{"P3", "P9"}, Change: "block lot NS-140 of Northern Salts (P3, P9)",
			Because: "6 of 9 returns had that alum", Tags: []string{"1000Q", "1001R", "100XF"}, By: "dyer-1", DueOn: "2026-07-01", State: "open"},
		Warnings: []*dyelotv1.Warning{{Key: "still-promised", Source: "house rule", Text: "78 g of P9 is still promised for lot L7: use another parcel at the pot, or plan it anew"}},
	}
}

func doneBlock() *dyelotv1.Action {
	a := bagBlocked().GetAction()
	a.State, a.DoneOn, a.DoneBy, a.Found = "done", "2026-06-20", "owner", "the bag held soda; the supplier took it back"
	return a
}

func lateMethod() *dyelotv1.Action {
	return &dyelotv1.Action{Code: "A2", Kind: "method", Method: "dissolve alum in hot water first", Change: "dissolve alum in hot water first", Because: "spots", By: "owner", DueOn: "2026-06-01", State: "late"}
}
