package calc

import (
	"fmt"
	"math/big"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

var lotsize = calculation{
	name:  "lotsize",
	short: "Join the needs of several periods into orders",
	long: `When to order how much, where each order costs something and so does keeping
stock: the plan that costs least, found exactly (Wagner & Whitin 1958). Holding
is charged on stock carried out of a period; nothing runs short, and the shelf
starts and ends empty.`,
	example: `dyelot calc lotsize --demand 90,120,80,70 --order-cost 500 \
--holding-cost 2`,
	says:     `Order 210 in period 1 and 150 in period 3: that costs 1380,`,
	document: `{"demand": [90,120,80,70], "order_cost": 500, "holding_cost": 2}`,
	ask:      func() question { return &lotsizeQuestion{} },
}

type lotsizeQuestion struct {
	demand, orderCosts []*big.Rat
	orderCost, holding *big.Rat
}

func (q *lotsizeQuestion) fields() []field {
	return []field{
		need("demand", "what each period takes", exacts(&q.demand, 1)),
		need("order_cost", "what an order costs: one number, or one for each period", exactOrList(&q.orderCost, &q.orderCosts)),
		need("holding_cost", "what carrying one unit into the next period costs", anExact(&q.holding)),
	}
}

func (q *lotsizeQuestion) answer(func() bool) (answer, error) {
	if err := withinReach("demand", q.demand, q.orderCosts, []*big.Rat{q.orderCost, q.holding}); err != nil {
		return nil, err
	}
	costs := q.orderCosts
	if q.orderCost != nil {
		costs = slices.Repeat([]*big.Rat{q.orderCost}, len(q.demand))
	}
	plan, err := season.LotSize(q.demand, costs, q.holding)
	if f, ok := fault.Of(err); ok && q.orderCost != nil && f.Field == "order_cost[0]" {
		return nil, f.At("order_cost")
	}
	if err != nil {
		return nil, err
	}
	return &lotsizeAnswer{*q, decimals(plan.Orders), decimal{plan.Cost}}, nil
}

type lotsizeAnswer struct {
	asked lotsizeQuestion

	Orders []decimal `json:"orders"`
	Cost   decimal   `json:"cost"`
}

func (a *lotsizeAnswer) tell(p *page) {
	var orders []string
	var lines [][]string
	stock := new(big.Rat)
	for t, o := range a.Orders {
		stock.Add(stock, o.Rat).Sub(stock, a.asked.demand[t])
		lines = append(lines, []string{fmt.Sprint(t + 1), num(a.asked.demand[t]), o.String(), num(stock)})
		if o.Sign() > 0 {
			orders = append(orders, fmt.Sprintf("%s in period %d", o, t+1))
		}
	}
	said := "Order nothing"
	if len(orders) > 0 {
		said = "Order " + joined(orders)
	}
	p.note("%s: that costs %s, the least there is.", said, a.Cost)
	p.table([]string{"period", "demand", "order", "carried out"}, lines)
	p.note("Costs are in the money, and amounts in the unit, that they were given in. Of plans that cost the same this is one with the fewest orders. (Wagner & Whitin, Management Science 5 (1958) 89–96.)")
}
