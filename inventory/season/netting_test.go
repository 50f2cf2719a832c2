package season_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/season"
)

func TestNet(t *testing.T) {
	t.Parallel()
	one := func(s string) *big.Rat {
		if s == "" {
			return nil
		}
		return decimals(t, s)[0]
	}
	for _, c := range []struct {
		name, onHand, safety, gross, scheduled string
		lead                                   int
		multiple, minimum                      string
		projected, net, receipts, releases     string
		pastDue                                string
	}{
		{ // Nahmias, Production and Operations Analysis, ch. 8 (from memory): the net row is printed, the others follow.
			name: "Nahmias", onHand: "23", gross: "77 42 38 21 26 112 45 14 76 38", scheduled: "12 0 6 9", lead: 4,
			projected: "0 0 0 0 0 0 0 0 0 0",
			net:       "42 42 32 12 26 112 45 14 76 38",
			receipts:  "42 42 32 12 26 112 45 14 76 38",
			releases:  "26 112 45 14 76 38 0 0 0 0", pastDue: "128",
		},
		{ // By hand, and so are the rest.
			name: "packs and a smallest order", onHand: "10", safety: "5", gross: "8 2 20 0 9", scheduled: "0 0 0 0 0", lead: 1, multiple: "6", minimum: "10",
			projected: "14 12 10 10 13", net: "3 0 13 0 4", receipts: "12 0 18 0 12", releases: "0 18 0 12 0", pastDue: "12",
		},
		{
			name: "a multiple that is no whole number", onHand: "0", gross: "0.7 0.1", lead: 0, multiple: "0.25",
			projected: "0.05 0.2", net: "0.7 0.05", receipts: "0.75 0.25", releases: "0.75 0.25", pastDue: "0",
		},
		{
			name: "a smallest order that is no whole pack", onHand: "0", gross: "1", lead: 0, multiple: "4", minimum: "9",
			projected: "11", net: "1", receipts: "12", releases: "12", pastDue: "0",
		},
		{
			name: "an empty period refills the safety stock", onHand: "1", safety: "4", gross: "0 0", lead: 0,
			projected: "4 4", net: "3 0", receipts: "3 0", releases: "3 0", pastDue: "0",
		},
		{
			name: "enough on the shelf", onHand: "100", gross: "10 20", scheduled: "5", lead: 3, minimum: "50",
			projected: "95 75", net: "0 0", receipts: "0 0", releases: "0 0", pastDue: "0",
		},
		{
			name: "a lead beyond the plan is all past due", onHand: "0", gross: "3 4", lead: 9,
			projected: "0 0", net: "3 4", receipts: "3 4", releases: "0 0", pastDue: "7",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := season.Net(season.Needs{
				OnHand: one(c.onHand), Safety: one(c.safety), Gross: decimals(t, c.gross), Scheduled: decimals(t, c.scheduled),
				Lead: c.lead, Multiple: one(c.multiple), Minimum: one(c.minimum),
			})
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range []struct{ what, got, want string }{
				{"projected", text(got.Projected...), c.projected},
				{"net", text(got.Net...), c.net},
				{"receipts", text(got.Receipts...), c.receipts},
				{"releases", text(got.Releases...), c.releases},
				{"past due", text(got.PastDue), c.pastDue},
			} {
				if row.got != row.want {
					t.Errorf("%s %s, want %s", row.what, row.got, row.want)
				}
			}
		})
	}
}

// The 6 and 9 of periods 2 and 3 would cover part of what period 0 is short of,
// were they to come earlier: said, not done (Nahmias' figures, from memory).
func TestNetSaysWhichReceiptWouldHelp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ gross, scheduled, want string }{
		{"77 42 38 21 26 112 45 14 76 38", "12 0 6 9", "0←2: 6, 0←3: 9"},
		{"5 0 5", "0 0 8", "0←2: 5"},
		{"5 2 5", "0 0 8", "0←2: 5, 1←2: 2"},
		{"5 2 5 0", "0 0 3 4", "0←2: 3, 0←3: 2, 1←3: 2"},
		{"5 5", "5 5", ""},
		{"1 9 0", "3 0 0", ""},
	} {
		got, err := season.Net(season.Needs{OnHand: new(big.Rat), Gross: decimals(t, c.gross), Scheduled: decimals(t, c.scheduled)})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, p := range got.Pulls {
			said = append(said, fmt.Sprintf("%d←%d: %s", p.Need, p.Receipt, text(p.Covers)))
		}
		if s := strings.Join(said, ", "); s != c.want {
			t.Errorf("gross %s, scheduled %s: %q, want %q", c.gross, c.scheduled, s, c.want)
		}
	}
}

// What was there, came and was planned is what left and what remains; nothing
// ends below the safety stock; every planned receipt is ordered once.
func TestNetConservesStock(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		tenths := func(name string, least, most int64) *big.Rat {
			return big.NewRat(rapid.Int64Range(least, most).Draw(t, name), 10)
		}
		n := season.Needs{OnHand: tenths("on hand", 0, 500), Safety: tenths("safety", 0, 100), Lead: rapid.IntRange(0, 12).Draw(t, "lead")}
		if rapid.Bool().Draw(t, "in packs") {
			n.Multiple = tenths("multiple", 1, 70)
		}
		if rapid.Bool().Draw(t, "at least") {
			n.Minimum = tenths("minimum", 0, 90)
		}
		for range rapid.IntRange(1, 10).Draw(t, "periods") {
			n.Gross = append(n.Gross, tenths("gross", 0, 300))
		}
		for range rapid.IntRange(0, len(n.Gross)).Draw(t, "scheduled periods") {
			n.Scheduled = append(n.Scheduled, tenths("scheduled", 0, 200))
		}
		plan, err := season.Net(n)
		if err != nil {
			t.Fatal(err)
		}
		stock, planned, ordered := new(big.Rat).Set(n.OnHand), new(big.Rat), new(big.Rat).Set(plan.PastDue)
		for p := range n.Gross {
			if p < len(n.Scheduled) {
				stock.Add(stock, n.Scheduled[p])
			}
			stock.Add(stock, plan.Receipts[p]).Sub(stock, n.Gross[p])
			if stock.Cmp(plan.Projected[p]) != 0 || stock.Cmp(n.Safety) < 0 {
				t.Fatalf("period %d ends with %s, projected %s, safety %s", p, text(stock), text(plan.Projected[p]), text(n.Safety))
			}
			if plan.Receipts[p].Cmp(plan.Net[p]) < 0 || (plan.Net[p].Sign() == 0) != (plan.Receipts[p].Sign() == 0) {
				t.Fatalf("period %d needs %s and gets %s", p, text(plan.Net[p]), text(plan.Receipts[p]))
			}
			if n.Multiple != nil && !new(big.Rat).Quo(plan.Receipts[p], n.Multiple).IsInt() {
				t.Fatalf("%s is no multiple of %s", text(plan.Receipts[p]), text(n.Multiple))
			}
			planned.Add(planned, plan.Receipts[p])
			ordered.Add(ordered, plan.Releases[p])
		}
		if planned.Cmp(ordered) != 0 {
			t.Fatalf("%s is planned to come, %s is ordered", text(planned), text(ordered))
		}
	})
}

func TestNetRefuses(t *testing.T) {
	t.Parallel()
	minus, none := big.NewRat(-1, 1), new(big.Rat)
	for _, c := range []struct {
		field string
		spoil func(*season.Needs)
	}{
		{"on_hand", func(n *season.Needs) { n.OnHand = nil }},
		{"on_hand", func(n *season.Needs) { n.OnHand = minus }},
		{"safety", func(n *season.Needs) { n.Safety = minus }},
		{"gross", func(n *season.Needs) { n.Gross, n.Scheduled = nil, nil }},
		{"gross[1]", func(n *season.Needs) { n.Gross = season.Exact(1, -1) }},
		{"gross[0]", func(n *season.Needs) { n.Gross = season.Exact(nan) }},
		{"scheduled", func(n *season.Needs) { n.Scheduled = season.Exact(1, 2, 3) }},
		{"scheduled[0]", func(n *season.Needs) { n.Scheduled = season.Exact(-1) }},
		{"lead", func(n *season.Needs) { n.Lead = -1 }},
		{"multiple", func(n *season.Needs) { n.Multiple = none }},
		{"multiple", func(n *season.Needs) { n.Multiple = minus }},
		{"minimum", func(n *season.Needs) { n.Minimum = minus }},
	} {
		n := season.Needs{OnHand: none, Gross: season.Exact(1, 2), Scheduled: season.Exact(0, 0)}
		c.spoil(&n)
		_, err := season.Net(n)
		wantField(t, err, c.field)
	}
}
