package api_test

import (
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// bookOf is the simple model of one parcel: what it holds, and its promises
// from the oldest on.
type bookOf struct {
	code     string
	onHand   int64
	promises []keptOf
}

type keptOf struct {
	code   string
	amount int64
}

func (b *bookOf) promised() (sum int64) {
	for _, p := range b.promises {
		sum += p.amount
	}
	return sum
}

// set brings what is held to n, and lets the newest promises give way.
func (b *bookOf) set(n int64) (eaten int64) {
	b.onHand = n
	for i := len(b.promises) - 1; i >= 0 && b.promised() > n; i-- {
		gone := min(b.promised()-n, b.promises[i].amount)
		b.promises[i].amount -= gone
		eaten += gone
	}
	return eaten
}

// modelFor bounds the time of the random commands; at least enoughRuns are made.
const (
	modelFor   = 3 * time.Second
	enoughRuns = 3
)

// Whatever is asked, in whatever order, the service answers as the model does:
// it refuses exactly what the model cannot give, and its books say the same.
func TestTheShelfBehavesLikeItsModel(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	started, runs := time.Now(), 0
	rapid.Check(t, func(rt *rapid.T) {
		if runs++; runs > enoughRuns && time.Since(started) > modelFor {
			return
		}
		m := &modelRun{c: c, movements: map[string]moveOf{}}
		rt.Repeat(map[string]func(*rapid.T){
			"deliver": m.deliver, "promise": m.promise, "release": m.release, "count": m.count,
			"write off": m.writeOff, "blend": m.blend, "reverse": m.reverse, "": m.agrees,
		})
	})
	c.whole()
}

type modelRun struct {
	c         *shelfCaller
	books     []*bookOf
	movements map[string]moveOf // those that may be reversed, by code
	order     []string
}

// moveOf is what a movement did to each parcel.
type moveOf map[*bookOf]int64

func (m *modelRun) any(t *rapid.T) *bookOf {
	if len(m.books) == 0 {
		t.Skip("nothing on the shelf")
	}
	return rapid.SampledFrom(m.books).Draw(t, "parcel")
}

func (m *modelRun) moved(code string, what moveOf) {
	m.movements[code], m.order = what, append(m.order, code)
}

func someGrams(t *rapid.T) int64 { return rapid.Int64Range(1, 50).Draw(t, "grams") }

func inGrams(n int64) *dyelotv1.Amount { return amountOf(strconv.FormatInt(n, 10), "g") }

// answered fails unless a call was answered exactly when the model says so.
func answered(t *rapid.T, err error, allowed bool) bool {
	if (err == nil) != allowed {
		t.Fatalf("the model says %t, the service says %v", allowed, err)
	}
	return err == nil
}

func (m *modelRun) deliver(t *rapid.T) {
	n := someGrams(t)
	code, move := m.c.bag("alum", strconv.FormatInt(n, 10), "g")
	b := &bookOf{code: code, onHand: n}
	m.books = append(m.books, b)
	m.moved(move, moveOf{b: n})
}

func (m *modelRun) promise(t *rapid.T) {
	b, n := m.any(t), someGrams(t)
	r, err := m.c.PromiseParcel(m.c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: m.c.id(), ParcelCode: b.code, Amount: inGrams(n)})
	if answered(t, err, n <= b.onHand-b.promised()) {
		b.promises = append(b.promises, keptOf{r.GetPromise().GetCode(), n})
	}
}

func (m *modelRun) release(t *rapid.T) {
	b := m.any(t)
	if len(b.promises) == 0 {
		t.Skip("nothing promised")
	}
	i := rapid.IntRange(0, len(b.promises)-1).Draw(t, "promise")
	_, err := m.c.ReleasePromise(m.c.ctx, &dyelotv1.ReleasePromiseRequest{RequestId: m.c.id(), PromiseCode: b.promises[i].code})
	if answered(t, err, b.promises[i].amount > 0) {
		b.promises[i].amount = 0
	}
}

func (m *modelRun) count(t *rapid.T) {
	b, n := m.any(t), rapid.Int64Range(0, 60).Draw(t, "counted")
	r, err := m.c.CountParcel(m.c.ctx, &dyelotv1.CountParcelRequest{RequestId: m.c.id(), ParcelCode: b.code, Counted: inGrams(n)})
	answered(t, err, true)
	if r.GetMovement() != nil {
		m.moved(r.GetMovement().GetCode(), moveOf{b: n - b.onHand})
	}
	struck(t, r.GetShortages(), b.set(n))
}

// struck fails unless the shortages told of sum to what was eaten.
func struck(t *rapid.T, told []*dyelotv1.Shortage, eaten int64) {
	var sum int64
	for _, s := range told {
		n, err := strconv.ParseInt(s.GetShort().GetValue(), 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		sum += n
	}
	if sum != eaten {
		t.Fatalf("told of %d g short, eaten were %d g", sum, eaten)
	}
}

func (m *modelRun) writeOff(t *rapid.T) {
	b, n := m.any(t), someGrams(t)
	r, err := m.c.WriteOffParcel(m.c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: m.c.id(), ParcelCode: b.code, Amount: inGrams(n), Reason: "mould"})
	if answered(t, err, n <= b.onHand) {
		m.moved(r.GetMovement().GetCode(), moveOf{b: -n})
		struck(t, r.GetShortages(), b.set(b.onHand-n))
	}
}

// blend takes from two parcels, more than they hold if so drawn: what is found
// is booked in the same act.
func (m *modelRun) blend(t *rapid.T) {
	a, b := m.any(t), m.any(t)
	x, y := someGrams(t), someGrams(t)
	if a == b {
		t.Skip("one parcel alone")
	}
	r, err := m.c.MakeParcel(m.c.ctx, &dyelotv1.MakeParcelRequest{RequestId: m.c.id(), ItemCode: "alum", Amount: inGrams(x + y),
		From: []*dyelotv1.Taken{{ParcelCode: a.code, Amount: inGrams(x)}, {ParcelCode: b.code, Amount: inGrams(y)}}})
	answered(t, err, true)
	made := &bookOf{code: r.GetParcel().GetCode(), onHand: x + y}
	m.books = append(m.books, made)
	m.moved(r.GetMovement().GetCode(), moveOf{made: x + y, a: -min(x, a.onHand), b: -min(y, b.onHand)})
	a.set(max(a.onHand-x, 0))
	b.set(max(b.onHand-y, 0))
}

func (m *modelRun) reverse(t *rapid.T) {
	if len(m.order) == 0 {
		t.Skip("nothing moved")
	}
	code := rapid.SampledFrom(m.order).Draw(t, "movement")
	move, stands := m.movements[code]
	allowed := stands
	for b, n := range move {
		allowed = allowed && b.onHand-n >= 0
	}
	r, err := m.c.ReverseMovement(m.c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: m.c.id(), MovementCode: code, Reason: "slip"})
	if !answered(t, err, allowed) {
		return
	}
	var eaten int64
	for b, n := range move {
		eaten += b.set(b.onHand - n)
	}
	struck(t, r.GetShortages(), eaten)
	delete(m.movements, code)
}

func (m *modelRun) agrees(t *rapid.T) {
	if len(m.books) == 0 {
		return
	}
	b := rapid.SampledFrom(m.books).Draw(t, "looked at")
	p := m.c.parcel(b.code).GetParcel()
	if p.GetOnHand().GetValue() != strconv.FormatInt(b.onHand, 10) || p.GetPromised().GetValue() != strconv.FormatInt(b.promised(), 10) {
		t.Fatalf("%s holds %v, promised %v; the model says %d and %d", b.code, p.GetOnHand(), p.GetPromised(), b.onHand, b.promised())
	}
}
