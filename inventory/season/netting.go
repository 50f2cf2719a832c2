package season

import (
	"cmp"
	"math/big"

	"dyelot/inventory/fault"
)

// Needs is what an item must cover, period by period. An absent (nil) Safety or
// Minimum is nothing, an absent Multiple is any amount. All amounts are in one
// unit.
type Needs struct {
	OnHand    *big.Rat   // on the shelf before the first period
	Safety    *big.Rat   // what the shelf must not fall below
	Gross     []*big.Rat // what each period takes
	Scheduled []*big.Rat // what is on order already, at the start of each period; the periods it does not reach get nothing
	Lead      int        // periods from order to shelf, 0 or more
	Multiple  *big.Rat   // orders come in whole packs of this much
	Minimum   *big.Rat   // the supplier's smallest order
}

// Netted is the plan that covers the needs. All lists are as long as Gross.
type Netted struct {
	Projected []*big.Rat // stock at the end of the period, after scheduled and planned receipts
	Net       []*big.Rat // what is missing in the period
	Receipts  []*big.Rat // what is planned to come in, in whole packs
	Releases  []*big.Rat // what is to be ordered in the period, Lead before its receipt
	PastDue   *big.Rat   // what should have been ordered before the first period; not in Releases
	Pulls     []Pull     // what asking a supplier to come earlier would do
}

// Pull says that a receipt which is on order already would cover a need if it
// came earlier. Nothing is moved silently: the supplier has to agree.
type Pull struct {
	Need    int      // period, from 0, that is short
	Receipt int      // later period whose scheduled receipt would help
	Covers  *big.Rat // how much of the need
}

// Net turns gross needs into orders, the netting step of materials requirements
// planning (Orlicky 1975; Nahmias, Production and Operations Analysis, ch. 8):
//
//	net = max(0, safety + gross − scheduled − on hand before)
//
// A need is raised to the minimum, then up to a whole multiple; what is over
// stays on the shelf for the next period. Errors: fault.Invalid naming on_hand,
// safety, gross, scheduled, lead, multiple or minimum.
func Net(n Needs) (Netted, error) {
	if err := n.check(); err != nil {
		return Netted{}, err
	}
	plan := Netted{PastDue: new(big.Rat), Releases: make([]*big.Rat, len(n.Gross))}
	for t := range plan.Releases {
		plan.Releases[t] = new(big.Rat)
	}
	stock := n.OnHand
	for t, gross := range n.Gross {
		left := new(big.Rat).Sub(new(big.Rat).Add(stock, n.scheduled(t)), gross)
		net := new(big.Rat).Sub(orZero(n.Safety), left)
		if net.Sign() < 0 {
			net.SetInt64(0)
		}
		receipt := n.orderFor(net)
		stock = left.Add(left, receipt)
		plan.Projected = append(plan.Projected, stock)
		plan.Net = append(plan.Net, net)
		plan.Receipts = append(plan.Receipts, receipt)
		release := plan.PastDue
		if t >= n.Lead {
			release = plan.Releases[t-n.Lead]
		}
		release.Add(release, receipt)
	}
	plan.Pulls = n.pulls(plan.Net)
	return plan, nil
}

func (n Needs) check() error {
	err := cmp.Or(
		amount("on_hand", n.OnHand),
		amountIfAny("safety", n.Safety),
		each("gross", n.Gross, amount),
		each("scheduled", n.Scheduled, amount),
		amountIfAny("multiple", n.Multiple),
		amountIfAny("minimum", n.Minimum),
	)
	switch {
	case err != nil:
		return err
	case len(n.Gross) == 0:
		return fault.BadField("gross", "at least one period is needed")
	case len(n.Scheduled) > len(n.Gross):
		return fault.BadField("scheduled", "%d scheduled receipts do not fit %d periods", len(n.Scheduled), len(n.Gross))
	case n.Lead < 0:
		return fault.BadField("lead", "%d periods is below zero", n.Lead)
	case n.Multiple != nil && n.Multiple.Sign() == 0:
		return fault.BadField("multiple", "a pack of nothing is no pack: leave it out where any amount can be ordered")
	}
	return nil
}

func (n Needs) scheduled(t int) *big.Rat {
	if t < len(n.Scheduled) {
		return n.Scheduled[t]
	}
	return new(big.Rat)
}

// orderFor raises a need to what a supplier sells.
func (n Needs) orderFor(net *big.Rat) *big.Rat {
	order := new(big.Rat).Set(net)
	if net.Sign() == 0 {
		return order
	}
	if low := orZero(n.Minimum); order.Cmp(low) < 0 {
		order.Set(low)
	}
	if n.Multiple == nil {
		return order
	}
	packs := new(big.Rat).Quo(order, n.Multiple)
	whole, rest := new(big.Int).QuoRem(packs.Num(), packs.Denom(), new(big.Int))
	if rest.Sign() > 0 {
		whole.Add(whole, big.NewInt(1))
	}
	return order.Mul(new(big.Rat).SetInt(whole), n.Multiple)
}

// pulls goes through the needs in turn and gives each the nearest later
// scheduled receipts that no earlier need has been given.
func (n Needs) pulls(net []*big.Rat) []Pull {
	var pulls []Pull
	next, left := 0, new(big.Rat)
	for t, short := range net {
		missing := new(big.Rat).Set(short)
		if next <= t {
			next, left = t+1, new(big.Rat).Set(n.scheduled(t+1))
		}
		for missing.Sign() > 0 && next < len(n.Scheduled) {
			covers := new(big.Rat).Set(missing)
			if left.Cmp(missing) < 0 {
				covers.Set(left)
			}
			if covers.Sign() > 0 {
				pulls = append(pulls, Pull{t, next, covers})
			}
			missing.Sub(missing, covers)
			if left.Sub(left, covers); left.Sign() == 0 {
				next++
				left.Set(n.scheduled(next))
			}
		}
	}
	return pulls
}
