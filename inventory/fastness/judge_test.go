package fastness_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

var lotB = fastness.Lot{Code: "B", Harvests: []string{"W24"}, Recipe: "weld-olive 3"}

func row(t *testing.T, kind, minimum string, scope fastness.Scope, methods ...string) fastness.Row {
	t.Helper()
	k, err := fastness.KindOf(kind)
	if err != nil {
		t.Fatal(err)
	}
	return fastness.Row{
		Key: kind, Kind: kind, Scale: k.Scales[0], Minimum: parse(t, k.Scales[0], minimum)[0],
		Scope: scope, Methods: methods, Source: fastness.StudioOwn, Active: true,
	}
}

// tested is a test of a subject by a method; graded is "component grade, …".
func tested(t *testing.T, id, method, scope, code, graded string, date time.Time) fastness.Test {
	t.Helper()
	m, err := fastness.MethodOf(method)
	if err != nil {
		t.Fatal(err)
	}
	out := fastness.Test{
		ID: id, Method: method, Edition: "2014", Date: date, Grades: map[string]fastness.Grade{},
		Subject: fastness.Subject{Scope: fastness.Scope(scope), Code: code},
	}
	if len(m.Variants) > 0 {
		out.Variant = m.Variants[0].Key
	}
	for pair := range strings.SplitSeq(graded, ", ") {
		key, text, _ := strings.Cut(pair, " ")
		c, ok := m.Component(key)
		if !ok {
			t.Fatalf("%s has no component %q", method, key)
		}
		out.Grades[key] = parse(t, c.Scale, text)[0]
	}
	if err := out.Validate(); err != nil {
		t.Fatal(err)
	}
	return out
}

func judge(t *testing.T, lot fastness.Lot, rows []fastness.Row, tests []fastness.Test, overrides ...fastness.Override) fastness.Judgement {
	t.Helper()
	j, err := fastness.Judge(lot, rows, tests, overrides)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// The choir's tunics of the worked season: house standard 3, lot A graded 3 on
// 2 July passes; lot B graded 2-3 is held; the owner overrides it on 9 July with a
// reason, and every later reading still says so.
func TestTheChoirsTunics(t *testing.T) {
	t.Parallel()
	rows := []fastness.Row{row(t, "light", "3", fastness.EachLot)}
	tests := []fastness.Test{
		tested(t, "T1", "studio-window", "lot", "A", "light 3", day),
		tested(t, "T2", "studio-window", "lot", "B", "light 2-3", day),
	}
	a := judge(t, fastness.Lot{Code: "A"}, rows, tests)
	if !a.MayPass || a.Findings[0].Verdict() != "passed 3" || a.Findings[0].Deciding.Test != "T1" || a.Refusal() != nil {
		t.Errorf("lot A: %+v", a)
	}
	b := judge(t, lotB, rows, tests)
	if b.MayPass || !cmp.Equal(b.Blocks, []string{"light"}) || b.Findings[0].Verdict() != "failed 2-3" {
		t.Errorf("lot B: %+v", b)
	}
	if f, ok := fault.Of(b.Refusal()); !ok || f.Kind != fault.Refused || f.Reason != "HOUSE_STANDARD" || f.Numbers["light"] != "failed 2-3" {
		t.Errorf("lot B is refused with %#v", b.Refusal())
	}
	nod := fastness.Override{Row: "light", Who: "owner", Why: "the choir was told and agreed", At: day.AddDate(0, 0, 7)}
	b = judge(t, lotB, rows, tests, nod)
	f := b.Findings[0]
	if !b.MayPass || len(b.Blocks) != 0 || f.State != fastness.Overridden || f.Verdict() != "failed 2-3, overridden" || b.Refusal() != nil {
		t.Errorf("lot B, overridden: %+v", b)
	}
	if want := "failed 2-3, overridden (at least 3; test T2 of lot B; owner: the choir was told and agreed)"; f.String() != want {
		t.Errorf("got %q, want %q", f, want)
	}
}

// One row, one list of tests, what is read: the rules of evidence one by one.
func TestWhatCountsAsEvidence(t *testing.T) {
	t.Parallel()
	later := day.AddDate(0, 1, 0)
	withdrawn := tested(t, "T1", "studio-window", "lot", "B", "light 1", day)
	withdrawn.Withdrawn = "the card lay upside down"
	for name, c := range map[string]struct {
		row     fastness.Row
		tests   []fastness.Test
		verdict string
		test    string
		missing []string
		aside   int
	}{
		"nothing":                             {row(t, "light", "3", "lot"), nil, "not yet tested", "", []string{"lot B"}, 0},
		"a grade equal to the minimum":        {row(t, "light", "3", "lot"), list(tested(t, "T1", "iso-105-b02", "lot", "B", "light 3", day)), "passed 3", "T1", nil, 0},
		"another lot's grade":                 {row(t, "light", "3", "lot"), list(tested(t, "T1", "iso-105-b02", "lot", "A", "light 6", day)), "not yet tested", "", []string{"lot B"}, 1},
		"its harvest's, where lots are asked": {row(t, "light", "3", "lot"), list(tested(t, "T1", "iso-105-b02", "harvest", "W24", "light 6", day)), "not yet tested", "", []string{"lot B"}, 1},
		"a harvest that has the lot's code":   {row(t, "light", "3", "lot"), list(tested(t, "T1", "iso-105-b02", "harvest", "B", "light 6", day)), "not yet tested", "", []string{"lot B"}, 1},
		"its harvest's, where harvests are":   {row(t, "light", "3", "harvest"), list(tested(t, "T1", "iso-105-b02", "harvest", "W24", "light 4", day)), "passed 4", "T1", nil, 0},
		"another harvest's":                   {row(t, "light", "3", "harvest"), list(tested(t, "T1", "iso-105-b02", "harvest", "W23", "light 6", day)), "not yet tested", "", []string{"harvest W24"}, 1},
		"its recipe's":                        {row(t, "light", "3", "recipe"), list(tested(t, "T1", "iso-105-b02", "recipe", "weld-olive 3", "light 4", day)), "passed 4", "T1", nil, 0},
		"an older version of the recipe":      {row(t, "light", "3", "recipe"), list(tested(t, "T1", "iso-105-b02", "recipe", "weld-olive 2", "light 4", day)), "not yet tested", "", []string{"recipe weld-olive 3"}, 1},
		"its own, for a wider scope":          {row(t, "light", "3", "recipe"), list(tested(t, "T1", "iso-105-b02", "lot", "B", "light 4", day)), "passed 4", "T1", nil, 0},
		"its own failing, its harvest's not":  {row(t, "light", "3", "harvest"), list(tested(t, "T1", "iso-105-b02", "harvest", "W24", "light 4", later), tested(t, "T2", "iso-105-b02", "lot", "B", "light 2", day)), "failed 2", "T2", nil, 0},
		"a better later test":                 {row(t, "light", "3", "lot"), list(tested(t, "T1", "studio-window", "lot", "B", "light 2-3", day), tested(t, "T2", "studio-window", "lot", "B", "light 4", later)), "failed 2-3", "T1", nil, 0},
		"a worse later test":                  {row(t, "light", "3", "lot"), list(tested(t, "T1", "studio-window", "lot", "B", "light 4", day), tested(t, "T2", "studio-window", "lot", "B", "light 2-3", later)), "failed 2-3", "T2", nil, 0},
		"two alike: the later is named":       {row(t, "light", "3", "lot"), list(tested(t, "T1", "studio-window", "lot", "B", "light 4", day), tested(t, "T2", "studio-window", "lot", "B", "light 4", later)), "passed 4", "T2", nil, 0},
		"a withdrawn test":                    {row(t, "light", "3", "lot"), list(withdrawn, tested(t, "T2", "studio-window", "lot", "B", "light 4", later)), "passed 4", "T2", nil, 1},
		"another scale":                       {row(t, "light", "3", "lot"), list(tested(t, "T1", "aatcc-16-3", "lot", "B", "light L8", day)), "not yet tested", "", []string{"lot B"}, 1},
		"a method the row does not take":      {row(t, "light", "3", "lot", "iso-105-b02"), list(tested(t, "T1", "studio-window", "lot", "B", "light 7", day)), "not yet tested", "", []string{"lot B"}, 1},
		"another kind":                        {row(t, "wash-staining", "3", "lot"), list(tested(t, "T1", "iso-105-c06", "lot", "B", "change 5", day)), "not yet tested", "", []string{"lot B"}, 0},
		"the worst strip":                     {row(t, "wash-staining", "3-4", "lot"), list(tested(t, "T1", "iso-105-c06", "lot", "B", "change 1, stain-wool 5, stain-cotton 3, stain-acrylic 4-5", day)), "failed 3", "T1", nil, 0},
		"acid sweat alone":                    {row(t, "perspiration-change", "3-4", "lot"), list(tested(t, "T1", "iso-105-e04", "lot", "B", "acid-change 5", day)), "not yet tested", "T1", []string{"alkaline, lot B"}, 0},
		"acid sweat alone, failing":           {row(t, "perspiration-change", "3-4", "lot"), list(tested(t, "T1", "iso-105-e04", "lot", "B", "acid-change 3", day)), "failed 3", "T1", []string{"alkaline, lot B"}, 0},
		"both sweats, on two days":            {row(t, "perspiration-change", "3-4", "lot"), list(tested(t, "T1", "iso-105-e04", "lot", "B", "acid-change 5", day), tested(t, "T2", "iso-105-e04", "lot", "B", "alkaline-change 4", later)), "passed 4", "T2", nil, 0},
	} {
		f := judge(t, lotB, []fastness.Row{c.row}, c.tests).Findings[0]
		if f.Verdict() != c.verdict || f.Deciding.Test != c.test || !cmp.Equal(f.Missing, c.missing, cmpopts.EquateEmpty()) || len(f.SetAside) != c.aside {
			t.Errorf("%s: %q by %q, missing %q, set aside %v; want %q by %q, missing %q, %d set aside",
				name, f.Verdict(), f.Deciding.Test, f.Missing, f.SetAside, c.verdict, c.test, c.missing, c.aside)
		}
	}
}

func list(tests ...fastness.Test) []fastness.Test { return tests }

func TestEachHarvestOfALotIsAsked(t *testing.T) {
	t.Parallel()
	lot := fastness.Lot{Code: "C", Harvests: []string{"W24", "M23", "M23"}}
	rows := []fastness.Row{row(t, "light", "3", fastness.EachHarvest)}
	weld := tested(t, "T1", "studio-window", "harvest", "W24", "light 4", day)
	f := judge(t, lot, rows, list(weld)).Findings[0]
	if f.State != fastness.NotTested || !cmp.Equal(f.Missing, []string{"harvest M23"}) {
		t.Errorf("one of two: %+v", f)
	}
	madder := tested(t, "T2", "studio-window", "harvest", "M23", "light 3-4", day)
	if f = judge(t, lot, rows, list(weld, madder)).Findings[0]; f.State != fastness.Passed || f.Deciding.Subject.String() != "harvest M23" {
		t.Errorf("both: %+v", f)
	}
	bought := fastness.Lot{Code: "D"}
	if f = judge(t, bought, rows, list(weld, madder)).Findings[0]; f.State != fastness.NotTested || !cmp.Equal(f.Missing, []string{"lot D"}) {
		t.Errorf("a lot of bought dyestuff has no harvest to lean on: %+v", f)
	}
}

func TestOneComponentMayBeAsked(t *testing.T) {
	t.Parallel()
	wool := row(t, "wash-staining", "4", fastness.EachLot)
	wool.Component = "stain-wool"
	acid := row(t, "perspiration-staining", "4", fastness.EachLot)
	acid.Component = "acid-stain-wool"
	f := judge(t, lotB, []fastness.Row{wool, acid}, list(
		tested(t, "T1", "iso-105-c06", "lot", "B", "stain-cotton 2, stain-wool 4", day),
		tested(t, "T2", "iso-105-e04", "lot", "B", "acid-stain-wool 4-5", day),
	)).Findings
	if f[0].Verdict() != "passed 4" || f[1].Verdict() != "passed 4-5" {
		t.Errorf("%v, %v", f[0], f[1])
	}
}

func TestGradesAreListedWithTheirLowerMedian(t *testing.T) {
	t.Parallel()
	f := judge(t, lotB, []fastness.Row{row(t, "wash-staining", "3", fastness.EachLot)}, list(
		tested(t, "T1", "iso-105-c06", "lot", "B", "stain-acetate 5, stain-cotton 3, stain-polyamide 3-4, stain-polyester 5, stain-acrylic 5, stain-wool 4", day),
	)).Findings[0]
	var listed []string
	for _, g := range f.Graded {
		listed = append(listed, g.Component+" "+g.Grade.String())
	}
	want := []string{"stain-cotton 3", "stain-polyamide 3-4", "stain-wool 4", "stain-acetate 5", "stain-acrylic 5", "stain-polyester 5"}
	if diff := cmp.Diff(want, listed); diff != "" || f.LowerMedian() != fastness.Whole(4) {
		t.Errorf("lower median %v; %s", f.LowerMedian(), diff)
	}
	if (fastness.Finding{}).LowerMedian() != 0 {
		t.Error("a finding without grades has a median")
	}
}

// An override covers what was known when it was given.
func TestOverrides(t *testing.T) {
	t.Parallel()
	rows := []fastness.Row{row(t, "light", "3", fastness.EachLot)}
	first := tested(t, "T1", "studio-window", "lot", "B", "light 2-3", day)
	worse := tested(t, "T2", "studio-window", "lot", "B", "light 1", day.AddDate(0, 0, 9))
	entered := worse
	entered.Date, entered.Recorded = day.AddDate(0, 0, 1), day.AddDate(0, 0, 9) // read before, told after
	good := tested(t, "T3", "studio-window", "lot", "B", "light 4", day)
	nod := fastness.Override{Row: "light", Who: "owner", Why: "samples only", At: day.AddDate(0, 0, 7)}
	again := fastness.Override{Row: "light", Who: "bench-1", Why: "sold as imperfect", At: day.AddDate(0, 0, 10)}
	for name, c := range map[string]struct {
		tests     []fastness.Test
		overrides []fastness.Override
		verdict   string
		state     fastness.State
		lapsed    bool
	}{
		"a failed row":               {list(first), []fastness.Override{nod}, "failed 2-3, overridden", fastness.Overridden, false},
		"an untested row":            {nil, []fastness.Override{nod}, "not yet tested, overridden", fastness.Overridden, false},
		"a row that passes":          {list(good), []fastness.Override{nod}, "passed 4", fastness.Passed, false},
		"worse came later":           {list(first, worse), []fastness.Override{nod}, "failed 1", fastness.Failed, true},
		"worse was told later":       {list(first, entered), []fastness.Override{nod}, "failed 1", fastness.Failed, true},
		"failed after it was waived": {list(worse), []fastness.Override{nod}, "failed 1", fastness.Failed, true},
		"decided anew":               {list(first, worse), []fastness.Override{again, nod}, "failed 1, overridden", fastness.Overridden, false},
		"better came later":          {list(worse, good), []fastness.Override{again}, "failed 1, overridden", fastness.Overridden, false},
		"an override of another row": {list(first), []fastness.Override{{Row: "rubbing-dry", Who: "owner", Why: "lined", At: day}}, "failed 2-3", fastness.Failed, false},
	} {
		j := judge(t, lotB, rows, c.tests, c.overrides...)
		f := j.Findings[0]
		if f.Verdict() != c.verdict || f.State != c.state || f.Lapsed != c.lapsed {
			t.Errorf("%s: %q, %s, lapsed %v", name, f.Verdict(), f.State, f.Lapsed)
		}
		for _, o := range c.overrides {
			if o.Row == "light" && !strings.Contains(f.String(), o.Who+": "+o.Why) {
				t.Errorf("%s: %q does not show who and why", name, f)
			}
		}
		if wantIdle := name == "an override of another row"; (len(j.Idle) == 1) != wantIdle {
			t.Errorf("%s: %d overrides of rows not in force", name, len(j.Idle))
		}
	}
}

func TestOnlyRowsInForceAreAsked(t *testing.T) {
	t.Parallel()
	j := judge(t, lotB, fastness.Seed(), nil)
	want := []string{"own-wash-change", "own-wash-staining", "own-rubbing-dry", "own-rubbing-wet", "own-light"}
	if j.MayPass || !cmp.Equal(j.Blocks, want) || len(j.Findings) != 5 {
		t.Errorf("blocks %v", j.Blocks)
	}
	full := list(
		tested(t, "T1", "studio-home-wash", "lot", "B", "change 3-4, stain-cotton 3-4", day),
		tested(t, "T2", "iso-105-x12", "lot", "B", "dry 4, wet 3", day),
		tested(t, "T3", "studio-window", "lot", "B", "light 3", day),
	)
	if j = judge(t, lotB, fastness.Seed(), full); !j.MayPass || len(j.Blocks) != 0 {
		t.Errorf("each row at its minimum: %+v", j)
	}
}

// A row that was switched off long ago may not fit today's tables any more; it
// must not stand in the way of a judgement.
func TestARowSwitchedOffIsPassedOver(t *testing.T) {
	t.Parallel()
	old := row(t, "light", "3", fastness.EachLot)
	old.Active, old.Kind = false, "beauty"
	if j := judge(t, lotB, []fastness.Row{old, old}, nil); !j.MayPass || len(j.Findings) != 0 {
		t.Errorf("%+v", j)
	}
}

func TestJudgementsThatCannotBeMade(t *testing.T) {
	t.Parallel()
	good := row(t, "light", "3", fastness.EachLot)
	bad := good
	bad.Kind = "beauty"
	unknown := tested(t, "T1", "studio-window", "lot", "B", "light 3", day)
	unknown.Method = "moonlight"
	off := tested(t, "T1", "studio-window", "lot", "B", "light 3", day)
	off.Grades = grades("light", 17)
	nod := fastness.Override{Row: "light", Who: "owner", Why: "told", At: day}
	for field, c := range map[string]struct {
		lot       fastness.Lot
		rows      []fastness.Row
		tests     []fastness.Test
		overrides []fastness.Override
	}{
		"lot":                   {fastness.Lot{}, []fastness.Row{good}, nil, nil},
		"rows[0].kind":          {lotB, []fastness.Row{bad}, nil, nil},
		"rows[1].key":           {lotB, []fastness.Row{good, good}, nil, nil},
		"tests[0].method":       {lotB, []fastness.Row{good}, list(unknown), nil},
		"tests[0].grades.light": {lotB, []fastness.Row{good}, list(off), nil},
		"overrides[1].who":      {lotB, []fastness.Row{good}, nil, []fastness.Override{nod, {Row: "light", Who: " ", Why: "told", At: day}}},
		"overrides[0].why":      {lotB, []fastness.Row{good}, nil, []fastness.Override{{Row: "light", Who: "owner", At: day}}},
		"overrides[0].row":      {lotB, []fastness.Row{good}, nil, []fastness.Override{{Who: "owner", Why: "told", At: day}}},
		"overrides[0].at":       {lotB, []fastness.Row{good}, nil, []fastness.Override{{Row: "light", Who: "owner", Why: "told"}}},
	} {
		_, err := fastness.Judge(c.lot, c.rows, c.tests, c.overrides)
		wantField(t, err, field)
	}
}
