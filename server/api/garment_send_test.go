package api_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jmoiron/sqlx"
	_ "github.com/lib/pq" // the driver of the test's own statements
	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// sql runs one statement by hand.
func (s *saddened) sql(t *testing.T, statement string, args ...any) {
	t.Helper()
	db, err := sqlx.Open("postgres", s.DSN)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), statement, args...); err != nil {
		t.Fatal(err)
	}
}

// The story's dispatch: each lot passes, the set does not, and no garment leaves
// before a named person takes that on; then every view says so.
func TestNothingLeavesBeforeLotAndSetStand(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	_, err := s.send("choir-7", s.tags[s.a][0])
	saysNo(t, err, codes.FailedPrecondition, "", "lot L1 is waiting for tests, not passed")
	s.held()
	_, err = s.send("choir-7", s.tags[s.b][0])
	saysNo(t, err, codes.FailedPrecondition, "", "lot L2 is held, not passed")
	_, err = s.send("choir-7", s.tags[s.a]...)
	if numbers := saysNo(t, err, codes.FailedPrecondition, "", "lot L1 does not leave: set"); numbers["L1 to L2"] != "1.78" {
		t.Errorf("%v", numbers)
	}
	s.passed()
	_, err = s.send("choir-7", s.tags[s.a][0], s.tags[s.b][0], "3ZZZZ") // one bad tag: none goes
	saysNo(t, err, codes.InvalidArgument, "tags[2]", "is no tag")
	if got := s.places(s.a); got["shelf"] != 5 {
		t.Errorf("%v", got)
	}
	r := fine(s.send(" choir-7 ", append(slices.Clone(s.tags[s.a]), s.tags[s.b]...)...))(s.House)
	for _, g := range r.GetGarments() {
		if g.GetPlace() != "sold" || g.GetOrderRef() != "choir-7" {
			t.Errorf("%v", g)
		}
	}
	var said []string
	for _, w := range r.GetWarnings() {
		said = append(said, w.GetKey()+" "+w.GetText())
	}
	want := []string{
		"overridden set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1: failed 1.78, overridden by owner: seen together by the choir",
		"overridden lot L2: light 2-3, asked 3: failed 2-3, overridden by owner: worn indoors, told to the choir",
	}
	if d := cmp.Diff(want, said); d != "" || len(r.GetGarments()) != 10 {
		t.Errorf("%d sent: %s", len(r.GetGarments()), d)
	}
	if got := s.list(&pb.ListGarmentsRequest{OrderRef: "choir-7"}); len(got) != 10 {
		t.Errorf("order choir-7 has %v", got)
	}
	_, err = s.send("choir-8", s.tags[s.a][0])
	saysNo(t, err, codes.FailedPrecondition, "", "is sold already, under order choir-7")
}

func TestWordsOfADispatchThatAreOff(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	tag := s.tags[s.a][0]
	hyphened := strings.ToLower(tag[:1] + "-" + tag[1:])
	for name, c := range map[string]struct {
		order, field, says string
		tags               []string
		code               codes.Code
	}{
		"no tags":            {"o-1", "tags", "is needed", nil, codes.InvalidArgument},
		"a tag twice":        {"o-1", "tags[1]", tag + " is named twice", []string{tag, hyphened}, codes.InvalidArgument},
		"a slip of the hand": {"o-1", "tags[0]", "is no tag", []string{swapped(tag)}, codes.InvalidArgument},
		"a tag of another":   {"o-1", "garment", `there is no garment "16JD"`, []string{"16jd"}, codes.NotFound},
		"no order":           {" ", "order_ref", "is needed", []string{tag}, codes.InvalidArgument},
		"who bought it":      {"wearer@example.org", "order_ref", "who bought it is kept elsewhere", []string{tag}, codes.InvalidArgument},
		"a letter on no tag": {"o-1", "tags[0]", "which is on no tag", []string{"16JU"}, codes.InvalidArgument},
	} {
		_, err := s.send(c.order, c.tags...)
		t.Log(name)
		saysNo(t, err, c.code, c.field, c.says)
	}
	ahead := ago(-time.Hour)
	_, err := s.Garment.DispatchGarments(s.Ctx, &pb.DispatchGarmentsRequest{RequestId: s.ID(), Tags: []string{tag}, OrderRef: "o-1", HappenedAt: ahead})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is in the future")
}

// swapped exchanges two neighbours, which the check character always shows.
func swapped(tag string) string {
	b := []byte(tag)
	for i := range len(b) - 1 {
		if b[i] != b[i+1] {
			b[i], b[i+1] = b[i+1], b[i]
			break
		}
	}
	return string(b)
}

func TestAGarmentsOwnVerdictDecidesWhetherItLeaves(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held()
	tags := s.tags[s.b] // of the lot that is held, in a set that is apart
	fine(s.verdict(s.b, "imperfect", "a walnut spot at the hem", tags[0]))(s.House)
	r := fine(s.send("market-1", tags[0]))(s.House)
	if w := r.GetWarnings(); len(w) != 1 || w[0].GetKey() != "imperfect" || w[0].GetText() != tags[0]+" sold as imperfect: a walnut spot at the hem" {
		t.Errorf("%v", w)
	}
	fine(s.verdict(s.a, "held", "is the seam dyed through", s.tags[s.a][1]))(s.House)
	_, err := s.send("market-1", s.tags[s.a][1])
	saysNo(t, err, codes.FailedPrecondition, "", "it is held, not passed")
	fine(s.verdict(s.a, "scrapped", "it is not", s.tags[s.a][1]))(s.House)
	_, err = s.send("market-1", s.tags[s.a][1])
	saysNo(t, err, codes.FailedPrecondition, "", "is scrapped")
}

func TestWhatComesBackWaitsForAVerdictOfItsOwn(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	tag := s.tags[s.b][0]
	_, err := s.takeBack(tag, "shoulders faded")
	saysNo(t, err, codes.FailedPrecondition, "", "is not sold, it is shelf")
	fine(s.send("choir-7", tag))(s.House)
	_, err = s.takeBack(tag, " ")
	saysNo(t, err, codes.InvalidArgument, "complaint", "is needed")
	_, err = s.takeBack(swapped(tag), "shoulders faded")
	saysNo(t, err, codes.InvalidArgument, "tag", "is no tag")
	_, err = s.takeBack("16JD", "shoulders faded")
	saysNo(t, err, codes.NotFound, "garment", "there is no garment")
	_, err = s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: "faded", HappenedAt: ago(time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is before it was sold")
	g := fine(s.takeBack(strings.ToLower(tag), "shoulders faded"))(s.House)
	if g.GetPlace() != "returned" || g.GetOrderRef() != "" {
		t.Errorf("%v", g)
	}
	_, err = s.send("choir-8", tag)
	saysNo(t, err, codes.FailedPrecondition, "", "it goes out again only with a verdict of its own")
	fine(s.verdict(s.b, "imperfect", "faded shoulders", tag))(s.House)
	fine(s.send("choir-8", tag))(s.House)
	var sold []string
	for _, e := range s.trace(tag).GetEvents() {
		if e.GetOrderRef() != "" {
			sold = append(sold, e.GetKind()+" "+e.GetOrderRef()+" "+e.GetText())
		}
	}
	if d := cmp.Diff([]string{"sold choir-7 ", "returned choir-7 shoulders faded", "sold choir-8 "}, sold); d != "" {
		t.Error(d)
	}
}

// Of two shops that send the same garment at once, one is told no.
func TestOneGarmentIsSentOnce(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	tags := append(slices.Clone(s.tags[s.a]), s.tags[s.b]...)
	errs := make([]error, 4)
	var wait sync.WaitGroup
	for i := range errs {
		turned := append(slices.Clone(tags[i:]), tags[:i]...)
		wait.Go(func() { _, errs[i] = s.send(fmt.Sprint("order-", i), turned...) })
	}
	wait.Wait()
	sent := 0
	for _, err := range errs {
		if err == nil {
			sent++
		} else {
			saysNo(t, err, codes.FailedPrecondition, "", "is sold already")
		}
	}
	if sent != 1 {
		t.Errorf("sent %d times: %v", sent, errs)
	}
}

func TestGarmentsAreListedByLotPlaceAndOrder(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	a, b := s.tags[s.a], s.tags[s.b]
	fine(s.send("choir-7", a[0], a[1], b[0]))(s.House)
	fine(s.takeBack(a[1], "too small"))(s.House)
	for name, c := range map[string]struct {
		q    *pb.ListGarmentsRequest
		want []string
	}{
		"all":             {&pb.ListGarmentsRequest{}, append(slices.Clone(a), b...)},
		"a lot":           {&pb.ListGarmentsRequest{LotCode: "l2"}, b},
		"a lot's shelf":   {&pb.ListGarmentsRequest{LotCode: s.a, Place: "shelf"}, a[2:]},
		"returned":        {&pb.ListGarmentsRequest{Place: "returned"}, a[1:2]},
		"an order":        {&pb.ListGarmentsRequest{OrderRef: "choir-7"}, []string{a[0], b[0]}},
		"an order's lot":  {&pb.ListGarmentsRequest{OrderRef: "choir-7", LotCode: s.b}, b[:1]},
		"another order":   {&pb.ListGarmentsRequest{OrderRef: "choir"}, nil},
		"none of a place": {&pb.ListGarmentsRequest{Place: "cancelled"}, nil},
	} {
		if d := cmp.Diff(c.want, s.list(c.q)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	for field, q := range map[string]*pb.ListGarmentsRequest{"place": {Place: "attic"}, "lot_code": {LotCode: "P1"}, "page_size": {PageSize: -1}, "page_token": {PageToken: "??"}} {
		_, err := s.Garment.ListGarments(s.Ctx, q)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err := s.Garment.ListGarments(s.Ctx, &pb.ListGarmentsRequest{LotCode: "L99"})
	saysNo(t, err, codes.NotFound, "lot", "there is no lot")
}
