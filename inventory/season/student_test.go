package season

import (
	"math"
	"testing"

	"dyelot/inventory/fault"
)

// Computed by mpmath 1.3 to 40 digits from the incomplete beta function; to
// three decimals they are the printed t table of NIST/SEMATECH e-Handbook
// 1.3.6.7.2.
func TestStudentWithin(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		share     float64
		freedom   int
		want      float64
		tolerance float64
	}{
		{0.0001, 1, 0.00015707963397141788, 1e-14}, {0.5, 1, 1, 1e-14}, {0.95, 1, 12.706204736174693, 1e-14}, {0.99, 1, 63.656741162871524, 1e-13},
		{0.95, 2, 4.3026527297494618, 1e-14}, {0.999, 2, 31.599054576443607, 1e-12},
		{0.95, 3, 3.1824463052837084, 1e-14}, {0.95, 4, 2.7764451051977935, 1e-14}, {0.99, 5, 4.0321429835552272, 1e-14},
		{0.8, 10, 1.3721836411103358, 1e-14}, {0.95, 10, 2.2281388519862742, 1e-14}, {0.9999998, 10, 12.49220968752074, 1e-9},
		{0.95, 34, 2.0322445093177185, 1e-14}, {0.99, 34, 2.7283943670707199, 1e-14},
		{0.0001, 100, 0.00012564512935244185, 1e-13}, {0.95, 100, 1.9839715185235519, 1e-14}, {0.9999998, 100, 5.5869004745803441, 1e-9},
		{0.95, 1001, 1.9623367052808795, 1e-13}, {0.99, 1001, 2.5807497687505247, 1e-13},
		{0.95, 100000, 1.9599877075346093, 1e-11}, {0.9999998, 100000, 5.1997019883597063, 1e-7},
	} {
		got := studentWithin(c.share, c.freedom)
		if math.Abs(got/c.want-1) > c.tolerance {
			t.Errorf("%v of t(%d) = %.17g, want %.17g ± %g", c.share, c.freedom, got, c.want, c.tolerance)
		}
	}
}

// A share that rounding cannot tell from 1 still ends the search.
func TestStudentWithinEnds(t *testing.T) {
	t.Parallel()
	for _, freedom := range []int{1, 2, 3, 30, 1000} {
		last := 0.0
		for _, share := range []float64{1e-300, 1e-9, 0.5, 1 - 1e-6, 1 - 1e-12, math.Nextafter(1, 0)} {
			got := studentWithin(share, freedom)
			if !(got > last) {
				t.Errorf("%v of t(%d) = %v, not above %v", share, freedom, got, last)
			}
			last = got
		}
	}
}

// 2.228 at 95 % and 10 degrees of freedom (NIST/SEMATECH e-Handbook 1.3.6.7.2).
func TestStudent(t *testing.T) {
	t.Parallel()
	if got, err := Student(0.95, 10); err != nil || math.Abs(got-2.228) > 5e-4 {
		t.Errorf("%v %v", got, err)
	}
	for _, c := range []struct {
		share   float64
		freedom int
		field   string
	}{{0, 5, "confidence"}, {1, 5, "confidence"}, {math.NaN(), 5, "confidence"}, {0.95, 0, "freedom"}} {
		_, err := Student(c.share, c.freedom)
		if f, ok := fault.Of(err); !ok || f.Field != c.field {
			t.Errorf("%v of t(%d): %v", c.share, c.freedom, err)
		}
	}
}
