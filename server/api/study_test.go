package api_test

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

func find(h *apitest.House, q *pb.FindStudyResultsRequest) *pb.FindStudyResultsResponse {
	h.T.Helper()
	return fine(pb.NewWearServiceClient(h.Conn).FindStudyResults(h.Ctx, q))(h)
}

// The printed cells, asked by mordant and fibre. Sources: J. Textiles 2014, art.
// 593782 (tables 5 and 6) and 587497 (table 9); Adv. Mater. Sci. Eng. 2017, art.
// 7516409 (table 3); all CC BY.
func TestStudiesAreFoundByMordantAndFibre(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	wear := pb.NewWearServiceClient(h.Conn)
	if found := find(h, &pb.FindStudyResultsRequest{}); len(found.GetResults()) != 0 {
		t.Errorf("%v", found)
	}
	for i, want := range []int32{1, 2, 0} { // one, then the rest, then none is new
		var keys []string
		if i == 0 {
			keys = []string{"nayak2014"}
		}
		r := fine(wear.LoadStudies(h.Ctx, &pb.LoadStudiesRequest{RequestId: h.ID(), Keys: keys}))(h)
		if r.GetLoaded() != want {
			t.Errorf("load %d: %v", i, r)
		}
	}
	all := fine(wear.ListStudies(h.Ctx, &pb.ListStudiesRequest{}))(h).GetStudies()
	if len(all) != 3 || all[0].GetKey() != "cassia2017" || all[0].GetResults() != 24 || all[1].GetResults() != 168 || all[2].GetResults() != 168 || all[2].GetLicence() != "CC BY" || all[1].GetLoadedAt() == nil {
		t.Errorf("%v", all)
	}
	spell := func(r *pb.FindStudyResultsResponse) (cells []string) {
		for _, c := range r.GetResults() {
			cells = append(cells, strings.TrimSpace(c.GetSample()+" "+c.GetPrinted()))
		}
		return cells
	}
	for _, c := range []struct {
		q    *pb.FindStudyResultsRequest
		want string
	}{
		{&pb.FindStudyResultsRequest{Mordant: "copper sulphate", Fibre: "wool", Component: "light"}, "UJW3 6-7, UJW3' 7, MJW2 6-7, MJW2' 7"},
		{&pb.FindStudyResultsRequest{Mordant: "CuSO4·5H2O", Fibre: "wool", Component: "light", LeastGrade: "7"}, "UJW3' 7, MJW2' 7"},
		{&pb.FindStudyResultsRequest{Mordant: "none", Fibre: "Jute", Component: "light"}, "UJC1 4, UJC1' 6, UJW1 4, UJW1' 6-7"},
		{&pb.FindStudyResultsRequest{Mordant: "green vitriol", Fibre: "cotton", Component: "rub-2"}, "UJC4 4, UJC4' 4-5, MJC3 4-5, MJC3' 4-5"},
		{&pb.FindStudyResultsRequest{Mordant: "iron", Fibre: "cotton", Component: "wash-1"}, "UJC4 4, UJC4' 5, MJC3 4-5, MJC3' 5"},
		{&pb.FindStudyResultsRequest{Mordant: "none", Fibre: "silk", Component: "light"}, "1.5, 1.5, 1.5, 1.5, 1.5, 1.5, 2"},
		{&pb.FindStudyResultsRequest{Mordant: "Tin", Fibre: "silk", Component: "wash-change", LeastGrade: "4-5"}, "4.5"},
		{&pb.FindStudyResultsRequest{Mordant: "aloe vera", Fibre: "leather", Component: "ks"}, "7.28"},
		{&pb.FindStudyResultsRequest{Mordant: "alum", Fibre: "silk"}, ""},
	} {
		if got := strings.Join(spell(find(h, c.q)), ", "); got != c.want {
			t.Errorf("%v:\ngot  %s\nwant %s", c.q, got, c.want)
		}
	}
	found := find(h, &pb.FindStudyResultsRequest{Mordant: "CuSO4"})
	if s := found.GetStudies(); len(s) != 2 || s[0].GetKey() != "cassia2017" || len(s[1].GetCaveats()) == 0 || s[1].GetCitation() != "L. Nayak, J. Textiles 2014, art. 593782, tables 5 and 6" {
		t.Errorf("%v", found.GetStudies())
	}
	if r := found.GetResults()[0]; r.GetSaltName() != "copper sulfate 5-hydrate" || r.GetMordant() != "CuSO4" || r.GetConditions() != "simultaneous" {
		t.Errorf("%v", r)
	}

	// Page by page it is the same list.
	var paged []string
	for token := ""; ; {
		p := find(h, &pb.FindStudyResultsRequest{Fibre: "silk", PageSize: 50, PageToken: token})
		paged = append(paged, spell(p)...)
		if token = p.GetNextPageToken(); token == "" {
			break
		}
	}
	if whole := spell(find(h, &pb.FindStudyResultsRequest{Fibre: "silk", PageSize: 1000})); len(whole) != 168 || !slices.Equal(whole, paged) {
		t.Errorf("%d whole, %d by pages", len(whole), len(paged))
	}

	for field, q := range map[string]*pb.FindStudyResultsRequest{
		"component": {Component: "moonlight"}, "least_grade": {LeastGrade: "4"}, "fibre": {Fibre: "jute/wool"}, "page_token": {PageToken: "!"}, "page_size": {PageSize: -1},
	} {
		_, err := wear.FindStudyResults(h.Ctx, q)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err := wear.LoadStudies(h.Ctx, &pb.LoadStudiesRequest{RequestId: h.ID(), Keys: []string{"moon1999"}})
	saysNo(t, err, codes.InvalidArgument, "keys[0]", "the studies are nayak2014, liriope2014, cassia2017")
	_, err = wear.LoadStudies(h.As("viewer-1", "viewer"), &pb.LoadStudiesRequest{RequestId: h.ID()})
	h.Refused(err, codes.PermissionDenied)
}

// Law 5: a published grade is something to expect. With the whole library in the
// books a lot is as untested as before, and no test can name a study as its
// method, its scope or its grade's source.
func TestLaw5AStudyIsNeverALotsGrade(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	before := c.judged(c.a).String()
	fine(c.wear().LoadStudies(c.Ctx, &pb.LoadStudiesRequest{RequestId: c.ID()}))(c.House)
	if after := c.judged(c.a).String(); after != before {
		t.Errorf("a study changed a judgement:\n%s\n%s", before, after)
	}
	if a := fine(c.wear().AdviseFade(c.Ctx, &pb.AdviseFadeRequest{LotCode: c.a, Lux: 400, HoursPerDay: 10}))(c.House); a.GetTested() {
		t.Errorf("%v", a)
	}
	grades := []*pb.ComponentGrade{{Component: "light", Grade: "7"}}
	for field, f := range map[string]*pb.FastnessTest{
		"test.method": {LotCode: c.a, Method: "nayak2014", Grades: grades},
		"test.scope":  {LotCode: c.a, Scope: "study", Method: "studio-window", Grades: grades},
	} {
		_, err := c.test(f)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err := c.verdict(c.a, "passed", "the paper says 7")
	c.Refused(err, codes.FailedPrecondition)
}
