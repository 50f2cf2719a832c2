package recipe

import (
	"fmt"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Equivalent is how much of one salt holds the metal of another.
type Equivalent struct {
	From, To               Substance
	FromPercent, ToPercent quantity.Percent // metal in each salt by mass
	WOF                    quantity.Percent // of To, on the air-dry fibre
	Caution                string
}

// SameMetal answers how much of the salt to brings the metal that wof per cent
// of the salt from brings, both on air-dry fibre and half-even to 0.0001 %:
// 15 % of potassium alum holds the aluminium of 10.54 % of aluminium sulfate
// 18-hydrate. The molar masses are computed, so the answer is too [C]; that
// equal metal gives equal shade is not claimed.
//
// Refused (fault.Invalid, field "from", "to" or "wof_percent"): what Lookup
// refuses, a salt with no mordant metal or with two, two different metals, and
// a dose that Limit refuses for a mordant.
func SameMetal(from, to string, wof quantity.Percent) (Equivalent, error) {
	a, err := mordantSalt("from", from)
	if err != nil {
		return Equivalent{}, err
	}
	b, err := mordantSalt("to", to)
	if err != nil {
		return Equivalent{}, err
	}
	if a.Metal != b.Metal {
		return Equivalent{}, fault.BadField("to", "%s holds %s and %s holds %s: only salts of one metal can be compared",
			b.Name, elements[b.Metal].name, a.Name, elements[a.Metal].name)
	}
	if err := Limit(Mordant, wof); err != nil {
		return Equivalent{}, err
	}
	n, ok := quotient(
		[]int64{int64(wof), int64(a.Formula.Part(a.Metal)), int64(b.Formula.Mass())},
		[]int64{int64(a.Formula.Mass()), int64(b.Formula.Part(b.Metal))})
	if !ok {
		return Equivalent{}, fault.BadField("wof_percent", "%s of %s is beyond what can be computed", wof, a.Name)
	}
	return Equivalent{a, b, a.MetalPercent(), b.MetalPercent(), quantity.Percent(n), equalMetalCaution(a)}, nil
}

func equalMetalCaution(s Substance) string {
	c := fmt.Sprintf("equal %s is not equal shade: a guide to a trial, never an automatic substitution", elements[s.Metal].name)
	if s.OldRecordsOnly() {
		c += fmt.Sprintf("; %s is kept only to read old records, never for a new recipe", elements[s.Metal].name)
	}
	return c
}

// mordantSalt is a lookup that insists on one mordant metal and a formula.
func mordantSalt(field, nameOrFormula string) (Substance, error) {
	s, err := Lookup(nameOrFormula)
	if err != nil {
		return s, onField(field, err)
	}
	switch metals := s.Formula.Metals(); {
	case !s.HasFormula():
		return s, fault.BadField(field, "%s has no formula, so what it holds is not known", s.Name)
	case len(metals) == 0:
		return s, fault.BadField(field, "%s holds no mordant metal", s.Name)
	case len(metals) > 1:
		var names []string
		for _, m := range metals {
			names = append(names, elements[m].name)
		}
		return s, fault.BadField(field, "%s holds %s: a salt with one mordant metal is needed", s.Name, strings.Join(names, " and "))
	}
	return s, nil
}

// onField puts a fault on the field that the caller asked about.
func onField(field string, err error) error {
	if f, ok := fault.Of(err); ok {
		g := *f
		g.Field = field
		return &g
	}
	return err
}
