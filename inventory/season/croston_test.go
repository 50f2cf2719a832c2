package season_test

import (
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

// productC of Makridakis, Wheelwright & Hyndman 1998; the answers as printed in
// Hyndman & Athanasopoulos, Forecasting, 2nd ed., § 13.2 (from memory).
var productC = []float64{0, 2, 0, 1, 0, 11, 0, 0, 0, 0, 2, 0, 6, 3, 0, 0, 0, 0, 0, 7, 0, 0, 0, 0, 0, 0, 0, 3, 1, 0, 0, 1, 0, 1, 0, 0}

func TestCrostonOfProductC(t *testing.T) {
	t.Parallel()
	f, err := season.Croston(productC, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	wantNear(t, "size", f.Size, 2.750, 0.0005)
	wantNear(t, "interval", f.Interval, 2.793, 0.0005)
	wantNear(t, "rate", f.Rate, 0.985, 0.0005)
	if f.Months != 11 {
		t.Errorf("%d months with use, want 11", f.Months)
	}
}

// By hand: what is used alike every month is forecast as that.
func TestCrostonOfSteadyUse(t *testing.T) {
	t.Parallel()
	f, err := season.Croston([]float64{4, 4, 4, 4, 4, 4, 4, 4}, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	if (f != season.Forecast{Size: 4, Interval: 1, Rate: 4, Months: 8}) {
		t.Errorf("got %+v", f)
	}
}

func TestCrostonShowsNoForecastUnderEightMonths(t *testing.T) {
	t.Parallel()
	for _, use := range [][]float64{{0, 0, 0}, {5}, {1, 1, 1, 1, 0, 0, 1, 1, 0, 1}} {
		_, err := season.Croston(use, 0.1)
		if f, ok := fault.Of(err); !ok || f.Kind != fault.Refused || f.Reason != "FORECAST_TOO_THIN" {
			t.Errorf("%v: got %v", use, err)
		}
	}
}

func TestCrostonRefuses(t *testing.T) {
	t.Parallel()
	for _, alpha := range []float64{0, -0.1, 1.1, nan} {
		_, err := season.Croston(productC, alpha)
		wantField(t, err, "alpha")
	}
	_, err := season.Croston(nil, 0.1)
	wantField(t, err, "use")
	_, err = season.Croston([]float64{1, -1}, 0.1)
	wantField(t, err, "use[1]")
	_, err = season.Croston([]float64{nan}, 0.1)
	wantField(t, err, "use[0]")
}
