package api_test

import (
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

func (c *choir) withdraw(code, reason string) (*pb.WithdrawEvidenceResponse, error) {
	return c.Logbook.WithdrawEvidence(c.Ctx, &pb.WithdrawEvidenceRequest{RequestId: c.ID(), Code: code, Reason: reason, By: "bench-1"})
}

// The figures of the choir: lot B read 60.8, -1.4, 36.6, 1.23 from the standard.
// A reading of a stained corner beside it spoils the mean until it is withdrawn.
func TestAWithdrawnReadingCountsNoMore(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	c.readAsInTheStory()
	before := c.row(c.b, "colour")
	slip := c.read(c.b, 40, 10, 10)
	if row := c.row(c.b, "colour"); row.GetState() != "failed" {
		t.Fatalf("%v", row)
	}
	r := fine(c.withdraw(slip.GetCode(), "a rust stain lay under the eye"))(c.House)
	if r.GetLotCode() != c.b || r.GetWithdrawal().GetBy() != "bench-1" || len(r.GetWarnings()) > 0 {
		t.Errorf("%v", r)
	}
	if row := c.row(c.b, "colour"); row.GetState() != before.GetState() || row.GetFound() != before.GetFound() || row.GetEvidence() != before.GetEvidence() {
		t.Errorf("%v, before it was %v", row, before)
	}
	shown := false
	for _, got := range c.judged(c.b).GetReadings() {
		if got.GetCode() == slip.GetCode() {
			shown = got.GetWithdrawnBy() == "bench-1" && got.GetWithdrawnReason() == "a rust stain lay under the eye" && got.GetWithdrawnAt() != nil
		}
	}
	if !shown {
		t.Errorf("the reading is not shown as withdrawn: %v", c.judged(c.b).GetReadings())
	}
	_, err := c.withdraw(slip.GetCode(), "again")
	saysNo(t, err, codes.FailedPrecondition, "", "withdrawn already")
	_, err = c.withdraw("C999", "x")
	saysNo(t, err, codes.NotFound, "reading", "C999")
	_, err = c.withdraw("F1", "x")
	saysNo(t, err, codes.NotFound, "test", "F1")
	_, err = c.withdraw("L1", "x")
	saysNo(t, err, codes.InvalidArgument, "code", "neither")
	_, err = c.withdraw(slip.GetCode(), " ")
	saysNo(t, err, codes.InvalidArgument, "reason", "needed")
}

// A lot that passed by a test which is withdrawn stays passed, since that was
// decided; whoever withdraws is told, and the row shows what is open.
func TestAWithdrawnTestIsSetAsideAndAVerdictByItIsToBeLookedAt(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	c.read(c.a, 62.6, -1.8, 38.9)
	f := c.light(c.a, "3")
	fine(c.verdict(c.a, "passed", "in tolerance"))(c.House)
	r := fine(c.withdraw(f.GetCode(), "the card hung in the shade"))(c.House)
	if keysOf(r.GetWarnings()) != "decided" || r.GetLotCode() != c.a {
		t.Errorf("%v", r)
	}
	j := c.judged(c.a)
	if row := c.row(c.a, "own-light"); j.GetState() != "passed" || row.GetState() != "not-tested" {
		t.Errorf("%s, %v", j.GetState(), row)
	}
	if got := j.GetTests()[0]; got.GetWithdrawnReason() != "the card hung in the shade" || got.GetWithdrawnBy() != "bench-1" {
		t.Errorf("%v", got)
	}
	again := c.light(c.b, "2-3") // of the other lot, recorded and withdrawn before any verdict
	fine(c.withdraw(again.GetCode(), "wrong strip"))(c.House)
	if row := c.row(c.b, "own-light"); row.GetState() != "not-tested" {
		t.Errorf("%v", row)
	}
}
