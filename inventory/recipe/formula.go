package recipe

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// What a formula on a bag never exceeds; beyond it somebody typed nonsense.
const (
	longestFormula = 100     // characters
	deepestBracket = 6       // brackets within brackets
	largestNumber  = 999     // atoms or waters in one number
	mostAtoms      = 100_000 // of one element, once multiplied out
)

// waterStep is how finely waters are counted: papermaker's alum is sold with
// 14.3 of them, and plaster holds half a one.
const waterStep = 100

// MolarMass is in millionths of a gram per mole.
type MolarMass int64

// String rounds half-even to hundredths: "474.37 g/mol".
func (m MolarMass) String() string {
	hundredths := quantity.MulDiv(int64(m), 1, 10_000)
	return fmt.Sprintf("%d.%02d g/mol", hundredths/100, hundredths%100)
}

type atoms struct {
	symbol string
	count  int64 // in hundredths
}

// Formula is a chemical formula that has been read. The zero Formula is empty.
type Formula struct {
	text  string
	atoms []atoms // by symbol
}

// ParseFormula reads a formula as it stands on a bag or a sheet:
// "KAl(SO4)2·12H2O", "Al(OH)(OAc)2", "FeSO4.7H2O". OAc is acetate, C2H3O2; the
// marks · . and * all separate water; round and square brackets nest; Unicode
// subscripts are read as digits. Case matters, since Co is cobalt and CO is not.
//
// Refused (fault.Invalid, field "formula"): an empty or absurdly long text, an
// unknown element, a bracket without its other half, a count of 0, a charge,
// an unknown number of waters ("xH2O").
func ParseFormula(s string) (Formula, error) {
	t := tidyFormula.Replace(strings.TrimSpace(s))
	switch n := len([]rune(t)); {
	case n == 0:
		return Formula{}, fault.BadField("formula", "is empty")
	case n > longestFormula:
		return Formula{}, fault.BadField("formula", "has %d characters: at most %d are read", n, longestFormula)
	}
	r := &formulaReader{text: []rune(t)}
	total := r.parts()
	if r.problem != nil {
		return Formula{}, r.problem
	}
	f := Formula{text: strings.ReplaceAll(t, " ", "")}
	for symbol, count := range total {
		f.atoms = append(f.atoms, atoms{symbol, count})
	}
	slices.SortFunc(f.atoms, func(a, b atoms) int { return strings.Compare(a.symbol, b.symbol) })
	return f, nil
}

// tidyFormula turns what a sheet prints into what a keyboard has.
var tidyFormula = strings.NewReplacer(
	"₀", "0", "₁", "1", "₂", "2", "₃", "3", "₄", "4", "₅", "5", "₆", "6", "₇", "7", "₈", "8", "₉", "9",
	"•", "·", "∙", "·", "⋅", "·", "\u00a0", " ", "\u202f", " ",
)

// String is the formula as it was read, without spaces.
func (f Formula) String() string { return f.text }

// Same is true where both hold the same atoms, however they are written.
func (f Formula) Same(g Formula) bool { return len(f.atoms) > 0 && slices.Equal(f.atoms, g.atoms) }

// Mass is the molar mass from the abridged standard atomic weights of 2021.
func (f Formula) Mass() MolarMass {
	var m int64
	for _, a := range f.atoms {
		m += a.count * elements[a.symbol].weight
	}
	return MolarMass(m)
}

// Part is what one element weighs in a mole; 0 where there is none of it.
func (f Formula) Part(symbol string) MolarMass {
	for _, a := range f.atoms {
		if a.symbol == symbol {
			return MolarMass(a.count * elements[symbol].weight)
		}
	}
	return 0
}

// Percent is the share of one element by mass, half-even to 0.0001 %.
func (f Formula) Percent(symbol string) quantity.Percent {
	if len(f.atoms) == 0 {
		return 0
	}
	p, _ := quotient([]int64{int64(f.Part(symbol)), int64(quantity.WholePercent(100))}, []int64{int64(f.Mass())})
	return quantity.Percent(p)
}

// Metals lists the symbols of the metals that can mordant: all but those of
// groups 1 and 2, which only keep the salt company.
func (f Formula) Metals() []string {
	var found []string
	for _, a := range f.atoms {
		if elements[a.symbol].kind == metal {
			found = append(found, a.symbol)
		}
	}
	return found
}
