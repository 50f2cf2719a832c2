package api_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
)

// daysAgo is a day of the studio, whose zone is UTC in these tests.
func (c *choir) daysAgo(n int) string {
	c.t.Helper()
	today, err := time.Parse(time.DateOnly, fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetToday())
	if err != nil {
		c.t.Fatal(err)
	}
	return today.AddDate(0, 0, -n).Format(time.DateOnly)
}

func (c *choir) putOut(w *pb.Window, after ...int32) (*pb.Window, error) {
	resp, err := c.wear().PutOut(c.Ctx, &pb.PutOutRequest{RequestId: c.ID(), Window: w, LookAfterDays: after})
	return resp.GetWindow(), err
}

func (c *choir) lookAtStrip(code string, l *pb.WindowLook) (*pb.Window, error) {
	resp, err := c.wear().Look(c.Ctx, &pb.LookRequest{RequestId: c.ID(), WindowCode: code, Look: l})
	return resp.GetWindow(), err
}

func (c *choir) takeIn(q *pb.TakeInRequest) (*pb.TakeInResponse, error) {
	q.RequestId = c.ID()
	return c.wear().TakeIn(c.Ctx, q)
}

// windowTasks are the tasks of today that are about a window.
func (c *choir) windowTasks() (found []string) {
	c.t.Helper()
	for _, k := range fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetTasks() {
		if strings.HasPrefix(k.GetKey(), "window-") {
			late := ""
			if k.GetLate() {
				late = " late"
			}
			found = append(found, k.GetKey()+" "+k.GetSubject()+" "+k.GetDueOn()+late)
		}
	}
	return found
}

// A window test from out to in: looks come up on their days, late ones are late,
// and taking in records the lot's light grade in the same act.
func TestAWindowTestIsAScheduleAndEndsInATest(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	w := fine(c.putOut(&pb.Window{LotCode: c.a, Place: "shop window, behind glass", Faces: "south", Lux: 2500, HoursPerDay: 10, BlueWools: []int32{3, 1, 2, 4}, PutOutOn: c.daysAgo(30), Specimen: "strip 1"}))(c.House)
	days := []string{c.daysAgo(23), c.daysAgo(16), c.daysAgo(2), c.daysAgo(-26)} // 7, 14, 28 and 56 days after
	if w.GetCode() != "X1" || w.GetState() != "out" || !slices.Equal(w.GetLookOn(), days) || !w.GetLate() || w.GetNextLookOn() != days[0] || w.GetDaysOut() != 30 || !slices.Equal(w.GetBlueWools(), []int32{1, 2, 3, 4}) {
		t.Errorf("%v", w)
	}
	// 2 500 lux × 10 h × 30 d = 0.75 Mlx·h; blue wool 1 at 0.22 after 8.8 days, 2 at
	// 0.6 after 24, 3 at 1.5 after 60, 4 at 3.5 after 140 (CIE 157:2004 and Michalski,
	// from memory).
	if w.GetMegaluxHours() != 0.75 || !strings.Contains(w.GetUncertainty(), "never a promise") || !strings.HasPrefix(w.GetSource(), "CIE 157:2004") {
		t.Errorf("%v", w)
	}
	for i, n := range []int{21, 6, -30, -110} {
		if e := w.GetExpected()[i]; e.GetOn() != c.daysAgo(n) || e.GetBlueWool() != int32(i+1) {
			t.Errorf("%v, want %s", e, c.daysAgo(n))
		}
	}
	if e := w.GetExpected(); !strings.HasPrefix(e[1].GetText(), "blue wool 2 should have shown a change by about ") || !strings.HasPrefix(e[2].GetText(), "blue wool 3 may show a change by about ") {
		t.Errorf("%v", e)
	}
	if got := c.windowTasks(); !slices.Equal(got, []string{"window-look X1 " + days[0] + " late"}) {
		t.Errorf("%v", got)
	}

	fine(c.lookAtStrip("x1", &pb.WindowLook{LookedOn: c.daysAgo(22), Grade: "5", Changed: []int32{1}}))(c.House)
	fine(c.lookAtStrip("X1", &pb.WindowLook{LookedOn: c.daysAgo(16), Grade: "5", Changed: []int32{1}}))(c.House)
	if got := c.windowTasks(); !slices.Equal(got, []string{"window-look X1 " + days[2] + " late"}) {
		t.Errorf("%v", got)
	}
	// The second look of that day was written last, and counts.
	fine(c.lookAtStrip("X1", &pb.WindowLook{LookedOn: c.daysAgo(1), Grade: "2", Changed: []int32{1, 2, 3}, Note: "the wrong strip"}))(c.House)
	before := &pb.MeasuredGrade{Before: lab(46.3, -2.8, 24.4), After: lab(48.1, -2.0, 20.2)}
	w = fine(c.lookAtStrip("X1", &pb.WindowLook{LookedOn: c.daysAgo(1), Grade: "3-4", Changed: []int32{1, 2}, Measured: before, By: "bench-1"}))(c.House)
	if l := w.GetLooks(); len(l) != 4 || !l[2].GetSuperseded() || l[3].GetSuperseded() || l[3].GetBy() != "bench-1" || l[3].GetMeasured().GetFormula() != "ISO 105-A05" || l[3].GetMeasured().GetDirection() == "" {
		t.Errorf("%v", l)
	}
	// It changed in the same spell as blue wool 2.
	if w.GetProposedGrade() != "2" || w.GetLate() || w.GetNextLookOn() != days[3] || len(c.windowTasks()) != 0 || w.GetExpected()[1].GetChangedOn() != c.daysAgo(1) {
		t.Errorf("%v", w)
	}

	_, err := c.takeIn(&pb.TakeInRequest{WindowCode: "X1", TakenInOn: c.daysAgo(5)})
	saysNo(t, err, codes.InvalidArgument, "taken_in_on", "when X1 was last looked at")
	if r := c.row(c.a, "own-light"); r.GetState() != "not-tested" {
		t.Errorf("a window test that is out is no grade: %v", r)
	}
	in := fine(c.takeIn(&pb.TakeInRequest{WindowCode: "X1", Grade: "2-3", Direction: "weaker", By: "owner", Evidence: "window book p. 12"}))(c.House)
	f := in.GetTest()
	if in.GetWindow().GetState() != "in" || in.GetWindow().GetTestCode() != f.GetCode() || f.GetWindowCode() != "X1" || spelled(f) != "light 2-3" || f.GetMethod() != "studio-window" ||
		f.GetSpecimen() != "strip 1" || f.GetInstrument() != "eye" || f.GetDirection() != "weaker" || len(in.GetWarnings()) != 0 || len(f.GetMeasured()) != 1 || f.GetTestedOn() != c.daysAgo(0) {
		t.Errorf("%v", in)
	}
	if r := c.row(c.a, "own-light"); r.GetState() != "failed" || r.GetFound() != "2-3" || r.GetEvidence() != "test "+f.GetCode()+" of lot L1" {
		t.Errorf("%v", r)
	}
	_, err = c.lookAtStrip("X1", &pb.WindowLook{Grade: "3"})
	saysNo(t, err, codes.FailedPrecondition, "", "X1 was taken in")
	_, err = c.takeIn(&pb.TakeInRequest{WindowCode: "X1", Grade: "3"})
	saysNo(t, err, codes.FailedPrecondition, "", "X1 was taken in")
	if tests := c.judged(c.a).GetTests(); len(tests) != 1 || tests[0].GetWindowCode() != "X1" {
		t.Errorf("%v", tests)
	}
}

// A test for a recipe may hang on after its order is gone; it is printed as such.
func TestAWindowTestMayBeOfARecipe(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	fine(c.Judge.SetHouseRow(c.Ctx, &pb.SetHouseRowRequest{RequestId: c.ID(), Key: "light", Scope: "recipe", Active: true}))(c.House)
	fine(c.putOut(&pb.Window{LotCode: c.a, Scope: "recipe", Place: "north window", BlueWools: []int32{3, 4}, PutOutOn: c.daysAgo(60)}, 30))(c.House)
	if got := c.windowTasks(); !slices.Equal(got, []string{"window-look X1 " + c.daysAgo(30) + " late"}) {
		t.Errorf("%v", got)
	}
	fine(c.lookAtStrip("X1", &pb.WindowLook{Grade: "4", Changed: []int32{3}}))(c.House)
	if got := c.windowTasks(); !slices.Equal(got, []string{"window-in X1 "}) {
		t.Errorf("every look is made, and nothing says so: %v", got)
	}
	in := fine(c.takeIn(&pb.TakeInRequest{WindowCode: "X1"}))(c.House) // the looks say which
	if in.GetTest().GetScope() != "recipe" || spelled(in.GetTest()) != "light 3" {
		t.Errorf("%v", in)
	}
	for _, lot := range []string{c.a, c.b} {
		if r := c.row(lot, "own-light"); r.GetState() != "passed" || r.GetAsked() != "3 of each recipe" || r.GetFound() != "3 (recipe weld-olive 1, not this lot)" {
			t.Errorf("%v", r)
		}
	}
}

func TestWindowTestsThatAreRefused(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	good := func() *pb.Window { return &pb.Window{LotCode: c.a, Place: "north window", BlueWools: []int32{2, 3}} }
	for field, change := range map[string]func(*pb.Window){
		"window.lot_code":      func(w *pb.Window) { w.LotCode = "A" },
		"window.place":         func(w *pb.Window) { w.Place = " " },
		"window.faces":         func(w *pb.Window) { w.Faces = "up" },
		"window.scope":         func(w *pb.Window) { w.Scope = "swatch" },
		"window.blue_wools[2]": func(w *pb.Window) { w.BlueWools = append(w.BlueWools, 9) },
		"window.blue_wools[1]": func(w *pb.Window) { w.BlueWools = []int32{2, 2} },
		"window.hours_per_day": func(w *pb.Window) { w.Lux = 400 },
		"window.lux":           func(w *pb.Window) { w.HoursPerDay = 10 },
		"window.put_out_on":    func(w *pb.Window) { w.PutOutOn = c.daysAgo(-3) },
		"window.look_on[0]":    func(w *pb.Window) { w.LookOn = []string{c.daysAgo(3)} },
	} {
		w := good()
		change(w)
		_, err := c.putOut(w)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err := c.putOut(good(), 0)
	saysNo(t, err, codes.InvalidArgument, "look_after_days[0]", "look again 1 to 3660 days")
	fine(c.putOut(good(), 7))(c.House)
	for field, l := range map[string]*pb.WindowLook{
		"look.grade":           {Grade: "6"},
		"look.changed[0]":      {Changed: []int32{4}},
		"look.looked_on":       {LookedOn: c.daysAgo(1)},
		"look.measured.before": {Measured: &pb.MeasuredGrade{After: lab(1, 0, 0)}},
	} {
		_, err := c.lookAtStrip("X1", l)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err = c.lookAtStrip("X7", &pb.WindowLook{})
	saysNo(t, err, codes.NotFound, "window", "X7")
	_, err = c.lookAtStrip("4", &pb.WindowLook{})
	saysNo(t, err, codes.InvalidArgument, "window_code", "X7")
	_, err = c.takeIn(&pb.TakeInRequest{WindowCode: "X1"})
	saysNo(t, err, codes.FailedPrecondition, "grade", "give no light grade: nobody has looked yet")
	_, err = c.takeIn(&pb.TakeInRequest{WindowCode: "X1", Grade: "3", GivenUp: "it fell"})
	saysNo(t, err, codes.InvalidArgument, "given_up", "not given up")
	up := fine(c.takeIn(&pb.TakeInRequest{WindowCode: "X1", GivenUp: "the strip fell behind the radiator"}))(c.House)
	if up.GetTest() != nil || up.GetWindow().GetState() != "given-up" || len(c.judged(c.a).GetTests()) != 0 {
		t.Errorf("%v", up)
	}
	listed := fine(c.wear().ListWindows(c.Ctx, &pb.ListWindowsRequest{}))(c.House).GetWindows()
	all := fine(c.wear().ListWindows(c.Ctx, &pb.ListWindowsRequest{All: true, LotCode: c.a}))(c.House).GetWindows()
	if len(listed) != 0 || len(all) != 1 || all[0].GetGivenUp() == "" {
		t.Errorf("%v, %v", listed, all)
	}
}

// windowModel is a window test as the service must show it.
type windowModel struct {
	c      *choir
	code   string
	looked map[string]bool // days
	last   int             // days ago of the last look, or of putting out
	in     bool
}

const putOutAgo = 40

// Whatever is asked, in whatever order: out, then looks, then in, once; nothing
// after it; and the same request twice is recorded once.
func TestAWindowTestBehavesLikeItsModel(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	started, runs := time.Now(), 0
	rapid.Check(t, func(rt *rapid.T) {
		if runs++; runs > enoughRuns && time.Since(started) > modelFor {
			return
		}
		w, err := c.putOut(&pb.Window{LotCode: c.a, Place: "north window", BlueWools: []int32{1, 2, 3}, PutOutOn: c.daysAgo(putOutAgo)}, 7, 14, 28)
		if err != nil {
			rt.Fatal(err)
		}
		m := &windowModel{c: c, code: w.GetCode(), looked: map[string]bool{}, last: putOutAgo}
		rt.Repeat(map[string]func(*rapid.T){"look": m.look, "take in": m.takeIn, "": m.agrees})
	})
}

func (m *windowModel) look(t *rapid.T) {
	ago := rapid.IntRange(0, putOutAgo+2).Draw(t, "days ago")
	q := &pb.LookRequest{RequestId: m.c.ID(), WindowCode: m.code, Look: &pb.WindowLook{LookedOn: m.c.daysAgo(ago), Grade: rapid.SampledFrom([]string{"", "5", "4-5", "4", "2"}).Draw(t, "grade"),
		Changed: rapid.SliceOfNDistinct(rapid.Int32Range(1, 3), 0, 3, rapid.ID[int32]).Draw(t, "changed")}}
	first, err := m.c.wear().Look(m.c.Ctx, q)
	if !answered(t, err, !m.in && ago <= putOutAgo) {
		return
	}
	again, err := m.c.wear().Look(m.c.Ctx, q)
	if err != nil || again.String() != first.String() {
		t.Fatalf("the same request twice: %v, %v", again, err)
	}
	m.looked[q.GetLook().GetLookedOn()], m.last = true, min(m.last, ago)
}

func (m *windowModel) takeIn(t *rapid.T) {
	ago := rapid.IntRange(0, 5).Draw(t, "days ago")
	q := &pb.TakeInRequest{RequestId: m.c.ID(), WindowCode: m.code, TakenInOn: m.c.daysAgo(ago), Grade: rapid.SampledFrom([]string{"1", "2-3", "4"}).Draw(t, "grade")}
	first, err := m.c.wear().TakeIn(m.c.Ctx, q)
	if !answered(t, err, !m.in && ago <= m.last) {
		return
	}
	again, err := m.c.wear().TakeIn(m.c.Ctx, q)
	if err != nil || again.String() != first.String() || first.GetTest().GetWindowCode() != m.code {
		t.Fatalf("the same request twice: %v, %v", again, err)
	}
	m.in = true
}

func (m *windowModel) agrees(t *rapid.T) {
	resp, err := m.c.wear().GetWindow(m.c.Ctx, &pb.GetWindowRequest{Code: m.code})
	if err != nil {
		t.Fatal(err)
	}
	w := resp.GetWindow()
	standing := map[string]bool{}
	for _, l := range w.GetLooks() {
		if !l.GetSuperseded() {
			if standing[l.GetLookedOn()] {
				t.Fatalf("two looks of %s count", l.GetLookedOn())
			}
			standing[l.GetLookedOn()] = true
		}
	}
	next := ""
	for _, day := range []int{33, 26, 12} { // 7, 14 and 28 days after 40 days ago
		if next == "" && !m.in && (m.last == putOutAgo || day < m.last) {
			next = m.c.daysAgo(day)
		}
	}
	if len(standing) != len(m.looked) || (w.GetState() == "in") != m.in || (w.GetTestCode() != "") != m.in || w.GetNextLookOn() != next {
		t.Fatalf("model %+v, next %s; service %v", m, next, w)
	}
}
