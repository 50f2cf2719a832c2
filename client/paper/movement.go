package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// movements lists what came and went, one leg a line, the oldest first.
func (s *Sheet) movements(ms []*dyelotv1.Movement) {
	for _, m := range ms {
		for _, l := range m.GetLegs() {
			s.hang(plain, fmt.Sprintf("%-5s ", m.GetCode()), fmt.Sprintf("%s  %s: %s of %s, %s → %s", s.when(m.GetHappenedAt()), m.GetKind(),
				amount(l.GetAmount()), l.GetParcelCode(), l.GetFrom(), l.GetTo()))
		}
		about := joined("; ", prefixed("by ", m.GetBy()), prefixed("for ", m.GetUsedBy()), m.GetReason(), prefixed("reverses ", m.GetReverses()), prefixed("reversed by ", m.GetReversedBy()))
		if about != "" {
			s.Para(6, "%s", about)
		}
	}
}

// left says what a parcel holds now.
func (s *Sheet) left(p *dyelotv1.Parcel) {
	s.Line("%s holds %s, %s promised, %s free", named(p.GetItemName(), p.GetCode()), amount(p.GetOnHand()), amount(p.GetPromised()), amount(p.GetFree()))
}

// Received confirms a delivery, and what to write on the bag.
func (s *Sheet) Received(r *dyelotv1.ReceiveDeliveryResponse) {
	p := r.GetParcel()
	s.Title("%s: write this on the bag", p.GetCode())
	s.Line("%s of %s received", amount(p.GetOnHand()), named(p.GetItemName(), p.GetItemCode()))
	s.origin(p)
	if l := r.GetOrderLine(); l.GetOrderCode() != "" {
		s.Line("%s: %s", l.GetOrderCode(), l.GetText())
	}
	s.undoMovement(r.GetMovement())
	s.warn(0, r.GetWarnings())
}

func (s *Sheet) undoMovement(m *dyelotv1.Movement) {
	if m.GetCode() != "" {
		s.Line("to take it back: dyelot stock reverse %s --reason \"…\"", m.GetCode())
	}
}

// Made confirms a making.
func (s *Sheet) Made(r *dyelotv1.MakeParcelResponse) {
	p := r.GetParcel()
	s.Title("%s: write this on the jar", p.GetCode())
	s.Line("%s of %s made", amount(p.GetOnHand()), named(p.GetItemName(), p.GetItemCode()))
	s.origin(p)
	if w := strength(p); w != "" {
		s.Line("%s", w)
	}
	s.undoMovement(r.GetMovement())
	s.warn(0, r.GetWarnings())
}

// Harvested confirms a harvest.
func (s *Sheet) Harvested(r *dyelotv1.LogHarvestResponse) {
	p := r.GetParcel()
	s.Title("%s: write this on the bag", p.GetCode())
	s.Line("%s", named(p.GetItemName(), p.GetItemCode()))
	s.origin(p)
	if p.GetDamp() {
		s.Para(0, "Damp, so it holds nothing yet. Once it is dry: dyelot harvest dry %s AMOUNT", p.GetCode())
	} else {
		s.left(p)
	}
	s.warn(0, r.GetWarnings())
}

// Dried confirms that a harvest was weighed dry.
func (s *Sheet) Dried(r *dyelotv1.DryHarvestResponse) {
	s.origin(r.GetParcel())
	s.left(r.GetParcel())
}

// Counted says what a count found.
func (s *Sheet) Counted(r *dyelotv1.CountParcelResponse) {
	s.shout(r.GetShortages())
	s.countWords(r)
	s.warn(0, r.GetWarnings())
	s.left(r.GetParcel())
}

// moreOrLess: "143 g less".
func moreOrLess(difference *dyelotv1.Amount) string {
	text, below := strings.CutPrefix(amount(difference), "-")
	if below {
		return text + " less"
	}
	return text + " more"
}

// WrittenOff confirms a loss or a return to the supplier.
func (s *Sheet) WrittenOff(r *dyelotv1.WriteOffParcelResponse) {
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	m := r.GetMovement()
	for _, l := range m.GetLegs() {
		s.Line("%s: %s of %s to %s, %s", m.GetCode(), amount(l.GetAmount()), l.GetParcelCode(), l.GetTo(), or(m.GetReason()))
	}
	s.left(r.GetParcel())
	s.undoMovement(m)
}

// Reversed confirms that a movement's opposite was booked.
func (s *Sheet) Reversed(r *dyelotv1.ReverseMovementResponse) {
	s.shout(r.GetShortages())
	m := r.GetMovement()
	s.warn(0, r.GetWarnings())
	s.Line("%s reverses %s: %s", m.GetCode(), m.GetReverses(), or(m.GetReason()))
	for _, l := range m.GetLegs() {
		s.Line("  %s of %s, %s → %s", amount(l.GetAmount()), l.GetParcelCode(), l.GetFrom(), l.GetTo())
	}
}

// Blocked says whether a parcel may be used.
func (s *Sheet) Blocked(r *dyelotv1.BlockParcelResponse) {
	p := r.GetParcel()
	if p.GetBlockedReason() == "" {
		s.Line("%s may be used again", named(p.GetItemName(), p.GetCode()))
		return
	}
	s.Para(0, "%s is blocked: %s", named(p.GetItemName(), p.GetCode()), p.GetBlockedReason())
}

// StrengthSet confirms a strength.
func (s *Sheet) StrengthSet(r *dyelotv1.SetStrengthResponse) {
	p := r.GetParcel()
	s.Line("%s: strength %s against its reference, for doses planned from now on", named(p.GetItemName(), p.GetCode()), percent(p.GetStrengthPercent()))
}

// Promised confirms what is kept aside.
func (s *Sheet) Promised(r *dyelotv1.PromiseParcelResponse) {
	h := r.GetPromise()
	s.Para(0, "%s keeps %s of %s%s", h.GetCode(), amount(h.GetAmount()), h.GetParcelCode(), prefixed(" for ", h.GetPurpose()))
	s.left(r.GetParcel())
}

// Released confirms that a promise is free again.
func (s *Sheet) Released(r *dyelotv1.ReleasePromiseResponse) { s.left(r.GetParcel()) }
