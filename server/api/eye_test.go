package api_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
)

func (c *choir) look(e *pb.EyeJudgement) (*pb.JudgeByEyeResponse, error) {
	return c.measures().JudgeByEye(c.Ctx, &pb.JudgeByEyeRequest{RequestId: c.ID(), Judgement: e})
}

// Lot A of the choir, 62.6, -1.8, 38.9 to 62, -2, 38: ΔE*ab 1.10, the step 4-5 of
// ISO 105-A02 (0.8 ± 0.2; the half way to 1.7 is 1.25), within tolerance.
func TestAnEyeStandsBesideTheInstrument(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	first := fine(c.look(&pb.EyeJudgement{LotCode: c.a, Grade: "4-5", Directions: []string{"weaker", "yellower"}, Light: "north light", By: "dyer-1", SecondBy: "owner", Rested: true}))(c.House)
	if v := first.GetJudgement(); v.GetCode() != "V1" || v.GetMeasuredGrade() != "" || v.GetGrade() != "4-5" || len(first.GetWarnings()) != 0 {
		t.Errorf("%v", first)
	}
	c.readAsInTheStory()
	worse := fine(c.look(&pb.EyeJudgement{LotCode: c.a, Grade: "3–4", Light: "D65 lamp", Rested: true}))(c.House)
	if keysOf(worse.GetWarnings()) != "one-eye" || worse.GetJudgement().GetBy() != "owner" || len(worse.GetJudgement().GetDisagreements()) != 2 {
		t.Errorf("%v", worse)
	}
	eyes := c.judged(c.a).GetEyes()
	if len(eyes) != 2 || eyes[0].GetMeasuredGrade() != "4-5" || len(eyes[0].GetDisagreements()) != 0 || eyes[0].GetMeasuredCiede2000() != "0.63" || strings.Join(eyes[0].GetDirections(), " ") != "weaker yellower" {
		t.Errorf("%v", eyes)
	}
	about(t, "ΔE*ab", eyes[0].GetMeasuredDeltaE(), 1.1, 0.005)
	if !proto.Equal(eyes[1], worse.GetJudgement()) || !strings.Contains(eyes[1].GetDisagreements()[1], "worse than 4, and the instrument is within tolerance (CIEDE2000 0.63 of 1.5, D65/10°)") {
		t.Errorf("%v", eyes[1])
	}
	if row := c.row(c.a, "colour"); row.GetEvidence() != "reading C1" {
		t.Errorf("an eye decides: %v", row)
	}

	// Against the other lot of the set: 62.6,-1.8,38.9 to 60.8,-1.4,36.6 is ΔE*ab
	// 2.948, just short of half way (2.95) from 3-4 to 3: a whole grade from 4-5.
	other := fine(c.look(&pb.EyeJudgement{LotCode: c.a, AgainstLotCode: c.b, Grade: "4-5", Light: "north light", By: "dyer-1", SecondBy: "owner"}))(c.House)
	if v := other.GetJudgement(); v.GetAgainstLotCode() != c.b || v.GetMeasuredCiede2000() != "1.78" || len(v.GetDisagreements()) != 1 || keysOf(other.GetWarnings()) != "not-rested" {
		t.Errorf("%v", other)
	}
	r := fine(c.withdraw("v2", "looked at the wrong lot"))(c.House)
	if r.GetCode() != "V2" || r.GetLotCode() != c.a {
		t.Errorf("%v", r)
	}
	if v := c.judged(c.a).GetEyes()[1]; v.GetWithdrawnBy() != "bench-1" || len(v.GetDisagreements()) != 0 {
		t.Errorf("%v", v)
	}
	_, err := c.withdraw("V2", "again")
	saysNo(t, err, codes.FailedPrecondition, "", "withdrawn already")
	_, err = c.withdraw("V9", "x")
	saysNo(t, err, codes.NotFound, "judgement", "V9")
}

func TestLooksAreOneActAndRefusedByField(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	tag := c.tags[c.a][1]
	q := &pb.JudgeByEyeRequest{RequestId: c.ID(), Judgement: &pb.EyeJudgement{Tag: strings.ToLower(tag), Grade: "5", Light: "north light"}}
	first := fine(c.measures().JudgeByEye(c.Ctx, q))(c.House)
	if again := fine(c.measures().JudgeByEye(c.Ctx, q))(c.House); !proto.Equal(first, again) || len(c.judged(c.a).GetEyes()) != 1 || first.GetJudgement().GetTag() != tag || first.GetJudgement().GetLotCode() != c.a {
		t.Errorf("%v, again %v", first, again)
	}
	for name, r := range map[string]struct {
		e           *pb.EyeJudgement
		code        codes.Code
		field, says string
	}{
		"grade":       {&pb.EyeJudgement{LotCode: c.a, Grade: "3.5", Light: "lamp"}, codes.InvalidArgument, "grade", "3-4"},
		"blue wool":   {&pb.EyeJudgement{LotCode: c.a, Grade: "7", Light: "lamp"}, codes.InvalidArgument, "grade", "grey scale"},
		"light":       {&pb.EyeJudgement{LotCode: c.a, Grade: "4"}, codes.InvalidArgument, "light", "north light"},
		"direction":   {&pb.EyeJudgement{LotCode: c.a, Grade: "4", Light: "lamp", Directions: []string{"nicer"}}, codes.InvalidArgument, "directions", "duller"},
		"of nothing":  {&pb.EyeJudgement{Grade: "4", Light: "lamp"}, codes.InvalidArgument, "lot_code", "tag"},
		"itself":      {&pb.EyeJudgement{LotCode: c.a, AgainstLotCode: c.a, Grade: "4", Light: "lamp"}, codes.InvalidArgument, "against_lot_code", "itself"},
		"no lot":      {&pb.EyeJudgement{LotCode: c.a, AgainstLotCode: "L99", Grade: "4", Light: "lamp"}, codes.NotFound, "lot", "L99"},
		"alone twice": {&pb.EyeJudgement{LotCode: c.a, Grade: "4", Light: "lamp", SecondBy: "owner"}, codes.InvalidArgument, "second_by", "two people"},
		"tomorrow":    {&pb.EyeJudgement{LotCode: c.a, Grade: "4", Light: "lamp", HappenedAt: ago(-3600e9)}, codes.InvalidArgument, "happened_at", "future"},
	} {
		_, err := c.look(r.e)
		t.Log(name)
		saysNo(t, err, r.code, "judgement."+r.field, r.says)
	}
}
