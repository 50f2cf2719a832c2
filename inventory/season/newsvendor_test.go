package season_test

import (
	"testing"

	"dyelot/inventory/season"
)

func TestNewsvendor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                  string
		mean, sd, over, under float64
		quantity, ratio       float64
	}{
		{"Snyder & Shen, 2nd ed., Ex 4.3", 50, 8, 0.18, 0.70, 56.60395592743389, 0.70 / 0.88},
		{"too many and too few hurt alike", 40, 9, 2, 2, 40, 0.5},
		{"no doubt, no margin", 40, 0, 1, 9, 40, 0.9},
		// z(0.9) = 1.2815515655446004 from the printed table, carried on by mpmath 1.3.
		{"one in ten runs short", 100, 10, 1, 9, 112.815515655446004, 0.9},
		{"one in ten is enough", 100, 10, 9, 1, 87.184484344553996, 0.1},
		// z(1 − 1e-20) = 9.26234008979841 (mpmath 1.3): the ratio rounds to 1, the answer must not.
		{"nearly free to keep", 0, 1, 1, 1e20, 9.26234008979841, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			quantity, ratio, err := season.Newsvendor(c.mean, c.sd, c.over, c.under)
			if err != nil {
				t.Fatal(err)
			}
			wantNear(t, "quantity", quantity, c.quantity, 1e-14)
			wantNear(t, "critical ratio", ratio, c.ratio, 1e-15)
		})
	}
}

func TestNewsvendorRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		field                 string
		mean, sd, over, under float64
	}{
		{"mean", -1, 8, 1, 1}, {"mean", nan, 8, 1, 1},
		{"sd", 50, -8, 1, 1}, {"sd", 50, inf, 1, 1},
		{"over", 50, 8, 0, 1}, {"over", 50, 8, -1, 1}, {"over", 50, 8, nan, 1},
		{"under", 50, 8, 1, 0}, {"under", 50, 8, 1, -1}, {"under", 50, 8, 1, inf},
	} {
		_, _, err := season.Newsvendor(c.mean, c.sd, c.over, c.under)
		wantField(t, err, c.field)
	}
}
