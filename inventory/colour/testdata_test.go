package colour_test

import (
	"embed"
	"encoding/csv"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

//go:embed testdata/*.csv
var testdata embed.FS

// row is one line of a table of testdata, by column name.
type row map[string]string

func rows(t *testing.T, file string, want int) []row {
	t.Helper()
	f, err := testdata.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != want+1 {
		t.Fatalf("%s has %d rows, want %d", file, len(all)-1, want)
	}
	var out []row
	for _, line := range all[1:] {
		r := row{}
		for i, name := range all[0] {
			r[name] = line[i]
		}
		out = append(out, r)
	}
	return out
}

func (r row) num(t *testing.T, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q: %v", column, err)
	}
	return v
}

func (r row) lab(t *testing.T, l, a, b string) colour.Lab {
	t.Helper()
	return colour.Lab{L: r.num(t, l), A: r.num(t, a), B: r.num(t, b)}
}

// near fails unless got lies within tolerance of want; NaN fails.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %v, want %v ± %v", what, got, want, tolerance)
	}
}

// failer is what *testing.T and *rapid.T have in common here.
type failer interface {
	Helper()
	Fatal(...any)
}

// must unwraps what a test knows to be right: must(f(x))(t).
func must[T any](v T, err error) func(failer) T {
	return func(t failer) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// refused fails unless err is a fault.BadField on field whose sentence holds words.
func refused(t *testing.T, err error, field, words string) {
	t.Helper()
	var f *fault.Fault
	if !errors.As(err, &f) {
		t.Fatalf("got %v, want a refusal of %s", err, field)
	}
	if f.Kind != fault.Invalid || f.Field != field || !strings.Contains(f.Say, words) {
		t.Errorf("refused %s with %q (kind %d), want field %s and the words %q", f.Field, f.Say, f.Kind, field, words)
	}
}

// every lists wavelengths from first to last.
func every(first, last, step float64) (nm []float64) {
	for i := 0; first+float64(i)*step <= last; i++ {
		nm = append(nm, first+float64(i)*step)
	}
	return nm
}

// measured makes a spectrum by reading a curve at some wavelengths.
func measured(t failer, nm []float64, curve func(nm float64) float64) colour.Spectrum {
	t.Helper()
	r := make([]float64, len(nm))
	for i, w := range nm {
		r[i] = curve(w)
	}
	scale := must(colour.NewWavelengths("wavelengths_nm", nm))(t)
	return must(scale.Spectrum("reflectance", r))(t)
}

// views is every light with every eye.
func views(t failer) (all []colour.View) {
	t.Helper()
	for _, name := range colour.Illuminants() {
		for _, degrees := range []int{2, 10} {
			all = append(all, view(t, name, degrees))
		}
	}
	return all
}

func view(t failer, illuminant string, degrees int) colour.View {
	t.Helper()
	return colour.View{
		Illuminant: must(colour.NewIlluminant("illuminant", illuminant))(t),
		Observer:   must(colour.NewObserver("observer", degrees))(t),
	}
}
