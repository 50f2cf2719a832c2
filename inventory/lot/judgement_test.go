package lot_test

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// The choir's season, from the project's worked story (its numbers were
// computed there by two people): standard 62, −2, 38 with tolerance 1.5 and 1.0
// within a set; lot A 62.6, −1.8, 38.9 and lot B 60.8, −1.4, 36.6.
var (
	dyed  = time.Date(2026, 5, 20, 9, 0, 0, 0, time.UTC)
	july2 = time.Date(2026, 7, 2, 12, 0, 0, 0, time.UTC)
	july9 = time.Date(2026, 7, 9, 12, 0, 0, 0, time.UTC)
	olive = lot.Standard{Code: "choir-olive", Colour: colour.Lab{L: 62, A: -2, B: 38}, Tolerance: 1500, SetTolerance: 1000, DatedOn: dyed}
	lotA  = measured(1, "L1", reading(1, 62.6, -1.8, 38.9))
	lotB  = measured(2, "L2", reading(2, 60.8, -1.4, 36.6))
)

func reading(id int64, l, a, b float64) lot.Reading {
	at := dyed.AddDate(0, 0, 3).Add(time.Duration(id) * time.Minute)
	return lot.Reading{ID: id, Colour: colour.Lab{L: l, A: a, B: b}, Rested: true, HappenedAt: at, RecordedAt: at}
}

func measured(id int64, code string, readings ...lot.Reading) lot.Measured {
	return lot.Measured{ID: id, Code: code, State: lot.WaitingForTests, Readings: readings,
		LastBath: lot.LastBath{Record: "S9", HappenedAt: dyed, RecordedAt: dyed.Add(time.Hour)}}
}

// light is the one house row of the story: light 3.
func light(scope fastness.Scope) []fastness.Row {
	return []fastness.Row{{Key: "own-light", Kind: "light", Scale: fastness.BlueWool, Minimum: fastness.Whole(3), Scope: scope, Source: fastness.StudioOwn, Active: true}}
}

func graded(id, of string, scope fastness.Scope, g fastness.Grade, harvests ...string) lot.Test {
	return lot.Test{Lot: of, Harvests: harvests, Test: fastness.Test{ID: id, Method: "studio-window", Subject: fastness.Subject{Scope: scope, Code: of},
		Grades: map[string]fastness.Grade{"light": g}, Date: july2, Recorded: july2}}
}

func choirCase(of, other lot.Measured, g fastness.Grade, overrides ...lot.RowOverride) lot.Case {
	return lot.Case{Lot: of, Sisters: []lot.Measured{other}, Matched: true, Standard: olive, House: light(fastness.EachLot),
		Tests: []lot.Test{graded("F1", of.Code, fastness.EachLot, g)}, Overrides: overrides}
}

func nod(row, why string, at time.Time) lot.RowOverride {
	return lot.RowOverride{Row: row, Who: "owner", Why: why, HappenedAt: at, RecordedAt: at}
}

func judged(t *testing.T, c lot.Case) lot.Judgement {
	t.Helper()
	j, err := lot.Judge(c)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func rowOf(t *testing.T, j lot.Judgement, key string) lot.JudgedRow {
	t.Helper()
	r, err := j.RowOf(key)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func wantFault(t *testing.T, err error, kind fault.Kind, reason, says string) *fault.Fault {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Kind != kind || f.Reason != reason || !strings.Contains(f.Error(), says) {
		t.Fatalf("want %s that says %q, got %v", reason, says, err)
	}
	return f
}

func TestEachLotPassesAndTheSetDoesNot(t *testing.T) {
	t.Parallel()
	a, b := judged(t, choirCase(lotA, lotB, fastness.Whole(3))), judged(t, choirCase(lotB, lotA, fastness.Whole(3)))
	for _, c := range []struct {
		j     lot.Judgement
		found string
	}{{a, "0.63"}, {b, "1.23"}} {
		r := rowOf(t, c.j, "colour")
		if r.Found != c.found || r.State != fastness.Passed || !c.j.MayPass || c.j.Refusal() != nil {
			t.Errorf("%s: %+v, may pass %v", c.j.Code, r, c.j.MayPass)
		}
		if len(c.j.Pairs) != 1 || c.j.Pairs[0].Shown != "1.78" || c.j.Pairs[0].Within || c.j.Set.State != fastness.Failed {
			t.Errorf("%s in its set: %+v, %+v", c.j.Code, c.j.Pairs, c.j.Set)
		}
		f := wantFault(t, c.j.SetStands(), fault.Refused, "SET_APART", "set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1: failed 1.78")
		if diff := cmp.Diff(map[string]string{"lot": c.j.Code, "asked": "1", "set": "failed 1.78", "L1 to L2": "1.78"}, f.Numbers); diff != "" {
			t.Error(diff)
		}
	}
}

func TestLightHeldThenOverriddenAndEveryLaterViewSaysSo(t *testing.T) {
	t.Parallel()
	b := judged(t, choirCase(lotB, lotA, fastness.Half(2)))
	pass, err := lot.OutcomeOf("passed")
	if err != nil {
		t.Fatal(err)
	}
	_, err = b.Give(pass, "")
	f := wantFault(t, err, fault.Refused, "HOUSE_STANDARD", "lot L2 does not pass: light 2-3, asked 3: failed 2-3")
	if diff := cmp.Diff(map[string]string{"lot": "L2", "blocking": "own-light", "own-light": "failed 2-3"}, f.Numbers); diff != "" {
		t.Error(diff)
	}
	b = judged(t, choirCase(lotB, lotA, fastness.Half(2), nod("own-light", "the choir was told and agreed", july9), nod("set", "they stand in two rows", july9)))
	if state, err := b.Give(pass, ""); err != nil || state != lot.Passed || b.SetStands() != nil {
		t.Errorf("%s, %v, %v", state, err, b.SetStands())
	}
	if got, want := rowOf(t, b, "light").Text, "light 2-3, asked 3: failed 2-3, overridden by owner: the choir was told and agreed"; got != want {
		t.Errorf("got %q\nwant %q", got, want)
	}
	if got, want := b.Set.Text, "set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1: failed 1.78, overridden by owner: they stand in two rows"; got != want {
		t.Errorf("got %q\nwant %q", got, want)
	}
}

// Law 5: a grade of another lot, a harvest or a recipe is never this lot's own.
func TestLaw5NoOtherGradeIsThisLots(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		scope fastness.Scope
		test  lot.Test
		state fastness.State
		found string
		text  string
	}{
		"another lot's":        {fastness.EachLot, graded("F1", "L2", fastness.EachLot, fastness.Whole(6)), fastness.NotTested, "", "light, asked 3: not yet tested, still open: lot L1"},
		"its harvest's":        {fastness.EachLot, graded("F1", "L2", fastness.EachHarvest, fastness.Whole(6), "P3"), fastness.NotTested, "", ""},
		"where harvests do":    {fastness.EachHarvest, graded("F1", "L2", fastness.EachHarvest, fastness.Whole(4), "P3"), fastness.Passed, "4 (harvest P3, not this lot)", "light 4 (harvest P3, not this lot), asked 3 of each harvest: passed 4 (harvest P3, not this lot)"},
		"another harvest's":    {fastness.EachHarvest, graded("F1", "L2", fastness.EachHarvest, fastness.Whole(4), "P4"), fastness.NotTested, "", ""},
		"two plants, one ours": {fastness.EachHarvest, graded("F1", "L2", fastness.EachHarvest, fastness.Whole(4), "P3", "P4"), fastness.NotTested, "", ""},
		"a harvest of nothing": {fastness.EachHarvest, graded("F1", "L2", fastness.EachHarvest, fastness.Whole(4)), fastness.NotTested, "", ""},
		"its own, for harvest": {fastness.EachHarvest, graded("F1", "L1", fastness.EachLot, fastness.Whole(4)), fastness.Passed, "4", ""},
		"its recipe's":         {fastness.EachRecipe, recipeTest("weld-olive 3"), fastness.Passed, "4 (recipe weld-olive 3, not this lot)", ""},
		"an older version's":   {fastness.EachRecipe, recipeTest("weld-olive 2"), fastness.NotTested, "", ""},
	} {
		j := judged(t, lot.Case{Lot: lotA, Standard: olive, House: light(c.scope), Tests: []lot.Test{c.test}, Harvests: []string{"P3"}, Recipe: "weld-olive 3"})
		r := rowOf(t, j, "light")
		if r.State != c.state || r.Found != c.found || c.text != "" && r.Text != c.text || j.MayPass != (c.state == fastness.Passed) {
			t.Errorf("%s: %+v", name, r)
		}
	}
	both := lot.Case{Lot: lotA, Standard: olive, House: light(fastness.EachHarvest), Harvests: []string{"P3", "P4"}}
	both.Tests = []lot.Test{graded("F1", "L2", fastness.EachHarvest, fastness.Whole(4), "P3")}
	if r := rowOf(t, judged(t, both), "light"); r.State != fastness.NotTested || !strings.HasSuffix(r.Text, "still open: harvest P4") {
		t.Errorf("one of two plants: %+v", r)
	}
	both.Tests = append(both.Tests, graded("F2", "L9", fastness.EachHarvest, fastness.Whole(3), "P3", "P4"))
	if r := rowOf(t, judged(t, both), "light"); r.State != fastness.Passed || r.Evidence != "test F2 of harvest P3, on cloth of lot L9" {
		t.Errorf("both plants in one pot: %+v", r)
	}
}

func recipeTest(version string) lot.Test {
	t := graded("F1", "L2", fastness.EachRecipe, fastness.Whole(4))
	t.Subject.Code = version
	return t
}

// Only dry, rested readings of the finished cloth, in the standard's light,
// make the lot's colour; of several their mean. The far colour is 30 off.
func TestWhichReadingsCount(t *testing.T) {
	t.Parallel()
	near, far := reading(1, 62, -2, 38), reading(2, 32, -2, 38)
	with := func(how func(*lot.Reading)) lot.Reading { r := far; how(&r); return r }
	for name, other := range map[string]lot.Reading{
		"wet":             with(func(r *lot.Reading) { r.Wet = true }),
		"not rested":      with(func(r *lot.Reading) { r.Rested = false }),
		"by lamplight":    with(func(r *lot.Reading) { r.View = colour.View{Illuminant: colour.A} }),
		"by another eye":  with(func(r *lot.Reading) { r.View = colour.View{Observer: colour.TwoDegrees} }),
		"gone its way":    with(func(r *lot.Reading) { r.Apart = true }),
		"before the bath": with(func(r *lot.Reading) { r.HappenedAt = dyed.Add(-time.Minute) }),
	} {
		j := judged(t, lot.Case{Lot: measured(1, "L1", other), Standard: olive})
		if r := rowOf(t, j, "colour"); r.State != fastness.NotTested || r.Found != "" || j.MayPass {
			t.Errorf("%s alone: %+v", name, r)
		}
		j = judged(t, lot.Case{Lot: measured(1, "L1", near, other), Standard: olive})
		if r := rowOf(t, j, "colour"); r.Found != "0.00" || r.Evidence != "reading C1" || !j.MayPass {
			t.Errorf("%s beside a good one: %+v", name, r)
		}
		if other.View != olive.View && other.To(olive) != "" {
			t.Errorf("%s is compared", name)
		}
	}
	// A grey of 50 and one of 60 are one of 55: mean of 10.3 and 9.1 away is not it.
	grey := olive
	grey.Colour = colour.Lab{L: 55}
	j := judged(t, lot.Case{Lot: measured(1, "L1", reading(1, 50, 0, 0), reading(2, 60, 0, 0)), Standard: grey})
	if r := rowOf(t, j, "colour"); r.Found != "0.00" || !strings.HasPrefix(r.Evidence, "mean of readings C1, C2, the farthest C1 at ") {
		t.Errorf("%+v", r)
	}
}

// A bath whose time nobody reported is taken to be done before what was written
// down after it.
func TestAReadingAfterABathOfUnknownTime(t *testing.T) {
	t.Parallel()
	m := measured(1, "L1", reading(1, 62, -2, 38))
	m.LastBath = lot.LastBath{Record: "S9", HappenedAt: july2, RecordedAt: july2}
	if _, ok := m.Colour(olive.View); ok {
		t.Error("a reading written down before the bath was counts")
	}
	m.Readings[0].RecordedAt = july9 // dated back
	if _, ok := m.Colour(olive.View); !ok {
		t.Error("a reading written down after the bath does not count")
	}
}

func TestASetIsJudgedOnceAllItsLotsAreRead(t *testing.T) {
	t.Parallel()
	third := measured(3, "L3")
	c := lot.Case{Lot: lotA, Sisters: []lot.Measured{third, lotB}, Matched: true, Standard: olive}
	j := judged(t, c)
	if j.Set.State != fastness.NotTested || len(j.Pairs) != 1 || j.Pairs[0].Lot != "L1" || j.Pairs[0].Other != "L2" {
		t.Errorf("%+v, %+v", j.Set, j.Pairs)
	}
	wantFault(t, j.SetStands(), fault.Refused, "SET_APART", "no reading counts yet of L3")
	for _, gone := range []lot.State{lot.Imperfect, lot.ReDye, lot.Scrapped, lot.Cancelled} {
		b := lotB
		b.State = gone
		c.Sisters = []lot.Measured{b}
		if j := judged(t, c); j.Set.State != fastness.Passed || j.SetStands() != nil || len(j.Pairs) != 0 {
			t.Errorf("a sister that is %s is still matched: %+v", gone, j.Set)
		}
		c.Sisters, c.Lot = []lot.Measured{lotA}, b
		if j := judged(t, c); j.Set != nil || j.SetStands() != nil || !j.Matched {
			t.Errorf("a lot that is %s is still matched: %+v", gone, j.Set)
		}
		c.Lot = lotA
	}
	c.Matched, c.Sisters = false, []lot.Measured{lotB}
	if j := judged(t, c); j.Set != nil || j.SetStands() != nil {
		t.Error("lots of no set are matched")
	}
}

// An override covers what was known when it was written down.
func TestOverridesLapseWhenSomethingWorseIsFound(t *testing.T) {
	t.Parallel()
	bad, worse := reading(1, 58, -2, 38), reading(2, 40, -2, 38)
	worse.RecordedAt = july9.Add(time.Hour)
	c := lot.Case{Lot: measured(1, "L1", bad), Standard: olive, Overrides: []lot.RowOverride{nod("colour", "a darker olive was agreed", july9)}}
	if j := judged(t, c); !j.MayPass || !strings.Contains(rowOf(t, j, "colour").Text, ", overridden by owner: a darker olive was agreed") {
		t.Errorf("%+v", j.Rows)
	}
	c.Lot.Readings = append(c.Lot.Readings, worse)
	r := rowOf(t, judged(t, c), "colour")
	if r.State != fastness.Failed || !r.Lapsed || !strings.Contains(r.Text, "owner overrode it before this was known: a darker olive was agreed") {
		t.Errorf("%+v", r)
	}
	c.Overrides = append(c.Overrides, nod("colour", "still agreed", july9.AddDate(0, 0, 1)))
	if r = rowOf(t, judged(t, c), "colour"); r.State != fastness.Overridden || r.Override.Why != "still agreed" {
		t.Errorf("decided anew: %+v", r)
	}
	c.Lot.Readings, c.Overrides = nil, []lot.RowOverride{nod("colour", "no instrument here", july9)}
	if r = rowOf(t, judged(t, c), "colour"); r.State != fastness.Overridden {
		t.Errorf("a missing reading: %+v", r)
	}
	c.Lot.Readings = []lot.Reading{worse}
	if r = rowOf(t, judged(t, c), "colour"); r.State != fastness.Failed || !r.Lapsed {
		t.Errorf("read after all, and bad: %+v", r)
	}

	apart := choirCase(lotA, lotB, fastness.Whole(3), nod("set", "two rows", july9))
	later := reading(3, 40, -2, 38)
	later.RecordedAt = july9.Add(time.Hour)
	apart.Sisters = []lot.Measured{measured(2, "L2", append(lotB.Readings[:1:1], later)...)}
	if s := judged(t, apart).Set; s.State != fastness.Failed || !s.Lapsed {
		t.Errorf("farther apart than was known: %+v", s)
	}
}

// What was overridden and is asked no more stays readable and lets nothing
// through.
func TestOverridesOfRowsThatWereSwitchedOff(t *testing.T) {
	t.Parallel()
	c := choirCase(lotB, lotA, fastness.Half(2), nod("own-light", "told", july9), nod("gots-light", "told too", july9))
	c.House[0].Active = false
	c.House = append(c.House, fastness.Row{Key: "gots-light", Kind: "light", Scale: fastness.BlueWool, Minimum: fastness.Half(3), Scope: fastness.EachLot, Source: "GOTS"})
	j := judged(t, c)
	var texts []string
	for _, r := range j.Idle {
		texts = append(texts, r.Text)
	}
	want := []string{"light 2-3, asked 3: failed 2-3, overridden by owner: told; not asked any more", "gots-light: not asked any more; owner had overridden it: told too"}
	if diff := cmp.Diff(want, texts); diff != "" || len(j.Rows) != 1 || !j.MayPass {
		t.Errorf("%s%+v", diff, j.Rows)
	}
}

func TestRowsThatCanBeOverridden(t *testing.T) {
	t.Parallel()
	j := judged(t, choirCase(lotB, lotA, fastness.Half(2)))
	for key, want := range map[string]string{"colour": "colour", "set": "set", "light": "own-light", "own-light": "own-light"} {
		if r := rowOf(t, j, key); r.Key != want {
			t.Errorf("%s finds %s", key, r.Key)
		}
	}
	_, err := j.RowOf("beauty")
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", "use one of colour, own-light, set")
	wantFault(t, j.Overridable(rowOf(t, j, "colour")), fault.Refused, "ROW_PASSED", "nothing to override")
	if err := j.Overridable(rowOf(t, j, "light")); err != nil {
		t.Error(err)
	}
	for _, over := range []lot.State{lot.Closed, lot.Scrapped, lot.Cancelled} {
		j.State = over
		wantFault(t, j.Overridable(rowOf(t, j, "light")), fault.Refused, "LOT_STATE", over.Words())
	}
}

// A difference shown never says the opposite of the judgement beside it.
func TestADifferenceIsShownOnTheSideItIsJudgedOn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := olive
		s.Colour = colour.Lab{L: 50}
		s.Tolerance = lot.Tolerance(rapid.Int64Range(1, 9000).Draw(t, "tolerance"))
		// Greys around 50 are CIEDE2000 1 apart for each step of L*, to a trifle.
		off := float64(s.Tolerance)/1000 + rapid.Float64Range(-0.006, 0.006).Draw(t, "off")
		j, err := lot.Judge(lot.Case{Lot: measured(1, "L1", reading(1, 50+off, 0, 0)), Standard: s})
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.RowOf("colour")
		if err != nil {
			t.Fatal(err)
		}
		shown, err := strconv.ParseFloat(r.Found, 64)
		if err != nil || (shown <= float64(s.Tolerance)/1000+1e-9) != (r.State == fastness.Passed) {
			t.Fatalf("%s shown, %s asked, %s, %v", r.Found, r.Asked, r.State, err)
		}
	})
}

// May pass is nothing else than: no row is failed or untested.
func TestLaw5MayPassOnlyWithEveryRow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := lot.Case{Lot: lotA, Standard: olive, House: fastness.Seed()}
		for i, g := range rapid.SliceOfN(rapid.SampledFrom(fastness.BlueWool.Grades()), 0, 3).Draw(t, "light") {
			c.Tests = append(c.Tests, graded("F"+string(rune('1'+i)), "L1", fastness.EachLot, g))
		}
		for _, row := range rapid.SliceOfDistinct(rapid.SampledFrom([]string{"own-light", "own-wash-change", "own-wash-staining", "own-rubbing-dry", "own-rubbing-wet"}), rapid.ID).Draw(t, "overridden") {
			c.Overrides = append(c.Overrides, nod(row, "because", july9))
		}
		j, err := lot.Judge(c)
		if err != nil {
			t.Fatal(err)
		}
		open := 0
		for _, r := range j.Rows {
			if r.State == fastness.Failed || r.State == fastness.NotTested {
				open++
			}
		}
		if j.MayPass != (open == 0) || len(j.Blocking) != open || (j.Refusal() == nil) != j.MayPass || len(j.Rows) != 6 {
			t.Fatalf("%+v", j)
		}
	})
}
