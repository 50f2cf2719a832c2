package api_test

import (
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

var dayLong = flag.Duration("day", 10*time.Second, "how long random days go on; from two minutes on, each act must have succeeded once")

const (
	oneStudio   = 20 * time.Second // then the days go on in a new studio
	betweenLook = 25               // acts from one look at the books to the next
	actsNewest  = 15               // what is drawn from: the newest of each list
	// toldOnFailure: calls that changed something, as the audit has them.
	toldOnFailure = 80
)

// The laws, and what verify checks, hold after a random day of everything that
// the service can do. There is no model: each act draws from what exists and is
// answered or refused by a rule, never by an accident; then the books are
// looked at. The laws themselves are the oracle.
func TestTheLawsHoldAfterARandomDayOfAllOfIt(t *testing.T) {
	t.Parallel()
	told := tally{}
	until := time.Now().Add(*dayLong)
	for n := 1; n == 1 || time.Now().Before(until) && !t.Failed(); n++ {
		ends := time.Now().Add(oneStudio)
		if ends.After(until) {
			ends = until
		}
		t.Run(fmt.Sprintf("studio %d", n), func(t *testing.T) {
			d := openDay(t, told)
			rapid.Check(t, func(r *rapid.T) {
				if time.Now().After(ends) || t.Failed() {
					return
				}
				d.r, d.dice = r, rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 1))
				r.Repeat(map[string]func(*rapid.T){"act": func(*rapid.T) { d.act() }})
				d.look()
			})
		})
	}
	told.report(t, *dayLong >= 2*time.Minute)
}

// actNames are in order, so that a seed finds the same acts again.
var actNames = slices.Sorted(maps.Keys(dayActs))

// tally counts, by act, how it came out, and keeps one refusal of each.
type tally map[string]*outcome

type outcome struct {
	done, refused, nothing int
	said                   map[string]int // refusals, by their first words
}

func (c tally) of(act string) *outcome {
	if c[act] == nil {
		c[act] = &outcome{said: map[string]int{}}
	}
	return c[act]
}

func (c tally) report(t *testing.T, all bool) {
	for _, act := range actNames {
		o := c.of(act)
		t.Logf("%-22s %5d done %5d refused %5d with nothing to do; mostly: %s", act, o.done, o.refused, o.nothing, o.mostly())
		if o.done == 0 && all {
			t.Errorf("%s never succeeded: %v", act, o.said)
		}
	}
}

// mostly is the refusal that came most often.
func (o *outcome) mostly() (said string) {
	for _, s := range slices.Sorted(maps.Keys(o.said)) {
		if o.said[s] > o.said[said] {
			said = s
		}
	}
	return said
}

// nothing is thrown by an act that finds nothing to act on; no by one whose
// call was refused.
type (
	nothing struct{}
	no      struct{ err error }
)

// ok ends the act when its call was refused.
func ok[R any](r R, err error) R {
	if err != nil {
		panic(no{err})
	}
	return r
}

// refusals are what a rule may answer. Nobody else works here, so nothing is
// aborted, and nothing is out of reach or out of order.
var refusals = []codes.Code{codes.InvalidArgument, codes.NotFound, codes.AlreadyExists, codes.FailedPrecondition}

// act does one of them, each as likely as the next; rapid alone would rather
// draw the first.
func (d *day) act() {
	if d.T.Failed() {
		return
	}
	name := actNames[d.dice.IntN(len(actNames))]
	d.do(name, dayActs[name])
	if d.since++; d.since >= betweenLook {
		d.look()
	}
}

func (d *day) do(name string, act func(*day)) {
	o := d.told.of(name)
	defer func() {
		switch why := recover().(type) {
		case nil:
			o.done++
		case nothing:
			o.nothing++
		case no:
			o.refused++
			o.said[firstWords(why.err)]++
			if !slices.Contains(refusals, status.Code(why.err)) {
				d.wrong("%s: %v", name, why.err)
			}
		default:
			panic(why)
		}
	}()
	act(d)
}

// firstWords of a refusal, without its figures and codes.
func firstWords(err error) string {
	words := strings.Fields(status.Convert(err).Message())
	for i, w := range words {
		if strings.ContainsAny(w, "0123456789") {
			words[i] = "…"
		}
	}
	return strings.Join(words[:min(len(words), 16)], " ")
}

// wrong fails the test and tells what was asked for last, from the audit.
func (d *day) wrong(format string, args ...any) {
	d.T.Helper()
	d.T.Errorf(format, args...)
	var asked []*pb.AuditEntry
	for q := (&pb.ListAuditEntriesRequest{PageSize: 1000}); ; {
		resp, err := d.Studio.ListAuditEntries(d.Ctx, q)
		if err != nil {
			d.T.Fatal(err)
		}
		asked = append(asked, resp.GetEntries()...)
		if q.PageToken = resp.GetNextPageToken(); q.PageToken == "" {
			break
		}
	}
	for _, e := range asked[max(0, len(asked)-toldOnFailure):] {
		d.T.Log(e.GetAt().AsTime().Format(time.StampMicro), e.GetAct(), e.GetBody())
	}
}

// look holds the books against the laws.
func (d *day) look() {
	if d.since = 0; d.T.Failed() {
		return
	}
	v := apitest.Must(d.House, first(d.Studio.VerifyBooks(d.Ctx, &pb.VerifyBooksRequest{})), nil)
	for _, f := range v.GetFindings() {
		d.wrong("the books are not whole: %v", f)
	}
	for _, b := range newest(d.bags) {
		d.zeroSum(b.code)
	}
	if len(d.bags) > 0 && len(d.tags) > 0 {
		d.dual()
	}
	d.paidOnce()
}
