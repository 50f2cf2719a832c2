package season

import (
	"cmp"
	"math/big"

	"dyelot/inventory/fault"
)

// LotPlan is what to order at the start of each period, and what all orders
// and all keeping come to.
type LotPlan struct {
	Orders []*big.Rat
	Cost   *big.Rat
}

// LotSize joins the needs of several periods into orders at the least cost:
// demand of each period, the cost of placing an order in that period, and the
// cost of carrying one unit out of a period into the next. Nothing may run
// short, and the shelf starts and ends empty. Of plans that cost the same it
// returns one with the fewest orders.
//
// Source: Wagner & Whitin, Management Science 5 (1958) 89–96: some best plan
// orders only for whole runs of periods. So the cost of meeting periods 1 … j
// is the least, over the last order i, of
//
//	cost(i−1) + order cost(i) + holding · Σ (k − i) · demand(k), k = i … j
//
// Errors: fault.Invalid naming demand, order_cost (as many as demand; a cost
// that never changes is repeated by slices.Repeat) or holding_cost.
func LotSize(demand, orderCost []*big.Rat, holding *big.Rat) (LotPlan, error) {
	err := cmp.Or(
		each("demand", demand, amount),
		each("order_cost", orderCost, amount),
		amount("holding_cost", holding),
	)
	switch {
	case err != nil:
		return LotPlan{}, err
	case len(demand) == 0:
		return LotPlan{}, fault.BadField("demand", "at least one period is needed")
	case len(orderCost) != len(demand):
		return LotPlan{}, fault.BadField("order_cost", "%d order costs do not fit %d periods", len(orderCost), len(demand))
	}
	last := lastOrders(demand, withTick(demand, orderCost, holding), holding)
	plan := LotPlan{Orders: make([]*big.Rat, len(demand))}
	for t := range plan.Orders {
		plan.Orders[t] = new(big.Rat)
	}
	for t := len(demand) - 1; t >= 0; t-- {
		if last[t] == noOrder {
			continue
		}
		order := plan.Orders[last[t]]
		for i := last[t]; t > i; t-- {
			order.Add(order, demand[t])
		}
		order.Add(order, demand[t])
	}
	plan.Cost = plan.price(demand, orderCost, holding)
	return plan, nil
}

// price adds up a plan from its orders alone, so that the cost shown is the
// cost of the orders shown.
func (p LotPlan) price(demand, orderCost []*big.Rat, holding *big.Rat) *big.Rat {
	cost, stock := new(big.Rat), new(big.Rat)
	for t, q := range p.Orders {
		if q.Sign() > 0 {
			cost.Add(cost, orderCost[t])
		}
		stock.Add(stock, q).Sub(stock, demand[t])
		cost.Add(cost, new(big.Rat).Mul(holding, stock))
	}
	return cost
}

// withTick makes each order dearer by less than an n-th of what two plans can
// differ by, so that of equal plans the one with fewer orders is cheaper. All
// plans cost a whole number of 1/grain.
func withTick(demand, orderCost []*big.Rat, holding *big.Rat) []*big.Rat {
	grain := new(big.Int).Mul(holding.Denom(), commonDenominator(demand))
	grain.Mul(grain, commonDenominator(orderCost))
	tick := new(big.Rat).SetFrac(big.NewInt(1), grain.Mul(grain, big.NewInt(int64(len(demand)+1))))
	dearer := make([]*big.Rat, len(orderCost))
	for t, k := range orderCost {
		dearer[t] = new(big.Rat).Add(k, tick)
	}
	return dearer
}

// commonDenominator is the least number that makes every fraction whole.
func commonDenominator(fractions []*big.Rat) *big.Int {
	all, gcd := big.NewInt(1), new(big.Int)
	for _, r := range fractions {
		gcd.GCD(nil, nil, all, r.Denom())
		all.Mul(all, new(big.Int).Quo(r.Denom(), gcd))
	}
	return all
}

const noOrder = -1

// lastOrders returns, for each period t, the period of the last order in a best
// plan for the periods up to t alone, or noOrder where t needs nothing.
//
// A unit ordered in i is charged as if it were kept to the very end, at
// holding·(n−i); what that overcharges depends on the demand only and not on
// the plan. Then the cost with a last order in i is a straight line over the
// demand summed up to t; the lines come with falling slope and the sums never
// fall, so the lowest line is found in passing (after Wagelmans, van Hoesel &
// Kolen, Operations Research 40 (1992) S145–S156).
func lastOrders(demand, orderCost []*big.Rat, holding *big.Rat) []int {
	var (
		n     = len(demand)
		cost  = new(big.Rat) // of the best plan for the periods before t
		total = new(big.Rat) // demand of those
		lines costLines
		last  = make([]int, n)
	)
	for t := range n {
		slope := new(big.Rat).Mul(holding, big.NewRat(int64(n-t), 1))
		start := new(big.Rat).Mul(slope, total)
		start.Sub(cost, start).Add(start, orderCost[t])
		lines = lines.push(costLine{slope, start, t})
		if demand[t].Sign() == 0 {
			last[t] = noOrder
			continue
		}
		total = new(big.Rat).Add(total, demand[t])
		lines = lines.from(total)
		cost, last[t] = lines[0].at(total), lines[0].order
	}
	return last
}

// costLine is the cost of the periods up to t, over their summed demand, where
// the last order falls in period order.
type costLine struct {
	slope, start *big.Rat
	order        int
}

func (l costLine) at(x *big.Rat) *big.Rat {
	y := new(big.Rat).Mul(l.slope, x)
	return y.Add(y, l.start)
}

// costLines are the lines that are lowest somewhere to the right of the last
// look, from left to right.
type costLines []costLine

// push adds a line that is no steeper than any other.
func (c costLines) push(l costLine) costLines {
	for n := len(c); n > 0; n = len(c) {
		top := c[n-1]
		if top.slope.Cmp(l.slope) == 0 {
			if top.start.Cmp(l.start) <= 0 {
				return c
			}
		} else if n == 1 || l.meets(c[n-2]).Cmp(top.meets(c[n-2])) > 0 {
			break
		}
		c = c[:n-1]
	}
	return append(c, l)
}

// meets is where the flatter line l comes below the steeper one.
func (l costLine) meets(steeper costLine) *big.Rat {
	rise := new(big.Rat).Sub(l.start, steeper.start)
	return rise.Quo(rise, new(big.Rat).Sub(steeper.slope, l.slope))
}

// from drops the lines that are not lowest at x or to the right of it.
func (c costLines) from(x *big.Rat) costLines {
	for len(c) > 1 && c[1].at(x).Cmp(c[0].at(x)) <= 0 {
		c = c[1:]
	}
	return c
}
