package instrument_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
)

// samples is where Debian's package argyll-ref puts its files: a hundred or so
// that somebody else wrote. The tests fail without them, rather than pass.
const samples = "/usr/share/color/argyll/ref"

// What becomes of each of those files, by its name or by the end of it; each
// was looked at. Most hold no measured surface: lights, layouts of charts,
// patches to be printed, calibrations and profiles.
var outcomes = map[string]struct {
	samples int    // that are read
	line    string // else: where it is refused, "" for anywhere
	why     string // and what is said
}{
	".icm":                     {line: "1", why: "zero byte"},
	".sp":                      {line: "1", why: "may be of a light or a filter"},
	"SOtele.sp":                {line: "15", why: "TRANSMISSIVE"},
	".cht":                     {why: "where the patches of a chart lie"},
	".ti1":                     {line: "1", why: "patches to be printed"},
	".ti2":                     {line: "1", why: "patches as they were printed"},
	".cal":                     {line: "1", why: "calibration of a device"},
	".gam":                     {line: "1", why: "surface of a gamut"},
	"ColorChecker.cie":         {samples: 24},
	"ColorCheckerPassport.cie": {samples: 50},
	"QPcard_202.cie":           {samples: 35},
	"QPcard_201.cie":           {line: "12", why: "does not say for which illuminant"},
	"CMP_Digital_Target-4.cie": {line: "21", why: "does not say for which illuminant"},
	"SpyderChecker.cie":        {line: "14", why: "does not say for which illuminant"},
	"SpyderChecker24.cie":      {line: "14", why: "does not say for which illuminant"},
}

func TestEverySampleFileIsReadOrRefusedWithItsLine(t *testing.T) {
	t.Parallel()
	files, err := os.ReadDir(samples)
	if err != nil {
		t.Fatalf("Debian's package argyll-ref is needed: %v", err)
	}
	if len(files) < 75 {
		t.Fatalf("%s holds %d files, want 75 or more", samples, len(files))
	}
	for _, file := range files {
		want, known := outcomes[file.Name()]
		if !known {
			if want, known = outcomes[filepath.Ext(file.Name())]; !known {
				t.Errorf("%s: nobody has looked at it", file.Name())
				continue
			}
		}
		in, err := os.Open(filepath.Join(samples, file.Name()))
		if err != nil {
			t.Fatal(err)
		}
		got, err := instrument.Read(in, instrument.Hint{})
		_ = in.Close()
		f, refused := fault.Of(err)
		switch {
		case want.samples > 0 && (err != nil || len(got.Samples) != want.samples):
			t.Errorf("%s: %d samples, want %d: %v", file.Name(), len(got.Samples), want.samples, err)
		case want.samples == 0 && !refused:
			t.Errorf("%s: read with %d samples, %v", file.Name(), len(got.Samples), err)
		case want.samples == 0 && (f.Kind != fault.Invalid || f.Field != "file" || f.Numbers["line"] == "" || want.line != "" && f.Numbers["line"] != want.line || !strings.Contains(f.Say, want.why)):
			t.Errorf("%s: %v, want line %q and %q", file.Name(), err, want.line, want.why)
		}
		check(t, got)
	}
}

// First patches of the charts, as they stand in the files (ColorChecker.cie line
// 14, ColorCheckerPassport.cie line 14).
func TestSampleColoursAreThoseOfTheFile(t *testing.T) {
	t.Parallel()
	for file, want := range map[string]instrument.Sample{
		"ColorChecker.cie":         {Name: "A01", Line: 14, Lab: &instrument.Colour{Lab: colour.Lab{L: 37.99, A: 13.56, B: 14.06}}},
		"ColorCheckerPassport.cie": {Name: "SAT1", Line: 14, Lab: &instrument.Colour{Lab: colour.Lab{L: 51.020256, A: 55.280672, B: 28.133194}}},
	} {
		got := readFile(t, filepath.Join(samples, file), instrument.Hint{}).Samples[0]
		if got.Name != want.Name || got.Line != want.Line || got.Bands != nil || *got.Lab != *want.Lab {
			t.Errorf("%s: %+v, want %+v", file, got, want)
		}
	}
}

// Two files have XYZ and L*a*b* side by side, by D50/2° as the print trade does:
// told so, their XYZ give their L*a*b*, to the rounding of the white point.
func TestXYZOfSampleFilesGivesTheirLab(t *testing.T) {
	t.Parallel()
	print := colour.View{Illuminant: colour.D50, Observer: colour.TwoDegrees}
	for _, file := range []string{"ColorCheckerPassport.cie", "QPcard_202.cie"} {
		text, err := os.ReadFile(filepath.Join(samples, file))
		if err != nil {
			t.Fatal(err)
		}
		want := readFile(t, filepath.Join(samples, file), instrument.Hint{}).Samples
		hidden := strings.NewReplacer("LAB_L", "OWN_1", "LAB_A", "OWN_2", "LAB_B", "OWN_3").Replace(string(text))
		got, err := instrument.Read(strings.NewReader(hidden), instrument.Hint{View: &print})
		if err != nil || len(got.Samples) != len(want) {
			t.Fatalf("%s: %d samples, %v", file, len(got.Samples), err)
		}
		for i, s := range got.Samples {
			a, b := s.Lab.Lab, want[i].Lab.Lab
			if d := math.Hypot(math.Hypot(a.L-b.L, a.A-b.A), a.B-b.B); d > 0.05 || *s.Lab.View != print {
				t.Errorf("%s, %s: %v from XYZ, %v in the file", file, s.Name, a, b)
			}
		}
	}
}
