package fastness_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
)

var (
	lots     = []string{"A", "B", "C"}
	harvests = []string{"W23", "W24", "M23"}
	recipes  = []string{"weld 2", "weld 3"}
)

func subjectGen() *rapid.Generator[fastness.Subject] {
	return rapid.Custom(func(t *rapid.T) fastness.Subject {
		scope := rapid.SampledFrom(fastness.Scopes()).Draw(t, "scope")
		codes := map[fastness.Scope][]string{fastness.EachLot: lots, fastness.EachHarvest: harvests, fastness.EachRecipe: recipes}[scope]
		return fastness.Subject{Scope: scope, Code: rapid.SampledFrom(codes).Draw(t, "code")}
	})
}

func drawTest(t *rapid.T, id string) fastness.Test {
	m := rapid.SampledFrom(fastness.Methods()).Draw(t, "method")
	out := fastness.Test{
		ID: id, Method: m.Key, Edition: "2020", Subject: subjectGen().Draw(t, "subject"),
		Grades: map[string]fastness.Grade{},
		Date:   day.Add(time.Duration(rapid.IntRange(0, 20).Draw(t, "hours")) * time.Hour),
	}
	for _, c := range rapid.SliceOfNDistinct(rapid.SampledFrom(m.Components), 1, len(m.Components), func(c fastness.Component) string { return c.Key }).Draw(t, "components") {
		out.Grades[c.Key] = rapid.SampledFrom(c.Scale.Grades()).Draw(t, "grade")
	}
	if len(m.Variants) > 0 {
		out.Variant = m.Variants[0].Key
	}
	if rapid.IntRange(0, 4).Draw(t, "withdrawn") == 0 {
		out.Withdrawn = "made wrongly"
	}
	return out
}

func drawTests(t *rapid.T, prefix string) []fastness.Test {
	var tests []fastness.Test
	for i := range rapid.IntRange(0, 10).Draw(t, "how many") {
		tests = append(tests, drawTest(t, fmt.Sprintf("%s%d", prefix, i)))
	}
	return tests
}

func drawCase(t *rapid.T) (fastness.Lot, []fastness.Row, []fastness.Test) {
	lot := fastness.Lot{
		Code:     "A",
		Harvests: rapid.SliceOfN(rapid.SampledFrom(harvests), 0, 2).Draw(t, "harvests"),
		Recipe:   rapid.SampledFrom(append([]string{""}, recipes...)).Draw(t, "recipe"),
	}
	rows := fastness.Seed()
	for i := range rows {
		rows[i].Active, rows[i].Edition = rapid.Bool().Draw(t, "active"), "drawn"
		rows[i].Scope = rapid.SampledFrom(fastness.Scopes()).Draw(t, "scope")
	}
	return lot, rows, drawTests(t, "T")
}

func mustJudge(t *rapid.T, lot fastness.Lot, rows []fastness.Row, tests []fastness.Test, overrides ...fastness.Override) fastness.Judgement {
	j, err := fastness.Judge(lot, rows, tests, overrides)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// counts says, from the words of the law alone, whether a test may speak for lot
// A's row at all: its own, or of its harvest or recipe where the row says so.
func counts(lot fastness.Lot, r fastness.Row, x fastness.Test) bool {
	mine := x.Subject == fastness.Subject{Scope: fastness.EachLot, Code: lot.Code} ||
		x.Subject.Scope == fastness.EachHarvest && r.Scope == fastness.EachHarvest && slices.Contains(lot.Harvests, x.Subject.Code) ||
		x.Subject.Scope == fastness.EachRecipe && r.Scope == fastness.EachRecipe && x.Subject.Code == lot.Recipe
	return mine && x.Withdrawn == "" && (len(r.Methods) == 0 || slices.Contains(r.Methods, x.Method))
}

// worstFor is the worst grade that counts, and the subjects and parts that have one.
func worstFor(t *rapid.T, lot fastness.Lot, r fastness.Row, tests []fastness.Test) (worst fastness.Grade, seen map[string]bool) {
	seen = map[string]bool{}
	for _, x := range tests {
		m, err := fastness.MethodOf(x.Method)
		if err != nil {
			t.Fatal(err)
		}
		for key, g := range x.Grades {
			if c, _ := m.Component(key); c.Kind == r.Kind && c.Scale == r.Scale && counts(lot, r, x) {
				if worst == 0 || g < worst {
					worst = g
				}
				seen[x.Subject.String()+c.Part] = true
			}
		}
	}
	return worst, seen
}

// A lot passes only when each row in force has a passing test in its scope; a
// grade of another lot, of a foreign harvest or recipe, or withdrawn, never counts.
func TestALotPassesOnlyOnItsOwnGrades(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lot, rows, tests := drawCase(t)
		j := mustJudge(t, lot, rows, tests)
		may, i := true, 0
		for _, r := range rows {
			if !r.Active {
				continue
			}
			f := j.Findings[i]
			i++
			worst, seen := worstFor(t, lot, r, tests)
			k, _ := fastness.KindOf(r.Kind)
			whole := worst > 0
			for _, part := range k.Parts {
				own := seen["lot A"+part]
				switch {
				case r.Scope == fastness.EachHarvest && len(lot.Harvests) > 0:
					for _, h := range lot.Harvests {
						whole = whole && (own || seen["harvest "+h+part])
					}
				case r.Scope == fastness.EachRecipe && lot.Recipe != "":
					whole = whole && (own || seen["recipe "+lot.Recipe+part])
				default:
					whole = whole && own
				}
			}
			want := fastness.NotTested
			switch {
			case worst > 0 && worst < r.Minimum:
				want = fastness.Failed
			case whole:
				want = fastness.Passed
			}
			if f.Row.Key != r.Key || f.State != want || f.Deciding.Grade != worst {
				t.Fatalf("%s: %s with %v, want %s with %v", r.Key, f, f.Deciding.Grade, want, worst)
			}
			may = may && want == fastness.Passed
		}
		if i != len(j.Findings) || j.MayPass != may || may != (len(j.Blocks) == 0) {
			t.Fatalf("%d findings for %d rows, may pass %v, want %v, blocks %v", len(j.Findings), i, j.MayPass, may, j.Blocks)
		}
	})
}

// What was recorded when changes nothing: the order of tests, tests of other lots
// and withdrawn tests leave every verdict as it is.
func TestForeignTestsAndOrderChangeNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lot, rows, tests := drawCase(t)
		want := mustJudge(t, lot, rows, tests)
		more := rapid.Permutation(tests).Draw(t, "shuffled")
		for _, x := range drawTests(t, "F") {
			if x.Withdrawn == "" {
				x.Subject = fastness.Subject{Scope: fastness.EachLot, Code: "B"}
			}
			more = append(more, x)
		}
		got := mustJudge(t, lot, rows, more)
		for i := range got.Findings {
			got.Findings[i].SetAside, want.Findings[i].SetAside = nil, nil
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

// No further test heals a failed row: only withdrawing or overriding does. And a
// row overridden in sight of everything lets the lot through while it still reads
// as failed.
func TestAFailedRowStaysFailed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lot, rows, tests := drawCase(t)
		before := mustJudge(t, lot, rows, tests)
		all := append(tests, drawTests(t, "U")...)
		after := mustJudge(t, lot, rows, all)
		var overrides []fastness.Override
		for i, f := range after.Findings {
			if b := before.Findings[i]; b.State == fastness.Failed && (f.State != fastness.Failed || f.Deciding.Grade > b.Deciding.Grade) {
				t.Fatalf("%s was %s and is %s", f.Row.Key, b, f)
			}
			overrides = append(overrides, fastness.Override{Row: f.Row.Key, Who: "owner", Why: "seen", At: day.AddDate(1, 0, 0)})
		}
		let := mustJudge(t, lot, rows, all, overrides...)
		if !let.MayPass || let.Refusal() != nil {
			t.Fatalf("blocks %v", let.Blocks)
		}
		for i, f := range let.Findings {
			bare := after.Findings[i].Verdict()
			if after.Findings[i].State != fastness.Passed {
				bare += ", overridden"
			}
			if f.Verdict() != bare {
				t.Fatalf("%q, want %q", f.Verdict(), bare)
			}
		}
	})
}
