package calc

import (
	"bytes"
	"encoding/json"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"pgregory.net/rapid"
)

// What a program reads: never −0, never an exponent where the number is exact,
// as many digits as tell a float64 from its neighbours.
func TestNumbersOfAnAnswer(t *testing.T) {
	t.Parallel()
	rat := func(s string) *big.Rat { r, _ := new(big.Rat).SetString(s); return r }
	for _, c := range []struct {
		number any
		want   string
	}{
		{real(0), "0"}, {real(math.Copysign(0, -1)), "0"}, {real(0.1), "0.1"}, {real(-1.5), "-1.5"}, {real(1.0 / 3), "0.3333333333333333"}, {real(1e300), "1e+300"},
		{decimal{rat("162")}, "162"}, {decimal{rat("10.80")}, "10.8"}, {decimal{rat("-0")}, "0"}, {decimal{rat("1e30")}, "1000000000000000000000000000000"},
		{decimal{rat("1e-7")}, "0.0000001"}, {decimal{rat("9007199254740993")}, "9007199254740993"},
		{decimals(nil), "[]"}, {decimals([]*big.Rat{rat("0.5"), rat("-3")}), "[0.5,-3]"}, {reals(0, 2), "[0,2]"},
	} {
		text, err := json.Marshal(c.number)
		if err != nil || string(text) != c.want {
			t.Errorf("%v prints as %s, %v; want %s", c.number, text, err, c.want)
		}
	}
	for _, f := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if text, err := json.Marshal(real(f)); err == nil {
			t.Errorf("%v prints as %s", f, text)
		}
	}
}

func TestFiguresForPeople(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ got, want string }{
		{shown(26.0888, 2), "26.09"}, {shown(300, 2), "300"}, {shown(-0.001, 2), "0"}, {shown(1e20, 2), "1e+20"}, {shown(0.00000012, 4), "1.2e-07"},
		{fixed(-0.001, 2), "0.00"}, {fixed(1.005, 1), "1.0"}, {fixed(-1.25, 1), "-1.2"},
		{counted(1, "period"), "1\u00a0period"}, {counted(2, "period"), "2\u00a0periods"},
		{joined(nil), ""}, {joined([]string{"a"}), "a"}, {joined([]string{"a", "b", "c"}), "a, b and c"},
		{sentence("équal"), "Équal"}, {six(0.1 + 0.2), "0.3"}, {six(math.Copysign(0, -1)), "0"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// Scaling loses nothing where it can; else it rounds up by less than a step,
// and the step is a decimal, so that every answer is one.
func TestScaledDecimals(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var all []*big.Rat
		for range rapid.IntRange(1, 20).Draw(t, "numbers") {
			n := big.NewInt(rapid.Int64Range(0, 1e18).Draw(t, "digits"))
			ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(rapid.Int64Range(0, 30).Draw(t, "decimals")), nil)
			all = append(all, new(big.Rat).SetFrac(n, ten))
		}
		w := scaled(all)
		if _, decimal := w.step.FloatPrec(); !decimal || w.step.Sign() <= 0 {
			t.Fatalf("the step is %s", w.step)
		}
		sum := int64(0)
		for i, r := range all {
			over := new(big.Rat).Sub(w.worth(w.n[i]), r)
			if over.Sign() < 0 || over.Cmp(w.step) >= 0 || w.exact && over.Sign() != 0 {
				t.Fatalf("%s is %d steps of %s, exact %v", r, w.n[i], w.step, w.exact)
			}
			if sum += w.n[i]; w.n[i] < 0 || sum < 0 || sum > 1<<60 {
				t.Fatalf("the sum leaves what is searched: %v", w.n)
			}
		}
	})
	if w := scaled([]*big.Rat{big.NewRat(2, 1), big.NewRat(3, 2), big.NewRat(3, 1)}); !w.exact || w.n[0] != 4 || w.n[1] != 3 || w.n[2] != 6 {
		t.Errorf("2, 1.5 and 3 are %v of %s", w.n, w.step)
	}
}

// Around a refused document the program must find no flag to name instead of
// the field; around refused flags it must.
func TestADocumentsFieldIsNamedAsItStands(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		args  []string
		found bool
	}{
		{[]string{"calc", "lotsize", "--in", "-"}, false},
		{[]string{"calc", "lotsize", "--demand", "1,-2", "--order-cost", "5", "--holding-cost", "1"}, true},
	} {
		root := &cobra.Command{Use: "dyelot", SilenceErrors: true, SilenceUsage: true}
		root.AddCommand(Command(func() bool { return false }))
		root.SetIn(strings.NewReader(`{"demand":[1,-2],"order_cost":5,"holding_cost":1}`))
		root.SetOut(&bytes.Buffer{})
		root.SetArgs(c.args)
		cmd, err := root.ExecuteC()
		if err == nil || err.Error() != "demand[1]: -2 is below zero" || (cmd.Flag("demand") != nil) != c.found {
			t.Errorf("%q: %v, a flag of that name: %v", c.args, err, !c.found)
		}
	}
}
