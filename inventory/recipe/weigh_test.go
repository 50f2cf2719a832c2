package recipe_test

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// written reads a number as it stands; empty is absent.
func written(t testing.TB, s string) *big.Rat {
	t.Helper()
	if s == "" {
		return nil
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return r
}

// Common practice, and the choir's ten tunics worked by two people; the last
// rows were worked with a calculator of 30 digits.
func TestTheCalculatorWeighs(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ dry, wof, stock, strength, mass, volume string }{
		{"450", "50", "", "", "225", ""},
		{"450", "6", "", "", "27", ""},
		{"1000", "2", "200", "", "20", "100"},
		{"1080", "15", "", "", "162", ""},
		{"1080", "60", "", "90", "720", ""},
		{"1080", "1", "200", "", "10.8", "54"},
		{"1000", "1", "300", "", "10", "33.333"}, // the mass is not what 33.333 mL hold
		{"1000", "1", "300", "50", "20", "66.667"},
		{"450", "0.5", "", "", "2.25", ""},
		{"1000", "5000", "", "", "50000", ""},
		{"862.0689655172414", "33.333333", "", "", "287.356319", ""},
		{"1000", "1", "", "87.654321", "11.408451", ""},
		{"0.000002", "25", "", "1", "0.00005", ""},
		{"0.000002", "125", "", "", "0.000002", ""}, // 2.5 µg, half to even
	} {
		mass, volume, err := recipe.Weigh(written(t, c.dry), written(t, c.wof), written(t, c.stock), written(t, c.strength))
		m, _ := mass.Decimal()
		v, _ := volume.Decimal()
		if err != nil || m != c.mass || v != c.volume {
			t.Errorf("%+v: %s g, %s mL, %v", c, m, v, err)
		}
	}
}

func TestTheCalculatorRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ dry, wof, stock, strength, field string }{
		{"", "15", "", "", "dry_mass_g"}, {"0", "15", "", "", "dry_mass_g"}, {"-5", "15", "", "", "dry_mass_g"}, {"1000000001", "15", "", "", "dry_mass_g"}, {"1e99", "15", "", "", "dry_mass_g"},
		{"100", "", "", "", "wof_percent"}, {"100", "0", "", "", "wof_percent"}, {"100", "-2", "", "", "wof_percent"}, {"100", "5000.0001", "", "", "wof_percent"},
		{"100", "15", "0", "", "stock_g_per_l"}, {"100", "15", "-1", "", "stock_g_per_l"}, {"100", "15", "10001", "", "stock_g_per_l"}, {"100", "15", "1e-20", "", "stock_g_per_l"},
		{"100", "15", "", "0", "strength_percent"}, {"100", "15", "", "-90", "strength_percent"}, {"100", "15", "", "0.99", "strength_percent"}, {"100", "15", "", "1001", "strength_percent"},
		{"0.000001", "15", "", "", "wof_percent"}, {"1000000000", "5000", "", "1", "wof_percent"}, {"0.000001", "100", "10000", "", "stock_g_per_l"},
	} {
		_, _, err := recipe.Weigh(written(t, c.dry), written(t, c.wof), written(t, c.stock), written(t, c.strength))
		refused(t, err, fault.Invalid, c.field, "")
	}
}

// A dose that a recipe line can say is the same by the calculator.
func TestTheCalculatorAgreesWithTheRecipeLine(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		dry := quantity.Amount{N: rapid.Int64Range(1, 100_000_000_000).Draw(t, "µg"), Unit: quantity.Mass}
		wof := quantity.Percent(rapid.Int64Range(1, 2_000_000).Draw(t, "wof"))
		strength := quantity.Percent(rapid.Int64Range(10_000, 10_000_000).Draw(t, "strength"))
		stock := quantity.Concentration(rapid.Int64Range(1000, 500_000).Draw(t, "stock"))
		line := recipe.Ask{Basis: recipe.OnFibre, Percent: wof, Strength: &strength}
		weighed, massErr := line.For(recipe.Pot{Dry: dry}, recipe.Scale{})
		line.Stock = &stock
		measured, volumeErr := line.For(recipe.Pot{Dry: dry}, recipe.Scale{})
		mass, volume, err := recipe.Weigh(big.NewRat(dry.N, 1_000_000), big.NewRat(int64(wof), 10_000), big.NewRat(int64(stock), 1000), big.NewRat(int64(strength), 10_000))
		if (err == nil) != (massErr == nil && volumeErr == nil) {
			t.Fatalf("by the calculator %v, by the line %v and %v", err, massErr, volumeErr)
		}
		if err == nil && (mass != weighed.Exact || volume != measured.Exact) {
			t.Fatalf("by the calculator %v in %v, by the line %v in %v", mass, volume, weighed.Exact, measured.Exact)
		}
	})
}
