package cost_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/cost"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func eur(micro int64) quantity.Money { return quantity.Money{Micro: micro, Currency: "EUR"} }

func line(kind cost.Kind, key string, n, micro int64) cost.Line {
	return cost.Line{Kind: kind, Key: key, Name: key, Quantity: cost.Quantity{N: n, Unit: "g"}, Money: eur(micro)}
}

func grams(n int64) quantity.Amount { return quantity.Grams(n) }

// 405 EUR over 541 g and 539 g of silk, by hand: 405 × 541 / 1080 = 202.875, and
// 202.125. Horngren's joint cost stands in cost_test.go.
func TestASharedTubIsDividedByFibreMass(t *testing.T) {
	t.Parallel()
	first := []cost.Served{{LotID: 1, Fibre: grams(541)}, {LotID: 2, Fibre: grams(539)}}
	later := []cost.Served{{LotID: 3, Fibre: grams(1080)}}
	tub := cost.Charge{Line: line(cost.Material, "alum", 162_000_000, 405_000_000), Uses: [][]cost.Served{first, later}}
	for _, c := range []struct {
		rule cost.Rule
		want map[int64]int64
	}{
		{cost.FirstUse, map[int64]int64{1: 202_875_000, 2: 202_125_000}},
		// Over both uses, 2160 g: half of each.
		{cost.ByFibre, map[int64]int64{1: 101_437_500, 2: 101_062_500, 3: 202_500_000}},
	} {
		got := tub.Shares(c.rule)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v", c.rule, got)
		}
		for lot, want := range c.want {
			if got[lot].Money.Micro != want {
				t.Errorf("%s: lot %d bears %d, want %d", c.rule, lot, got[lot].Money.Micro, want)
			}
		}
	}
	if got := (cost.Charge{Line: tub.Line}).Shares(cost.FirstUse); len(got) != 0 {
		t.Errorf("nobody used it, and %v", got)
	}
}

// A brew poured into two dye baths, of which the first is used again: by fibre,
// the later lot bears of the first one's share only. By hand: 300 EUR over 100 g
// and 200 g; the 100 EUR over 100 g and 300 g.
func TestABrewSCostFollowsItsDyeBath(t *testing.T) {
	t.Parallel()
	brew := cost.Charge{Line: line(cost.Material, "weld", 300, 300_000_000), Uses: [][]cost.Served{{
		{LotID: 1, Fibre: grams(100), Later: []cost.Served{{LotID: 9, Fibre: grams(300)}}}, {LotID: 2, Fibre: grams(200)}}}}
	got := brew.Shares(cost.ByFibre)
	if got[1].Money.Micro != 25_000_000 || got[9].Money.Micro != 75_000_000 || got[2].Money.Micro != 200_000_000 {
		t.Errorf("%v", got)
	}
	if got := brew.Shares(cost.FirstUse); got[1].Money.Micro != 100_000_000 || len(got) != 2 {
		t.Errorf("%v", got)
	}
}

// FIFO's moving average of checks.md through the ledger: 10 at 6, 20 at 12, used
// 15, then 15 at 14 → used 150, left 360. By their own cost the 15 are 10 of the
// first bag and 5 of the second: 60 + 60 = 120, as FIFO has it.
func TestTheLedgerIsPricedByBagOrByHeap(t *testing.T) {
	t.Parallel()
	bag := func(id, euros int64) cost.Paid {
		return cost.Paid{ID: id, Item: stock.Item{ID: 1, Code: "alum", Unit: quantity.Count}, Origin: stock.FromDelivery, Cost: eur(euros * 1_000_000)}
	}
	parcels := []cost.Paid{bag(1, 60), bag(2, 240), bag(3, 210)}
	ledger := []cost.Posting{
		{Movement: 1, Line: 1, ParcelID: 1, From: stock.Supplier, To: stock.Shelf, N: 10}, {Movement: 2, Line: 1, ParcelID: 2, From: stock.Supplier, To: stock.Shelf, N: 20},
		{Movement: 3, Line: 1, ParcelID: 1, From: stock.Shelf, To: stock.Process, N: 10}, {Movement: 3, Line: 2, ParcelID: 2, From: stock.Shelf, To: stock.Process, N: 5},
		{Movement: 4, Line: 1, ParcelID: 3, From: stock.Supplier, To: stock.Shelf, N: 15}, {Movement: 5, Line: 1, ParcelID: 2, From: stock.Shelf, To: stock.Loss, N: 15},
		{Movement: 5, Line: 2, ParcelID: 3, From: stock.Shelf, To: stock.Loss, N: 15},
	}
	for _, c := range []struct {
		pooled     bool
		used, left int64
	}{{false, 120, 390}, {true, 150, 360}} {
		v, err := cost.Value(parcels, ledger, func(int64) bool { return c.pooled }, "EUR")
		used := v.Takings[cost.Ref{Movement: 3, Line: 1}].Money.Micro + v.Takings[cost.Ref{Movement: 3, Line: 2}].Money.Micro
		left := v.Takings[cost.Ref{Movement: 5, Line: 1}].Money.Micro + v.Takings[cost.Ref{Movement: 5, Line: 2}].Money.Micro
		if err != nil || used != c.used*1_000_000 || left != c.left*1_000_000 {
			t.Errorf("pooled %v: used %d, left %d, %v", c.pooled, used, left, err)
		}
	}
}

// 100 g of copperas at 5 EUR make 500 mL of liquor: 27 mL cost 0.27 EUR (by
// hand). A harvest is gathered; a foreign price, a missing one, and a liquor made
// of it are not known.
func TestMakingsInheritAndWhatNobodyPaidIsSaid(t *testing.T) {
	t.Parallel()
	salt := stock.Item{ID: 1, Code: "copperas", Unit: quantity.Mass}
	liquor := stock.Item{ID: 2, Code: "iron-liquor", Unit: quantity.Volume}
	parcels := []cost.Paid{
		{ID: 1, Item: salt, Origin: stock.FromDelivery, Cost: eur(5_000_000)}, {ID: 2, Item: liquor, Origin: stock.FromMaking},
		{ID: 3, Item: salt, Origin: stock.FromHarvest}, {ID: 4, Item: salt, Origin: stock.FromDelivery, Cost: quantity.Money{Micro: 7, Currency: "DKK"}},
		{ID: 5, Item: salt, Origin: stock.FromDelivery}, {ID: 6, Item: salt, Origin: stock.FromHarvest, Gathering: eur(9_000_000)}, {ID: 7, Item: salt, Origin: stock.FromDelivery, Customers: true},
		{ID: 8, Item: liquor, Origin: stock.FromMaking},
	}
	var ledger []cost.Posting
	for _, p := range []int64{1, 3, 4, 5, 6, 7} {
		ledger = append(ledger, cost.Posting{Movement: p, Line: 1, ParcelID: p, From: stock.Supplier, To: stock.Shelf, N: 100_000_000})
	}
	ledger = append(ledger,
		cost.Posting{Movement: 20, Line: 1, ParcelID: 1, From: stock.Shelf, To: stock.InMaking, N: 100_000_000}, cost.Posting{Movement: 20, Line: 2, ParcelID: 2, From: stock.InMaking, To: stock.Shelf, N: 500_000},
		cost.Posting{Movement: 21, Line: 1, ParcelID: 5, From: stock.Shelf, To: stock.InMaking, N: 10_000_000}, cost.Posting{Movement: 21, Line: 2, ParcelID: 8, From: stock.InMaking, To: stock.Shelf, N: 500_000},
		cost.Posting{Movement: 22, Line: 1, ParcelID: 2, From: stock.Shelf, To: stock.Process, N: 27_000}, cost.Posting{Movement: 22, Line: 2, ParcelID: 3, From: stock.Shelf, To: stock.Process, N: 27_000})
	v, err := cost.Value(parcels, ledger, func(int64) bool { return false }, "EUR")
	if err != nil {
		t.Fatal(err)
	}
	if p := v.Takings[cost.Ref{Movement: 22, Line: 1}]; p.Money != eur(270_000) || len(p.Unknown) > 0 {
		t.Errorf("%v", p)
	}
	for parcel, says := range map[int64]string{3: "P3 was gathered: no price", 4: "P4 was paid in DKK", 5: "P5 has no price", 6: "P6 was gathered: its labour", 7: "customer's own", 8: "P5 has no price"} {
		if p := v.Parcels[parcel]; !strings.Contains(strings.Join(append(slices.Clone(p.Unknown), p.Notes...), ";"), says) {
			t.Errorf("P%d: %v", parcel, p)
		}
	}
	if v.Parcels[6].Money != eur(9_000_000) || v.Parcels[3].Money != eur(0) {
		t.Errorf("%v", v.Parcels)
	}
}

// Normal and abnormal spoilage, by the rule of process costing (Horngren, from
// memory): of 10 pieces at 12 each 2 are lost, 10 % is usual: one piece's 12 goes
// over the 8 good ones, 108 / 8 = 13.50, and 12 stands apart.
func TestUsualLossIsBorneAndTheRestStandsApart(t *testing.T) {
	t.Parallel()
	pieces := make([]cost.Piece, 10)
	for i := range pieces {
		pieces[i] = cost.Piece{Item: "cap", Dry: grams(84), Blank: cost.Priced{Money: eur(2_000_000)}, Fate: cost.Good}
	}
	pieces[3].Fate, pieces[7].Fate = cost.Lost, cost.Lost
	lines := []cost.Line{line(cost.Blank, "cap", 10, 20_000_000), line(cost.Labour, "labour", 60_000, 100_000_000)}
	s := cost.Spread(lines, pieces, quantity.WholePercent(10), "", "EUR")
	if s.PerGood != eur(13_500_000) || s.Normal != eur(12_000_000) || s.Abnormal != eur(12_000_000) || s.Title() != "13.50 EUR a garment" {
		t.Errorf("%+v", s)
	}
	for i := range pieces {
		pieces[i].Fate = cost.Lost
	}
	if s := cost.Spread(lines, pieces, quantity.WholePercent(10), "", "EUR"); s.PerGood.Currency != "" || s.Abnormal != eur(120_000_000) {
		t.Errorf("%+v", s)
	}
}

// Conservation: garments, losses and what other lots bear sum to what was paid.
func TestNothingOfALotSCostIsLost(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		fates := []cost.Fate{cost.Good, cost.Imperfect, cost.Again, cost.Lost}
		pieces := make([]cost.Piece, rapid.IntRange(1, 12).Draw(t, "pieces"))
		var lines []cost.Line
		paid := int64(0)
		for i := range pieces {
			blank := rapid.Int64Range(0, 90_000_000).Draw(t, "blank")
			pieces[i] = cost.Piece{Dry: quantity.Amount{N: rapid.Int64Range(1, 900_000_000).Draw(t, "dry"), Unit: quantity.Mass}, Blank: cost.Priced{Money: eur(blank)}, Fate: rapid.SampledFrom(fates).Draw(t, "fate")}
			lines = append(lines, line(cost.Blank, "b", 1, blank))
			paid += blank
		}
		bath := rapid.Int64Range(0, quantity.Max/1000).Draw(t, "bath")
		served := []cost.Served{{LotID: 1, Fibre: grams(rapid.Int64Range(1, 999).Draw(t, "f1"))}, {LotID: 2, Fibre: grams(rapid.Int64Range(0, 999).Draw(t, "f2"))}}
		served[0].Later = []cost.Served{{LotID: 3, Fibre: grams(rapid.Int64Range(0, 999).Draw(t, "f3"))}}
		rule := rapid.SampledFrom([]cost.Rule{cost.FirstUse, cost.ByFibre}).Draw(t, "rule")
		sum := int64(0)
		shares := cost.Charge{Line: line(cost.Material, "m", 7, bath), Uses: [][]cost.Served{served[:1], served[1:]}}.Shares(rule)
		for _, l := range shares {
			sum += l.Money.Micro
		}
		if sum != bath {
			t.Fatalf("shares sum to %d of %d", sum, bath)
		}
		mine := shares[1]
		s := cost.Spread(append(lines, mine), pieces, quantity.Percent(rapid.Int64Range(0, 500_000).Draw(t, "usual")), "", "EUR")
		if got := s.Goods.Micro + s.Apart.Micro + s.WithThem.Micro + s.Abnormal.Micro; got != paid+mine.Money.Micro || got != s.Total.Micro {
			t.Fatalf("%d of %d: %+v", got, paid+mine.Money.Micro, s)
		}
		goods := int64(0)
		for _, p := range s.Pieces {
			if p.Fate == cost.Good {
				goods += p.Cost.Micro
			}
		}
		if goods != s.Goods.Micro {
			t.Fatalf("the pieces sum to %d, and not to %d", goods, s.Goods.Micro)
		}
	})
}

// The takings of a parcel and what is left sum to what was paid for it.
func TestAParcelIsCutIntoWhatWasPaid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		paid, amount := rapid.Int64Range(0, quantity.Max).Draw(t, "paid"), rapid.Int64Range(1, 1_000_000_000).Draw(t, "amount")
		ledger := []cost.Posting{{Movement: 1, Line: 1, ParcelID: 1, From: stock.Supplier, To: stock.Shelf, N: amount}}
		left := amount
		for m := int64(2); left > 0; m++ {
			n := rapid.Int64Range(1, left).Draw(t, "taken")
			if m == 9 {
				n = left
			}
			ledger = append(ledger, cost.Posting{Movement: m, Line: 1, ParcelID: 1, From: stock.Shelf, To: stock.Process, N: n})
			left -= n
		}
		for _, pooled := range []bool{false, true} {
			v, err := cost.Value([]cost.Paid{{ID: 1, Item: stock.Item{ID: 1, Unit: quantity.Mass}, Origin: stock.FromDelivery, Cost: eur(paid)}}, ledger, func(int64) bool { return pooled }, "EUR")
			sum := int64(0)
			for _, p := range v.Takings {
				sum += p.Money.Micro
			}
			if err != nil || sum != paid {
				t.Fatalf("pooled %v: %d of %d, %v", pooled, sum, paid, err)
			}
		}
	})
}
