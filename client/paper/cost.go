package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	lotcost "dyelot/inventory/cost"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// sum shows money, with more decimals where two would read as nothing.
func sum(m *dyelotv1.Money) string {
	if m.GetValue() == "" {
		return nothing
	}
	q, err := quantity.ParseMoney(m.GetValue(), m.GetCurrency())
	if err != nil {
		return m.GetValue() + " " + m.GetCurrency()
	}
	return lotcost.Show(q)
}

// known is the sum of a line that has one. A line of which a part is not known
// is at least so much, and one of nothing known a dash.
func known(l *dyelotv1.CostLine) string {
	switch {
	case len(l.GetUnknown()) == 0:
		return sum(l.GetMoney())
	case l.GetMoney().GetValue() == "0" || l.GetMoney() == nil:
		return "not known"
	}
	return "at least " + sum(l.GetMoney())
}

// above is true of a sum above zero.
func above(m *dyelotv1.Money) bool {
	q, err := quantity.ParseMoney(m.GetValue(), m.GetCurrency())
	return err == nil && q.Micro > 0
}

// mostReasons are what a person reads; --why has them all.
const mostReasons = 3

// LotCost answers in one line, then the reasons, then what became of it.
func (s *Sheet) LotCost(l *dyelotv1.LotCost, why bool) {
	s.Title("%s", l.GetTitle())
	if why || !l.GetSoFar() {
		s.reasons(l.GetComparison(), why)
	}
	s.Gap()
	s.costTable(l)
	s.outcome(l)
	if l.GetPrice() != nil {
		s.Para(0, "With a margin of %s %%: %s%s a garment. That is arithmetic, and kept nowhere.", l.GetMarginPercent(), atLeast(l.GetUnknown()), sum(l.GetPrice()))
	}
	if why {
		s.costWhy(l)
	}
}

func (s *Sheet) reasons(c *dyelotv1.CostComparison, all bool) {
	reasons := c.GetReasons()
	if len(reasons) > mostReasons && !all {
		reasons = reasons[:mostReasons]
	}
	for _, r := range reasons {
		s.hang(plain, "  ", r.GetText())
	}
}

// costTable is the lot's lines beside those of its plan.
func (s *Sheet) costTable(l *dyelotv1.LotCost) {
	planned := map[string]*dyelotv1.CostLine{}
	key := func(line *dyelotv1.CostLine) string { return line.GetKind() + " " + line.GetKey() }
	var order []*dyelotv1.CostLine
	for _, p := range l.GetEstimate().GetLines() {
		planned[key(p)] = p
	}
	actual := map[string]*dyelotv1.CostLine{}
	for _, a := range l.GetLines() {
		actual[key(a)] = a
		order = append(order, a)
	}
	for _, p := range l.GetEstimate().GetLines() {
		if actual[key(p)] == nil {
			order = append(order, p)
		}
	}
	cell := func(line *dyelotv1.CostLine) []string {
		if line == nil {
			return []string{"", ""}
		}
		return []string{measured(line.GetQuantity()), known(line)}
	}
	var rows [][]string
	notRecorded := false
	for _, line := range order {
		name := line.GetName()
		if slices.ContainsFunc(actual[key(line)].GetNotes(), func(n string) bool { return strings.HasSuffix(n, "not recorded") }) {
			name, notRecorded = name+" *", true
		}
		rows = append(rows, slices.Concat([]string{name}, cell(actual[key(line)]), cell(planned[key(line)])))
	}
	all := "in all"
	if len(l.GetUnknown())+len(l.GetEstimate().GetUnknown()) > 0 {
		all = "in all, at least"
	}
	rows = append(rows, []string{all, "", sum(l.GetTotal()), "", sum(l.GetEstimate().GetTotal())})
	s.Table([]string{"", ">used", ">cost", ">planned", ">cost"}, rows)
	if notRecorded {
		s.Line("* planned, not recorded, where nobody wrote minutes")
	}
	if slices.ContainsFunc(l.GetUnknown(), func(u string) bool { return strings.HasPrefix(u, "no rate") }) {
		s.Para(0, "What has no rate: dyelot cost set-rates --labour 24 --pot-day 6 --test METHOD=18 --from DAY")
	}
}

func atLeast(unknown []string) string {
	if len(unknown) > 0 {
		return "at least "
	}
	return ""
}

func measured(q *dyelotv1.CostQuantity) string {
	switch q.GetUnit() {
	case "g", "mL", "pc":
		return amount(&dyelotv1.Amount{Value: q.GetValue(), Unit: q.GetUnit()})
	case "min", "pot-day":
		if p, err := quantity.ParseMoney(q.GetValue(), "XXX"); err == nil {
			n := p.Micro
			if q.GetUnit() == "min" {
				n /= 1000
			}
			return lotcost.Quantity{N: n, Unit: q.GetUnit()}.String()
		}
	case "test":
		if n, err := strconv.ParseInt(q.GetValue(), 10, 64); err == nil {
			return lotcost.Tests(n).String()
		}
	}
	return joined(" ", q.GetValue(), q.GetUnit())
}

// outcome says what became of the garments, and who bears what.
func (s *Sheet) outcome(l *dyelotv1.LotCost) {
	s.Gap()
	goods := "good"
	if l.GetSoFar() {
		goods = "good, or not judged yet"
	}
	text := fmt.Sprintf("%d %s: %s", l.GetGood(), goods, sum(l.GetGoodMoney()))
	if above(l.GetNormalLoss()) {
		text += ", of which " + sum(l.GetNormalLoss()) + " is usual loss"
	}
	s.Line("%s", text)
	if len(l.GetPieces()) > 1 {
		for _, p := range l.GetPieces() {
			s.Line("  %d %s: %s each", p.GetPieces(), p.GetItemCode(), sum(p.GetEach()))
		}
	}
	for _, x := range []struct {
		n    int32
		what string
		m    *dyelotv1.Money
	}{{l.GetImperfect(), "imperfect, sold apart", l.GetImperfectMoney()}, {l.GetAgain(), "dyed again, or to be: what they cost goes with them", l.GetAgainMoney()}} {
		if x.n > 0 {
			s.Line("%d %s: %s", x.n, x.what, sum(x.m))
		}
	}
	if l.GetLost() > 0 {
		s.Line("%d lost; beyond the usual, in no garment's cost: %s", l.GetLost(), sum(l.GetAbnormalLoss()))
	}
}

// costWhy is the method, a line each.
func (s *Sheet) costWhy(l *dyelotv1.LotCost) {
	s.Gap()
	s.Title("Why")
	for _, line := range l.GetLines() {
		for _, n := range slices.Concat(line.GetUnknown(), line.GetNotes()) {
			s.hang(plain, "  "+line.GetName()+": ", n)
		}
	}
	for _, line := range l.GetEstimate().GetLines() {
		for _, n := range slices.Concat(line.GetUnknown(), line.GetNotes()) {
			s.hang(plain, "  planned, "+line.GetName()+": ", n)
		}
	}
	if c := l.GetComparison(); c != nil {
		s.hang(plain, "  ", fmt.Sprintf("the good garments cost %s, as many were planned to cost %s: the reasons sum to %s", sum(c.GetActual()), sum(c.GetPlanned()), sum(c.GetDifference())))
	}
	for _, n := range []string{
		"parcels each by its own cost; a making as its parents; pooled items by moving average",
		"a shared bath by fibre mass; " + l.GetExhaustWords(),
		"a pot-day by the fibre that was in the vessel on that day; the plan counts one a bath",
		l.GetUsual() + "; loss beyond it is in no garment's cost",
		"planned: doses at the price of the parcels picked, else the latest known; the house standard's tests of each lot",
		"more or less of a thing at its planned price, then dearer or cheaper at what was used",
	} {
		s.hang(plain, "  ", n)
	}
}

// RunCost is each lot of a run.
func (s *Sheet) RunCost(r *dyelotv1.GetRunCostResponse, why bool) {
	s.Title("%s", r.GetTitle())
	for _, l := range r.GetLots() {
		s.Gap()
		if why {
			s.LotCost(l, true)
			continue
		}
		s.Para(0, "%s", l.GetTitle())
		if !l.GetSoFar() {
			s.reasons(l.GetComparison(), false)
		}
		if l.GetPrice() != nil {
			s.Para(2, "with a margin of %s %%: %s%s a garment", l.GetMarginPercent(), atLeast(l.GetUnknown()), sum(l.GetPrice()))
		}
	}
	s.Gap()
	s.Para(0, "Line by line: dyelot cost lot LOT --why.")
}
