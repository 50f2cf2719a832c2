package quantity

import (
	"math/big"
	"slices"
	"strings"

	"dyelot/inventory/fault"
)

// Unit is what an amount counts.
type Unit uint8

// The three units. Their smallest steps are 1 µg, 1 µL and 1 piece.
const (
	Mass Unit = iota + 1
	Volume
	Count
)

// Max is the largest amount that is accepted: 1000 tonnes, a million litres,
// or 10^15 pieces. It leaves room for sums in an int64.
const Max = 1_000_000_000_000_000

// Amount is an exact quantity. The zero Amount has no unit and is "absent".
type Amount struct {
	N    int64 // in the smallest step of Unit
	Unit Unit
}

type spelling struct {
	unit Unit
	step *big.Rat // smallest steps in one of this spelling
}

func rat(s string) *big.Rat { r, _ := new(big.Rat).SetString(s); return r }

// spellings lists every way to write a unit; ounces and pounds are avoirdupois.
var spellings = map[string]spelling{
	"ug": {Mass, rat("1")}, "µg": {Mass, rat("1")}, "mg": {Mass, rat("1000")}, "g": {Mass, rat("1000000")}, "kg": {Mass, rat("1000000000")},
	"oz": {Mass, rat("28349523.125")}, "lb": {Mass, rat("453592370")},
	"ul": {Volume, rat("1")}, "µl": {Volume, rat("1")}, "ml": {Volume, rat("1000")}, "l": {Volume, rat("1000000")},
	"floz": {Volume, rat("29573.5295625")},
	"pc":   {Count, rat("1")}, "pcs": {Count, rat("1")}, "piece": {Count, rat("1")}, "pieces": {Count, rat("1")},
}

// wire is how each unit leaves the program.
var wire = map[Unit]struct {
	name   string
	digits int // decimal digits of the smallest step in that name
}{Mass: {"g", 6}, Volume: {"mL", 3}, Count: {"pc", 0}}

// Grams, Millilitres and Pieces build an amount from a whole number.
func Grams(n int64) Amount       { return Amount{n * 1_000_000, Mass} }
func Millilitres(n int64) Amount { return Amount{n * 1_000, Volume} }
func Pieces(n int64) Amount      { return Amount{n, Count} }

// Name of the unit as it stands on the wire: "g", "mL" or "pc".
func (u Unit) Name() string { return wire[u].name }

// String says what the unit measures, for sentences.
func (u Unit) String() string {
	return [...]string{"nothing", "mass", "volume", "pieces"}[min(u, 3)]
}

// Units lists the spellings that Parse takes, in order.
func Units() []string { return []string{"g", "kg", "mg", "oz", "lb", "mL", "L", "floz", "pc"} }

// Parse reads a plain decimal and a unit, such as "162.0" and "g". Ounces are
// rounded half-even to the microgram. Refused (fault.Invalid): anything but
// digits, a sign and one point (so NaN, 1e3 and 1,5), an unknown unit, more
// than Max.
func Parse(value, unit string) (Amount, error) {
	sp, ok := spellings[strings.ToLower(strings.TrimSpace(unit))]
	if !ok {
		return Amount{}, fault.BadField("unit", "unknown unit %q: use one of %s", clip(unit), strings.Join(Units(), ", "))
	}
	r, err := decimal("value", value)
	if err != nil {
		return Amount{}, err
	}
	n, ok := roundRat(r.Mul(r, sp.step))
	if !ok || n > Max || n < -Max {
		return Amount{}, fault.BadField("value", "%s %s is beyond what is kept here (at most %s)", clip(value), unit, Amount{Max, sp.unit})
	}
	if sp.unit == Count && !r.IsInt() {
		return Amount{}, fault.BadField("value", "%s pieces: only whole pieces are counted", clip(value))
	}
	return Amount{n, sp.unit}, nil
}

// ParseText reads an amount written as one word or two: "162g", "1.5 kg",
// "30 mL", "10 pc".
func ParseText(s string) (Amount, error) {
	t := strings.TrimSpace(s)
	cut := strings.IndexFunc(t, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789", r) })
	if cut <= 0 {
		return Amount{}, fault.BadField("value", "%q has no unit or no number: write it as 162g, 1.5kg, 30mL or 10pc", clip(s))
	}
	return Parse(t[:cut], t[cut:])
}

// Decimal returns the exact value as a decimal string and its wire unit:
// "10.8", "g". The absent amount gives two empty strings.
func (a Amount) Decimal() (value, unit string) {
	w, ok := wire[a.Unit]
	if !ok {
		return "", ""
	}
	return point(a.N, w.digits), w.name
}

// String shows the amount for a person: rounded half-even to a milligram or a
// hundredth of a millilitre, kilograms and litres from 10 000 on.
func (a Amount) String() string {
	switch {
	case a.Unit == Mass && abs(a.N) >= 10_000_000_000:
		return point(RoundTo(a.N, 1_000_000), 9) + " kg"
	case a.Unit == Mass:
		return point(RoundTo(a.N, 1_000), 6) + " g"
	case a.Unit == Volume && abs(a.N) >= 10_000_000:
		return point(RoundTo(a.N, 10_000), 6) + " L"
	case a.Unit == Volume:
		return point(RoundTo(a.N, 10), 3) + " mL"
	case a.Unit == Count && abs(a.N) == 1:
		return point(a.N, 0) + " piece"
	case a.Unit == Count:
		return point(a.N, 0) + " pieces"
	}
	return "–"
}

// IsZero is true of nothing and of 0 g alike.
func (a Amount) IsZero() bool { return a.N == 0 }

// Add and Sub panic on mixed units: the rule that mixes them is wrong, and no
// input can be, since every door checks the unit first.
func (a Amount) Add(b Amount) Amount { return Amount{a.N + b.N, a.meet(b)} }
func (a Amount) Sub(b Amount) Amount { return Amount{a.N - b.N, a.meet(b)} }

func (a Amount) meet(b Amount) Unit {
	switch {
	case a.Unit == b.Unit || b.Unit == 0:
		return a.Unit
	case a.Unit == 0:
		return b.Unit
	}
	panic("quantity: " + a.Unit.String() + " and " + b.Unit.String() + " do not mix")
}

// Percent returns p per cent of the amount, half-even to the smallest step.
func (a Amount) Percent(p Percent) Amount {
	return Amount{MulDiv(a.N, int64(p), 100*onePercent), a.Unit}
}

// Round rounds half-even to a multiple of step smallest steps; a step below
// one is one.
func (a Amount) Round(step int64) Amount { return Amount{RoundTo(a.N, step), a.Unit} }

// Sum adds amounts of one unit.
func Sum(as ...Amount) Amount {
	var t Amount
	for _, a := range as {
		t = t.Add(a)
	}
	return t
}

// Share divides total by weights into whole multiples of step which sum to
// total: the largest remainders are rounded up, the earlier first where they
// are equal. What total holds beyond a multiple of step goes to the largest
// weight. Weights must not be negative, and not all zero; else it returns nil.
//
// 720 g of weld over 541 g and 539 g of silk by whole grams: 361 g and 359 g.
func Share(total int64, weights []int64, step int64) []int64 {
	step = max(step, 1)
	sum := new(big.Int)
	for _, w := range weights {
		if w < 0 {
			return nil
		}
		sum.Add(sum, big.NewInt(w))
	}
	if sum.Sign() == 0 {
		return nil
	}
	units := total / step
	shares := make([]int64, len(weights))
	rests := make([]*big.Int, len(weights))
	order := make([]int, len(weights))
	given, heaviest := int64(0), 0
	for i, w := range weights {
		q, r := new(big.Int).QuoRem(new(big.Int).Mul(big.NewInt(units), big.NewInt(w)), sum, new(big.Int))
		shares[i], rests[i], order[i] = q.Int64(), r, i
		given += shares[i]
		if w > weights[heaviest] {
			heaviest = i
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return rests[j].Cmp(rests[i]) })
	for k := range units - given {
		shares[order[k]]++
	}
	for i := range shares {
		shares[i] *= step
	}
	shares[heaviest] += total - units*step
	return shares
}
