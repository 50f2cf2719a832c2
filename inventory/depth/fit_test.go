package depth_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

func points(t rapid.TB, x, y string) (ps []depth.Point) {
	t.Helper()
	xs, ys := strings.Fields(x), strings.Fields(y)
	for i := range xs {
		w, errW := strconv.ParseFloat(xs[i], 64)
		k, errK := strconv.ParseFloat(ys[i], 64)
		if errW != nil || errK != nil {
			t.Fatal(errW, errK)
		}
		ps = append(ps, depth.Point{WOF: w, KS: k})
	}
	return ps
}

func near(t rapid.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)+1e-12) {
		t.Errorf("%s = %.15g, want %.15g (within %g of it)", what, got, want, relative)
	}
}

func fitted(t rapid.TB, ps []depth.Point) *depth.Fit {
	t.Helper()
	f, err := depth.FitSwatches(ps)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func curve(t rapid.TB, f *depth.Fit, form depth.Form) depth.Curve {
	t.Helper()
	for _, c := range f.Curves {
		if c.Form == form {
			return c
		}
	}
	t.Fatalf("no %s among %v", form, f.Curves)
	return depth.Curve{}
}

func refused(t rapid.TB, err error, reason, field, says string) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Reason != reason || f.Field != field || !strings.Contains(f.Say, says) {
		t.Errorf("got %v, want %s on %q that says %q", err, reason, field, says)
	}
}

// NIST Statistical Reference Datasets, linear regression, Norris: 36 points,
// certified figures.
func TestTheLineIsNorris(t *testing.T) {
	t.Parallel()
	ps := points(t, "0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 "+
		"556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5",
		"0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 "+
			"557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2")
	f := fitted(t, ps)
	c := curve(t, f, depth.Line)
	near(t, "intercept", c.A, -0.262323073774029, 1e-10)
	near(t, "slope", c.B, 1.00211681802045, 1e-13)
	near(t, "residual sd", c.ResidualSD, 0.884796396144373, 1e-11)
	if f.Chosen.Form != depth.Line {
		t.Errorf("ozone monitors are straight, but %s was chosen", f.Chosen.Form)
	}
}

// Puromycin, treated cells: initial velocity of a reaction by substrate
// (Treloar 1974, in Bates & Watts, Nonlinear Regression Analysis, 1988, and
// among the data sets of R). Vm 212.7 with standard error 6.947, K 0.06412
// with 0.008281, residual standard error 10.93 on 10 degrees of freedom. From
// memory [M], the data too. The dose is scaled by 100, which a dose may be.
func TestTheSaturatingFormIsPuromycin(t *testing.T) {
	t.Parallel()
	ps := points(t, "2 2 6 6 11 11 22 22 56 56 110 110", "76 47 97 107 123 139 159 152 191 201 207 200")
	c := curve(t, fitted(t, ps), depth.Saturating)
	near(t, "Vm", c.A, 212.7, 5e-4)
	near(t, "K", c.B, 6.412, 5e-5)
	near(t, "residual standard error", c.ResidualSD, 10.93, 5e-4)
}

// What least squares means, checked on made-up swatches that scatter by 3 %: at
// the answer the residuals are square to both slopes of the curve (the normal
// equations), and no other m and h on a wide ladder do better.
func TestTheSaturatingFormIsTheLeastSquares(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 2))
	for range 6 {
		m, h := 5+15*rng.Float64(), 10+60*rng.Float64()
		var ps []depth.Point
		for _, w := range []float64{5, 10, 20, 35, 50, 75, 100} {
			ps = append(ps, depth.Point{WOF: w, KS: m * w / (h + w) * (1 + 0.03*rng.NormFloat64())})
		}
		squares := func(m, h float64) (sum float64) {
			for _, p := range ps {
				d := p.KS - m*p.WOF/(h+p.WOF)
				sum += d * d
			}
			return sum
		}
		c := curve(t, fitted(t, ps), depth.Saturating)
		toM, toH := 0.0, 0.0
		for _, p := range ps {
			d := p.KS - c.A*p.WOF/(c.B+p.WOF)
			toM += d * p.WOF / (c.B + p.WOF)
			toH += d * c.A * p.WOF / ((c.B + p.WOF) * (c.B + p.WOF))
		}
		if math.Abs(toM) > 1e-7 || math.Abs(toH) > 1e-7 {
			t.Errorf("the normal equations leave %g and %g", toM, toH)
		}
		least := squares(c.A, c.B)
		for i := -100; i <= 100; i++ {
			for j := -100; j <= 100; j++ {
				if other := squares(c.A*math.Exp(float64(i)/40), c.B*math.Exp(float64(j)/20)); other < least {
					t.Fatalf("%g at %d, %d is less than %g", other, i, j, least)
				}
			}
		}
		near(t, "residual sd", c.ResidualSD, math.Sqrt(least/5), 1e-12)
	}
}

// Swatches that lie on a curve of one form give that form, its figures, and
// the dose that made a depth.
func TestAnExactCurveComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		form := rapid.SampledFrom(depth.Forms()).Draw(rt, "form")
		a, b := rapid.Float64Range(0.1, 3).Draw(rt, "a"), rapid.Float64Range(0.05, 3).Draw(rt, "b")
		if form == depth.Saturating {
			a, b = rapid.Float64Range(2, 30).Draw(rt, "m"), rapid.Float64Range(5, 80).Draw(rt, "h")
		}
		on := func(w float64) float64 {
			switch form {
			case depth.Line:
				return a + b*w
			case depth.Log:
				return a + b*math.Log(w)
			}
			return a * w / (b + w)
		}
		var ps []depth.Point
		for _, w := range []float64{4, 8, 15, 30, 60, 90} {
			ps = append(ps, depth.Point{WOF: w, KS: on(w)})
		}
		f := fitted(rt, ps)
		if f.Chosen.Form != form {
			rt.Fatalf("%s was chosen for %s: %+v", f.Chosen.Form, form, f.Curves)
		}
		near(rt, "A", f.Chosen.A, a, 1e-7)
		near(rt, "B", f.Chosen.B, b, 1e-7)
		w := rapid.Float64Range(4, 90).Draw(rt, "dose")
		p, err := f.Dose(on(w), 0.95)
		if err != nil {
			rt.Fatal(err)
		}
		near(rt, "dose", p.WOF, w, 1e-6)
		near(rt, "low", p.Low, w, 1e-5)
		near(rt, "high", p.High, w, 1e-5)
	})
}

// Leaving one out of a straight line has a closed form: the residual over one
// less the leverage (Allen 1974, PRESS; Draper & Smith, Applied Regression
// Analysis, ch. 8).
func TestTheLeftOutErrorIsPress(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		ps := scattered(rt)
		c := curve(rt, fitted(rt, ps), depth.Line)
		n, mean, sxx := float64(len(ps)), 0.0, 0.0
		for _, p := range ps {
			mean += p.WOF / n
		}
		for _, p := range ps {
			sxx += (p.WOF - mean) * (p.WOF - mean)
		}
		press := 0.0
		for _, p := range ps {
			e := (p.KS - c.KS(p.WOF)) / (1 - 1/n - (p.WOF-mean)*(p.WOF-mean)/sxx)
			press += e * e
		}
		near(rt, "left-out error", c.LeftOutError, math.Sqrt(press/n), 1e-8)
	})
}

// scattered are six to ten swatches that rise and scatter.
func scattered(t *rapid.T) (ps []depth.Point) {
	n := rapid.IntRange(6, 10).Draw(t, "n")
	for i := range n {
		w := 10 * float64(i+1)
		ps = append(ps, depth.Point{WOF: w, KS: 1 + 0.1*w + rapid.Float64Range(-0.3, 0.3).Draw(t, "off")})
	}
	return ps
}

// The inverse of the prediction band of a line is Fieller's interval (1954; as
// in Draper & Smith, ch. 3, for one new reading), in closed form; and the band
// is that of season.Line, whose sums are exact.
func TestTheIntervalOfALineIsFiellers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		ps := scattered(rt)
		f := fitted(rt, ps)
		f.Chosen = curve(rt, f, depth.Line)
		n, meanX, meanY, sxx, sxy := float64(len(ps)), 0.0, 0.0, 0.0, 0.0
		for _, p := range ps {
			meanX += p.WOF / n
			meanY += p.KS / n
		}
		for _, p := range ps {
			sxx += (p.WOF - meanX) * (p.WOF - meanX)
			sxy += (p.WOF - meanX) * (p.KS - meanY)
		}
		b := sxy / sxx
		target := f.Chosen.KS(rapid.Float64Range(f.From+0.5, f.To-0.5).Draw(rt, "dose"))
		student, err := season.Student(0.95, len(ps)-2)
		if err != nil {
			rt.Fatal(err)
		}
		s := f.Chosen.ResidualSD
		g := student * student * s * s / (b * b * sxx)
		d := (target - meanY) / b
		half := student * s / b * math.Sqrt((1-g)*(1+1/n)+d*d/sxx)
		low, high := meanX+(d-half)/(1-g), meanX+(d+half)/(1-g)
		p, err := f.Dose(target, 0.95)
		if err != nil {
			rt.Fatal(err)
		}
		if low < f.From != p.LowOpen || high > f.To != p.HighOpen {
			rt.Fatalf("Fieller says %v to %v, and the dose is %+v", low, high, p)
		}
		near(rt, "low", p.Low, max(low, f.From), 1e-7)
		near(rt, "high", p.High, min(high, f.To), 1e-7)
		if p.HighOpen || p.LowOpen {
			return
		}
		x, y := make([]float64, len(ps)), make([]float64, len(ps))
		for i, q := range ps {
			x[i], y[i] = q.WOF, q.KS
		}
		l, err := season.FitLine(season.Exact(x...), season.Exact(y...))
		if err != nil {
			rt.Fatal(err)
		}
		_, _, top, err := l.Predict(season.Exact(p.Low)[0], 0.95)
		if err != nil {
			rt.Fatal(err)
		}
		_, bottom, _, err := l.Predict(season.Exact(p.High)[0], 0.95)
		if err != nil {
			rt.Fatal(err)
		}
		near(rt, "the band's top at the low end", top, target, 1e-8)
		near(rt, "the band's bottom at the high end", bottom, target, 1e-8)
	})
}

// Of many studios with such swatches, 95 % find the dose that a new swatch
// really had within the interval, for the curve that bends too.
func TestTheIntervalHoldsWhatItSays(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 7))
	for _, form := range depth.Forms() {
		held, of := 0, 500
		for range of {
			on := func(w float64) float64 {
				v := map[depth.Form]float64{depth.Line: 1 + 0.1*w, depth.Log: -4 + 3*math.Log(w), depth.Saturating: 15 * w / (45 + w)}[form]
				return v + 0.2*rng.NormFloat64()
			}
			var ps []depth.Point
			for w := 10.0; w <= 100; w += 10 {
				ps = append(ps, depth.Point{WOF: w, KS: on(w)})
			}
			f := fitted(t, ps)
			f.Chosen = curve(t, f, form)
			p, err := f.Dose(on(45), 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if p.Low <= 45 && 45 <= p.High {
				held++
			}
		}
		// Four standard deviations of a count of 500 at 95 % are 3.9 %.
		if share := float64(held) / float64(of); math.Abs(share-0.95) > 0.039 {
			t.Errorf("%s: %.3f of the intervals hold the dose", form, share)
		}
	}
}

func TestADoseIsNotGuessedBeyondTheSwatches(t *testing.T) {
	t.Parallel()
	weld := points(t, "20 30 40 50 65 80", "3.3 4.3 5.1 5.5 6.3 6.6")
	f := fitted(t, weld)
	_, err := f.Dose(9, 0.95)
	refused(t, err, "BEYOND_THE_SWATCHES", "", "deeper than these swatches: they go from 20 to 80 % WOF, where the curve (saturating) says K/S 3.35 to 6.67")
	_, err = f.Dose(40, 0.95) // beyond what the curve ever reaches
	refused(t, err, "BEYOND_THE_SWATCHES", "", "deeper")
	_, err = f.Dose(1, 0.95)
	refused(t, err, "BEYOND_THE_SWATCHES", "", "paler")
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err = f.Dose(bad, 0.95)
		refused(t, err, "INVALID_FIELD", "target_ks", "no depth")
	}
	_, err = f.Dose(5, 1)
	refused(t, err, "INVALID_FIELD", "confidence", "between 0 and 1")

	_, err = depth.FitSwatches(weld[:3])
	refused(t, err, "TOO_FEW_SWATCHES", "", "3 swatches at 3 different % WOF: a curve needs at least 4 swatches at 3 different doses")
	_, err = depth.FitSwatches(points(t, "20 20 40 40", "3 3.1 5 5.1"))
	refused(t, err, "TOO_FEW_SWATCHES", "", "4 swatches at 2 different")
	_, err = depth.FitSwatches(points(t, "20 30 40 50", "6 5 4 3"))
	refused(t, err, "NO_RISE", "", "line: K/S does not rise with the dose")
	for field, bad := range map[string]depth.Point{"swatches[1].percent_wof": {WOF: 0, KS: 1}, "swatches[1].spectrum": {WOF: 1, KS: -0.1}} {
		_, err = depth.FitSwatches([]depth.Point{weld[0], bad, weld[1], weld[2]})
		refused(t, err, "INVALID_FIELD", field, "")
	}
	_, err = depth.FitSwatches(make([]depth.Point, 0))
	refused(t, err, "TOO_FEW_SWATCHES", "", "0 swatches")
}

func TestWhatToMindOfADose(t *testing.T) {
	t.Parallel()
	exact := func(m, h float64) (ps []depth.Point) {
		for _, w := range []float64{5, 10, 20, 40, 80, 160} {
			ps = append(ps, depth.Point{WOF: w, KS: m * w / (h + w)})
		}
		return ps
	}
	for _, c := range []struct {
		name   string
		ps     []depth.Point
		target float64
		want   string
	}{
		{"on the steep part", exact(20, 40), 8, ""},
		// Two thirds of the depth it bends towards is where 1 % more takes 3 % more.
		{"just under two thirds of full", exact(20, 40), 13.33, ""},
		{"just over two thirds of full", exact(20, 40), 13.34, "near-saturation"},
		{"swatches all over the place", points(t, "10 20 30 40 50 60", "1 3.5 2.2 4.8 3.6 6.5"), 3, "wide-scatter open-interval"},
		{"at an end", points(t, "10 20 30 40 50 60", "1.1 2 3.1 4 5.1 6"), 1.2, "open-interval"},
	} {
		p, err := fitted(t, c.ps).Dose(c.target, 0.95)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if got := keys(p.Warnings); got != c.want {
			t.Errorf("%s: %q, want %q: %+v", c.name, got, c.want, p)
		}
	}
}
