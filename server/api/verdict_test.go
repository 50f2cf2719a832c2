package api_test

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/store"
)

// good makes both lots pass everything that is asked of them alone.
func (c *choir) good() *choir {
	c.t.Helper()
	c.onlyLight()
	c.readAsInTheStory()
	c.light(c.a, "3")
	c.light(c.b, "4")
	return c
}

func TestALotsLifeUnderVerdicts(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	_, err := c.verdict(c.a, "passed", "")
	saysNo(t, err, codes.FailedPrecondition, "", "in work: it cannot pass")
	c.dry().good()
	for _, outcome := range []string{"held", "imperfect", "re-dye", "scrapped"} {
		_, err := c.verdict(c.a, outcome, "")
		saysNo(t, err, codes.InvalidArgument, "reason", outcome+" needs a reason")
	}
	fine(c.verdict(c.a, "held", "a stripe, perhaps"))(c.House)
	fine(c.verdict(c.a, "passed", "it was the light"))(c.House)
	if got := c.places(c.a); got["shelf"] != 5 {
		t.Errorf("%v", got)
	}
	fine(c.verdict(c.a, "held", "a stripe after all"))(c.House) // off the selling shelf again
	if got := c.places(c.a); got["in-work"] != 5 {
		t.Errorf("%v", got)
	}
	fine(c.verdict(c.a, "imperfect", "striped"))(c.House)
	fine(c.verdict(c.a, "closed", ""))(c.House)
	_, err = c.verdict(c.a, "held", "too late")
	saysNo(t, err, codes.FailedPrecondition, "", "lot L1 is closed: it cannot be held")
	fine(c.verdict(c.b, "re-dye", "too pale"))(c.House)
	fine(c.verdict(c.b, "scrapped", "moth"))(c.House)
	if got := c.places(c.b); got["scrapped"] != 5 {
		t.Errorf("%v", got)
	}
	var told []string
	for _, v := range c.judged(c.a).GetVerdicts() {
		told = append(told, v.GetOutcome()+": "+v.GetReason())
	}
	if diff := cmp.Diff([]string{"held: a stripe, perhaps", "passed: it was the light", "held: a stripe after all", "imperfect: striped", "closed: "}, told); diff != "" {
		t.Error(diff)
	}
}

func TestAGarmentsOwnVerdictGoesBeforeItsLots(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	tags := c.tags[c.a]
	j := fine(c.verdict(c.a, "imperfect", "a walnut spot at the hem", strings.ToLower(tags[1]), tags[0], tags[1]))(c.House)
	if v := j.GetVerdicts(); len(v) != 1 || !cmp.Equal(v[0].GetTags(), []string{tags[0], tags[1]}) || v[0].GetLotCode() != c.a || v[0].GetBy() != "owner" || j.GetState() != "waiting-for-tests" {
		t.Errorf("%v", j)
	}
	fine(c.verdict(c.a, "held", "is the seam dyed through", tags[2]))(c.House)
	fine(c.verdict(c.a, "passed", ""))(c.House)
	if got := c.places(c.a); got["shelf"] != 4 || got["in-work"] != 1 { // two passed, two imperfect, one held
		t.Errorf("%v", got)
	}
	fine(c.verdict(c.a, "scrapped", "it is not", tags[2]))(c.House)
	fine(c.verdict(c.a, "held", "a complaint"))(c.House)
	if got := c.places(c.a); got["shelf"] != 2 || got["in-work"] != 2 || got["scrapped"] != 1 {
		t.Errorf("%v", got)
	}
	for _, r := range []struct {
		outcome     string
		tag         string
		code        codes.Code
		field, says string
	}{
		{"scrapped", tags[2], codes.FailedPrecondition, "", "is scrapped: a verdict is given on what is in the house"},
		{"closed", tags[3], codes.InvalidArgument, "tags", "only its lot"},
		{"held", c.tags[c.b][0], codes.InvalidArgument, "tags", "is not of lot L1"},
		{"held", "16JD", codes.NotFound, "tags", "16JD"},
		{"held", "16JX", codes.InvalidArgument, "tags", ""},
		{"lovely", tags[3], codes.InvalidArgument, "outcome", "use one of passed"},
	} {
		_, err := c.verdict(c.a, r.outcome, "because", r.tag)
		saysNo(t, err, r.code, r.field, r.says)
	}
	c.light(c.a, "1")
	_, err := c.verdict(c.a, "passed", "", tags[3])
	saysNo(t, err, codes.FailedPrecondition, "", "light 1, asked 3: failed 1")
	_, err = c.verdict("L99", "held", "because")
	saysNo(t, err, codes.NotFound, "lot", "L99")
	_, err = c.verdict("99", "held", "because")
	saysNo(t, err, codes.InvalidArgument, "lot_code", "L7")
	_, err = c.Judge.GiveVerdict(c.Ctx, &pb.GiveVerdictRequest{RequestId: c.ID(), LotCode: c.b, Outcome: "held", Reason: "x", HappenedAt: ago(-time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "in the future")
	_, err = c.Judge.GiveVerdict(c.As("lab-1", "laboratory"), &pb.GiveVerdictRequest{RequestId: c.ID(), LotCode: c.b, Outcome: "held", Reason: "x"})
	c.Refused(err, codes.PermissionDenied)
}

func TestOverrides(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	c.readAsInTheStory()
	for _, r := range []struct {
		lot, row, reason string
		code             codes.Code
		field, says      string
	}{
		{c.a, "", "because", codes.InvalidArgument, "row", "is needed"},
		{c.a, "light", " ", codes.InvalidArgument, "reason", "is needed"},
		{c.a, "beauty", "because", codes.InvalidArgument, "row", "use one of colour, own-light, set"},
		{c.a, "own-wash-change", "because", codes.InvalidArgument, "row", "use one of"},
		{c.a, "colour", "because", codes.FailedPrecondition, "", "has passed colour: there is nothing to override"},
		{"L99", "light", "because", codes.NotFound, "lot", "L99"},
		{"A", "light", "because", codes.InvalidArgument, "lot_code", "L7"},
	} {
		_, err := c.override(r.lot, r.row, r.reason)
		saysNo(t, err, r.code, r.field, r.says)
	}
	_, err := c.Judge.OverrideRow(c.As("dyer-1", "dyer"), &pb.OverrideRowRequest{RequestId: c.ID(), LotCode: c.a, Row: "light", Reason: "because"})
	c.Refused(err, codes.PermissionDenied)
	_, err = c.Judge.OverrideRow(c.Ctx, &pb.OverrideRowRequest{RequestId: c.ID(), LotCode: c.a, Row: "light", Reason: "because", HappenedAt: ago(-time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "in the future")

	// Dated back to before the test, and written down after it: it covers it.
	c.light(c.a, "2-3")
	given := fine(c.Judge.OverrideRow(c.Ctx, &pb.OverrideRowRequest{RequestId: c.ID(), LotCode: c.a, Row: "light", Reason: "told", By: "owner of the label", HappenedAt: at(t, "2024-07-09T10:00:00Z")}))(c.House)
	if r := given.GetJudgement().GetRows()[1]; r.GetState() != "overridden" || r.GetOverrideBy() != "owner of the label" || !r.GetOverriddenAt().AsTime().Equal(at(t, "2024-07-09T10:00:00Z").AsTime()) {
		t.Errorf("%v", r)
	}
	fine(c.verdict(c.a, "passed", ""))(c.House)
	c.light(c.a, "1") // worse than was known
	if r := c.row(c.a, "own-light"); r.GetState() != "failed" || r.GetText() != "light 1, asked 3: failed 1; owner of the label overrode it before this was known: told; "+
		"light, 2 specimens, which is few: F2 1, F1 2-3; worst 1, lower median 1; 0 of 2 reach 3" {
		t.Errorf("%v", r)
	}
	fine(c.Judge.SetHouseRow(c.Ctx, &pb.SetHouseRowRequest{RequestId: c.ID(), Key: "light"}))(c.House)
	if r := c.row(c.a, "own-light"); r.GetOverrideReason() != "told" {
		t.Errorf("a passed lot is judged by the rows of its own day: %v", r)
	}
	fine(c.verdict(c.a, "held", "it faded in the window"))(c.House)
	j := c.judged(c.a)
	if r := j.GetRows()[len(j.GetRows())-1]; r.GetKey() != "own-light" || !strings.HasSuffix(r.GetText(), "; not asked any more") || r.GetOverrideReason() != "told" || !j.GetMayPass() {
		t.Errorf("%v", j)
	}
	fine(c.verdict(c.a, "scrapped", "moth"))(c.House)
	_, err = c.override(c.a, "set", "because")
	saysNo(t, err, codes.InvalidArgument, "row", "use one of colour")
}

func TestTheHouseStandardIsTheOwners(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	c.readAsInTheStory()
	list := func(all bool) []*pb.HouseRow {
		return fine(c.Judge.ListHouseStandard(c.Ctx, &pb.ListHouseStandardRequest{All: all}))(c.House).GetRows()
	}
	if len(list(false)) != 5 || len(list(true)) != len(fastness.Seed()) || list(false)[0].GetKey() != "own-wash-change" || list(false)[0].GetTitle() == "" {
		t.Errorf("%v", list(true))
	}
	set := func(req *pb.SetHouseRowRequest) (*pb.HouseRow, error) {
		req.RequestId = c.ID()
		resp, err := c.Judge.SetHouseRow(c.Ctx, req)
		return resp.GetRow(), err
	}
	got := fine(set(&pb.SetHouseRowRequest{Key: "light", Minimum: "4", Active: true, Note: "sunny shop"}))(c.House)
	want := &pb.HouseRow{Key: "own-light", Title: "fading in light", Minimum: "4", Scope: "lot", Source: "the studio's own", Active: true, Note: "sunny shop"}
	if got.String() != want.String() || !slices.ContainsFunc(list(false), func(r *pb.HouseRow) bool { return r.String() == want.String() }) {
		t.Errorf("%v", got)
	}
	_, err := set(&pb.SetHouseRowRequest{Key: "gots-light", Active: true})
	saysNo(t, err, codes.InvalidArgument, "edition", "name the edition of GOTS")
	if on := fine(set(&pb.SetHouseRowRequest{Key: "gots-light", Active: true, Edition: "7.0"}))(c.House); on.GetEdition() != "7.0" || on.GetMinimum() != "3-4" {
		t.Errorf("%v", on)
	}
	c.light(c.a, "4") // the studio's own window test answers no row of a certificate
	if r := c.row(c.a, "gots-light"); r.GetState() != "not-tested" {
		t.Errorf("%v", r)
	}
	for _, r := range []struct {
		req         *pb.SetHouseRowRequest
		field, says string
	}{
		{&pb.SetHouseRowRequest{Key: "beauty", Active: true}, "key", "use one of own-wash-change, own-wash-staining"},
		{&pb.SetHouseRowRequest{Active: true}, "key", "is no row"},
		{&pb.SetHouseRowRequest{Key: "light", Minimum: "9", Active: true}, "minimum", "grades run from 1"},
		{&pb.SetHouseRowRequest{Key: "light", Scope: "garment", Active: true}, "scope", "each lot, harvest or recipe"},
	} {
		_, err := set(r.req)
		saysNo(t, err, codes.InvalidArgument, r.field, r.says)
	}
	_, err = c.Judge.SetHouseRow(c.As("dyer-1", "dyer"), &pb.SetHouseRowRequest{RequestId: c.ID(), Key: "light"})
	c.Refused(err, codes.PermissionDenied)

	// Every start seeds again, and changes nothing.
	before := list(true)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			if err := c.Store.SeedHouse(context.Background(), fastness.Seed()); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for i, r := range list(true) {
		if r.String() != before[i].String() {
			t.Errorf("seeding changed %v to %v", before[i], r)
		}
	}
}

// Two verdicts at once: the lot's row is locked first, so the second sees what
// the first decided.
func TestTwoVerdictsAtOnce(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	var wg sync.WaitGroup
	errs := make([]error, 2)
	for i, outcome := range []string{"passed", "scrapped"} {
		wg.Go(func() { _, errs[i] = c.verdict(c.a, outcome, "decided") })
	}
	wg.Wait()
	j := c.judged(c.a)
	// Scrapping may follow nothing but waiting: a passed lot is held first.
	if failed := (errs[0] != nil) != (errs[1] != nil); !failed || len(j.GetVerdicts()) != 1 || j.GetVerdicts()[0].GetOutcome() != j.GetState() {
		t.Errorf("%v, %v: %v", errs[0], errs[1], j)
	}
}

// A verdict sent twice is given once.
func TestLaw7AVerdictSentTwiceIsGivenOnce(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	req := &pb.GiveVerdictRequest{RequestId: "verdict-of-lot-a", LotCode: c.a, Outcome: "held", Reason: "a stripe"}
	first := fine(c.Judge.GiveVerdict(c.Ctx, req))(c.House)
	again := fine(c.Judge.GiveVerdict(c.Ctx, req))(c.House)
	if first.String() != again.String() || len(c.judged(c.a).GetVerdicts()) != 1 {
		t.Errorf("%v\n%v", first, again)
	}
	req.Reason = "another"
	_, err := c.Judge.GiveVerdict(c.Ctx, req)
	saysNo(t, err, codes.AlreadyExists, "request_id", "was used for another request")
}

// A case is loaded in a fixed number of statements: here its parts are simply
// all there, for a lot that shares its set, its weld and its recipe.
func TestACaseIsWhole(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	err := c.Store.Read(t.Context(), func(tx *store.Tx) error {
		k, err := tx.CaseOf(1)
		if err != nil {
			return err
		}
		if k.Recipe != "weld-olive 1" || !cmp.Equal(k.Harvests, []string{c.weld}) || len(k.Sisters) != 1 || k.Sisters[0].Code != c.b ||
			k.Lot.LastBath.Record != "S3" || len(k.Lot.Readings) != 1 || len(k.Sisters[0].Readings) != 1 || len(k.Tests) != 1 || k.Standard.Code != "choir-olive" {
			t.Errorf("%+v", k)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
