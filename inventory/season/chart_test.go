package season_test

import (
	"testing"

	"dyelot/inventory/season"
)

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory).
func TestIndividualsChartOfTheHandbook(t *testing.T) {
	t.Parallel()
	c, err := season.IndividualsChart([]float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []struct {
		what            string
		got, want, unit float64
	}{
		{"mean", c.Mean, 50.81, 0.005}, {"moving range", c.MeanMovingRange, 1.8778, 0.00005},
		{"lower", c.Lower, 45.8159, 0.00005}, {"upper", c.Upper, 55.8041, 0.00005},
	} {
		if d := v.got - v.want; d > v.unit || d < -v.unit {
			t.Errorf("%s = %v, want %v", v.what, v.got, v.want)
		}
	}
}

func TestIndividualsChartRefuses(t *testing.T) {
	t.Parallel()
	_, err := season.IndividualsChart([]float64{1})
	wantField(t, err, "readings")
	_, err = season.IndividualsChart([]float64{1, nan})
	wantField(t, err, "readings[1]")
}
