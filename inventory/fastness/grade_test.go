package fastness_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

// wantField checks that err is an INVALID_FIELD fault on the named field.
func wantField(t *testing.T, err error, field string) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Kind != fault.Invalid || f.Reason != "INVALID_FIELD" || f.Field != field {
		t.Fatalf("got %#v, want an INVALID_FIELD fault on %q", err, field)
	}
}

func parse(t *testing.T, scale fastness.Scale, texts ...string) []fastness.Grade {
	t.Helper()
	var out []fastness.Grade
	for _, text := range texts {
		g, err := fastness.Parse(text, scale)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, g)
	}
	return out
}

// The nine grades of ISO 105-A02 and A03, the eight blue wools of ISO 105-B02
// with their half grades, and AATCC 16.3's L2 to L9, as the standards write them.
func TestScalesListTheirGradesFromWorstToBest(t *testing.T) {
	t.Parallel()
	want := map[fastness.Scale]string{
		fastness.GreyChange:   "1 1-2 2 2-3 3 3-4 4 4-5 5",
		fastness.GreyStaining: "1 1-2 2 2-3 3 3-4 4 4-5 5",
		fastness.BlueWool:     "1 1-2 2 2-3 3 3-4 4 4-5 5 5-6 6 6-7 7 7-8 8",
		fastness.AATCCLight:   "L2 L2-3 L3 L3-4 L4 L4-5 L5 L5-6 L6 L6-7 L7 L7-8 L8 L8-9 L9",
	}
	for _, s := range fastness.Scales() {
		var texts []string
		for _, g := range s.Grades() {
			texts = append(texts, s.Text(g))
			back, err := fastness.Parse(s.Text(g), s)
			if err != nil || back != g {
				t.Errorf("%s: %q reads back as %v, %v", s, s.Text(g), back, err)
			}
		}
		if got := strings.Join(texts, " "); got != want[s] {
			t.Errorf("%s: %s, want %s", s, got, want[s])
		}
		if !slices.IsSorted(s.Grades()) {
			t.Errorf("%s: grades do not rise", s)
		}
	}
	if len(want) != len(fastness.Scales()) {
		t.Errorf("%d scales are listed here, the package has %d", len(want), len(fastness.Scales()))
	}
}

func TestParseTakesWhatPeopleType(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text  string
		scale fastness.Scale
		want  fastness.Grade
	}{
		{" 3-4 ", fastness.GreyChange, fastness.Half(3)},
		{"3–4", fastness.GreyStaining, fastness.Half(3)},
		{"6-7", fastness.BlueWool, fastness.Half(6)},
		{"l4", fastness.AATCCLight, fastness.Whole(4)},
	} {
		if got, err := fastness.Parse(c.text, c.scale); err != nil || got != c.want {
			t.Errorf("%q on %s: %v, %v; want %v", c.text, c.scale, got, err, c.want)
		}
	}
}

func TestParseRefusesWhatIsNoGrade(t *testing.T) {
	t.Parallel()
	for text, scale := range map[string]fastness.Scale{
		"": fastness.GreyChange, "0": fastness.GreyChange, "0-1": fastness.GreyChange, "6": fastness.GreyChange,
		"5-6": fastness.GreyStaining, "3.5": fastness.GreyStaining, "4-3": fastness.GreyChange, "3-5": fastness.GreyChange,
		"-3": fastness.GreyChange, "3-": fastness.GreyChange, "03": fastness.GreyChange, "NaN": fastness.GreyChange,
		"9": fastness.BlueWool, "8-9": fastness.BlueWool, "L4": fastness.BlueWool, "not graded": fastness.BlueWool,
		"4": fastness.AATCCLight, "L1": fastness.AATCCLight, "L1-2": fastness.AATCCLight, "L10": fastness.AATCCLight,
	} {
		g, err := fastness.Parse(text, scale)
		if err == nil {
			t.Errorf("%q on %s was read as %v", text, scale, g)
			continue
		}
		wantField(t, err, "grade")
		if !strings.Contains(err.Error(), "3-4") {
			t.Errorf("%q on %s: %q does not say how a half grade is written", text, scale, err)
		}
	}
	_, err := fastness.Parse("3", "brown-scale")
	wantField(t, err, "scale")
}

// Grades as printed for Rheum emodi on jute unions: L. Nayak, J. Textiles 2014,
// art. 593782, tables 5 and 6, CC BY. Worst and lower median counted by hand.
func TestPrintedGradesAreListedNeverAveraged(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		sample        string
		grades        []string
		worst, median string
	}{
		{"UJC1", []string{"3", "3-4", "3", "3-4", "3"}, "3", "3"},
		{"UJC2", []string{"4-5", "5", "4-5", "5", "4-5"}, "4-5", "4-5"},
		{"UJC4", []string{"4", "4", "4-5", "4-5", "4"}, "4", "4"},
		{"UJW1", []string{"3", "4", "3-4", "3-4", "3-4"}, "3", "3-4"},
		{"MJW3, wash and first rub", []string{"5", "4-5", "5", "5"}, "4-5", "5"},
		{"UJC2, four of its grades", []string{"4-5", "5", "4-5", "5"}, "4-5", "4-5"},
	} {
		grades := parse(t, fastness.GreyStaining, c.grades...)
		worst, err := fastness.Worst(grades)
		if err != nil || worst.String() != c.worst {
			t.Errorf("%s: worst %v, %v; want %s", c.sample, worst, err, c.worst)
		}
		median, err := fastness.LowerMedian(grades)
		if err != nil || median.String() != c.median {
			t.Errorf("%s: lower median %v, %v; want %s", c.sample, median, err, c.median)
		}
	}
}

func TestAnEmptyListHasNoWorst(t *testing.T) {
	t.Parallel()
	for _, list := range [][]fastness.Grade{nil, {}, {fastness.Whole(3), 0}} {
		_, err := fastness.Worst(list)
		wantField(t, err, "grades")
		_, err = fastness.LowerMedian(list)
		wantField(t, err, "grades")
	}
}

// The law of ordered grades: both summaries are grades that somebody gave, do not
// depend on order, leave the list alone, and at least half of the grades reach
// the lower median.
func TestWorstAndLowerMedianAreGivenGrades(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		grades := rapid.SliceOfN(rapid.SampledFrom(fastness.BlueWool.Grades()), 1, 12).Draw(t, "grades")
		before := slices.Clone(grades)
		worst, _ := fastness.Worst(grades)
		median, _ := fastness.LowerMedian(grades)
		if diff := cmp.Diff(before, grades); diff != "" {
			t.Fatalf("the list was changed: %s", diff)
		}
		if !slices.Contains(grades, worst) || !slices.Contains(grades, median) || worst > median {
			t.Fatalf("worst %v, median %v of %v", worst, median, grades)
		}
		reach, below := 0, 0
		for _, g := range grades {
			if g < worst {
				t.Fatalf("%v is worse than the worst, %v", g, worst)
			}
			if g >= median {
				reach++
			}
			if g < median {
				below++
			}
		}
		if 2*reach < len(grades) || 2*below >= len(grades) {
			t.Fatalf("%d reach and %d miss the lower median %v of %v", reach, below, median, grades)
		}
		shuffled := rapid.Permutation(grades).Draw(t, "shuffled")
		again, _ := fastness.LowerMedian(shuffled)
		if w, _ := fastness.Worst(shuffled); w != worst || again != median {
			t.Fatalf("order changed the answer: %v %v, %v %v", worst, w, median, again)
		}
	})
}
