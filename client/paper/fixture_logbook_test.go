package paper

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"corrected":       func(s *Sheet) { s.Corrected(correctedMordant()) },
		"withdrawn":       func(s *Sheet) { s.Withdrawn(withdrawnTest()) },
		"judged-withdrew": func(s *Sheet) { s.Judged(judgedWithdrawn()) },
		"year":            func(s *Sheet) { s.Year(yearBooks()) },
		"counted-late":    func(s *Sheet) { s.Counted(countLate()) },
		"logged-scale":    func(s *Sheet) { s.Logged(loggedScale()) },
		"logged-mishap":   func(s *Sheet) { s.Logged(loggedMishap("22 59 13 00")) },
		"logged-unset":    func(s *Sheet) { s.Logged(loggedMishap("")) },
		"log":             func(s *Sheet) { s.Log(logLines()) },
		"due":             func(s *Sheet) { s.Due(dueChecks()) },
		"interval": func(s *Sheet) {
			s.IntervalSet(&dyelotv1.SetLogIntervalResponse{Due: &dyelotv1.Due{Book: "water", EveryDays: 1}})
		},
	} {
		sheets[name] = write
	}
}

// The choir's mordant again: 162 g were written, 160 g were in the tub.
func correctedMordant() *dyelotv1.CorrectStageResponse {
	used := func(grams string) []*dyelotv1.Used {
		return []*dyelotv1.Used{{ParcelCode: "P9", ItemCode: "alum", ItemName: "alum", Amount: g(grams), WofPercent: map[string]string{"162": "15", "160": "14.8148"}[grams]}}
	}
	record := func(code, grams string) *dyelotv1.StageRecord {
		return &dyelotv1.StageRecord{Code: code, Kind: "mordant", Position: 2, LotCodes: []string{"L1", "L2"}, VesselCode: "tub-60", By: "dyer-1", HappenedAt: at("2026-05-15T07:30:00Z"), Used: used(grams)}
	}
	was, right := record("S2", "162"), record("S9", "160")
	was.Undone, was.UndoneReason, was.CorrectedBy, right.Corrects = true, "read 160 as 162", "S9", "S2"
	right.Deviations = []*dyelotv1.Deviation{{Key: "dose", Text: "alum: 160 g instead of 162 g (-2 g)"}}
	return &dyelotv1.CorrectStageResponse{Record: right, Corrected: was, Parcels: []*dyelotv1.Parcel{newAlum("340")}, Next: "stage 3, brew, 720 g of weld",
		Reversal: &dyelotv1.Movement{Code: "M33", Kind: "reversal", Legs: []*dyelotv1.Leg{{ParcelCode: "P9", From: "process", To: "shelf", Amount: g("162")}}},
		Warnings: []*dyelotv1.Warning{{Key: "before-count", Source: "common practice [CP]", Text: "this was at 2026-05-15 09:30, before P9 was counted at 2026-05-16 11:00 and 338 g were found, and it is written down after: that count may have booked it already, so count P9 again"}}}
}

func withdrawnTest() *dyelotv1.WithdrawEvidenceResponse {
	return &dyelotv1.WithdrawEvidenceResponse{Code: "F7", LotCode: "L1", Withdrawal: &dyelotv1.Withdrawal{By: "owner", Reason: "the card hung in the shade", At: at("2026-08-22T08:00:00Z")},
		Warnings: []*dyelotv1.Warning{{Key: "decided", Text: "lot L1 is passed already, perhaps by F7: look at where it stands without it, and hold it or decide anew", Source: "common practice [CP]"}}}
}

func judgedWithdrawn() *dyelotv1.GetJudgementResponse {
	r := judgedB(false)
	for _, reading := range r.GetJudgement().GetReadings() {
		reading.WithdrawnBy, reading.WithdrawnReason, reading.WithdrawnAt = "bench-1", "a rust stain lay under the eye", at("2026-07-01T08:00:00Z")
	}
	return r
}

// 155 g and 500 g of alum through a year, worked by hand: the old bag spoilt to
// the last 20 g, the new one was used, 3 g of it found, and counted 2 g short.
func yearBooks() *dyelotv1.GetYearResponse {
	old := &dyelotv1.YearLine{ParcelCode: "P1", ItemCode: "alum", ItemName: "potassium alum", ItemKind: "mordant", Opening: g("155"), In: g("0"), Found: g("0"), Used: g("0"), Spoiled: g("135"), SentBack: g("0"), Counted: g("0"), Book: g("20")}
	bag := &dyelotv1.YearLine{ParcelCode: "P9", ItemCode: "alum", ItemName: "potassium alum", ItemKind: "mordant", Opening: g("0"), In: g("500"), Found: g("3"), Used: g("162"), Spoiled: g("0"), SentBack: g("0"), Counted: g("-2"), Book: g("339"), Late: true,
		LastCount: &dyelotv1.Count{Counted: g("339"), Book: g("341"), Difference: g("-2"), HappenedAt: at("2026-12-30T09:00:00Z"), By: "bench-1", Reason: "=SUM(A1:A9) of the shelf"}}
	sum := &dyelotv1.YearLine{ItemCode: "alum", ItemName: "potassium alum", Opening: g("155"), In: g("500"), Found: g("3"), Used: g("162"), Spoiled: g("135"), SentBack: g("0"), Counted: g("-2"), Book: g("359"), Late: true}
	iron := &dyelotv1.YearLine{ParcelCode: "P10", ItemCode: "iron-liquor", ItemName: "-iron liquor", ItemKind: "solution", Opening: ml("0"), In: ml("500"), Found: ml("0"), Used: ml("57"), Spoiled: ml("0"), SentBack: ml("0"), Counted: ml("0"), Book: ml("443"),
		LastCount: &dyelotv1.Count{Counted: ml("443"), Book: ml("443"), Difference: ml("0"), HappenedAt: at("2026-12-30T09:10:00Z"), By: "bench-1"}}
	return &dyelotv1.GetYearResponse{From: "2026-01-01", To: "2026-12-31", Items: []*dyelotv1.YearItem{{Sum: sum, Parcels: []*dyelotv1.YearLine{old, bag}}, {Sum: iron, Parcels: []*dyelotv1.YearLine{iron}}}}
}

func countLate() *dyelotv1.CountParcelResponse {
	p := newAlum("0")
	return &dyelotv1.CountParcelResponse{Parcel: p, Movement: &dyelotv1.Movement{Code: "M41", HappenedAt: at("2026-05-16T09:00:00Z")}, Difference: g("-90"), Book: g("100"), Beyond: g("70"),
		Warnings: []*dyelotv1.Warning{{Key: "count-beyond", Source: "common practice [CP]", Text: "70 g of what was used since the count cannot have been there by it: P9 is booked down to nothing and no further; look at the count and at what was recorded after it"}}}
}

func loggedScale() *dyelotv1.AddLogEntryResponse {
	return &dyelotv1.AddLogEntryResponse{NextDue: "2026-06-13", Entry: &dyelotv1.LogEntry{Code: "J4", Book: "scale", Subject: "kitchen-scale", HappenedAt: at("2026-05-14T08:00:00Z"), By: "bench-1",
		Text: "read 199.8 g for a check mass of 200 g: -0.2 g, -0.1 % or -1 ‰ of the check mass; it shows steps of 0.1 g"},
		Warnings: []*dyelotv1.Warning{{Key: "scale-off", Source: "common practice [CP]", Text: "kitchen-scale is off by -0.2 g at 200 g (-0.1 % of the check mass), more than the 0.1 g that it shows: level it, let it warm up, check again, and have it adjusted or use another"}}}
}

func loggedMishap(centre string) *dyelotv1.AddLogEntryResponse {
	return &dyelotv1.AddLogEntryResponse{PoisonCentre: centre,
		Cautions: []*dyelotv1.Caution{{Text: "Somebody hurt, or something swallowed or in an eye: get help first.", Source: "common practice [CP]"},
			{Text: "First come the supplier's safety data sheet, local codes, licensed practice.", Source: "common practice [CP]"},
			{Text: "20 mg of elemental iron for each kg of body weight makes a child ill.", Source: "McGuigan 1996; Bateman 2003 [S]"}},
		Entry: &dyelotv1.LogEntry{Code: "J5", Book: "accident", HappenedAt: at("2026-05-14T08:00:00Z"), By: "dyer-1", Text: "at after-dip: liquor splashed into an eye; done: rinsed 15 min, doctor", Note: "goggles hung by the door"}}
}

func logLines() *dyelotv1.ListLogEntriesResponse {
	taken := loggedScale().GetEntry()
	taken.Withdrawal = &dyelotv1.Withdrawal{By: "owner", Reason: "a cup stood on it", At: at("2026-05-15T08:00:00Z")}
	return &dyelotv1.ListLogEntriesResponse{Entries: []*dyelotv1.LogEntry{loggedMishap("").GetEntry(), taken,
		{Code: "J1", Book: "water", Subject: "well", HappenedAt: at("2026-04-01T08:00:00Z"), By: "owner", Text: "4 °dH, soft (0.71 mmol/L, 71 mg/L as CaCO3); 0.1 mg/L of iron"}}}
}

func dueChecks() *dyelotv1.ListDueResponse {
	return &dyelotv1.ListDueResponse{Today: "2026-06-14", Due: []*dyelotv1.Due{
		{Book: "buffer", Subject: "ph-meter", EveryDays: 14, Overdue: true, Text: "check the pH meter in a fresh buffer: never done, asked for every 14 days"},
		{Book: "scale", Subject: "kitchen-scale", EveryDays: 30, LastOn: "2026-05-14", NextOn: "2026-06-13", Overdue: true, Text: "check the scale with a check mass: last done 2026-05-14, asked for every 30 days"},
		{Book: "scale", Subject: "old-balance", LastOn: "2024-05-14", Text: "check the scale with a check mass: not asked for"},
		{Book: "water", Subject: "well", EveryDays: 365, LastOn: "2026-04-01", NextOn: "2027-04-01", Text: "test the water for hardness and iron: last done 2026-04-01, asked for every 365 days"}}}
}

// A table is read back as it was written; words that begin like a formula carry
// a quote, figures below nothing do not. Which signs a spreadsheet takes for a
// formula (= + - @, tab, return, and their wide forms) is common knowledge.
func TestTheTableHoldsNoFormula(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	if err := YearCSV(&out, yearBooks()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Fatal(rows, err)
	}
	want := [][]string{
		{"alum", "potassium alum", "mordant", "P1", "g", "155", "0", "0", "0", "135", "0", "0", "20", "", "", "", "", "", ""},
		{"alum", "potassium alum", "mordant", "P9", "g", "0", "500", "3", "162", "0", "0", "-2", "339", "339", "2026-12-30T09:00:00Z", "-2", "bench-1", "'=SUM(A1:A9) of the shelf", "yes"},
		{"iron-liquor", "'-iron liquor", "solution", "P10", "mL", "0", "500", "0", "57", "0", "0", "0", "443", "443", "2026-12-30T09:10:00Z", "0", "bench-1", "", ""},
	}
	if diff := cmp.Diff(want, rows[1:]); diff != "" {
		t.Error(diff)
	}
	for _, risky := range []string{"=1+1", "+1", "-1", "@x", " =1", "\t=1", "\tx", "\u00a0=1", "＝1", "'=1", "\"=1", "|x", "%x"} {
		if got := inert(risky); !strings.HasPrefix(got, "'") || got == risky {
			t.Errorf("%q stays %q", risky, got)
		}
	}
	for _, words := range []string{"", "alum", "a=b", "5 g - spilt", "'s Graven"} {
		if got := inert(words); got != words {
			t.Errorf("%q becomes %q", words, got)
		}
	}
}
