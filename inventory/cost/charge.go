package cost

import (
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Kind is what a line of a lot's cost is for.
type Kind string

// The kinds, in the order in which a lot's cost is read.
const (
	Blank    Kind = "blank"
	Witness  Kind = "witness-cloth"
	Material Kind = "material"
	Labour   Kind = "labour"
	PotDay   Kind = "pot-day"
	Test     Kind = "test"
)

var kindOrder = []Kind{Blank, Witness, Material, Labour, PotDay, Test}

// Line is so much of one thing and what it cost.
type Line struct {
	Kind Kind
	Key  string // an item's, a vessel's or a method's code; "labour"
	Name string // for people
	Quantity
	Money quantity.Money
	// Unknown are sentences about what is not in Money; empty: all of it is.
	Unknown []string
	// Notes are sentences about what is: "gathered: no price".
	Notes []string
}

// And adds a line of the same key and kind.
func (l Line) And(m Line) Line {
	l.N += m.N
	l.Money.Micro += m.Money.Micro
	l.Unknown = union(l.Unknown, m.Unknown)
	l.Notes = union(l.Notes, m.Notes)
	return l
}

func union(a, b []string) []string {
	all := slices.Clone(a)
	for _, s := range b {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// Gather adds up lines by kind and key, in the order of the kinds and then as
// they come.
func Gather(lines []Line) []Line {
	var sums []Line
	for _, l := range lines {
		if i := slices.IndexFunc(sums, func(s Line) bool { return s.Kind == l.Kind && s.Key == l.Key }); i >= 0 {
			sums[i] = sums[i].And(l)
		} else {
			sums = append(sums, l)
		}
	}
	slices.SortStableFunc(sums, func(a, b Line) int { return slices.Index(kindOrder, a.Kind) - slices.Index(kindOrder, b.Kind) })
	return sums
}

// Rule says who bears what went into a bath that was used again.
type Rule string

// The rules. The first is the default: what a later use still finds in a bath
// nobody weighs, so the first use, which the dose was reckoned for, pays.
const (
	FirstUse Rule = "first-use"
	ByFibre  Rule = "by-fibre"
)

// RuleOf reads a rule; empty is FirstUse. fault.Invalid, field "exhaust_rule".
func RuleOf(word string) (Rule, error) {
	switch r := Rule(word); r {
	case "":
		return FirstUse, nil
	case FirstUse, ByFibre:
		return r, nil
	}
	return "", fault.BadField("exhaust_rule", "%.40q is no rule: use first-use or by-fibre", word)
}

// Words say the rule aloud.
func (r Rule) Words() string {
	if r == ByFibre {
		return "a bath used again: by fibre mass over all its uses (by-fibre)"
	}
	return "a bath used again: its first use bears all (first-use)"
}

// Served is one lot's fibre in a use of a bath. Later are the lots that used its
// dye bath again, where what went in came by a brew that was poured into it.
type Served struct {
	LotID int64
	Fibre quantity.Amount
	Later []Served
}

// Charge is what was put into a bath, or paid at a stage, once for several lots.
// Uses are the uses of the bath from that one on; a thing without a bath has
// one.
type Charge struct {
	Line
	Uses [][]Served
}

// Shares divides the charge among its lots by fibre mass and by the rule. Money
// and quantity sum to the charge's own, to the last millionth and the last step;
// a lot that bears nothing has no share. Where nobody used the bath yet there
// are none: it is still in the bath.
func (c Charge) Shares(r Rule) map[int64]Line {
	shares := map[int64]Line{}
	if len(c.Uses) == 0 {
		return shares
	}
	first := c.Uses[0]
	if r == ByFibre {
		first = slices.Concat(c.Uses...)
	}
	for i, part := range c.Line.split(first) {
		if r == FirstUse || len(first[i].Later) == 0 {
			addTo(shares, first[i].LotID, part)
			continue
		}
		all := append([]Served{first[i]}, first[i].Later...)
		for j, p := range part.split(all) {
			addTo(shares, all[j].LotID, p)
		}
	}
	return shares
}

func addTo(shares map[int64]Line, lotID int64, l Line) {
	if had, there := shares[lotID]; there {
		l = had.And(l)
	}
	shares[lotID] = l
}

// split shares a line by fibre mass. Negative minutes, of a counter-entry, are
// shared as their opposite is.
func (l Line) split(among []Served) []Line {
	weights := make([]int64, len(among))
	for i, s := range among {
		weights[i] = s.Fibre.N
	}
	money, amount := shareSigned(l.Money.Micro, weights), shareSigned(l.N, weights)
	parts := make([]Line, len(among))
	for i := range among {
		parts[i] = l
		parts[i].Money.Micro, parts[i].N = money[i], amount[i]
	}
	return parts
}

// shareSigned is quantity.Share, for sums below zero too; weights of which none
// is above zero share equally.
func shareSigned(total int64, weights []int64) []int64 {
	sign := int64(1)
	if total < 0 {
		sign = -1
	}
	shares := quantity.Share(sign*total, weights, 1)
	if shares == nil {
		equal := make([]int64, len(weights))
		for i := range equal {
			equal[i] = 1
		}
		shares = quantity.Share(sign*total, equal, 1)
	}
	for i := range shares {
		shares[i] *= sign
	}
	return shares
}
