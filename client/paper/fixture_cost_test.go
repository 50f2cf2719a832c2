package paper

import (
	"bytes"
	"encoding/csv"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	for name, write := range map[string]func(*Sheet){
		"cost-lot":     func(s *Sheet) { s.LotCost(lotCost(), false) },
		"cost-lot-why": func(s *Sheet) { s.LotCost(lotCost(), true) },
		"cost-unknown": func(s *Sheet) { s.LotCost(lotCostUnknown(), false) },
		"cost-run":     func(s *Sheet) { s.RunCost(runCost(), false) },
		"cost-rates":   func(s *Sheet) { s.Rates(rates(), "2026-07-03") },
		"cost-no-rate": func(s *Sheet) { s.Rates(nil, "2026-07-03") },
		"cost-labour": func(s *Sheet) {
			s.Laboured(&dyelotv1.RecordLabourResponse{Minutes: 80, Entry: &dyelotv1.LabourEntry{Of: "L1", Minutes: -15, By: "dyer-1", On: "2026-07-03", Note: "a break"}})
		},
		"whatif": func(s *Sheet) { s.WhatIf(whatIf()) },
	} {
		sheets[name] = write
	}
}

func eur(value string) *dyelotv1.Money { return &dyelotv1.Money{Value: value, Currency: "EUR"} }

func costLine(kind, key, name, n, unit, value string, notes ...string) *dyelotv1.CostLine {
	return &dyelotv1.CostLine{Kind: kind, Key: key, Name: name, Quantity: &dyelotv1.CostQuantity{Value: n, Unit: unit}, Money: eur(value), Notes: notes}
}

// The README's six caps: 61 g of alum instead of 60.8 g at 15 EUR a kilogram, and
// a brew that took longer.
func lotCost() *dyelotv1.LotCost {
	return &dyelotv1.LotCost{LotCode: "L1", RunCode: "R1", ColourwayCode: "harbour-gold", State: "passed", Currency: "EUR", Known: true,
		Title: "L1: 22.22 EUR a garment, 4.37 EUR more than planned: mostly labour",
		Lines: []*dyelotv1.CostLine{
			costLine("blank", "cap-wool", "wool cap", "6", "pc", "30"), costLine("material", "alum", "potassium alum", "61", "g", "0.915"),
			costLine("material", "weld", "weld", "304", "g", "0", "P3 was gathered: no price"),
			costLine("labour", "labour", "labour", "172", "min", "68.8", "4 rinse: 20 min planned, not recorded"), costLine("pot-day", "pot-day", "pot-days", "3.5", "pot-day", "21", "pot-40 on 2026-07-04"),
			costLine("test", "iso-105-x12", "test iso-105-x12", "1", "test", "8"),
		},
		Total: eur("128.715"), Good: 5, Lost: 1, PerGarment: eur("22.22479"), GoodMoney: eur("111.12395"), NormalLoss: eur("3.86145"), AbnormalLoss: eur("17.59105"), ImperfectMoney: eur("0"), AgainMoney: eur("0"),
		Usual:    "usual loss: in all 2 %, look-over 1 %",
		Pieces:   []*dyelotv1.CostPieces{{ItemCode: "cap-wool", Pieces: 4, Money: eur("88.1"), Each: eur("22.025")}, {ItemCode: "cap-wool-l", Pieces: 1, Money: eur("23.02395"), Each: eur("23.02395")}},
		Estimate: &dyelotv1.CostEstimate{Pieces: 6, Total: eur("103.912"), PerGarment: eur("17.854296"), Lines: []*dyelotv1.CostLine{costLine("blank", "cap-wool", "wool cap", "6", "pc", "30"), costLine("material", "alum", "potassium alum", "60.8", "g", "0.912"), costLine("material", "weld", "weld", "304", "g", "0"), costLine("labour", "labour", "labour", "120", "min", "48"), costLine("pot-day", "pot-day", "pot-days", "4", "pot-day", "24"), costLine("test", "studio-home-wash", "test studio-home-wash", "1", "test", "1")}},
		Comparison: &dyelotv1.CostComparison{Planned: eur("89.271478"), Actual: eur("111.12395"), Difference: eur("21.852472"), PerGarment: eur("4.370494"), Reasons: []*dyelotv1.CostReason{
			{Line: "labour", What: "usage", Text: "labour: 172 min instead of 120 min, +20.80 EUR"}, {Line: "test iso-105-x12", What: "unplanned", Text: "test iso-105-x12: 1 test, not in the plan, +8.00 EUR"},
			{Line: "pot-days", What: "usage", Text: "pot-days: 3.5 pot-days instead of 4 pot-days, -3.00 EUR"}, {Line: "how many came out good", What: "yield", Text: "good garments: 5 of 6, 3 % usually lost, 17.59 EUR of loss stands apart, -2.95 EUR"},
			{Line: "test studio-home-wash", What: "not-used", Text: "test studio-home-wash: none instead of 1 test, -1.00 EUR"}, {Line: "potassium alum", What: "usage", Text: "potassium alum: 61 g instead of 60.8 g, +0.003 EUR"}}},
		ExhaustRule: "first-use", ExhaustWords: "a bath used again: its first use bears all (first-use)", Price: eur("35.559664"), MarginPercent: "60"}
}

func lotCostUnknown() *dyelotv1.LotCost {
	dark := costLine("material", "weld", "weld", "304", "g", "0")
	dark.Unknown = []string{"P3 has no price"}
	part := costLine("material", "alum", "potassium alum", "61", "g", "0.3")
	part.Unknown = []string{"P1 was paid in DKK, and no rate to EUR is kept"}
	return &dyelotv1.LotCost{LotCode: "L2", State: "in-work", Currency: "EUR", SoFar: true, Title: "L2: not known: P3 has no price and no rate for labour; at least 9.10 EUR a garment so far",
		Lines: []*dyelotv1.CostLine{part, dark, {Kind: "labour", Key: "labour", Name: "labour", Quantity: &dyelotv1.CostQuantity{Value: "60", Unit: "min"}, Unknown: []string{"no rate for labour"}, Notes: []string{"1 mordant: 60 min planned, not recorded"}}},
		Total: eur("54.6"), Unknown: []string{"P3 has no price", "no rate for labour"}, Good: 6, GoodMoney: eur("54.6"), PerGarment: eur("9.1"), Estimate: &dyelotv1.CostEstimate{Total: eur("0"), Unknown: []string{"P3 has no price"}}}
}

func runCost() *dyelotv1.GetRunCostResponse {
	return &dyelotv1.GetRunCostResponse{RunCode: "R1", Title: "R1: at least 183.32 EUR in all, at least 15.07 EUR a garment (11 good garments of 2 lots)", Lots: []*dyelotv1.LotCost{lotCost(), lotCostUnknown()}, Total: eur("183.315")}
}

func rates() []*dyelotv1.CostRate {
	return []*dyelotv1.CostRate{{Kind: "labour", Money: eur("24"), FromOn: "2026-01-01"}, {Kind: "pot-day", Money: eur("6"), FromOn: "2026-01-01"}, {Kind: "pot-day", Subject: "vat-50", Money: eur("9"), FromOn: "2026-05-01"},
		{Kind: "test", Subject: "iso-105-x12", Money: eur("8"), FromOn: "2026-01-01"}, {Kind: "normal-loss", Percent: "2", FromOn: "2026-01-01"}, {Kind: "pooled", Subject: "alum", Pooled: true, FromOn: "2026-01-01"}}
}

func whatIf() *dyelotv1.CompareWhatIfResponse {
	need := func(code, n, unit, short string) *dyelotv1.WhatIfNeed {
		return &dyelotv1.WhatIfNeed{ItemCode: code, Amount: &dyelotv1.Amount{Value: n, Unit: unit}, Short: &dyelotv1.Amount{Value: short, Unit: unit}}
	}
	return &dyelotv1.CompareWhatIfResponse{ColourwayCode: "harbour-gold", BlankItemCode: "cap-wool", Currency: "EUR", Variants: []*dyelotv1.WhatIfVariant{
		{Name: "as it is", RecipeCode: "weld-wool", RecipeVersion: 1, Pieces: 24, Lots: 3, Pots: []string{"pot-40", "pot-40", "pot-30"}, PotDays: 12, Estimate: &dyelotv1.CostEstimate{PerGarment: eur("14.95")},
			Needs: []*dyelotv1.WhatIfNeed{need("cap-wool", "24", "pc", "18"), need("alum", "241.9", "g", "0"), need("weld", "1210", "g", "914")}, Expect: []string{"expect light 3 by studio-window, the worst of 2 lots"}},
		{Name: "mordant aluminium-sulfate-18", RecipeCode: "weld-wool", RecipeVersion: 1, Pieces: 24, Lots: 3, Pots: []string{"pot-40", "pot-40", "pot-30"}, PotDays: 12,
			Estimate: &dyelotv1.CostEstimate{PerGarment: eur("14.8"), Unknown: []string{"aluminium-sulfate-18 has no price: none ever came"}}, Needs: []*dyelotv1.WhatIfNeed{need("cap-wool", "24", "pc", "18"), need("aluminium-sulfate-18", "169.9", "g", "169.9"), need("weld", "1210", "g", "914")},
			Differs: []string{"8.4292 % WOF of aluminium-sulfate-18 for 12 % of alum, by equal metal; equal aluminium is not equal shade: a guide to a trial, never an automatic substitution", "what is known of both costs the same; not compared: aluminium sulfate 18-hydrate, potassium alum",
				"169.9 g of aluminium-sulfate-18", "no alum (241.9 g)", "the books know no lot of it: how it wears is not known"},
			Warnings: []*dyelotv1.Warning{{Key: "k", Text: "confirm the hazard statements from the supplier's sheet", Source: "common practice [CP]"}}}}}
}

// A row a line, one that was only planned among them; what a spreadsheet would
// take for a formula gets a quote.
func TestRunCostAsATable(t *testing.T) {
	t.Parallel()
	run := runCost()
	run.Lots[0].Lines[1].Name = "=alum"
	var out bytes.Buffer
	if err := RunCostCSV(&out, run); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 1+7+3 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, w := range []struct {
		row, column int
		want        string
	}{{2, 4, "'=alum"}, {2, 5, "61"}, {2, 7, "0.915"}, {2, 8, "EUR"}, {2, 10, "60.8"}, {2, 11, "0.912"}, {7, 3, "studio-home-wash"}, {7, 5, ""}, {7, 11, "1"}, {9, 9, "no"}, {9, 12, "P3 has no price"}} {
		if got := rows[w.row][w.column]; got != w.want {
			t.Errorf("row %d, %s: %q, want %q", w.row, rows[0][w.column], got, w.want)
		}
	}
}
