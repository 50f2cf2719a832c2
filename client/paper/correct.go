package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Corrected shows the right record beside the wrong one.
func (s *Sheet) Corrected(r *dyelotv1.CorrectStageResponse) {
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	was := r.GetCorrected()
	s.Para(0, "%s is taken back: %s. It stays, marked.", was.GetCode(), or(was.GetUndoneReason()))
	for _, l := range r.GetReversal().GetLegs() {
		s.Line("  %s: %s, %s → %s", l.GetParcelCode(), amount(l.GetAmount()), l.GetFrom(), l.GetTo())
	}
	s.record(r.GetRecord(), r.GetRecord().GetKind())
	for _, p := range r.GetParcels() {
		s.Line("left: %s", leftWords(p))
	}
	s.Para(0, "next: %s", otherwise(r.GetNext(), "nothing, all stages are done"))
}

// Withdrawn confirms that a reading, a test or a line no longer counts.
func (s *Sheet) Withdrawn(r *dyelotv1.WithdrawEvidenceResponse) {
	s.warn(0, r.GetWarnings())
	w := r.GetWithdrawal()
	s.Para(0, "%s counts no more, says %s: %s. It stays to be read.", joined(" of ", r.GetCode(), r.GetLotCode()), or(w.GetBy()), or(w.GetReason()))
	if r.GetLotCode() != "" {
		s.Line("where the lot stands now: dyelot verdict show %s", r.GetLotCode())
	}
}

// withdrawn is the tail of a line that counts no more.
func withdrawn(by, reason, day string) string {
	if by == "" {
		return ""
	}
	return fmt.Sprintf("; WITHDRAWN by %s on %s: %s", by, day, or(reason))
}

// countWords hold what was counted against the book of that moment.
func (s *Sheet) countWords(r *dyelotv1.CountParcelResponse) {
	at := ""
	if r.GetMovement().GetHappenedAt() != nil {
		at = fmt.Sprintf(" (%s at %s)", amount(r.GetBook()), s.when(r.GetMovement().GetHappenedAt()))
	}
	switch {
	case !some(r.GetDifference()):
		s.Line("The book was right.")
	case r.GetMovement() == nil:
		s.Para(0, "The scale says %s than the book, and the book holds nothing that could be taken off.", moreOrLess(r.GetDifference()))
	default:
		s.Para(0, "The scale says %s than the book%s; %s sets it right.", moreOrLess(r.GetDifference()), at, r.GetMovement().GetCode())
	}
}
