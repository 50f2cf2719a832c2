package api_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jmoiron/sqlx"
	"github.com/lib/pq"
	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// spectra puts a spectrum beside a standard, and one beside a reading.
type spectra struct {
	t  *testing.T
	db *sqlx.DB
}

func openSpectra(t *testing.T, dsn string) *spectra {
	t.Helper()
	db := sqlx.MustConnect("postgres", dsn)
	t.Cleanup(func() { _ = db.Close() })
	return &spectra{t, db}
}

func (s *spectra) run(statement string, args ...any) {
	s.t.Helper()
	if _, err := s.db.ExecContext(s.t.Context(), statement, args...); err != nil {
		s.t.Fatal(err)
	}
}

func (s *spectra) standard(code string, reflectance ...float64) {
	s.t.Helper()
	s.run(`insert into standard_spectrum (standard_id, first_nm, step_nm, reflectance, recorded_at, recorded_by)
	       select id, 400, 20, $2, now(), 1 from shade_standard where code = $1`, code, pq.Array(reflectance))
}

func (s *spectra) spot(reading string, line int, leftOut string, reflectance ...float64) {
	s.t.Helper()
	s.run(`insert into reading_spot (reading_id, line, l, a, b, first_nm, step_nm, reflectance, left_out)
	       select id, $2, l, a, b, 400, 20, $3, $4 from reading where id = $1`, strings.TrimPrefix(reading, "C"), line, pq.Array(reflectance), leftOut)
}

func (c *choir) history(q *pb.GetShadeHistoryRequest) *pb.GetShadeHistoryResponse {
	c.t.Helper()
	return fine(c.shades().GetShadeHistory(c.Ctx, q))(c.House)
}

// The story's lots: 0.63 and 1.23 to the standard (stories.md). Of two, the one
// step 0.60 makes limits 0.93 ∓ 3 · 0.60/1.128: below 0, so 0, and 2.52. K/S of
// 4.03 % is 11.43 and of 6.46 % 6.77 (Adv. Mater. Sci. Eng. 2017, 7516409, table
// 3): 59.2 % of the standard's strength.
func TestAColourIsFollowedFromLotToLot(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	empty := c.history(&pb.GetShadeHistoryRequest{ColourwayCode: "olive-silk"})
	if empty.GetDifference().GetDrawn() || empty.GetDifference().GetText() != "no lot has one yet" || empty.GetStrength().GetText() != "standard choir-olive has no spectrum" || len(empty.GetLots()) != 2 {
		t.Errorf("%v", empty)
	}
	c.dry()
	first := c.read(c.a, 62.6, -1.8, 38.9)
	one := c.history(&pb.GetShadeHistoryRequest{StandardCode: "choir-olive"})
	if one.GetDifference().GetDrawn() || !strings.Contains(one.GetDifference().GetText(), "one lot alone has no limits") {
		t.Errorf("%v", one.GetDifference())
	}
	second := c.read(c.b, 60.8, -1.4, 36.6)
	wet := fine(c.reading(&pb.Reading{LotCode: c.b, Colour: &pb.Lab{L: 40, B: 20}, Condition: "wet"}))(c.House)
	s := openSpectra(t, c.DSN)
	s.standard("choir-olive", 0.2, 0.0403, 0.3, 0.5)
	s.spot(first.GetCode(), 1, "", 0.2, 0.0403, 0.3, 0.5)
	s.spot(first.GetCode(), 2, "a crease", 0.9, 0.9, 0.9, 0.9)
	s.spot(second.GetCode(), 1, "", 0.2, 0.0636, 0.3, 0.5)
	s.spot(second.GetCode(), 2, "", 0.2, 0.0656, 0.3, 0.5)
	s.spot(wet.GetCode(), 1, "", 0.01, 0.01, 0.01, 0.01)

	r := c.history(&pb.GetShadeHistoryRequest{ColourwayCode: "olive-silk"})
	var said []string
	for _, l := range r.GetLots() {
		said = append(said, l.GetLotCode()+" "+l.GetDifference()+" "+l.GetStrengthPercent()+l.GetStrengthWhy())
	}
	if d := cmp.Diff([]string{"L1 0.63 100.0", "L2 1.23 59.3"}, said); d != "" || r.GetStrengthNm() != 420 {
		t.Errorf("%s %d", d, r.GetStrengthNm())
	}
	d := r.GetDifference()
	for what, v := range map[string][2]float64{"mean": {d.GetMean(), 0.93}, "moving range": {d.GetMeanMovingRange(), 0.60}, "lower": {d.GetLower(), 0}, "upper": {d.GetUpper(), 2.52}, "strength": {r.GetStrength().GetPoints()[1].GetValue(), 59.2}} {
		if off := v[0] - v[1]; off > 0.08 || off < -0.08 {
			t.Errorf("%s = %v, want %v", what, v[0], v[1])
		}
	}
	if !d.GetDrawn() || !d.GetProvisional() || len(d.GetOutsideLotCodes()) != 0 || !strings.Contains(d.GetText(), "provisional under 20 lots") {
		t.Errorf("%v", d)
	}
}

// A withdrawn reading takes its lot off the chart; a lot that waits for its pot
// is not on it.
func TestWhatIsNotReadIsNotOnTheChart(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	first := c.read(c.a, 62.6, -1.8, 38.9)
	c.read(c.b, 60.8, -1.4, 36.6)
	fine(c.Logbook.WithdrawEvidence(c.Ctx, &pb.WithdrawEvidenceRequest{RequestId: c.ID(), Code: first.GetCode(), Reason: "the cap was on"}))(c.House)
	blank := c.Receive("tunic", "1pc")
	fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "olive-silk", Blanks: []*pb.Blanks{{ParcelCode: blank, Count: 1}}, PotCodes: []string{"pot-30"}}))(c.House)
	openSpectra(t, c.DSN).standard("choir-olive", 1, 1, 1, 1)
	r := c.history(&pb.GetShadeHistoryRequest{ColourwayCode: "olive-silk"})
	if len(r.GetLots()) != 2 || r.GetLots()[0].GetDifference() != "" || len(r.GetDifference().GetPoints()) != 1 || r.GetDifference().GetPoints()[0].GetLotCode() != c.b {
		t.Errorf("%v", r)
	}
	if !strings.Contains(r.GetStrength().GetText(), "it has no depth to compare with") {
		t.Errorf("%v", r.GetStrength())
	}
	for field, q := range map[string]*pb.GetShadeHistoryRequest{
		"":               {},
		"colourway_code": {ColourwayCode: "gold"},
		"standard_code":  {StandardCode: "gold"},
	} {
		_, err := c.shades().GetShadeHistory(c.Ctx, q)
		if field == "" {
			saysNo(t, err, codes.InvalidArgument, "colourway_code", "exactly one")
			continue
		}
		saysNo(t, err, codes.NotFound, field, "gold")
	}
}
