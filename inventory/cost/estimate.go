package cost

import (
	"fmt"
	"slices"

	"dyelot/inventory/quantity"
)

// Estimate is what a lot was planned to cost.
type Estimate struct {
	Lines   []Line
	Total   quantity.Money
	Pieces  int
	Usual   quantity.Percent
	PerGood quantity.Money // the total over the pieces that usually come out good
	Unknown []string
}

// Plan sums a plan up. Usually pieces × (1 − usual) come out good.
func Plan(lines []Line, pieces int, usual quantity.Percent, currency string) Estimate {
	e := Estimate{Lines: Gather(lines), Pieces: pieces, Usual: usual, Total: quantity.Money{Currency: currency}}
	for _, l := range e.Lines {
		e.Total.Micro += l.Money.Micro
		e.Unknown = union(e.Unknown, l.Unknown)
	}
	e.PerGood = forGoods(e.Total, pieces, usual, 1)
	return e
}

const whole = 1_000_000 // 100 % in a quantity.Percent

// forGoods is the planned cost of so many good garments.
func forGoods(total quantity.Money, pieces int, usual quantity.Percent, goods int) quantity.Money {
	return total.Part(int64(goods)*whole, int64(pieces)*(whole-int64(usual)))
}

// Beside is what a good garment of one plan costs more than one of another, over
// the lines that are known in both, and the names of the others. Where a thing
// that only one of them takes has no price, what stands in its place in the other
// is not compared either.
func (e Estimate) Beside(other Estimate) (more quantity.Money, leftOut []string) {
	pairs := pair(e.Lines, other.Lines)
	dark := slices.ContainsFunc(pairs, func(p paired) bool { return p.alone() && p.unknown() })
	mine, its := e.Total, other.Total
	for _, p := range pairs {
		if p.unknown() || dark && p.alone() {
			leftOut = append(leftOut, p.name())
			mine.Micro, its.Micro = mine.Micro-p.actual.Money.Micro, its.Micro-p.planned.Money.Micro
		}
	}
	if e.Pieces == 0 || other.Pieces == 0 {
		return quantity.Money{Currency: e.Total.Currency}, leftOut
	}
	a, b := forGoods(mine, e.Pieces, e.Usual, 1), forGoods(its, other.Pieces, other.Usual, 1)
	return quantity.Money{Micro: a.Micro - b.Micro, Currency: e.Total.Currency}, leftOut
}

// Reason is one part of the difference between a lot's cost and its plan.
type Reason struct {
	Line  string // the line's name
	What  string // usage, price, unplanned, not-used or yield
	Money quantity.Money
	Text  string // "alum: 61 g instead of 60.8 g, +0.003 EUR"
}

// Comparison is a lot's actual cost beside its plan. Reasons sum to Difference,
// and Difference is what the good garments cost more than as many were planned
// to.
type Comparison struct {
	Planned    quantity.Money // for as many good garments
	Actual     quantity.Money // of the good garments
	Difference quantity.Money
	PerGood    quantity.Money // the difference a garment
	Reasons    []Reason       // the biggest first
	LeftOut    []string       // lines that are not known on one side
	Goods      int
}

// Compare holds a sheet against its estimate. Each line's difference falls into
// the quantity at the planned price (usage variance) and the price at the actual
// quantity (price variance); what the good garments bear beyond the lines, since
// fewer or more came out good than planned, is the yield. This is the flexible
// budget of cost accounting (Horngren [M]); all parts are whole millionths and
// sum exactly. A line that is not known on either side is left out of both. ok
// is false where there is no good garment, or no plan.
func Compare(s Sheet, e Estimate) (c Comparison, ok bool) {
	c.Goods = s.Counts[Good]
	if c.Goods == 0 || e.Pieces == 0 {
		return c, false
	}
	money := func(n int64) quantity.Money { return quantity.Money{Micro: n, Currency: s.Total.Currency} }
	planned, actual := e.Total.Micro, s.Total.Micro
	for _, p := range pair(s.Lines, e.Lines) {
		if p.unknown() {
			c.LeftOut = append(c.LeftOut, p.name())
			planned, actual = planned-p.planned.Money.Micro, actual-p.actual.Money.Micro
			continue
		}
		c.Reasons = append(c.Reasons, p.reasons(money)...)
	}
	// Of what is compared, the good garments bear what they bear of all.
	goods := s.Goods
	if actual != s.Total.Micro && s.Total.Micro != 0 {
		goods = money(actual).Part(s.Goods.Micro, s.Total.Micro)
	}
	c.Actual, c.Planned = money(goods.Micro), forGoods(money(planned), e.Pieces, e.Usual, c.Goods)
	c.Difference = money(c.Actual.Micro - c.Planned.Micro)
	c.PerGood = c.Difference.Part(1, int64(c.Goods))
	if yield := c.Difference.Micro - (actual - planned); yield != 0 {
		c.Reasons = append(c.Reasons, s.yield(e, money(yield)))
	}
	slices.SortStableFunc(c.Reasons, func(a, b Reason) int { return size(b) - size(a) })
	return c, true
}

func size(r Reason) int { return int(max(r.Money.Micro, -r.Money.Micro)) }

// yield is what more or fewer good garments than planned bear.
func (s Sheet) yield(e Estimate, m quantity.Money) Reason {
	text := fmt.Sprintf("good garments: %d of %d", s.Counts[Good], len(s.Pieces))
	if e.Usual > 0 {
		text += fmt.Sprintf(", %s usually lost", e.Usual)
	}
	if s.Abnormal.Micro > 0 {
		text += fmt.Sprintf(", %s of loss stands apart", Show(s.Abnormal))
	}
	return Reason{Line: "how many came out good", What: "yield", Money: m, Text: text + ", " + Signed(m)}
}

// paired is a line of the plan beside the one of the pot.
type paired struct{ actual, planned Line }

func pair(actual, planned []Line) []paired {
	var all []paired
	for _, a := range actual {
		all = append(all, paired{actual: a})
	}
	for _, p := range planned {
		i := slices.IndexFunc(all, func(x paired) bool { return x.actual.Kind == p.Kind && x.actual.Key == p.Key })
		if i < 0 {
			all = append(all, paired{})
			i = len(all) - 1
		}
		all[i].planned = p
	}
	return all
}

// unknown is true where one side is not all known, alone where only one is there.
func (p paired) unknown() bool { return len(p.actual.Unknown)+len(p.planned.Unknown) > 0 }
func (p paired) alone() bool   { return p.actual.Key == "" || p.planned.Key == "" }

func (p paired) name() string {
	if p.actual.Name != "" {
		return p.actual.Name
	}
	return p.planned.Name
}

func (p paired) reasons(money func(int64) quantity.Money) []Reason {
	name := p.name()
	a, q := p.actual, p.planned
	switch {
	case q.N == 0:
		if a.Money.Micro == 0 {
			return nil
		}
		return []Reason{{name, "unplanned", money(a.Money.Micro), fmt.Sprintf("%s: %s, not in the plan, %s", name, a.Quantity, Signed(money(a.Money.Micro)))}}
	case a.N == 0:
		if q.Money.Micro == 0 {
			return nil
		}
		return []Reason{{name, "not-used", money(-q.Money.Micro), fmt.Sprintf("%s: none instead of %s, %s", name, q.Quantity, Signed(money(-q.Money.Micro)))}}
	}
	atPlan := q.Money.Part(a.N, q.N).Micro // the actual quantity at the planned price
	var all []Reason
	if usage := money(atPlan - q.Money.Micro); usage.Micro != 0 {
		all = append(all, Reason{name, "usage", usage, fmt.Sprintf("%s: %s instead of %s, %s", name, a.Quantity, q.Quantity, Signed(usage))})
	}
	if price := money(a.Money.Micro - atPlan); price.Micro != 0 {
		way := "dearer"
		if price.Micro < 0 {
			way = "cheaper"
		}
		all = append(all, Reason{name, "price", price, fmt.Sprintf("%s: %s than planned, %s for %s instead of %s, %s", name, way, Show(a.Money), a.Quantity, Show(money(atPlan)), Signed(price))})
	}
	return all
}

// Title is the second half of the first answer: "0.85 more than planned: mostly
// labour".
func (c Comparison) Title() string {
	most := ""
	for _, r := range c.Reasons { // the biggest that goes the same way
		if (r.Money.Micro > 0) == (c.Difference.Micro > 0) {
			most = ": mostly " + r.Line
			break
		}
	}
	switch d := c.PerGood; {
	case c.Difference.Micro == 0:
		return "as planned"
	case d.Micro == 0 && c.Difference.Micro != 0:
		return "as planned to the last millionth"
	case d.Micro > 0:
		return fmt.Sprintf("%s more than planned%s", Show(d), most)
	default:
		d.Micro = -d.Micro
		return fmt.Sprintf("%s less than planned%s", Show(d), most)
	}
}
