package season

import (
	"cmp"
	"math/big"
	"slices"

	"dyelot/inventory/quantity"
)

// plan writes a part plan out, from its orders alone, so that the cost shown is
// the cost of the orders shown.
func (s *packSearch) plan(best *partPlan, currency string) PackPlan {
	zero := quantity.Money{Currency: currency}
	plan := PackPlan{Goods: zero, Carriage: zero, Keeping: zero, Cost: zero}
	unit := s.offers[0].Pack.Unit
	plan.Left = quantity.Amount{N: best.bought - s.upTo[len(s.upTo)-1], Unit: unit}
	for p := best; p.before != nil; p = p.before {
		o := s.offers[p.offer]
		arrives := s.today.AddDate(0, 0, s.reach[p.wish][p.offer])
		plan.Orders = append(plan.Orders, PackOrder{p.offer, p.packs, arrives.AddDate(0, 0, -o.Days), arrives, o.Goods(p.packs), quantity.Money{Micro: p.keeping, Currency: currency}})
		plan.Goods.Micro += o.Goods(p.packs).Micro
		plan.Carriage.Micro += o.Carriage.Micro
		plan.Keeping.Micro += p.keeping
	}
	plan.Cost.Micro = plan.Goods.Micro + plan.Carriage.Micro + plan.Keeping.Micro
	slices.SortStableFunc(plan.Orders, func(a, b PackOrder) int {
		return cmp.Or(a.OrderBy.Compare(b.OrderBy), a.Arrives.Compare(b.Arrives), cmp.Compare(a.Offer, b.Offer))
	})
	return plan
}

// mulDiv3 is a·b·c/(d·e), exact in between and rounded half to even.
func mulDiv3(a, b, c, d, e int64) int64 {
	n := new(big.Int).Mul(big.NewInt(a), big.NewInt(b))
	n.Mul(n, big.NewInt(c))
	by := new(big.Int).Mul(big.NewInt(d), big.NewInt(e))
	q, rest := n.QuoRem(n, by, new(big.Int))
	switch rest.Lsh(rest, 1).Cmp(by) {
	case 1:
		q.Add(q, big.NewInt(1))
	case 0:
		if q.Bit(0) == 1 {
			q.Add(q, big.NewInt(1))
		}
	}
	return q.Int64()
}

// lessThan is a/b < c/d without rounding; b and d are above zero.
func lessThan(a, b, c, d int64) bool {
	return new(big.Int).Mul(big.NewInt(a), big.NewInt(d)).Cmp(new(big.Int).Mul(big.NewInt(c), big.NewInt(b))) < 0
}
