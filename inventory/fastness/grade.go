package fastness

import (
	"strconv"
	"strings"

	"dyelot/inventory/fault"
)

// Grade is one fastness grade, counted in half grades: 2 is grade 1, 7 is grade
// 3-4, 10 is grade 5, 16 is blue wool 8. More is faster, on every scale, so
// grades of one scale compare with < and >. The zero Grade is "not graded". A
// Grade does not know its scale: the component or row that holds it does, and
// grades of two scales are never compared.
type Grade int

// Whole is the whole grade n: Whole(3) is "3".
func Whole(n int) Grade { return Grade(2 * n) }

// Half is the half grade above n: Half(3) is "3-4".
func Half(n int) Grade { return Grade(2*n + 1) }

// IsHalf reports whether g stands between two whole grades.
func (g Grade) IsHalf() bool { return g%2 != 0 }

// String writes the grade as the trade does: "4", or "3-4" for a half grade. The
// zero Grade is "not graded". Grades of an AATCC lightfastness scale carry an L
// in front: use [Scale.Text] where the scale is known.
func (g Grade) String() string {
	if g <= 0 {
		return "not graded"
	}
	below := strconv.Itoa(int(g) / 2)
	if !g.IsHalf() {
		return below
	}
	return below + "-" + strconv.Itoa(int(g)/2+1)
}

// Scale is the yardstick a grade was read on. Its text is stored and sent.
type Scale string

// The scales a component can be graded on.
const (
	GreyChange   Scale = "grey-change"   // ISO 105-A02, grades 1 to 5
	GreyStaining Scale = "grey-staining" // ISO 105-A03, grades 1 to 5
	BlueWool     Scale = "blue-wool"     // ISO blue wools 1 to 8
	AATCCLight   Scale = "aatcc-light"   // AATCC blue wools L2 to L9; no table turns these into ISO blue wools
)

// scaleTable is the one place that knows a scale's ends, prefix and name.
var scaleTable = map[Scale]struct {
	worst, best Grade
	prefix      string
	title       string
}{
	GreyChange:   {Whole(1), Whole(5), "", "the grey scale for change"},
	GreyStaining: {Whole(1), Whole(5), "", "the grey scale for staining"},
	BlueWool:     {Whole(1), Whole(8), "", "the blue wools"},
	AATCCLight:   {Whole(2), Whole(9), "L", "the AATCC blue wools"},
}

// Scales lists every scale, in a fixed order.
func Scales() []Scale { return []Scale{GreyChange, GreyStaining, BlueWool, AATCCLight} }

// Title names the scale in words; an unknown scale gives its own text.
func (s Scale) Title() string {
	if row, ok := scaleTable[s]; ok {
		return row.title
	}
	return string(s)
}

// Worst is the lowest grade of the scale, zero for an unknown scale.
func (s Scale) Worst() Grade { return scaleTable[s].worst }

// Best is the highest grade of the scale, zero for an unknown scale.
func (s Scale) Best() Grade { return scaleTable[s].best }

// Holds reports whether g is a grade of this scale. An unknown scale holds none.
func (s Scale) Holds(g Grade) bool {
	row, ok := scaleTable[s]
	return ok && row.worst <= g && g <= row.best
}

// Grades lists the grades of the scale from worst to best, half grades included.
func (s Scale) Grades() []Grade {
	var all []Grade
	for g := s.Worst(); s.Holds(g); g++ {
		all = append(all, g)
	}
	return all
}

// Text writes g as it is written on this scale: "3-4", or "L3-4" on the AATCC
// light scale, so that nobody takes the one for the other.
func (s Scale) Text(g Grade) string {
	if g <= 0 {
		return g.String()
	}
	return scaleTable[s].prefix + g.String()
}

// check refuses a grade that the scale does not hold, naming field.
func (s Scale) check(field string, g Grade) error {
	if _, ok := scaleTable[s]; !ok {
		return badScale(s)
	}
	if !s.Holds(g) {
		return fault.BadField(field, "%q is not a grade of %s: %s", g.String(), s.Title(), s.span()).
			With("worst", s.Text(s.Worst())).With("best", s.Text(s.Best()))
	}
	return nil
}

// Parse reads a grade as written on the given scale: "4", "3-4" (also with an en
// dash), and "L4" or "L3-4" on the AATCC light scale. Decimals, reversed halves
// and grades beyond the scale's ends are refused with an INVALID_FIELD fault on
// "grade" that says what would be right.
func Parse(text string, s Scale) (Grade, error) {
	if _, ok := scaleTable[s]; !ok {
		return 0, badScale(s)
	}
	asked := strings.ToUpper(strings.ReplaceAll(strings.TrimSpace(text), "–", "-"))
	for _, g := range s.Grades() {
		if s.Text(g) == asked {
			return g, nil
		}
	}
	return 0, fault.BadField("grade", "%q is not a grade of %s: %s", text, s.Title(), s.span()).
		With("worst", s.Text(s.Worst())).With("best", s.Text(s.Best()))
}

// span says how grades of this scale run and are written.
func (s Scale) span() string {
	low, high := s.Worst(), s.Best()
	return "grades run from " + s.Text(low) + " (worst) to " + s.Text(high) +
		", a half grade is written " + s.Text(Half(3)) + " and never as a decimal"
}

func badScale(s Scale) error {
	var known []string
	for _, k := range Scales() {
		known = append(known, string(k))
	}
	return fault.BadField("scale", "there is no scale %q; the scales are %s", string(s), strings.Join(known, ", "))
}
