package calc

import (
	"fmt"
	"math"
	"math/big"

	"dyelot/inventory/season"
)

var netting = calculation{
	name:  "netting",
	short: "Turn a season's needs into orders, period by period",
	long: `What is missing in each period and what must be ordered when: net = max(0,
safety + gross − scheduled − on hand before). A need is raised to the supplier's
minimum, then up to whole packs. A release that falls before the first period is
past due: it is counted apart and not among the releases. Periods beyond the
scheduled list get nothing.`,
	example: `dyelot calc netting --on-hand 23 --gross 77,42,38,21 --scheduled 12,0,6,9 \
--lead 2`,
	says:     `Order 84 now, it is past due; then 32 in period 1 and 12 in period 2.`,
	document: `{"on_hand": 23, "gross": [77,42,38,21], "scheduled": [12,0,6,9], "lead": 2}`,
	ask:      func() question { return &nettingQuestion{} },
}

type nettingQuestion struct {
	season.Needs
	lead int64
}

func (q *nettingQuestion) fields() []field {
	return []field{
		need("on_hand", "on the shelf before the first period", anExact(&q.OnHand)),
		may("safety", "what the shelf must not fall below; 0 unless given", anExact(&q.Safety)),
		need("gross", "what each period takes", exacts(&q.Gross, 1)),
		need("scheduled", "what comes in each period from orders already placed", exacts(&q.Scheduled, 0)),
		need("lead", "periods from order to shelf, a whole number", aWhole(&q.lead)),
		may("multiple", "orders come in whole packs of this much; any amount unless given", anExact(&q.Multiple)),
		may("minimum", "the supplier's smallest order; none unless given", anExact(&q.Minimum)),
	}
}

func (q *nettingQuestion) answer(func() bool) (answer, error) {
	if err := withinReach("gross", q.Gross, q.Scheduled, []*big.Rat{q.OnHand, q.Safety, q.Multiple, q.Minimum}); err != nil {
		return nil, err
	}
	q.Lead = int(min(max(q.lead, -1), math.MaxInt32)) // longer than any list, as it was
	plan, err := season.Net(q.Needs)
	if err != nil {
		return nil, err
	}
	return &nettingAnswer{*q, plan.Pulls, decimals(plan.Projected), decimals(plan.Net), decimals(plan.Receipts), decimals(plan.Releases), decimal{plan.PastDue}}, nil
}

type nettingAnswer struct {
	asked nettingQuestion
	pulls []season.Pull

	Projected []decimal `json:"projected"`
	Net       []decimal `json:"net"`
	Receipts  []decimal `json:"receipts"`
	Releases  []decimal `json:"releases"`
	PastDue   decimal   `json:"past_due"`
}

func (a *nettingAnswer) tell(p *page) {
	var releases []string
	var lines [][]string
	for t, gross := range a.asked.Gross {
		scheduled := "0"
		if t < len(a.asked.Scheduled) {
			scheduled = num(a.asked.Scheduled[t])
		}
		lines = append(lines, []string{fmt.Sprint(t + 1), num(gross), scheduled, a.Net[t].String(), a.Receipts[t].String(), a.Releases[t].String(), a.Projected[t].String()})
		if a.Releases[t].Sign() > 0 {
			releases = append(releases, fmt.Sprintf("%s in period %d", a.Releases[t], t+1))
		}
	}
	switch late := a.PastDue.Sign() > 0; {
	case late && len(releases) > 0:
		p.note("Order %s now, it is past due; then %s.", a.PastDue, joined(releases))
	case late:
		p.note("Order %s now, it is past due.", a.PastDue)
	case len(releases) > 0:
		p.note("Order %s.", joined(releases))
	default:
		p.note("Order nothing: the shelf covers it.")
	}
	p.table([]string{"period", "gross", "scheduled", "net", "receipt", "order", "left at the end"}, lines)
	for i := 0; i < len(a.pulls); {
		need, parts := a.pulls[i].Need, []string{}
		for ; i < len(a.pulls) && a.pulls[i].Need == need; i++ {
			parts = append(parts, fmt.Sprintf("%s of period %d's receipt", num(a.pulls[i].Covers), a.pulls[i].Receipt+1))
		}
		p.note("Period %d is short: %s would help, brought forward. Nothing is moved without asking the supplier.", need+1, joined(parts))
	}
	p.note("On hand %s, safety %s, %s from order to shelf; all amounts in the unit they were given in. (Netting step of requirements planning: Nahmias, Production and Operations Analysis, ch. 8.)",
		num(a.asked.OnHand), orNone(a.asked.Safety), counted(a.asked.lead, "period"))
}

func orNone(r *big.Rat) string {
	if r == nil {
		return "0"
	}
	return num(r)
}
