package study_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/study"
)

func read(t testing.TB, key string) (study.Study, []study.Result) {
	t.Helper()
	s, results, err := study.Read(key)
	if err != nil {
		t.Fatal(err)
	}
	return s, results
}

// find gives the printed cell of a sample, or of a mordant and condition.
func find(t *testing.T, results []study.Result, component string, is func(study.Result) bool) study.Result {
	t.Helper()
	for _, r := range results {
		if r.Component == component && is(r) {
			return r
		}
	}
	t.Fatalf("no such cell of %s", component)
	return study.Result{}
}

// Every cell of the published tables is there as printed, none added: the files
// of the folder are read by hand here. Sources: J. Textiles 2014, art. 593782,
// tables 5 and 6; J. Textiles 2014, art. 587497, table 9; Adv. Mater. Sci. Eng.
// 2017, art. 7516409, table 3 (all CC BY).
func TestEveryPrintedCellIsThereAsPrinted(t *testing.T) {
	t.Parallel()
	for file, c := range map[string]struct {
		key     string
		columns []string
	}{
		"nayak2014_rheum_emodi_fastness.csv":        {"nayak2014", []string{"wash_1", "wash_2", "wash_3", "rub_1", "rub_2", "light"}},
		"liriope2014_silk_anthocyanin_fastness.csv": {"liriope2014", []string{"wash_colour_change", "wash_staining", "perspiration", "crock_dry", "crock_wet", "light"}},
		"cassia2017_leather_colour.csv":             {"cassia2017", []string{"R400_pct", "KS400_printed", "KS400_recomputed", "L", "a", "b"}},
	} {
		f, err := os.Open("published/" + file)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		if err := errorsOf(err, f.Close()); err != nil {
			t.Fatal(err)
		}
		var want, got []string
		for _, row := range rows[1:] {
			for _, column := range c.columns {
				want = append(want, row[slices.Index(rows[0], column)])
			}
		}
		_, results := read(t, c.key)
		for i, r := range results {
			got = append(got, r.Printed)
			if r.Line != i+1 || r.Study != c.key {
				t.Errorf("%s line %d: %+v", file, i+1, r)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", file, diff)
		}
	}
}

func errorsOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// Single cells, read in the printed tables: UJC3 on jute and cotton with copper
// sulfate 5 and light 7, UJW1 unmordanted on jute and wool light 4; silk at pH 5,
// unmordanted, wash 2.5 (half grade 2-3) and light 1.5.
func TestPrintedCellsInTheHousesWords(t *testing.T) {
	t.Parallel()
	_, nayak := read(t, "nayak2014")
	sample := func(name string) func(study.Result) bool {
		return func(r study.Result) bool { return r.Sample == name }
	}
	copper := find(t, nayak, "light", sample("UJC3"))
	want := study.Result{Study: "nayak2014", Line: copper.Line, Table: "5", Sample: "UJC3", Mordant: "CuSO4", Salt: "CuSO4", SaltName: "copper sulfate 5-hydrate", Metal: "Cu",
		Fibre: "jute/cotton", Fibres: []string{"jute", "cotton"}, Conditions: "thickener guar gum", Component: "light", Printed: "7", Grade: fastness.Whole(7)}
	if diff := cmp.Diff(want, copper); diff != "" {
		t.Error(diff)
	}
	if r := find(t, nayak, "light", sample("UJW1")); r.Mordant != "none" || r.Salt != "" || r.Metal != "" || r.Grade != fastness.Whole(4) || !slices.Equal(r.Fibres, []string{"jute", "wool"}) {
		t.Errorf("%+v", r)
	}
	if r := find(t, nayak, "light", sample("UJW3")); r.Grade != fastness.Half(6) {
		t.Errorf("%+v", r)
	}
	_, silk := read(t, "liriope2014")
	plain := func(r study.Result) bool { return r.Mordant == "none" && r.Conditions == "bath pH 5" }
	if r := find(t, silk, "wash-change", plain); r.Printed != "2.5" || r.Grade != fastness.Half(2) || r.Scale != fastness.GreyChange {
		t.Errorf("%+v", r)
	}
	if r := find(t, silk, "light", plain); r.Printed != "1.5" || r.Grade != fastness.Half(1) || r.Scale != "" {
		t.Errorf("%+v", r)
	}
	if r := find(t, silk, "light", func(r study.Result) bool { return strings.HasPrefix(r.Conditions, "bath pH 3, pre-") }); r.Mordant != "tin" || r.Metal != "Sn" || r.Salt != "" || r.Grade != fastness.Whole(4) || !strings.Contains(r.Conditions, "inferred") {
		t.Errorf("%+v", r)
	}
	_, leather := read(t, "cassia2017")
	if r := find(t, leather, "ks", func(r study.Result) bool { return r.Mordant == "aloe vera" }); r.Note != "printed R and K/S disagree" || r.Salt != "" || r.Conditions != "pre" || r.Fibres[0] != "leather" || r.Grade != 0 {
		t.Errorf("%+v", r)
	}
}

// What is said elsewhere of the same table: anthocyanin on silk, unmordanted, has
// light 1.5 to 2 at every pH (J. Textiles 2014, 587497).
func TestUnmordantedAnthocyaninIsFugitive(t *testing.T) {
	t.Parallel()
	_, silk := read(t, "liriope2014")
	seen := 0
	for _, r := range silk {
		if r.Component == "light" && r.Mordant == "none" {
			if seen++; r.Grade < fastness.Half(1) || r.Grade > fastness.Whole(2) {
				t.Errorf("%+v", r)
			}
		}
	}
	if seen != 7 {
		t.Errorf("%d baths, the table has 7", seen)
	}
}

// K/S = (1 − R)²/2R of the printed reflectance agrees with the recomputed column
// in each row, and with the printed one in each but the third, which is marked.
func TestTheThirdRowOfTheLeatherContradictsItself(t *testing.T) {
	t.Parallel()
	_, leather := read(t, "cassia2017")
	number := func(r study.Result) float64 {
		v, err := strconv.ParseFloat(r.Printed, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	rows := 0
	for i, r := range leather {
		if r.Component != "reflectance" {
			continue
		}
		rows++
		ks, err := colour.KS("r", number(r)/100)
		if err != nil || math.Abs(ks-number(leather[i+2])) > 0.006 {
			t.Errorf("row %d: K/S %v, %v; recomputed column %v", rows, ks, err, number(leather[i+2]))
		}
		if apart := math.Abs(ks-number(leather[i+1])) > 0.02; apart != (rows == 3) || apart != (r.Note != "") {
			t.Errorf("row %d: printed %v, from R %v, note %q", rows, number(leather[i+1]), ks, r.Note)
		}
	}
	if rows != 4 {
		t.Errorf("%d rows", rows)
	}
}

// Papers leave the water out: the same salt is found by name, by formula with and
// without its water, in any spelling; a metal alone is kept as a metal.
func TestMordantsAreComparedWithoutTheirWater(t *testing.T) {
	t.Parallel()
	for word, want := range map[string][2]string{
		"CuSO4": {"CuSO4", "Cu"}, "copper sulphate": {"CuSO4", "Cu"}, "CuSO4·5H2O": {"CuSO4", "Cu"}, "Blue Vitriol": {"CuSO4", "Cu"},
		"FeSO4": {"FeSO4", "Fe"}, "copperas": {"FeSO4", "Fe"}, "green vitriol": {"FeSO4", "Fe"}, "dried copperas": {"FeSO4", "Fe"},
		"alum": {"KAl(SO4)2", "Al"}, "KAl(SO4)2·12H2O": {"KAl(SO4)2", "Al"},
		"tin": {"", "Sn"}, "iron": {"", "Fe"}, "none": {"", ""}, "aloe vera": {"", ""}, "mango bark": {"", ""}, "": {"", ""},
	} {
		if m := study.MordantOf(word); m.Salt != want[0] || m.Metal != want[1] || m.Word != strings.ToLower(word) {
			t.Errorf("%q: %+v", word, m)
		}
	}
	for printed, want := range map[string][]string{"jute/wool": {"jute", "wool"}, "Flax": {"linen"}, "leather": {"leather"}, "": nil} {
		if got := study.FibreWords(printed); !slices.Equal(got, want) {
			t.Errorf("%q: %q", printed, got)
		}
	}
}

func TestEachStudySaysWhoseItIs(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("published/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range study.Studies() {
		if s.Citation == "" || s.Licence != "CC BY" || len(s.Caveats) < 2 || !strings.Contains(s.Caveats[len(s.Caveats)-1], "never a lot's grade") {
			t.Errorf("%+v", s)
		}
		if !strings.Contains(strings.Join(strings.Fields(string(text)), " "), s.Citation+" | "+s.Licence) {
			t.Errorf("the folder's README does not cite %s: %s", s.Key, s.Citation)
		}
		s.Caveats[0] = "nothing"
	}
	if study.Studies()[0].Caveats[0] == "nothing" {
		t.Error("a caller can change the table")
	}
	_, _, err = study.Read("padfield1966")
	field(t, err, "keys")
}

func TestWhatASearchMayAsk(t *testing.T) {
	t.Parallel()
	all, err := study.Asked("")
	if err != nil || len(all) != len(study.Components()) {
		t.Errorf("%v, %v", all, err)
	}
	wash, err := study.Asked("Wash")
	if err != nil || len(wash) != 5 {
		t.Errorf("%v, %v", wash, err)
	}
	_, err = study.Asked("moonlight")
	field(t, err, "component")
	if g, err := study.LeastGrade("4", wash); err != nil || g != fastness.Whole(4) {
		t.Errorf("%v, %v", g, err)
	}
	if g, err := study.LeastGrade("6-7", []string{"light"}); err != nil || g != fastness.Half(6) {
		t.Errorf("%v, %v", g, err)
	}
	for text, keys := range map[string][]string{"3": all, "6": wash, "3.5": wash, "4": {"l"}} {
		_, err := study.LeastGrade(text, keys)
		field(t, err, "least_grade")
	}
	if g, err := study.LeastGrade("", all); err != nil || g != 0 {
		t.Errorf("%v, %v", g, err)
	}
}

func field(t *testing.T, err error, want string) {
	t.Helper()
	if f, ok := fault.Of(err); !ok || f.Field != want || f.Kind != fault.Invalid {
		t.Errorf("got %v, want a fault on %s", err, want)
	}
}

func Example() {
	_, results, err := study.Read("nayak2014")
	for _, r := range results {
		if r.Component == "light" && (r.Sample == "UJW1" || r.Sample == "UJW3") {
			fmt.Println(r.Sample, r.Mordant, r.Fibre, r.Grade)
		}
	}
	fmt.Println(err)
	// Output:
	// UJW1 none jute/wool 4
	// UJW3 CuSO4 jute/wool 6-7
	// <nil>
}
