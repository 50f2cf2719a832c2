package instrument_test

import (
	"strconv"
	"strings"
	"testing"

	"dyelot/inventory/instrument"
)

func itoa(n int) string { return strconv.Itoa(n) }

func TestRefusedCGATS(t *testing.T) {
	t.Parallel()
	five := "nm400 nm420 nm440 nm460 nm480"
	for name, c := range map[string]struct{ text, line, says string }{
		"a word for a number":           {cgats(five, "10 20 x 40 50"), "7", `the reading at nm440 is "x", which is no number`},
		"not a number":                  {cgats(five, "10 20 NaN 40 50"), "7", "no number"},
		"infinite":                      {cgats(five, "10 20 1e999 40 50"), "7", "beyond any number"},
		"a set cut short":               {cgats(five, "10 20 30"), "7", "has 4 values for 6 fields"},
		"a set too long":                {cgats(five, "10 20 30 40 50 60"), "7", "has 7 values for 6 fields"},
		"a set too few":                 {strings.Replace(cgats(five, "10 20 30 40 50"), "SETS 1", "SETS 2", 1), "8", "NUMBER_OF_SETS says 2, but there are 1"},
		"no END_DATA":                   {strings.Replace(cgats(five, "10 20 30 40 50"), "END_DATA\n", "", 1), "7", "END_DATA is missing"},
		"no END_DATA_FORMAT":            {strings.Replace(cgats(five, "10 20 30 40 50"), "END_DATA_FORMAT\n", "", 1), "5", "END_DATA_FORMAT is missing"},
		"no format":                     {"CGATS.17\nBEGIN_DATA\n1 2\nEND_DATA\n", "2", "no BEGIN_DATA_FORMAT"},
		"no data":                       {"CGATS.17\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n", "4", "BEGIN_DATA is missing"},
		"no colour":                     {cgats("RGB_R RGB_G", "1 2"), "3", "lists no field that is read"},
		"wavelengths among the data":    {cgats("SPECTRAL_NM SPECTRAL_PCT", "400 2"), "3", "as SPECTRAL_NM"},
		"a quotation mark":              {cgats(five, "10 20 30 40 50 \"dry"), "7", "not closed"},
		"a band twice":                  {cgats("nm400 nm420 nm420 nm460 nm480", "10 20 30 40 50"), "3", "has the band at 420 nm twice"},
		"a band missing":                {cgats("nm400 nm410 nm430 nm440 nm450", "10 20 30 40 50"), "7", "no band between 410 and 430 nm, where others lie 10 nm apart"},
		"3.33 nm":                       {cgats("nm380 nm383.333 nm386.667 nm390 nm393.333", "10 20 30 40 50"), "7", "bands 3.333 nm apart"},
		"2 nm":                          {cgats("nm400 nm402 nm404 nm406 nm408", "10 20 30 40 50"), "7", "has bands 2 nm apart"},
		"half a nanometre off":          {cgats("nm400.5 nm410.5 nm420.5 nm430.5 nm440.5", "10 20 30 40 50"), "7", "must lie at whole nanometres"},
		"ultraviolet alone":             {cgats("nm300 nm320 nm340 nm360 nm380", "10 20 30 40 50"), "7", "1 wavelengths lie within 380 to 780 nm"},
		"more than it receives":         {cgats(five, "10 20 30 40 104"), "7", "throws back 104 % at 480 nm"},
		"below nothing":                 {cgats(five, "10 20 -0.1 40 50"), "7", "throws back -0.1 % at 440 nm"},
		"per cent of black or more":     {cgats(five, "0.2 0.4 0.9 1.1 1.2"), "7", "say which"},
		"per cent, says the file":       {"SPECTRAL_NORM 100\n" + cgats(five, "0.2 0.4 0.9 0.5 0.7"), "1", "no reading of the file is above 1"},
		"shares of 1, says the file":    {"SPECTRAL_NORM 1.0\n" + cgats(five, "10 20 30 40 50"), "8", "reads 50, but line 1 says shares of 1"},
		"a light":                       {"SPECTRAL_NORM 3945\n" + cgats(five, "10 20 30 40 50"), "1", "readings of light"},
		"two scales":                    {"SPECTRAL_NORM 100\nSPECTRAL_NORM 1\n" + cgats(five, "10 20 30 40 50"), "2", "line 1 says per cent"},
		"a point and a comma":           {cgats(five, "10.5 20 30,5 40 50"), "7", "a decimal point in one place of the file (line 7) and a decimal comma"},
		"thousands":                     {cgats(five, "10 20 1.234,5 40 50"), "7", "no number"},
		"an illuminant not kept":        {"ILLUMINANT C\nOBSERVER 2\n" + cgats("LAB_L LAB_A LAB_B", "50 0 0"), "9", `"C" is no illuminant kept here`},
		"an observer of 4 degrees":      {"ILLUMINANT D65\nOBSERVER 4\n" + cgats("LAB_L LAB_A LAB_B", "50 0 0"), "9", `the observer is "4"`},
		"L* above 100":                  {cgats("LAB_L LAB_A LAB_B", "150 0 0"), "7", "L* is 150"},
		"XYZ of nobody knows what":      {cgats("XYZ_X XYZ_Y XYZ_Z", "20 30 40"), "7", "does not say for which illuminant"},
		"XYZ with white at 1":           {"ILLUMINANT D65\nOBSERVER 10\n" + cgats("XYZ_X XYZ_Y XYZ_Z", "0.2 0.3 0.4"), "9", "white at Y 100"},
		"no count":                      {"NUMBER_OF_SETS many\n" + cgats("LAB_L LAB_A LAB_B", "50 0 0"), "1", "no count"},
		"too many sets":                 {"NUMBER_OF_SETS 5001\n" + cgats("LAB_L LAB_A LAB_B", "50 0 0"), "1", "at most 5000"},
		"a name with a control":         {strings.Replace(cgats("LAB_L LAB_A LAB_B", "50 0 0"), "weld", "we\x1bld", 1), "7", "control character"},
		"a name too long":               {strings.Replace(cgats("LAB_L LAB_A LAB_B", "50 0 0"), "weld", strings.Repeat("weld", 60), 1), "7", "at most 200"},
		"measured through, not off":     {"MEAS_TYPE TRANSMISSIVE\n" + cgats(five, "10 20 30 40 50"), "4", "only reflectance"},
		"an empty cell between tabs":    {strings.Replace(cgats(five, "X"), "\"weld, wool\" X", "weld, wool\t10\t20\t\t40\t50", 1), "7", "the reading at nm440 is missing"},
		"more samples than are read":    {"CGATS.17\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n" + strings.Repeat("50 0 0\n", 5001) + "END_DATA\n", "5006", "at most 5000"},
		"more fields than are read":     {"CGATS.17\nBEGIN_DATA_FORMAT\n" + strings.Repeat("X ", 1001) + "\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n", "3", "more than 1000 fields"},
		"a black sample among per cent": {"CGATS.17\nBEGIN_DATA_FORMAT\n" + five + "\nEND_DATA_FORMAT\nBEGIN_DATA\n10 20 30 40 50\n0.1 0.2 0.3 0.4 0.5\nEND_DATA\n", "7", "all per cent or all shares of 1"},
	} {
		refusedAt(t, name, c.text, c.line, c.says)
	}
}

func TestRefusedCxF3(t *testing.T) {
	t.Parallel()
	spectrum := func(values string) string {
		return `<ReflectanceSpectrum StartWL="400" Increment="20">` + values + `</ReflectanceSpectrum>`
	}
	for name, c := range map[string]struct{ text, line, says string }{
		"cut off":                {cxf(spectrum("10 20 30 40"), "")[:250], "3", "well-formed"},
		"another kind of XML":    {"<svg>\n<g/></svg>", "1", "another kind, svg"},
		"no objects":             {"<CxF>\n</CxF>", "1", "there is no sample"},
		"no colour":              {cxf(`<ColorSRGB/>`, ""), "3", "none has a ReflectanceSpectrum"},
		"no StartWL":             {cxf(`<ReflectanceSpectrum Increment="20">10 20 30 40</ReflectanceSpectrum>`, ""), "3", "no StartWL"},
		"no Increment":           {cxf(`<ReflectanceSpectrum StartWL="400">10 20 30 40</ReflectanceSpectrum>`, ""), "3", "no Increment"},
		"two beginnings":         {cxf(`<ReflectanceSpectrum StartWL="400">10 20 30 40</ReflectanceSpectrum>`, `<MeasurementSpec><WavelengthRange StartWL="380" Increment="10"/></MeasurementSpec>`), "3", "says startwl 400, but its specification says 380"},
		"no such specification":  {cxf(`<ReflectanceSpectrum ColorSpecification="S2" StartWL="400">10 20 30 40</ReflectanceSpectrum>`, ""), "3", "points at the specification S2"},
		"light shone through":    {cxf(spectrum("10 20 30 40"), `<MeasurementSpec><MeasurementType>Spectrum_Transmittance</MeasurementType></MeasurementSpec>`), "4", "Spectrum_Transmittance was measured"},
		"a word for a number":    {cxf(spectrum("10 20 ? 40"), ""), "3", `the reading at 440 nm is "?"`},
		"too few bands":          {cxf(spectrum("10 20 30"), ""), "3", "has 3 bands"},
		"no bands":               {cxf(spectrum(""), ""), "3", "has 0 readings"},
		"beyond the infrared":    {cxf(spectrum(strings.Repeat("10 ", 60)), ""), "3", "beyond 1100 nm"},
		"backwards":              {cxf(`<ReflectanceSpectrum StartWL="700" Increment="-10">10 20 30 40</ReflectanceSpectrum>`, ""), "3", "and rise"},
		"no L":                   {cxf(`<ColorCIELab><A>1</A><B>2</B></ColorCIELab>`, ""), "3", "L is missing"},
		"an entity of its own":   {"<!DOCTYPE x [<!ENTITY a \"b\">]>\n<CxF>&a;</CxF>", "2", "well-formed"},
		"too deep":               {strings.Repeat("<a>", instrument.MaxDepth+1), "1", "64 deep"},
		"too many elements":      {"<a>" + strings.Repeat("<b/>", instrument.MaxElements), "1", "more than 200000 elements"},
		"an illuminant not kept": {cxf(`<ColorCIELab ColorSpecification="S1"><L>70</L><A>-5</A><B>60</B></ColorCIELab>`, `<TristimulusSpec><Illuminant>D55</Illuminant><Observer>2_Degree</Observer></TristimulusSpec>`), "3", `"D55" is no illuminant kept here`},
	} {
		refusedAt(t, name, c.text, c.line, c.says)
	}
}

func TestRefusedSheets(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ text, line, says string }{
		"nothing":                      {" \n\n", "", "is empty"},
		"zero bytes":                   {"acsp\nv2\x00", "2", "zero byte"},
		"a spreadsheet":                {"PK\x03\x04 and so on", "", "packed file"},
		"too long":                     {strings.Repeat("a", instrument.MaxBytes+1), "", "longer than 4 MB"},
		"a letter":                     {"\nDear dyer,\nhere is the reading\n", "2", "begins no file that is read"},
		"headings alone":               {"name;L;a;b\n", "", "holds no sample"},
		"three bands":                  {"name;400;420;440\nx;1;2;3\n", "1", "begins no file that is read"},
		"a reading missing":            {"name;400;420;440;460\nx;10;20;;40\n", "2", "the reading at 440 is missing"},
		"a row cut short":              {"name;400;420;440;460\nx;10;20;30\n", "2", "the reading at 460 is missing"},
		"decimal commas among commas":  {"name,400,420,440,460\nx,0,1,0,2,0,3,0,4\n", "2", "has 9 cells under 5 headings"},
		"a quotation mark":             {"name;400;420;440;460\n\"x;10;20;30;40\n", "2", "quotation marks do not match"},
		"a quotation mark in a cell":   {"name;400;420;440;460\nx\"y;10;20;30;40\n", "2", "quotation mark inside a cell"},
		"a point and a comma":          {"name;400;420;440;460\nx;1.5;20;30;40\ny;1,5;20;30;40\n", "3", "decimal point in one place of the file (line 2)"},
		"columns in two scales":        {"name;400 (%);420 (%);SPECTRAL_DEC440;460\nx;1.5;20;30;40\n", "1", "column SPECTRAL_DEC440 is in shares of 1, but line 1 says per cent"},
		"a band twice":                 {"name;400;420;440;R 400nm\nx;1;2;3;4\n", "1", "has the band at 400 nm twice"},
		"down: a band twice":           {"nm;x\n400;10\n420;20\n440;30\n420;20\n", "1", "has the band at 420 nm twice"},
		"down: a reading missing":      {"nm;x;y\n400;10;10\n420;20;20\n440;30\n460;40;40\n", "4", "the reading of y at 440 nm is missing"},
		"down: a cell too many":        {"nm;x\n400;10\n420;20;5\n440;30\n460;40\n", "3", "has 3 cells, where the first row of readings has 2"},
		"down: a word for a number":    {"nm;x\n400;10\n420;?\n440;30\n460;40\n", "3", `the reading of x at 420 nm is "?"`},
		"a light nobody keeps":         {"# illuminant: D65\n# observer: 10\nname;illuminant;L;a;b\nx;shop light;50;0;0\n", "4", `"shop light" is no illuminant kept here`},
		"more rows than are read":      {"name;L;a;b\n" + strings.Repeat("x;50;0;0\n", instrument.MaxSamples+1), "5002", "at most 5000"},
		"more cells than are read":     {"nm" + strings.Repeat(";x", instrument.MaxSamples+1) + "\n" + strings.Repeat("400"+strings.Repeat(";1", instrument.MaxSamples+1)+"\n", 4), "1", "has 5002 cells"},
		"a control character in names": {"name;L;a;b\nx\u202ey;50;0;0\n", "2", "control character"},
	} {
		refusedAt(t, name, c.text, c.line, c.says)
	}
}
