package paper

import (
	"bytes"
	"strings"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"gather":     func(s *Sheet) { s.Gather(gathering(), false) },
		"gather-why": func(s *Sheet) { s.Gather(gathering(), true) },
		"gather-nothing": func(s *Sheet) {
			s.Gather(&dyelotv1.GetGatherListResponse{Today: "2026-06-29", To: "2026-08-23", Later: 1}, false)
		},
		"gather-plant":   func(s *Sheet) { s.PlantYear(weldYear()) },
		"stand-ins":      func(s *Sheet) { s.StandIns(standInsFor()) },
		"stand-ins-none": func(s *Sheet) { s.StandIns(&dyelotv1.ListStandInsResponse{}) },
		"gather-missed": func(s *Sheet) {
			s.MissedNoted(&dyelotv1.NoteMissedResponse{Note: givenUp(), Warnings: []*dyelotv1.Warning{{Key: "weeks-not-over", Source: "common practice [CP]",
				Text: "the weeks of weld of 2026 run until 2026-07-04: given up before they are over"}}})
		},
	} {
		sheets[name] = write
	}
}

func grams(n string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: n, Unit: "g"} }

func gatherCautions() []*dyelotv1.Caution {
	return []*dyelotv1.Caution{{Text: "First come the supplier's safety data sheet, local codes, licensed practice."}, {Text: "Be certain of the plant. What you cannot name, leave."},
		{Text: "Ask permission."}, {Text: "Wear gloves."}, {Text: "Take no lichens and no living bark."}}
}

func weldLine() *dyelotv1.GatherLine {
	return &dyelotv1.GatherLine{State: "open", ItemCode: "weld", Plant: "weld", Part: "flowering top", Opens: "2026-06-20", Closes: "2026-07-04", Week: "2026-06-29",
		Dry: grams("1180"), FreshLow: grams("6380.740740"), FreshHigh: grams("6380.740740"), Ratio: &dyelotv1.FreshRatio{Own: true, Ratio: "5.41"}, Place: &dyelotv1.PlaceYield{Place: "lane behind the boathouse"},
		PickingsLow: 2, PickingsHigh: 2, Text: "weld, 6.4 kg fresh (lane behind the boathouse), closes 4 July",
		For: []*dyelotv1.GatherFor{{Text: "R3 (harbour-gold), 900 g dry by 2026-08-01"}, {Text: "R4 (tarn), 280 g dry"}},
		Why: []string{"needed: R3 (harbour-gold), 900 g dry by 2026-08-01; R4 (tarn), 280 g dry", "strength: none of yours was measured, so it counts as 100 %", "fresh to dry: own 5.41 : 1, of 2 harvests, 5.4 to 5.42",
			"pickings: 2 (lane behind the boathouse: 2 pickings, 5 kg fresh on average (4 kg to 6 kg))", "weeks: 20 June to 4 July (own, 3 pickings in 2 years)", "the table says 10 June to 10 August (common practice)"}}
}

func gathering() *dyelotv1.GetGatherListResponse {
	return &dyelotv1.GetGatherListResponse{Today: "2026-06-29", From: "2026-06-29", To: "2026-08-23", Later: 2, Cautions: gatherCautions(), Lines: []*dyelotv1.GatherLine{
		weldLine(),
		{State: "open", ItemCode: "birch", Plant: "birch", Part: "leaf", Week: "2026-06-29", Text: "birch leaf, 10.8 to 16.2 kg fresh, nobody has measured yours, closes 15 August", Supplier: "Northern Salts",
			For: []*dyelotv1.GatherFor{{Text: "R5 (reed), 2700 g dry"}}},
		{State: "later", ItemCode: "heather", Plant: "heather", Week: "2026-07-06", Text: "heather, 2 kg fresh (above the slipway), opens in 12 days", PickingsLow: 1, PickingsHigh: 2, For: []*dyelotv1.GatherFor{{Text: "R6 (moor), 300 g dry"}}},
		{State: "missed", ItemCode: "alder", Plant: "alder", Part: "bark", Text: "alder bark: over since 6 weeks: missed; 624 g dry is lacking", For: []*dyelotv1.GatherFor{{Text: "R7 (harbour-gold), 624 g dry"}},
			Why: []string{"needed: R7 (harbour-gold), 624 g dry"}, StandIns: standInsFor().GetColourways()},
		{State: "missed", ItemCode: "woad", Plant: "woad", Text: "woad: over since 30 weeks: missed; 100 g dry is lacking", Note: givenUp(), For: []*dyelotv1.GatherFor{{Text: "R8 (tarn), 100 g dry"}}},
		{State: "unknown", ItemCode: "moss", Plant: "moon moss", Text: "moon moss, for 100 g dry; how much fresh nobody knows: nobody knows its weeks", For: []*dyelotv1.GatherFor{{Text: "R9 (reed), 100 g dry"}}},
	}}
}

func givenUp() *dyelotv1.MissedNote {
	return &dyelotv1.MissedNote{Plant: "weld", Part: "flowering top", Year: 2026, Reason: "mown before it flowered", SwatchCode: "T4", By: "owner", RecordedAt: at("2026-07-05T10:00:00Z")}
}

func standInsFor() *dyelotv1.ListStandInsResponse {
	return &dyelotv1.ListStandInsResponse{Today: "2026-06-29", Colourways: []*dyelotv1.ColourwayStandIns{
		{ColourwayCode: "harbour-gold", StandardCode: "gold", Fibre: "silk", FibreMass: grams("1040"), Colour: &dyelotv1.Lab{L: 68, A: -3, B: 46, Illuminant: "D65", Observer: 10}, PassedOver: 2, StandIns: []*dyelotv1.StandIn{
			{Swatch: onionSwatch(), Difference: "2.31", Way: "shelf", WayText: "onion skin is on the shelf: 850 g free (P9), 520 g needed",
				Expected: []*dyelotv1.ExpectedGrade{{Title: "fading in light", Text: "expect 3-4 from T3 (studio-window)"}}},
			{Swatch: weldSwatch(), Difference: "4.80", Way: "season", WayText: "weld is in season, closes 4 July (own, 3 pickings in 2 years)"},
		}},
		{ColourwayCode: "tarn", StandardCode: "tarn", Fibre: "wool", NoneText: "no page of the book on wool is within 10 of tarn with a plant that can be had now; 1 is that near and cannot be had", PassedOver: 1},
	}}
}

func weldYear() *dyelotv1.GetPlantYearResponse {
	return &dyelotv1.GetPlantYearResponse{Today: "2026-06-29", Plant: "weld", Cautions: gatherCautions(), Parts: []*dyelotv1.PlantPart{
		{Part: "flowering top", Weeks: &dyelotv1.PlantWeeks{Known: true, Own: true, Text: "20 June to 4 July", StateText: "closes 4 July", Source: "own, 3 pickings in 2 years", TableText: "10 June to 10 August (common practice)"},
			Ratio:  &dyelotv1.FreshRatio{Text: "own 5.41 : 1, of 2 harvests, 5.4 to 5.42"},
			Places: []*dyelotv1.PlaceYield{{Text: "lane behind the boathouse: 2 pickings, 5 kg fresh on average (4 kg to 6 kg)", LastPickedOn: "2025-07-04"}},
			Years: []*dyelotv1.PlantHarvestYear{
				{Year: 2025, Fresh: grams("10000"), Dry: grams("1850"), Harvests: []*dyelotv1.OwnHarvest{
					{ParcelCode: "P9", PickedOn: "2025-07-04", Place: "lane behind the boathouse", Fresh: grams("6000"), Dry: grams("1110"), Ratio: "5.41"},
					{ParcelCode: "P7", PickedOn: "2025-06-20", Place: "lane behind the boathouse", Fresh: grams("4000"), Dry: grams("740"), Ratio: "5.41"}}},
				{Year: 2024, Fresh: grams("700"), Harvests: []*dyelotv1.OwnHarvest{{ParcelCode: "P2", PickedOn: "2024-06-28", Place: "yard", Fresh: grams("700")}}}},
			Lines: []*dyelotv1.GatherLine{weldLine()}, Missed: []*dyelotv1.MissedNote{givenUp()}},
		{Part: "root", Weeks: &dyelotv1.PlantWeeks{}, Ratio: &dyelotv1.FreshRatio{Text: "3 to 4 : 1 (from memory, not checked against the text [M]): nobody has measured yours"}},
		{Part: "powder", Weeks: &dyelotv1.PlantWeeks{Bought: true}},
	}}
}

// A table for a spreadsheet: exact grams, and no words that it takes for a formula.
func TestGatherAsATable(t *testing.T) {
	t.Parallel()
	r := gathering()
	r.Lines[0].Place.Place = "=lane"
	var out bytes.Buffer
	if err := GatherCSV(&out, r); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	want := `open,2026-06-29,weld,weld,flowering top,2026-06-20,2026-07-04,g,1180,6380.740740,6380.740740,5.41,'=lane,2,2,"R3 (harbour-gold), 900 g dry by 2026-08-01; R4 (tarn), 280 g dry","weld, 6.4 kg fresh (lane behind the boathouse), closes 4 July"`
	if len(lines) != 7 || lines[1] != want || !strings.HasPrefix(lines[5], "given-up,") {
		t.Errorf("%s\nwant\n%s", strings.Join(lines, "\n"), want)
	}
}
