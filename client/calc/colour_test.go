package calc_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// column reads a reference table: one map a row.
func column(t testing.TB, file string) []map[string]string {
	t.Helper()
	text, err := os.Open("../../inventory/colour/testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	rows, err := csv.NewReader(text).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", file, len(rows), err)
	}
	var table []map[string]string
	for _, row := range rows[1:] {
		line := map[string]string{}
		for i, cell := range row {
			line[rows[0][i]] = cell
		}
		table = append(table, line)
	}
	return table
}

func figure(t testing.TB, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// near wants some fields of an answer within so much.
func near(t testing.TB, answer map[string]any, within float64, want map[string]float64) {
	t.Helper()
	for name, w := range want {
		if got, ok := answer[name].(float64); !ok || math.Abs(got-w) > within {
			t.Errorf("%s is %v, want %v ± %v", name, answer[name], w, within)
		}
	}
}

// Sharma, Wu & Dalal, Color Res. Appl. 30 (2005) 21–30, table 1: 34 pairs, both
// ways.
func TestDifferenceOfSharmasPairs(t *testing.T) {
	t.Parallel()
	pairs := column(t, "sharma2005.csv")
	if len(pairs) != 34 {
		t.Fatalf("%d pairs, want 34", len(pairs))
	}
	for _, p := range pairs {
		one := fmt.Sprintf("[%s,%s,%s]", p["L1"], p["a1"], p["b1"])
		other := fmt.Sprintf("[%s,%s,%s]", p["L2"], p["a2"], p["b2"])
		for _, way := range [2][2]string{{one, other}, {other, one}} {
			a := ask(t, "difference", fmt.Sprintf(`{"standard":%s,"sample":%s}`, way[0], way[1]))
			near(t, a, 6e-5, map[string]float64{"de_2000": figure(t, p["dE00"])})
		}
	}
}

func TestDifferenceByItsParts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source, document string
		within           float64
		want             map[string]float64
		grades           map[string]string
	}{
		// CMC(l:c), ISO 105-J03, computed by two programs.
		{"red, 2:1 unless given", `{"standard":[50,30,20],"sample":[52,28,23]}`, 5e-5, map[string]float64{"de_cmc": 3.3655, "dl": 2}, nil},
		{"red, 1:1", `{"standard":[50,30,20],"sample":[52,28,23],"cmc":[1,1]}`, 5e-5, map[string]float64{"de_cmc": 3.7228}, nil},
		{"red, swapped", `{"standard":[52,28,23],"sample":[50,30,20],"cmc":[2,1]}`, 5e-5, map[string]float64{"de_cmc": 3.6047, "dl": -2}, nil},
		{"green, 2:1", `{"standard":[35,-20,10],"sample":[34.2,-21,12]}`, 5e-5, map[string]float64{"de_cmc": 1.5042}, nil},
		{"green, 1:1", `{"standard":[35,-20,10],"sample":[34.2,-21,12],"cmc":[1,1]}`, 5e-5, map[string]float64{"de_cmc": 1.6951}, nil},
		{"green, swapped", `{"standard":[34.2,-21,12],"sample":[35,-20,10]}`, 5e-5, map[string]float64{"de_cmc": 1.4527}, nil},
		{"dark, 2:1", `{"standard":[12,4,-8],"sample":[12.5,3.5,-9]}`, 5e-5, map[string]float64{"de_cmc": 1.3872}, nil},
		{"dark, 1:1", `{"standard":[12,4,-8],"sample":[12.5,3.5,-9],"cmc":[1,1]}`, 5e-5, map[string]float64{"de_cmc": 1.6255}, nil},
		{"dark, swapped", `{"standard":[12.5,3.5,-9],"sample":[12,4,-8]}`, 5e-5, map[string]float64{"de_cmc": 1.3897}, nil},
		// By hand: chroma 5 → 10 on one hue; a quarter turn at chroma 10 is 2·10·sin 45°.
		{"chroma alone", `{"standard":[50,3,4],"sample":[50,6,8]}`, 1e-12, map[string]float64{"de_ab": 5, "dl": 0, "dc": 5, "dh": 0}, nil},
		{"the hue angle grows", `{"standard":[50,10,0],"sample":[50,0,10]}`, 1e-12, map[string]float64{"dc": 0, "dh": math.Sqrt(200), "de_ab": math.Sqrt(200)}, nil},
		{"and shrinks", `{"standard":[50,0,10],"sample":[50,10,0]}`, 1e-12, map[string]float64{"dc": 0, "dh": -math.Sqrt(200)}, nil},
		{"over 0° it still grows", `{"standard":[50,10,-1],"sample":[50,10,1]}`, 1e-12, map[string]float64{"dc": 0, "dh": 2}, nil},
		{"a grey takes the other's hue", `{"standard":[50,0,0],"sample":[50,-3,4]}`, 1e-12, map[string]float64{"dc": 5, "dh": 0}, nil},
		{"the same", `{"standard":[62,-2,38],"sample":[62,-2,38]}`, 0, map[string]float64{"de_2000": 0, "de_cmc": 0, "de_ab": 0, "dl": 0, "dc": 0, "dh": 0}, map[string]string{"change_grade": "5", "stain_grade": "5"}},
		// The choir's ten tunics, worked by two people.
		{"lot A to its standard", `{"standard":[62,-2,38],"sample":[62.6,-1.8,38.9]}`, 5e-3, map[string]float64{"de_2000": 0.63}, nil},
		{"lot B to its standard", `{"standard":[62,-2,38],"sample":[60.8,-1.4,36.6]}`, 5e-3, map[string]float64{"de_2000": 1.23}, nil},
		{"lot A to lot B", `{"standard":[62.6,-1.8,38.9],"sample":[60.8,-1.4,36.6]}`, 5e-3, map[string]float64{"de_2000": 1.78}, nil},
		// ISO 105-A05 from memory, computed by one program.
		{"change, red", `{"standard":[42,55,28],"sample":[44.5,51,26]}`, 1, nil, map[string]string{"change_grade": "3"}},
		{"change, blue", `{"standard":[35,5,-30],"sample":[38,3,-24]}`, 1, nil, map[string]string{"change_grade": "2-3"}},
		{"change, yellow", `{"standard":[75,-2,62],"sample":[77,-3,50]}`, 1, nil, map[string]string{"change_grade": "2-3"}},
		{"change, green", `{"standard":[40,-30,12],"sample":[41,-27,13]}`, 1, nil, map[string]string{"change_grade": "3-4"}},
		// ISO 105-A04, from memory.
		{"staining, slight", `{"standard":[94,0,2],"sample":[92,3,1]}`, 1, nil, map[string]string{"stain_grade": "4-5"}},
		{"staining, violet", `{"standard":[94,0,2],"sample":[88,8,-4]}`, 1, nil, map[string]string{"stain_grade": "3"}},
		{"staining, yellow", `{"standard":[94,0,2],"sample":[90,-2,16]}`, 1, nil, map[string]string{"stain_grade": "3"}},
	} {
		t.Run(c.source, func(t *testing.T) {
			t.Parallel()
			a := ask(t, "difference", c.document)
			near(t, a, c.within, c.want)
			for name, grade := range c.grades {
				if a[name] != grade {
					t.Errorf("%s is %v, want %q", name, a[name], grade)
				}
			}
			names := []string{"change_grade", "dc", "de_2000", "de_ab", "de_cmc", "dh", "dl", "stain_grade"}
			if diff := cmp.Diff(names, sortedNames(a)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func sortedNames(a map[string]any) []string {
	var names []string
	for name := range a {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// The grey scale for change, ISO 105-A02: neutral steps come back by ISO
// 105-A05 as their own grade.
func TestGreyStepsGiveTheirOwnGrade(t *testing.T) {
	t.Parallel()
	for grade, step := range map[string]float64{"5": 0, "4-5": 0.8, "4": 1.7, "3-4": 2.5, "3": 3.4, "2-3": 4.8, "2": 6.8, "1-2": 9.6, "1": 13.6} {
		a := ask(t, "difference", fmt.Sprintf(`{"standard":[60,0,0],"sample":[%v,0,0]}`, 60-step))
		if a["change_grade"] != grade {
			t.Errorf("a grey step of %v is grade %v, want %s", step, a["change_grade"], grade)
		}
	}
}

// curve is a reflectance curve of the reference tables, 400 to 700 nm by 10.
func curve(t testing.TB, sample string) (nm, r []float64) {
	t.Helper()
	for _, row := range column(t, "spectra_inputs.csv") {
		if row["sample"] != sample {
			continue
		}
		for w := 400; w <= 700; w += 10 {
			nm = append(nm, float64(w))
			r = append(r, figure(t, row[strconv.Itoa(w)]))
		}
	}
	if len(nm) != 31 {
		t.Fatalf("no curve %q", sample)
	}
	return nm, r
}

func jsonOf(t testing.TB, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// XYZ and L*a*b* computed by another route, ASTM E2022 weights at 10 nm.
func TestSpectraAgreeWithTheWeights(t *testing.T) {
	t.Parallel()
	checks := column(t, "spectra_checks.csv")
	if len(checks) != 12 {
		t.Fatalf("%d checks, want 12", len(checks))
	}
	for _, c := range checks {
		nm, r := curve(t, c["sample"])
		a := ask(t, "spectrum", fmt.Sprintf(`{"wavelengths_nm":%s,"reflectance":%s,"illuminant":%q,"observer":%s}`, jsonOf(t, nm), jsonOf(t, r), c["illuminant"], c["observer"]))
		if diff := cmp.Diff([]string{"in_gamut", "ks_max", "ks_sum", "lab", "srgb", "xyz"}, sortedNames(a)); diff != "" {
			t.Error(diff)
		}
		for i, name := range []string{"L", "a", "b"} {
			if got := a["lab"].([]any)[i].(float64); math.Abs(got-figure(t, c[name])) > 0.05 {
				t.Errorf("%v: %s is %v", c, name, got)
			}
		}
	}
}

// White points by summation of the CIE tables (CIE 015).
func TestWhiteIsWhite(t *testing.T) {
	t.Parallel()
	var nm, r []float64
	for w := 380.0; w <= 780; w += 5 {
		nm, r = append(nm, w), append(r, 1)
	}
	for view, white := range map[[2]string][3]float64{
		{"D65", "2"}: {95.04, 100, 108.88}, {"D65", "10"}: {94.81, 100, 107.32}, {"A", "2"}: {109.85, 100, 35.58}, {"F11", "10"}: {103.86, 100, 65.61},
	} {
		a := ask(t, "spectrum", fmt.Sprintf(`{"wavelengths_nm":%s,"reflectance":%s,"illuminant":%q,"observer":%s}`, jsonOf(t, nm), jsonOf(t, r), view[0], view[1]))
		for i, want := range white {
			if got := a["xyz"].([]any)[i].(float64); math.Abs(got-want) > 0.02 {
				t.Errorf("%v: XYZ[%d] is %v, want %v", view, i, got, want)
			}
		}
		if a["srgb"] != "#ffffff" || a["in_gamut"] != true {
			t.Errorf("%v: white is %v, %v", view, a["srgb"], a["in_gamut"])
		}
	}
}

// Adv. Mater. Sci. Eng. 2017, art. 7516409, table 3, on leather: R 4.03 % has
// K/S 11.43, 4.07 % has 11.31 and 6.46 % has 6.77 (each recomputed from the R
// printed there).
func TestDepthOfPrintedReflectances(t *testing.T) {
	t.Parallel()
	document := `{"wavelengths_nm":[400,410,420,430],"reflectance":[%s],"illuminant":"D65","observer":10%s}`
	for _, c := range []struct {
		r, undyed string
		nm, most  float64
		sum       float64
	}{
		{"0.0403,0.5,0.5,0.5", "", 400, 11.43, 11.43 + 3*0.25},
		{"0.5,0.0407,0.5,0.5", "", 410, 11.31, 11.31 + 3*0.25},
		{"0.5,0.5,0.5,0.0646", "", 430, 6.77, 6.77 + 3*0.25},
		{"0.0646,0.5,0.0646,0.5", "", 400, 6.77, 2*6.77 + 2*0.25}, // of equals the shortest
		{"0.0403,0.5,0.5,0.5", `,"undyed":[0.5,0.5,0.5,0.5]`, 400, 11.43 - 0.25, 11.43 - 0.25},
		{"0.0403,0.0403,0.0403,0.0646", `,"undyed":[0.0407,0.0407,0.5,0.5]`, 420, 11.43 - 0.25, 2*(11.43-11.31) + 11.43 - 0.25 + 6.77 - 0.25},
	} {
		a := ask(t, "spectrum", fmt.Sprintf(document, c.r, c.undyed))
		near(t, a, 0.02, map[string]float64{"ks_sum": c.sum})
		near(t, a["ks_max"].(map[string]any), 0.006, map[string]float64{"nm": c.nm, "value": c.most})
	}
}

// What an instrument reads outside 380–780 nm does not count, whatever it is.
func TestReadingsOutsideTheTablesAreIgnored(t *testing.T) {
	t.Parallel()
	nm, r := curve(t, "ramp")
	const document = `{"wavelengths_nm":%s,"reflectance":%s,"illuminant":"A","observer":2}`
	plain := ask(t, "spectrum", fmt.Sprintf(document, jsonOf(t, append([]float64{380, 390}, nm...)), jsonOf(t, append([]float64{0.05, 0.05}, r...))))
	wide := ask(t, "spectrum", fmt.Sprintf(document, jsonOf(t, append([]float64{360, 370, 380, 390}, nm...)), jsonOf(t, append([]float64{7, -1, 0.05, 0.05}, r...))))
	if diff := cmp.Diff(plain, wide); diff != "" {
		t.Error(diff)
	}
}

// The special index of metamerism (CIE 015): a pair that is the same curve
// times a factor matches in every light once the factor is taken out; and by
// hand from this calculator's own XYZ, multiplied and subtracted.
func TestMetamerismByHand(t *testing.T) {
	t.Parallel()
	nm, standard := curve(t, "madder_like")
	_, ramp := curve(t, "ramp")
	document := func(sample []float64, reference, test string) string {
		return fmt.Sprintf(`{"wavelengths_nm":%s,"standard":%s,"sample":%s,"reference":%q,"test":%q,"observer":10}`, jsonOf(t, nm), jsonOf(t, standard), jsonOf(t, sample), reference, test)
	}
	paler := make([]float64, len(standard))
	for i, r := range standard {
		paler[i] = r * 1.2
	}
	same := ask(t, "metamerism", document(paler, "D65", "A"))
	if same["index"].(float64) > 1e-9 || same["de_reference"].(float64) < 3 {
		t.Errorf("a paler cloth of the same curve: %v", same)
	}

	xyz := func(r []float64, light string) [3]float64 {
		a := ask(t, "spectrum", fmt.Sprintf(`{"wavelengths_nm":%s,"reflectance":%s,"illuminant":%q,"observer":10}`, jsonOf(t, nm), jsonOf(t, r), light))["xyz"].([]any)
		return [3]float64{a[0].(float64), a[1].(float64), a[2].(float64)}
	}
	white := make([]float64, len(nm))
	for i := range white {
		white[i] = 1
	}
	lab := func(c, w [3]float64) [3]float64 {
		var f [3]float64
		for i := range f {
			f[i] = math.Cbrt(c[i] / w[i]) // every ratio here is above (6/29)³
		}
		return [3]float64{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
	}
	apart := func(a, b [3]float64) float64 {
		return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2])
	}
	home := [2][3]float64{xyz(standard, "D65"), xyz(ramp, "D65")}
	away := [2][3]float64{xyz(standard, "F11"), xyz(ramp, "F11")}
	for i := range away[1] {
		away[1][i] *= home[0][i] / home[1][i]
	}
	a := ask(t, "metamerism", document(ramp, "D65", "F11"))
	near(t, a, 1e-9, map[string]float64{
		"index":        apart(lab(away[0], xyz(white, "F11")), lab(away[1], xyz(white, "F11"))),
		"de_reference": apart(lab(home[0], xyz(white, "D65")), lab(home[1], xyz(white, "D65"))),
	})
	if diff := cmp.Diff([]string{"de_reference", "index"}, sortedNames(a)); diff != "" {
		t.Error(diff)
	}
}
