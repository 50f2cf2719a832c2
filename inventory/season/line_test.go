package season_test

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/season"
)

// NIST Statistical Reference Datasets, linear regression, Norris: calibration
// of ozone monitors, 36 points, certified to 15 digits.
const (
	norrisX = "0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 " +
		"556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"
	norrisY = "0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 " +
		"557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"
)

func TestFitLineOfNorris(t *testing.T) {
	t.Parallel()
	l, err := season.FitLine(decimals(t, norrisX), decimals(t, norrisY))
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []struct {
		what      string
		got, want float64
	}{
		{"intercept", l.Intercept, -0.262323073774029},
		{"slope", l.Slope, 1.00211681802045},
		{"intercept se", l.InterceptSE, 0.232818234301152},
		{"slope se", l.SlopeSE, 0.429796848199937e-3},
		{"residual sd", l.ResidualSD, 0.884796396144373},
		{"r squared", *l.RSquared, 0.999993745883712},
	} {
		wantNear(t, v.what+" (relative)", v.got/v.want, 1, 5e-15)
	}
	// The same fit with Student's t from mpmath 1.3 at 40 digits.
	for _, v := range []struct {
		at, confidence       float64
		predicted, low, high float64
	}{
		{500, 0.95, 500.79608593645317, 498.97179405418363, 502.62037781872271},
		{0, 0.99, -0.2623230737740295, -2.758571313714147, 2.233925166166088},
		{2000, 0.8, 2003.9713129671348, 2002.500635647372, 2005.4419902868976},
	} {
		predicted, low, high, err := l.Predict(season.Exact(v.at)[0], v.confidence)
		if err != nil {
			t.Fatal(err)
		}
		wantNear(t, "predicted", predicted, v.predicted, 1e-14)
		wantNear(t, "low", low, v.low, 1e-14)
		wantNear(t, "high", high, v.high, 1e-14)
	}
}

// NIST StRD NoInt1 and NoInt2 are certified for a line through the origin; with
// an intercept their answers follow by hand, and centred sums that round lose
// them first.
func TestFitLineByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, x, y           string
		intercept, slope     float64
		residualSD, rSquared float64
	}{
		{"NoInt1's points", "60 61 62 63 64 65 66 67 68 69 70", "130 131 132 133 134 135 136 137 138 139 140", 70, 1, 0, 1},
		{"NoInt2's points", "4 5 6", "3 4 4", 7. / 6, 0.5, 0.40824829046386302, 0.75},
		{"far from zero", "1000000000.1 1000000000.2 1000000000.3", "3 4 4", -5000000000 + 8./3, 5, 0.40824829046386302, 0.75},
		{"small steps on a tall y", "1 2 3 4", "9000000000000000.1 9000000000000000.3 9000000000000000.2 9000000000000000.4", 9000000000000000.05, 0.08, 0.094868329805051380, 0.64},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			l, err := season.FitLine(decimals(t, c.x), decimals(t, c.y))
			if err != nil {
				t.Fatal(err)
			}
			wantNear(t, "intercept", l.Intercept, c.intercept, 1e-15)
			wantNear(t, "slope", l.Slope, c.slope, 1e-15)
			wantNear(t, "residual sd", l.ResidualSD, c.residualSD, 1e-15)
			wantNear(t, "r squared", *l.RSquared, c.rSquared, 1e-15)
		})
	}
}

func TestFitLineOfConstantY(t *testing.T) {
	t.Parallel()
	l, err := season.FitLine(decimals(t, "0.1 0.2 0.3"), decimals(t, "0.7 0.7 0.7"))
	if err != nil {
		t.Fatal(err)
	}
	if l.RSquared != nil || l.Slope != 0 || l.Intercept != 0.7 || l.ResidualSD != 0 || l.SlopeSE != 0 {
		t.Errorf("got %+v", l)
	}
}

// Moving the points sideways moves the intercept alone, to the last digit.
func TestFitLineDoesNotSeeWhereZeroIs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var x, moved, y []*big.Rat
		shift := big.NewRat(rapid.Int64().Draw(t, "shift"), 1000)
		for i := range rapid.IntRange(3, 12).Draw(t, "points") {
			x = append(x, big.NewRat(int64(i)*1000+rapid.Int64Range(0, 999).Draw(t, "x"), 1000))
			y = append(y, big.NewRat(rapid.Int64Range(-9999, 9999).Draw(t, "y"), 100))
			moved = append(moved, new(big.Rat).Add(x[i], shift))
		}
		here, err := season.FitLine(x, y)
		if err != nil {
			t.Fatal(err)
		}
		there, err := season.FitLine(moved, y)
		if err != nil {
			t.Fatal(err)
		}
		if here.Slope != there.Slope || here.SlopeSE != there.SlopeSE || here.ResidualSD != there.ResidualSD {
			t.Fatalf("%+v, moved %+v", here, there)
		}
		_, low, high, _ := here.Predict(x[0], 0.9)
		_, farLow, farHigh, _ := there.Predict(moved[0], 0.9)
		if low != farLow || high != farHigh {
			t.Fatalf("%v to %v, moved %v to %v", low, high, farLow, farHigh)
		}
	})
}

func TestFitLineRefuses(t *testing.T) {
	t.Parallel()
	good := season.Exact(1, 2, 4)
	for _, c := range []struct {
		field string
		x, y  []*big.Rat
	}{
		{"x", nil, nil},
		{"x", season.Exact(1, 2), season.Exact(1, 2)},
		{"x", season.Exact(5, 5, 5), good},
		{"y", good, season.Exact(1, 2)},
		{"x[1]", season.Exact(1, nan, 3), good},
		{"y[2]", good, season.Exact(1, 2, inf)},
		{"y[0]", good, season.Exact(1e101, 2, 3)},
		{"y[0]", good, season.Exact(1e-101, 2, 3)},
	} {
		_, err := season.FitLine(c.x, c.y)
		wantField(t, err, c.field)
	}
	l, err := season.FitLine(good, good)
	if err != nil {
		t.Fatal(err)
	}
	_, _, _, err = l.Predict(nil, 0.95)
	wantField(t, err, "at")
	for _, confidence := range []float64{0, 1, 95, -1, nan} {
		_, _, _, err = l.Predict(good[0], confidence)
		wantField(t, err, "confidence")
	}
}
