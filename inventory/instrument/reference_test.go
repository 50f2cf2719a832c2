package instrument_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"dyelot/inventory/colour"
	"dyelot/inventory/instrument"
)

func readFile(t testing.TB, path string, hint instrument.Hint) instrument.File {
	t.Helper()
	in, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	f, err := instrument.Read(in, hint)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return f
}

// table is a reference table: a map a row.
func table(t testing.TB, path string, rows int) []map[string]string {
	t.Helper()
	in, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	all, err := csv.NewReader(in).ReadAll()
	if err != nil || len(all) != rows+1 {
		t.Fatalf("%s: %d rows, want %d: %v", path, len(all)-1, rows, err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, cell := range r {
			m[all[0][i]] = cell
		}
		out = append(out, m)
	}
	return out
}

func figure(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The curves of spectra_inputs.csv, in each format, are the same spectra; and
// their colours are those of spectra_checks.csv, which came by another route,
// ASTM E2022 weights at 10 nm (agreement asked: 0.05).
func TestEachFormatGivesTheSameSpectra(t *testing.T) {
	t.Parallel()
	inputs := table(t, "testdata/spectra_inputs.csv", 3)
	checks := table(t, "testdata/spectra_checks.csv", 12)
	for file, format := range map[string]instrument.Format{
		"spectra.cgats": instrument.CGATS, "spectra.cxf": instrument.CxF3, "spectra.csv": instrument.CSV, "spectra-upright.tsv": instrument.CSV, "spectra_inputs.csv": instrument.CSV,
	} {
		f := readFile(t, filepath.Join("testdata", file), instrument.Hint{})
		if f.Format != format || len(f.Samples) != 3 {
			t.Fatalf("%s: %s with %d samples", file, f.Format, len(f.Samples))
		}
		if file != "spectra_inputs.csv" && f.Specular != "included" {
			t.Errorf("%s: specular %q", file, f.Specular)
		}
		if strings.HasPrefix(file, "spectra.") && (f.Instrument != "spectro-1" || !strings.HasPrefix(f.Date, "2026-07-07")) {
			t.Errorf("%s: measured by %q on %q", file, f.Instrument, f.Date)
		}
		for i, in := range inputs {
			s := f.Samples[i]
			want := colour.Curve{FirstNM: 400, StepNM: 10}
			for w := 400; w <= 700; w += 10 {
				want.Reflectance = append(want.Reflectance, figure(t, in[strconv.Itoa(w)]))
			}
			if diff := cmp.Diff(&want, s.Bands, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
				t.Errorf("%s, %s (-want +got):\n%s", file, s.Name, diff)
			}
			if strings.ReplaceAll(s.Name, " ", "_") != in["sample"] {
				t.Errorf("%s: sample %d is called %q", file, i+1, s.Name)
			}
			coloursAgree(t, file, s, in["sample"], checks)
		}
	}
}

func coloursAgree(t *testing.T, file string, s instrument.Sample, sample string, checks []map[string]string) {
	t.Helper()
	spectrum, err := s.Bands.Spectrum("file")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, c := range checks {
		if c["sample"] != sample {
			continue
		}
		seen++
		var v colour.View
		if v.Illuminant, err = colour.NewIlluminant("", c["illuminant"]); err != nil {
			t.Fatal(err)
		}
		if c["observer"] == "2" {
			v.Observer = colour.TwoDegrees
		}
		got := spectrum.Lab(v)
		for axis, d := range map[string]float64{"L": got.L, "a": got.A, "b": got.B} {
			if math.Abs(d-figure(t, c[axis])) > 0.05 {
				t.Errorf("%s, %s in %s: %s is %v, want %s", file, sample, v, axis, d, c[axis])
			}
		}
	}
	if seen != 4 {
		t.Errorf("%d checks of %s, want 4", seen, sample)
	}
}
