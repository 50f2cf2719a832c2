package recipe_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func Example() {
	a, _ := recipe.ParseAsk("percent_wof", "15")
	d, _ := a.For(recipe.Pot{Dry: quantity.Grams(1080)}, recipe.Scale{})
	fmt.Println(d.Take)
	// Output: 162 g
}

func amount(t testing.TB, s string) quantity.Amount {
	t.Helper()
	a, err := quantity.ParseText(s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func stock(t testing.TB, s string) *quantity.Concentration {
	t.Helper()
	if s == "" {
		return nil
	}
	c, err := quantity.ParseConcentration(s)
	if err != nil {
		t.Fatal(err)
	}
	return &c
}

func strength(t testing.TB, s string) *quantity.Percent {
	t.Helper()
	if s == "" {
		return nil
	}
	return new(pc(t, s))
}

func ask(t testing.TB, basis recipe.Basis, value, stockGPL, strengthPC string) recipe.Ask {
	t.Helper()
	a, err := recipe.ParseAsk(string(basis), value)
	if err != nil {
		t.Fatal(err)
	}
	a.Stock, a.Strength = stock(t, stockGPL), strength(t, strengthPC)
	return a
}

// bench is a scale that shows tenths of a gram and a cylinder of whole
// millilitres.
var bench = recipe.Scale{Mass: quantity.Amount{N: 100_000, Unit: quantity.Mass}, Volume: quantity.Millilitres(1)}

// The worked numbers of the trade's arithmetic and of the choir's ten tunics,
// recomputed there by two people; common practice.
func TestDosesWorkedByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                  string
		basis                 recipe.Basis
		value, stock, streng  string
		dry, bath             string
		exact, take, mass, on string
	}{
		{"450 g at 50 % madder", recipe.OnFibre, "50", "", "", "450 g", "", "225 g", "225 g", "225 g", "50 %"},
		{"450 g at 6 % cochineal", recipe.OnFibre, "6", "", "", "450 g", "", "27 g", "27 g", "27 g", "6 %"},
		{"1 kg at 2 % from 200 g/L", recipe.OnFibre, "2", "200", "", "1 kg", "", "100 mL", "100 mL", "20 g", "2 %"},
		{"choir: alum", recipe.OnFibre, "15", "", "", "1080 g", "", "162 g", "162 g", "162 g", "15 %"},
		{"choir: weld as the reference", recipe.OnFibre, "60", "", "", "1080 g", "", "648 g", "648 g", "648 g", "60 %"},
		{"choir: weld of strength 90 %", recipe.OnFibre, "60", "", "90", "1080 g", "", "720 g", "720 g", "720 g", "60 %"},
		{"choir: copperas dry", recipe.OnFibre, "1", "", "", "1080 g", "", "10.8 g", "10.8 g", "10.8 g", "1 %"},
		{"choir: copperas from the bottle", recipe.OnFibre, "1", "200", "", "1080 g", "", "54 mL", "54 mL", "10.8 g", "1 %"},
		{"linen shirt, April", recipe.OnFibre, "2", "", "", "240 g", "", "4.8 g", "4.8 g", "4.8 g", "2 %"},
		{"linen shirt, June", recipe.OnFibre, "1.5", "", "", "240 g", "", "3.6 g", "3.6 g", "3.6 g", "1.5 %"},
		{"34 g/L in 10 L on 500 g is 68 % WOF", recipe.InBath, "34", "", "", "500 g", "10 L", "340 g", "340 g", "340 g", "68 %"},
		{"chalk bath 5 g/L in 9.6 L on 240 g", recipe.InBath, "5", "", "", "240 g", "9.6 L", "48 g", "48 g", "48 g", "20 %"},
		{"the same from a 50 g/L stock", recipe.InBath, "5", "50", "", "240 g", "9.6 L", "960 mL", "960 mL", "48 g", "20 %"},
		{"iron liquor of known strength by volume", recipe.OfLiquor, "50", "200", "", "1080 g", "", "54 mL", "54 mL", "10.8 g", "1 %"},
		{"vinegar liquor, strength unknown", recipe.OfLiquor, "50", "", "", "1080 g", "", "54 mL", "54 mL", "–", "unknown"},
		{"galls by the piece", recipe.Counted, "40", "", "", "240 g", "", "10 pieces", "10 pieces", "–", "unknown"},
		{"rounded half to even, up", recipe.OnFibre, "4.75", "", "", "100 g", "", "4.75 g", "4.8 g", "4.8 g", "4.8 %"},
		{"rounded half to even, down", recipe.OnFibre, "4.85", "", "", "100 g", "", "4.85 g", "4.8 g", "4.8 g", "4.8 %"},
	} {
		p := recipe.Pot{Dry: amount(t, c.dry)}
		if c.bath != "" {
			p.Bath = amount(t, c.bath)
		}
		d, err := ask(t, c.basis, c.value, c.stock, c.streng).For(p, bench)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		on := "unknown"
		if d.WOF != nil {
			on = d.WOF.String()
		}
		if got := fmt.Sprint(d.Exact, d.Take, d.Mass, on); got != fmt.Sprint(amountOf(c.exact), amountOf(c.take), amountOf(c.mass), c.on) {
			t.Errorf("%s: exactly %s, take %s, which is %s and %s", c.name, d.Exact, d.Take, d.Mass, on)
		}
	}
}

// amountOf lets "–" stand for the absent amount.
func amountOf(s string) quantity.Amount {
	a, _ := quantity.ParseText(s)
	return a
}

// Pot B of the choir's tunics really got 30 mL, and the linen shirt a volume of
// vinegar liquor.
func TestWhatWasReallyOffered(t *testing.T) {
	t.Parallel()
	mass, wof, err := recipe.Offered(amount(t, "30 mL"), amount(t, "539 g"), stock(t, "200"), nil)
	if err != nil || mass.String() != "6 g" || wof.String() != "1.113 %" {
		t.Error(mass, wof, err)
	}
	if mass, wof, err = recipe.Offered(amount(t, "40 mL"), amount(t, "240 g"), nil, nil); err != nil || wof != nil || mass.Unit != 0 {
		t.Error("a per cent was computed from a liquor of unknown strength", mass, wof, err)
	}
	for _, c := range []struct{ taken, dry, stock, strength, field string }{
		{"0 mL", "240 g", "200", "", "amount"}, {"-1 g", "240 g", "", "", "amount"}, {"30 mL", "0 g", "200", "", "dry_mass_g"},
		{"30 mL", "240 mL", "200", "", "dry_mass_g"}, {"30 mL", "240 g", "0", "", "stock_g_per_l"}, {"30 mL", "240 g", "200", "0", "strength_percent"},
		{"1000000000 g", "0.000001 g", "", "", "amount"}, {"1000000000 mL", "1 g", "10000", "", "amount"},
	} {
		_, _, err := recipe.Offered(amount(t, c.taken), amount(t, c.dry), stock(t, c.stock), strength(t, c.strength))
		refused(t, err, fault.Invalid, c.field, "")
	}
}

func TestLinesThatSayNothingAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ basis, value, field string }{
		{"", "15", "basis"}, {"wof", "15", "basis"}, {"percent_wof", "", "value"}, {"percent_wof", "NaN", "value"}, {"percent_wof", "1e3", "value"},
		{"percent_wof", "0", "wof_percent"}, {"percent_wof", "-15", "wof_percent"}, {"grams_per_litre", "0", "grams_per_litre"},
		{"ml_per_kg", "0", "value"}, {"ml_per_kg", "-4", "value"}, {"pieces_per_kg", "1.5", "value"}, {"pieces_per_kg", "0", "value"},
	} {
		_, err := recipe.ParseAsk(c.basis, c.value)
		refused(t, err, fault.Invalid, c.field, "")
	}
	_, err := ask(t, recipe.InBath, "5", "", "").For(recipe.Pot{Dry: quantity.Grams(240)}, bench)
	refused(t, err, fault.Invalid, "bath", "volume of the bath")
	_, err = ask(t, recipe.OnFibre, "5", "", "").For(recipe.Pot{Dry: quantity.Grams(240)}, recipe.Scale{Mass: quantity.Millilitres(1)})
	refused(t, err, fault.Invalid, "scale_mass", "no step")
	_, err = recipe.Ask{Basis: recipe.OfLiquor, PerKilo: quantity.Grams(5)}.For(recipe.Pot{Dry: quantity.Grams(240)}, bench)
	refused(t, err, fault.Invalid, "value", "volume is needed")
}

func TestADoseBelowTheScaleIsRefusedAndNotRoundedAway(t *testing.T) {
	t.Parallel()
	_, err := ask(t, recipe.OnFibre, "0.1", "", "").For(recipe.Pot{Dry: quantity.Grams(40)}, bench) // 0.04 g on a 0.1 g scale
	f, ok := fault.Of(err)
	if !ok || f.Kind != fault.Refused || f.Reason != "BELOW_SCALE" || f.Numbers["step"] != "0.1 g" {
		t.Error(err)
	}
	if _, err = ask(t, recipe.Counted, "1", "", "").For(recipe.Pot{Dry: quantity.Grams(40)}, bench); err == nil {
		t.Error("no gall at all was counted out")
	}
}

// Laws: the rounding moves a dose by at most half a step of the scale; a
// weaker parcel takes more; what is taken from a stock holds the dose; a line
// comes back as it was written.
func TestDoseLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		dry := quantity.Amount{N: rapid.Int64Range(1_000_000, 100_000_000_000).Draw(t, "dry µg"), Unit: quantity.Mass}
		wof := quantity.Percent(rapid.Int64Range(10_000, 50_000_000).Draw(t, "wof"))
		parcel := quantity.Percent(rapid.Int64Range(10_000, 10_000_000).Draw(t, "strength"))
		conc := quantity.Concentration(rapid.Int64Range(1_000, 500_000).Draw(t, "mg/L"))
		step := rapid.SampledFrom([]int64{1, 1_000, 10_000, 100_000}).Draw(t, "step")
		scale := recipe.Scale{Mass: quantity.Amount{N: step, Unit: quantity.Mass}, Volume: quantity.Amount{N: step, Unit: quantity.Volume}}
		a := recipe.Ask{Basis: recipe.OnFibre, Percent: wof, Strength: &parcel}

		if again, err := recipe.ParseAsk(string(a.Basis), a.Value()); err != nil || again.Percent != wof {
			t.Fatalf("%s came back as %s, %v", a, again, err)
		}
		d, err := a.For(recipe.Pot{Dry: dry}, scale)
		if f, is := fault.Of(err); is && f.Reason == "BELOW_SCALE" {
			return
		} else if err != nil {
			t.Fatal(err)
		}
		if off := d.Take.Sub(d.Exact).N; 2*off > step || 2*off < -step || d.Take.N%step != 0 {
			t.Fatalf("%s for %s in steps of %d", d.Take, d.Exact, step)
		}
		half := parcel / 2
		if half >= quantity.WholePercent(1) {
			a.Strength = &half
			weaker, err := a.For(recipe.Pot{Dry: dry}, recipe.Scale{})
			if err != nil || weaker.Exact.N < d.Exact.N {
				t.Fatalf("a weaker parcel takes %s, not more than %s: %v", weaker.Exact, d.Exact, err)
			}
		}
		a.Strength, a.Stock = &parcel, &conc
		v, err := a.For(recipe.Pot{Dry: dry}, recipe.Scale{})
		if err != nil {
			t.Fatal(err)
		}
		if off := v.Mass.Sub(d.Exact).N; off > int64(conc)/1000+1 || off < -int64(conc)/1000-1 {
			t.Fatalf("%s at %s holds %s of %s", v.Take, conc, v.Mass, d.Exact)
		}
	})
}

func FuzzParseAsk(f *testing.F) {
	for _, b := range recipe.Bases() {
		f.Add(string(b), "15")
	}
	f.Fuzz(func(t *testing.T, basis, value string) {
		a, err := recipe.ParseAsk(basis, value)
		if err != nil {
			return
		}
		if again, err := recipe.ParseAsk(string(a.Basis), a.Value()); err != nil || again != a {
			t.Fatalf("%q %q came back as %v, %v", basis, value, again, err)
		}
	})
}
