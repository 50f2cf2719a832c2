package instrument_test

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
)

// Texts that are read, by hand, with round numbers. Each holds one sample,
// "weld, wool" of 10, 20, 30, 40, 50 % or L* 70, a* -5, b* 60.
var cgatsTexts = map[string]string{
	"SPECTRAL_NM, shares of 1":     cgats("SPECTRAL_NM400 SPECTRAL_NM420 SPECTRAL_NM440 SPECTRAL_NM460 SPECTRAL_NM480", "0.1 0.2 0.3 0.4 0.5"),
	"SPEC_, per cent":              cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "10 20 30 40 50"),
	"nm400":                        cgats("nm400 nm420 nm440 nm460 nm480", "10 20 30 40 50"),
	"SPECTRAL_400 out of order":    cgats("SPECTRAL_480 SPECTRAL_400 SPECTRAL_460 SPECTRAL_420 SPECTRAL_440", "50 10 40 20 30"),
	"SPECTRAL_PCT says its unit":   cgats("SPECTRAL_PCT400 SPECTRAL_PCT420 SPECTRAL_PCT440 SPECTRAL_PCT460 SPECTRAL_PCT480", "10 20 30 40 50"),
	"fields over two lines":        cgats("SPEC_400 SPEC_420\nSPEC_440 SPEC_460 SPEC_480", "10 20 30 40 50"),
	"a set over two lines":         cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "10 20\n30 40 50"),
	"exponents":                    cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "1e1 2.0E+01 30. 4e1 5E1"),
	"decimal commas":               cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "10,0 20,000 30 40 50"),
	"a second column of names":     cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480 SAMPLE_ID", "10 20 30 40 50 7"),
	"Lab beside a spectrum":        cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480 LAB_L LAB_A LAB_B", "10 20 30 40 50 70 -5 60"),
	"CRLF, BOM, tabs, comments":    "\ufeffCGATS.17\r\n# by the window\r\nBEGIN_DATA_FORMAT\t\r\nSAMPLE_NAME\tSPEC_400\tSPEC_420\tSPEC_440\tSPEC_460\tSPEC_480\tREMARK\r\nEND_DATA_FORMAT\r\nBEGIN_DATA\r\nweld, wool\t10\t20\t30\t40\t50\t\r\nEND_DATA # the end\r\n",
	"lines that end with CR alone": strings.ReplaceAll(cgats("nm400 nm420 nm440 nm460 nm480", "10 20 30 40 50"), "\n", "\r"),
	"a wrong count of fields":      "CGATS.17\nNUMBER_OF_FIELDS 9\n" + cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "10 20 30 40 50"),
	"MEAS_TYPE":                    "SPECT\nMEAS_TYPE \"REFLECTIVE\"\nSPECTRAL_NORM \"100.00\"\n" + cgats("SPEC_400 SPEC_420 SPEC_440 SPEC_460 SPEC_480", "10 20 30 40 50"),
	"Lab":                          cgats("LAB_L LAB_A LAB_B", "70 -5 60"),
	"Lab with its view":            "WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\n" + cgats("LAB_L LAB_A LAB_B", "70 -5 60"),
	"a table of something else":    "CTI3\n" + cgats("LAB_L LAB_A LAB_B", "70 -5 60") + "CAL\nBEGIN_DATA_FORMAT\nRGB_I RGB_R\nEND_DATA_FORMAT\nBEGIN_DATA\n0 0\n1 1\nEND_DATA\n",
}

func cgats(fields, values string) string {
	return "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_NAME " + fields + "\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\n\"weld, wool\" " + values + "\nEND_DATA\n"
}

var cxfTexts = map[string]string{
	"StartWL on the spectrum":        cxf(`<ReflectanceSpectrum ColorSpecification="S1" StartWL="400">0.1 0.2 0.3 0.4 0.5</ReflectanceSpectrum>`, `<MeasurementSpec><WavelengthRange StartWL="400" Increment="20"/></MeasurementSpec>`),
	"StartWL by the specification":   cxf("<ReflectanceSpectrum ColorSpecification=\"S1\">\n10 20 30\n40 50</ReflectanceSpectrum>", `<MeasurementSpec><WavelengthRange StartWL="400" Increment="20"/></MeasurementSpec>`),
	"the only specification":         cxf(`<ReflectanceSpectrum>10 20 30 40 50</ReflectanceSpectrum>`, `<MeasurementSpec><WavelengthRange StartWL="400" Increment="20"/></MeasurementSpec>`),
	"Increment on the spectrum":      cxf(`<ReflectanceSpectrum StartWL="400" Increment="20">10 20 30 40 50</ReflectanceSpectrum>`, ``),
	"other kinds of colour":          cxf(`<ReflectanceSpectrum StartWL="400" Increment="20">10 20 30 40 50</ReflectanceSpectrum><ColorSRGB><R>1</R></ColorSRGB><ColorCIELab><L>70</L><A>-5</A><B>60</B></ColorCIELab>`, ``),
	"ColorCIELab":                    cxf(`<ColorCIELab ColorSpecification="S1"><L>70</L><A>-5</A><B>60</B></ColorCIELab>`, ``),
	"ColorCIELab with its view":      cxf(`<ColorCIELab ColorSpecification="S1"><L>70</L><A>-5</A><B>60</B></ColorCIELab>`, `<TristimulusSpec><Illuminant>D65</Illuminant><Observer>10_Degree</Observer></TristimulusSpec>`),
	"ColorCIELab under a name space": strings.NewReplacer("</", "</cc:", "<O", "<cc:O", "<C", "<cc:C", "<R", "<cc:R", "<L", "<cc:L", "<A", "<cc:A", "<B", "<cc:B", "<M", "<cc:M").Replace(cxf(`<ColorCIELab><L>70</L><A>-5</A><B>60</B></ColorCIELab>`, ``)),
}

func cxf(values, spec string) string {
	return `<?xml version="1.0" encoding="ISO-8859-1"?>
<CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core"><Resources><ObjectCollection>
<Object Name="weld, wool" Id="7"><ColorValues>` + values + `</ColorValues></Object>
</ObjectCollection><ColorSpecificationCollection><ColorSpecification Id="S1">` + spec + `</ColorSpecification></ColorSpecificationCollection></Resources></CxF>`
}

var csvTexts = map[string]string{
	"commas":                      "name,400,420,440,460,480\n\"weld, wool\",0.1,0.2,0.3,0.4,0.5\n",
	"commas in quotes":            "name,400,420,440,460,480\n\"weld, wool\",\"10,0\",20,\"30,0\",40,50\n",
	"semicolons, decimal commas":  "name;400nm;420nm;440nm;460nm;480nm\r\nweld, wool;0,1;0,2;0,3;0,4;0,5\r\n",
	"tabs, R400":                  "Sample Name\tR400\tR420\tR440\tR460\tR480\nweld, wool\t10\t20\t30\t40\t50\n",
	"headings in per cent":        "name;400 nm (%);420 nm (%);440 nm (%);460 nm (%);480 nm (%)\nweld, wool;10;20;30;40;50\n",
	"any first column":            "cloth;480;400;460;420;440\nweld, wool;50;10;40;20;30\n",
	"lines above, lines between":  "made by hand\ninstrument;spectro-1\n\nname;400;420;440;460;480\n;;;;;\ndry;;;;;\nweld, wool;10;20;30;40;50\n",
	"comments":                    "# scale: percent\n#\"odd\n#name;400;420;440;460;480\nweld, wool;10;20;30;40;50\n",
	"a sample a column":           "wavelength;\"weld, wool\"\n400;0,1\n420;0,2\n440;0,3\n460;0,4\n480;0,5\nL*;70\n",
	"a sample a column, any way":  "specular\tSCI\nnm\tweld, wool\t\n480nm\t50\t\n460nm\t40\t\n440nm\t30\t\n420nm\t20\t\n400nm\t10\t\n",
	"L, a, b":                     "name,L,a,b\n\"weld, wool\",70,-5,60\n",
	"L*, a*, b* with a minus":     "name;L*;a*;b*;C*\nweld, wool;70;\u22125,0;60;60,2\n",
	"the view in the headings":    "name;L*(D65/10°);a*(D65/10°);b*(D65/10°)\nweld, wool;70;-5;60\n",
	"the view above":              "illuminant;D65\nobserver;10°\nname;L;a;b\nweld, wool;70;-5;60\n",
	"the view in columns":         "name;illuminant;observer;L;a;b\nweld, wool;D65;10;70;-5;60\n",
	"UTF-16 with its mark":        "\xff\xfe" + "n\x00a\x00m\x00e\x00;\x00L\x00;\x00a\x00;\x00b\x00\n\x00w\x00e\x00l\x00d\x00,\x00 \x00w\x00o\x00o\x00l\x00;\x007\x000\x00;\x00-\x005\x00;\x006\x000\x00\n\x00",
	"Latin-1 in a column of text": "name;L;a;b;remark\nweld, wool;70;-5;60;sk\xf8n\n",
}

func TestReadByHand(t *testing.T) {
	t.Parallel()
	bands := &colour.Curve{FirstNM: 400, StepNM: 20, Reflectance: []float64{0.1, 0.2, 0.3, 0.4, 0.5}}
	lab := colour.Lab{L: 70, A: -5, B: 60}
	for format, texts := range map[instrument.Format]map[string]string{instrument.CGATS: cgatsTexts, instrument.CxF3: cxfTexts, instrument.CSV: csvTexts} {
		for name, text := range texts {
			f, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
			if err != nil || f.Format != format || len(f.Samples) != 1 {
				t.Errorf("%s: %s with %d samples, %v", name, f.Format, len(f.Samples), err)
				continue
			}
			s := f.Samples[0]
			if s.Name != "weld, wool" || strings.Count(text[:strings.Index(text+"weld", "weld")], "\n")+1 != s.Line && format == instrument.CGATS && !strings.Contains(name, "UTF") && !strings.Contains(name, "CR alone") {
				t.Errorf("%s: called %q, on line %d", name, s.Name, s.Line)
			}
			if s.Lab == nil {
				if diff := cmp.Diff(bands, s.Bands, cmpopts.EquateApprox(0, 1e-15)); diff != "" {
					t.Errorf("%s (-want +got):\n%s", name, diff)
				}
				continue
			}
			view := "nil"
			if s.Lab.View != nil {
				view = s.Lab.View.String()
			}
			want := "nil"
			if strings.Contains(name, "view") {
				want = "D65/10°"
			}
			if s.Lab.Lab != lab || view != want {
				t.Errorf("%s: %v in %s, want %s", name, s.Lab.Lab, view, want)
			}
		}
	}
}

func TestNotesSayWhatWasTaken(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		cgatsTexts["SPEC_, per cent"]:                           "reflectance is in per cent: readings go up to 50",
		cgatsTexts["SPECTRAL_NM, shares of 1"]:                  "reflectance is in shares of 1: no reading is above 0.5",
		cgatsTexts["SPECTRAL_PCT says its unit"]:                "reflectance is in per cent, as line 3 says",
		cgatsTexts["a second column of names"]:                  "",
		cgatsTexts["Lab beside a spectrum"]:                     "L*a*b* or XYZ were left aside",
		cgatsTexts["a wrong count of fields"]:                   "NUMBER_OF_FIELDS says 9, but 6 are listed",
		cgatsTexts["a table of something else"]:                 "a table was left aside: line 10: is the calibration",
		cgatsTexts["Lab"]:                                       "does not say the illuminant and the observer",
		cxfTexts["other kinds of colour"]:                       "kinds of colour left aside: ColorSRGB",
		csvTexts["a sample a column"]:                           "line 7 begins with no wavelength",
		csvTexts["lines above, lines between"]:                  "line 6 holds no figures",
		csvTexts["Latin-1 in a column of text"]:                 "read as Latin-1",
		csvTexts["L*, a*, b* with a minus"]:                     "columns left aside: C*",
		"name;L;a;b\nx;70;-5;60\nx;71;-5;60\n":                  "more than one sample is called x",
		"L;a;b\n70;-5;60\n":                                     "called by their order: sample 1",
		"name;specular;L;a;b\nx;SCI;70;-5;60\ny;SCE;70;-5;60\n": "differ in their specular component",
	} {
		f, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
		if err != nil || !strings.Contains(strings.Join(f.Notes, "\n"), want) {
			t.Errorf("%q: notes %q, want %q: %v", text, f.Notes, want, err)
		}
	}
}

// Lists by 1 nm are thinned to 5 nm: 0.001 times the wavelength less 400, so that
// the band at 405 nm is 0.005 whatever is read around it.
func TestOneNanometreIsThinned(t *testing.T) {
	t.Parallel()
	head, row := "name", "x"
	for nm := 402; nm <= 500; nm++ {
		head += ";" + itoa(nm)
		row += ";" + decimal(float64(nm-400)/1000)
	}
	f, err := instrument.Read(strings.NewReader(head+"\n"+row+"\n"), instrument.Hint{})
	if err != nil {
		t.Fatal(err)
	}
	b := f.Samples[0].Bands
	if b.FirstNM != 405 || b.StepNM != 5 || len(b.Reflectance) != 20 || b.Reflectance[0] != 0.005 || b.Reflectance[19] != 0.1 {
		t.Errorf("%+v", b)
	}
	if !strings.Contains(strings.Join(f.Notes, "\n"), "thinned to those at 5 nm") {
		t.Errorf("notes %q", f.Notes)
	}
}

// Two tables, each with its own bands, and a colour: the second takes over what
// it does not say.
func TestTwoTables(t *testing.T) {
	t.Parallel()
	text := cgats("nm400 nm420 nm440 nm460 nm480", "10 20 30 40 50") +
		"BEGIN_DATA\nmadder 60 50 40 30 20\nEND_DATA\nILLUMINANT D65\nOBSERVER 10\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\nslate 41 -1 -6\nEND_DATA\n"
	f, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
	if err != nil || len(f.Samples) != 3 {
		t.Fatalf("%d samples, %v", len(f.Samples), err)
	}
	if m := f.Samples[1]; m.Name != "madder" || m.Line != 10 || m.Bands.Reflectance[0] != 0.6 {
		t.Errorf("%+v", m)
	}
	if s := f.Samples[2]; s.Name != "slate" || s.Lab.L != 41 || s.Lab.View.String() != "D65/10°" {
		t.Errorf("%+v %+v", s, s.Lab)
	}
}

func TestOneObjectMeasuredTwoWays(t *testing.T) {
	t.Parallel()
	text := `<CxF><Resources><ObjectCollection><Object Name="weld"><ColorValues>
<ReflectanceSpectrum ColorSpecification="in">10 20 30 40</ReflectanceSpectrum>
<ReflectanceSpectrum ColorSpecification="ex">8 18 28 38</ReflectanceSpectrum></ColorValues></Object></ObjectCollection>
<ColorSpecificationCollection>
<ColorSpecification Id="in"><MeasurementSpec><GeometryChoice><Sphere SpecularIncluded="true"/></GeometryChoice><WavelengthRange StartWL="400" Increment="10"/></MeasurementSpec></ColorSpecification>
<ColorSpecification Id="ex"><MeasurementSpec><GeometryChoice><Sphere SpecularIncluded="false"/></GeometryChoice><WavelengthRange StartWL="400" Increment="10"/></MeasurementSpec></ColorSpecification>
</ColorSpecificationCollection></Resources></CxF>`
	f, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
	if err != nil || len(f.Samples) != 2 {
		t.Fatalf("%d samples, %v", len(f.Samples), err)
	}
	for i, want := range []instrument.Sample{{Name: "weld (in)", Line: 2, Specular: "included"}, {Name: "weld (ex)", Line: 3, Specular: "excluded"}} {
		if s := f.Samples[i]; s.Name != want.Name || s.Line != want.Line || s.Specular != want.Specular {
			t.Errorf("%+v, want %+v", s, want)
		}
	}
}

// What a person knows fills in what the file does not say, and never overrules
// it.
func TestHints(t *testing.T) {
	t.Parallel()
	day := colour.View{}
	for name, c := range map[string]struct {
		text string
		hint instrument.Hint
		want string // in the refusal; empty: it is read
	}{
		"a view":                 {cgatsTexts["Lab"], instrument.Hint{View: &day}, ""},
		"the same view":          {cgatsTexts["Lab with its view"], instrument.Hint{View: &day}, ""},
		"another view":           {cgatsTexts["Lab with its view"], instrument.Hint{View: &colour.View{Illuminant: colour.A}}, "line 9: the file says D65 10° for this colour, but A/10° was given"},
		"another eye":            {"observer;2\nname;L;a;b\nx;70;-5;60\n", instrument.Hint{View: &day}, "line 3: the file says 2° for this colour, but D65/10° was given"},
		"XYZ with a view":        {cgats("XYZ_X XYZ_Y XYZ_Z", "20 30 40"), instrument.Hint{View: &day}, ""},
		"nearly black, per cent": {cgats("nm400 nm420 nm440 nm460 nm480", "0.9 0.8 0.7 0.9 1.2"), instrument.Hint{Scale: instrument.Percent}, ""},
		"a brightener":           {cgats("nm400 nm420 nm440 nm460 nm480", "0.9 0.8 0.7 0.9 1.2"), instrument.Hint{Scale: instrument.Fraction}, "a brightener gives off light of its own"},
		"mixed, but sure":        {"name,400,420,440,460\nblack,0.2,0.3,0.4,0.5\nwhite,80,82,84,86\n", instrument.Hint{Scale: instrument.Percent}, ""},
		"not what the file says": {cgatsTexts["SPECTRAL_PCT says its unit"], instrument.Hint{Scale: instrument.Fraction}, "line 3: says that reflectance is in per cent, but shares of 1 was given"},
	} {
		f, err := instrument.Read(strings.NewReader(c.text), c.hint)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if err == nil && f.Samples[0].Lab != nil && *f.Samples[0].Lab.View != day {
			t.Errorf("%s: %v", name, f.Samples[0].Lab.View)
		}
	}
}

func TestTheReadersOwnErrorComesThrough(t *testing.T) {
	t.Parallel()
	broken := errors.New("the stick was pulled out")
	if _, err := instrument.Read(iotest.ErrReader(broken), instrument.Hint{}); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}

// refusedAt wants a refusal of the file, of a line and with some words.
func refusedAt(t *testing.T, name, text, line, says string) {
	t.Helper()
	got, err := instrument.Read(strings.NewReader(text), instrument.Hint{})
	f, is := fault.Of(err)
	switch {
	case !is:
		t.Errorf("%s: %d samples, %v", name, len(got.Samples), err)
	case f.Kind != fault.Invalid || f.Field != "file" || f.Numbers["line"] != line || !strings.Contains(f.Say, says):
		t.Errorf("%s: %v, want line %q and %q", name, err, line, says)
	case len(f.Say) > 400 || strings.HasSuffix(f.Say, "."):
		t.Errorf("%s: %q", name, f.Say)
	}
}
