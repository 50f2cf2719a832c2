package season_test

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

var nan, inf = math.NaN(), math.Inf(1)

// wantNear compares with a tolerance relative to the wanted value, or absolute
// below one.
func wantNear(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*max(1, math.Abs(want))) {
		t.Errorf("%s = %.17g, want %.17g ± %g", what, got, want, tolerance)
	}
}

// wantField asks for a refusal that names the field, or a place in it.
func wantField(t *testing.T, err error, field string) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Kind != fault.Invalid || f.Field != field {
		t.Errorf("got %v, want %s refused", err, field)
	}
}

// decimals reads "10 0.5 3" exactly.
func decimals(t interface{ Fatalf(string, ...any) }, text string) []*big.Rat {
	var all []*big.Rat
	for _, word := range strings.Fields(text) {
		r, ok := new(big.Rat).SetString(word)
		if !ok {
			t.Fatalf("%q is not a number", word)
		}
		all = append(all, r)
	}
	return all
}

// text writes fractions as the shortest exact decimals: "10 0.5 3".
func text(all ...*big.Rat) string {
	var words []string
	for _, r := range all {
		digits, _ := r.FloatPrec()
		words = append(words, r.FloatString(digits))
	}
	return strings.Join(words, " ")
}

func TestExactReadsTheDecimalThatIsPrinted(t *testing.T) {
	t.Parallel()
	got := season.Exact(0.1, 2, 1e-3, -7.25)
	if text(got...) != "0.1 2 0.001 -7.25" {
		t.Errorf("got %s", text(got...))
	}
	for i, r := range season.Exact(nan, inf, -inf) {
		if r != nil {
			t.Errorf("%d: %v is not absent", i, r)
		}
	}
}
