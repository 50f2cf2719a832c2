package season_test

import (
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/season"
)

func TestLotSize(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, demand, order, holding, orders, cost string }{
		// From memory, both.
		{"Snyder & Shen, 2nd ed., Ex 3.9", "90 120 80 70", "500 500 500 500", "2", "210 0 150 0", "1380"},
		{"Nahmias, Production and Operations Analysis", "10 40 30", "50 50 50", "1", "10 70 0", "130"},
		// By hand.
		{"exact decimals: thirty tenths are three", "0.1 0.2 0.3", "5 5 5", "0.1", "0.6 0 0", "5.08"},
		{"nothing needed, nothing ordered", "0 0 0", "5 5 5", "1", "0 0 0", "0"},
		{"waits for the first need", "0 0 7 0", "5 5 5 5", "1", "0 0 7 0", "5"},
		{"a cheap order before the need", "0 10", "1 100", "1", "10 0", "11"},
		{"shelf room is free: one order", "3 4 5", "9 9 9", "0", "12 0 0", "9"},
		{"orders are free: one a need", "3 0 5", "0 0 0", "1", "3 0 5", "0"},
		{"all free: still one order", "3 4 5", "0 0 0", "0", "12 0 0", "0"},
		{"equal cost: the fewer orders", "1 5", "5 5", "1", "6 0", "10"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			plan, err := season.LotSize(decimals(t, c.demand), decimals(t, c.order), decimals(t, c.holding)[0])
			if err != nil {
				t.Fatal(err)
			}
			if text(plan.Orders...) != c.orders || text(plan.Cost) != c.cost {
				t.Errorf("orders %s at %s, want %s at %s", text(plan.Orders...), text(plan.Cost), c.orders, c.cost)
			}
		})
	}
}

// Every way to choose the periods that order is priced; each need is met by
// the latest order, since keeping costs.
func TestLotSizeAgreesWithExhaustiveSearch(t *testing.T) {
	t.Parallel()
	tenths := func(t *rapid.T, name string, most int64) *big.Rat {
		return big.NewRat(rapid.Int64Range(0, most).Draw(t, name), 10)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "periods")
		var demand, order []*big.Rat
		for range n {
			demand = append(demand, tenths(t, "demand", 40))
			order = append(order, tenths(t, "order cost", 60))
		}
		holding := tenths(t, "holding", 12)
		plan, err := season.LotSize(demand, order, holding)
		if err != nil {
			t.Fatal(err)
		}
		cost, ordersMade := priced(t, plan.Orders, demand, order, holding)
		if cost.Cmp(plan.Cost) != 0 {
			t.Fatalf("orders %s cost %s, not %s", text(plan.Orders...), text(cost), text(plan.Cost))
		}
		for chosen := range 1 << n {
			orders := slices.Repeat([]*big.Rat{new(big.Rat)}, n)
			last := -1
			for p, d := range demand {
				if chosen>>p&1 == 1 {
					last = p
				}
				if last >= 0 {
					orders[last] = new(big.Rat).Add(orders[last], d)
				} else if d.Sign() > 0 {
					orders = nil // a need before the first order
					break
				}
			}
			if orders == nil {
				continue
			}
			other, made := priced(t, orders, demand, order, holding)
			if c := other.Cmp(plan.Cost); c < 0 || c == 0 && made < ordersMade {
				t.Fatalf("%s costs %s in %d orders; the plan %s costs %s in %d",
					text(orders...), text(other), made, text(plan.Orders...), text(plan.Cost), ordersMade)
			}
		}
	})
}

// priced walks the shelf through the periods.
func priced(t *rapid.T, orders, demand, order []*big.Rat, holding *big.Rat) (*big.Rat, int) {
	cost, stock, made := new(big.Rat), new(big.Rat), 0
	for p := range orders {
		if orders[p].Sign() > 0 {
			cost.Add(cost, order[p])
			made++
		}
		stock.Add(stock, orders[p])
		stock.Sub(stock, demand[p])
		if stock.Sign() < 0 {
			t.Fatalf("short in period %d by %s", p, text(stock))
		}
		cost.Add(cost, new(big.Rat).Mul(holding, stock))
	}
	if stock.Sign() != 0 {
		t.Fatalf("%s is left over", text(stock))
	}
	return cost, made
}

// Ten years of days stay far below the thirty seconds of the bench calculator.
func TestLotSizeOfTenYearsOfDays(t *testing.T) {
	t.Parallel()
	demand := make([]*big.Rat, 3650)
	for i := range demand {
		demand[i] = big.NewRat(int64(i*i%37), 10)
	}
	plan, err := season.LotSize(demand, slices.Repeat(season.Exact(12.5), len(demand)), big.NewRat(3, 100))
	if err != nil {
		t.Fatal(err)
	}
	ordered, needed := new(big.Rat), new(big.Rat)
	for i := range demand {
		ordered.Add(ordered, plan.Orders[i])
		needed.Add(needed, demand[i])
	}
	if ordered.Cmp(needed) != 0 {
		t.Errorf("ordered %s for %s", text(ordered), text(needed))
	}
}

func TestLotSizeRefuses(t *testing.T) {
	t.Parallel()
	two := season.Exact(1, 2)
	one := big.NewRat(1, 1)
	for _, c := range []struct {
		field         string
		demand, order []*big.Rat
		holding       *big.Rat
	}{
		{"demand", nil, nil, one},
		{"demand[1]", season.Exact(1, -2), two, one},
		{"demand[0]", season.Exact(nan, 2), two, one},
		{"demand[1]", season.Exact(1, 1e101), two, one},
		{"order_cost[0]", two, season.Exact(-1, 1), one},
		{"order_cost[1]", two, season.Exact(1, inf), one},
		{"order_cost", two, season.Exact(1), one},
		{"order_cost", two, season.Exact(1, 2, 3), one},
		{"holding_cost", two, two, nil},
		{"holding_cost", two, two, big.NewRat(-1, 10)},
	} {
		_, err := season.LotSize(c.demand, c.order, c.holding)
		wantField(t, err, c.field)
	}
}
