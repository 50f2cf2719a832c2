package instrument_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/instrument"
)

// failer is a test, a fuzz target or a drawn case.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// check holds what every file that was read must keep.
func check(t failer, f instrument.File) {
	t.Helper()
	if len(f.Samples) > instrument.MaxSamples || len(f.Notes) > instrument.MaxNotes {
		t.Fatalf("%d samples and %d notes", len(f.Samples), len(f.Notes))
	}
	for _, s := range f.Samples {
		if s.Name == "" || len([]rune(s.Name)) > instrument.MaxName || strings.ContainsAny(s.Name, "\n\x00\x1b") || s.Line < 1 {
			t.Fatalf("a sample called %q on line %d", s.Name, s.Line)
		}
		if (s.Bands == nil) == (s.Lab == nil) {
			t.Fatalf("%s has a spectrum and a colour, or neither", s.Name)
		}
		if s.Lab != nil {
			if err := s.Lab.Check(); err != nil {
				t.Fatalf("%s: %v", s.Name, err)
			}
			continue
		}
		if _, err := s.Bands.Spectrum("file"); err != nil {
			t.Fatalf("%s: %v", s.Name, err)
		}
		for _, r := range s.Bands.Reflectance {
			if !(r >= 0 && r <= 1) {
				t.Fatalf("%s: reflectance %v", s.Name, r)
			}
		}
	}
}

// again writes what was read in our own CGATS, a layout at a time, and reads
// that.
func again(t failer, f instrument.File) {
	t.Helper()
	for _, g := range groups(f) {
		want := instrument.File{Instrument: f.Instrument, Date: f.Date, Specular: g[0].Specular, Samples: g}
		text := asCGATS(want)
		got, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(want, got, written); diff != "" {
			t.Fatalf("(-want +got):\n%s\n%s", diff, text)
		}
	}
}

// written is what our own forms keep: all but where it stood.
var written = cmp.Options{cmpopts.IgnoreFields(instrument.File{}, "Format", "Notes"), cmpopts.IgnoreFields(instrument.Sample{}, "Line"), cmpopts.EquateEmpty()}

func decimal(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// groups parts samples by what a table of theirs has as columns.
func groups(f instrument.File) [][]instrument.Sample {
	var out [][]instrument.Sample
	for _, s := range f.Samples {
		if n := len(out); n > 0 && layout(out[n-1][0]) == layout(s) {
			out[n-1] = append(out[n-1], s)
			continue
		}
		out = append(out, []instrument.Sample{s})
	}
	return out
}

func layout(s instrument.Sample) string {
	switch {
	case s.Bands != nil:
		return fmt.Sprint(s.Bands.FirstNM, s.Bands.StepNM, len(s.Bands.Reflectance), s.Specular)
	case s.Lab.View != nil:
		return fmt.Sprint(s.Lab.View, s.Specular)
	}
	return "no view" + s.Specular
}

func columnsOf(s instrument.Sample, prefix string) []string {
	if s.Lab != nil {
		return []string{"LAB_L", "LAB_A", "LAB_B"}
	}
	var out []string
	for i := range s.Bands.Reflectance {
		out = append(out, prefix+itoa(s.Bands.FirstNM+i*s.Bands.StepNM))
	}
	return out
}

func valuesOf(s instrument.Sample) []string {
	if s.Lab != nil {
		return []string{decimal(s.Lab.L), decimal(s.Lab.A), decimal(s.Lab.B)}
	}
	var out []string
	for _, r := range s.Bands.Reflectance {
		out = append(out, decimal(r))
	}
	return out
}

func doubled(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }

// asCGATS is our own form: a table for each layout, shares of 1.
func asCGATS(f instrument.File) string {
	var b strings.Builder
	fmt.Fprintf(&b, "CGATS.17\nINSTRUMENTATION %s\nCREATED %s\nSPECTRAL_NORM 1\n", doubled(f.Instrument), doubled(f.Date))
	for _, g := range groups(f) {
		if s := g[0]; s.Lab != nil && s.Lab.View != nil {
			fmt.Fprintf(&b, "WEIGHTING_FUNCTION \"ILLUMINANT, %s\"\nWEIGHTING_FUNCTION \"OBSERVER, %d degree\"\n", s.Lab.View.Illuminant, s.Lab.View.Observer.Degrees())
		}
		if g[0].Specular != "" {
			fmt.Fprintf(&b, "SPECULAR %s\n", g[0].Specular)
		}
		fmt.Fprintf(&b, "BEGIN_DATA_FORMAT\nSAMPLE_NAME %s\nEND_DATA_FORMAT\nNUMBER_OF_SETS %d\nBEGIN_DATA\n", strings.Join(columnsOf(g[0], "SPECTRAL_NM"), " "), len(g))
		for _, s := range g {
			fmt.Fprintf(&b, "%s %s\n", doubled(s.Name), strings.Join(valuesOf(s), " "))
		}
		b.WriteString("END_DATA\n")
	}
	return b.String()
}

// asCSV is our own form of a sheet: one layout, shares of 1, the header behind #.
func asCSV(f instrument.File) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# scale: fraction\n# instrument: %s\n# date: %s\n", f.Instrument, f.Date)
	if s := f.Samples[0]; s.Lab != nil && s.Lab.View != nil {
		fmt.Fprintf(&b, "# illuminant: %s\n# observer: %d\n", s.Lab.View.Illuminant, s.Lab.View.Observer.Degrees())
	}
	fmt.Fprintf(&b, "name,specular,%s\n", strings.Join(columnsOf(f.Samples[0], ""), ","))
	for _, s := range f.Samples {
		fmt.Fprintf(&b, "%s,%s,%s\n", doubled(s.Name), s.Specular, strings.Join(valuesOf(s), ","))
	}
	return b.String()
}

// asCxF is our own form of CxF3: a specification a sample, shares of 1.
func asCxF(f instrument.File) string {
	escape := strings.NewReplacer("&", "&amp;", "<", "&lt;", `"`, "&quot;")
	var objects, specs strings.Builder
	for i, s := range f.Samples {
		fmt.Fprintf(&objects, "<Object Name=\"%s\"><ColorValues>", escape.Replace(s.Name))
		tristimulus, wavelengths := "", ""
		v := valuesOf(s)
		if s.Lab != nil {
			fmt.Fprintf(&objects, `<ColorCIELab ColorSpecification="s%d"><L>%s</L><A>%s</A><B>%s</B></ColorCIELab>`, i, v[0], v[1], v[2])
			if s.Lab.View != nil {
				tristimulus = fmt.Sprintf("<TristimulusSpec><Illuminant>%s</Illuminant><Observer>%d_Degree</Observer></TristimulusSpec>", s.Lab.View.Illuminant, s.Lab.View.Observer.Degrees())
			}
		} else {
			fmt.Fprintf(&objects, `<ReflectanceSpectrum ColorSpecification="s%d" StartWL="%d">%s</ReflectanceSpectrum>`, i, s.Bands.FirstNM, strings.Join(v, " "))
			wavelengths = fmt.Sprintf(`<WavelengthRange StartWL="%d" Increment="%d"/>`, s.Bands.FirstNM, s.Bands.StepNM)
		}
		objects.WriteString("</ColorValues></Object>\n")
		fmt.Fprintf(&specs, "<ColorSpecification Id=\"s%d\">%s<MeasurementSpec><GeometryChoice>%s</GeometryChoice>%s<Device><Model>%s</Model></Device></MeasurementSpec></ColorSpecification>\n", i, tristimulus, s.Specular, wavelengths, escape.Replace(f.Instrument))
	}
	return fmt.Sprintf("<CxF><FileInformation><CreationDate>%s</CreationDate></FileInformation><Resources><ObjectCollection>%s</ObjectCollection><ColorSpecificationCollection>%s</ColorSpecificationCollection></Resources></CxF>",
		escape.Replace(f.Date), objects.String(), specs.String())
}

// anyFile draws a file; one layout where it must fit a sheet.
func anyFile(t *rapid.T, oneLayout bool) instrument.File {
	text := rapid.StringMatching(`[A-Za-z0-9äø"#;,.&<][A-Za-z0-9äø"#;,.&< ]{0,8}[a-z]`)
	f := instrument.File{Instrument: rapid.StringMatching(`[a-z]{1,6}( [a-z0-9]{1,4})?`).Draw(t, "instrument"), Date: rapid.StringMatching(`20[0-9]{2}-[01][0-9]`).Draw(t, "date")}
	bands := rapid.Bool().Draw(t, "spectra")
	b := colour.Curve{FirstNM: rapid.SampledFrom([]int{340, 360, 380, 400, 415}).Draw(t, "first"), StepNM: rapid.SampledFrom([]int{5, 10, 20}).Draw(t, "step")}
	n := rapid.IntRange(12, 34).Draw(t, "bands")
	view := anyView(t)
	f.Specular = rapid.SampledFrom([]string{"", "included", "excluded"}).Draw(t, "specular")
	for i := range rapid.IntRange(1, 6).Draw(t, "samples") {
		if !oneLayout && i > 0 && rapid.Bool().Draw(t, "other") {
			bands = !bands
		}
		s := instrument.Sample{Name: strings.Join(strings.Fields(text.Draw(t, "name")), " "), Specular: f.Specular}
		if bands {
			own := b
			own.Reflectance = rapid.SliceOfN(rapid.Float64Range(0, 1), n, n).Draw(t, "reflectance")
			s.Bands = &own
		} else {
			s.Lab = &instrument.Colour{Lab: colour.Lab{L: rapid.Float64Range(0, 100).Draw(t, "L"), A: rapid.Float64Range(-120, 120).Draw(t, "a"), B: rapid.Float64Range(-120, 120).Draw(t, "b")}, View: view}
		}
		f.Samples = append(f.Samples, s)
	}
	return f
}

func anyView(t *rapid.T) *colour.View {
	if rapid.Bool().Draw(t, "no view") {
		return nil
	}
	return &colour.View{Illuminant: colour.Illuminant(rapid.IntRange(0, 4).Draw(t, "illuminant")), Observer: colour.Observer(rapid.IntRange(0, 1).Draw(t, "observer"))}
}

func TestWhatWasWrittenIsRead(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		write     func(instrument.File) string
		oneLayout bool
	}{"CGATS": {asCGATS, false}, "CxF3": {asCxF, false}, "CSV": {asCSV, true}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				f := anyFile(t, c.oneLayout)
				text := c.write(f)
				got, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
				if err != nil {
					t.Fatalf("%v\n%s", err, text)
				}
				if diff := cmp.Diff(f, got, written); diff != "" {
					t.Fatalf("(-want +got):\n%s\n%s", diff, text)
				}
			})
		})
	}
}

// Cutting a file short, or changing one byte, is read or refused, never worse.
func TestABrokenFileIsReadOrRefused(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		write := rapid.SampledFrom([]func(instrument.File) string{asCGATS, asCxF, asCSV}).Draw(t, "format")
		text := []byte(write(anyFile(t, true)))
		at := rapid.IntRange(0, len(text)-1).Draw(t, "at")
		if rapid.Bool().Draw(t, "cut") {
			text = text[:at]
		} else {
			text[at] = rapid.Byte().Draw(t, "byte")
		}
		readAny(t, text)
	})
}
