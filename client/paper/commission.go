package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// CommissionAdded confirms what was agreed.
func (s *Sheet) CommissionAdded(r *dyelotv1.CreateCommissionResponse) {
	s.commissionHead(r.GetCommission())
	s.warn(0, r.GetWarnings())
	s.Para(0, "next: have a swatch signed off, then: dyelot commission sign %s --standard STANDARD --by ROLE", r.GetCommission().GetCode())
}

// CommissionSigned confirms a sign-off.
func (s *Sheet) CommissionSigned(r *dyelotv1.SignCommissionResponse) {
	s.commissionHead(r.GetCommission())
	s.warn(0, r.GetWarnings())
	s.Para(0, "next: dyelot run plan %s --blanks PARCELxPIECES --pots POT --commission %s", r.GetCommission().GetColourwayCode(), r.GetCommission().GetCode())
}

func (s *Sheet) commissionHead(c *dyelotv1.Commission) {
	s.Title("%s: %s, %s", c.GetCode(), c.GetReference(), c.GetColourwayCode())
	s.Para(0, "%s", joined("; ", c.GetState(), "lots of the set within "+c.GetSetTolerance()+" of each other (CIEDE2000, "+c.GetView()+"), as agreed", prefixed("due ", c.GetDueOn())))
	for _, p := range c.GetPieces() {
		s.Para(2, "%d %s of %s", p.GetCount(), plural(int(p.GetCount()), "piece"), p.GetItemCode())
		if p.GetMightNotTake() != "" {
			s.hang(mind, "    might not take: ", p.GetMightNotTake())
		}
	}
	if n := int(c.GetSpares()); n > 0 {
		s.Para(2, "%d spare %s, dyed with the set and kept", n, plural(n, "piece"))
	}
	if c.GetNote() != "" {
		s.Para(2, "note: %s", c.GetNote())
	}
	for _, o := range c.GetSignOffs() {
		s.Para(2, "%s", signOff(o))
	}
	if len(c.GetSignOffs()) == 0 {
		s.hang(mind, "  ", "no swatch is signed off yet: no run is planned before that")
	}
}

// signOff: "signed off on 2026-05-02 by the conductor: reading C4".
func signOff(o *dyelotv1.SignOff) string {
	what := joined(", ", prefixed("reading ", o.GetReadingCode()), prefixed("cloth of lot ", o.GetLotCode()), prefixed("standard ", o.GetStandardCode()))
	return fmt.Sprintf("signed off on %s by the %s: %s", o.GetSignedOn(), o.GetByRole(), what) + prefixed("; ", o.GetNote())
}

// Commission shows a commission whole: what was agreed, its lots, the
// customer's own, and what holds the set back.
func (s *Sheet) Commission(r *dyelotv1.GetCommissionResponse) {
	s.commissionHead(r.GetCommission())
	s.warn(0, r.GetWarnings())
	s.Gap()
	if len(r.GetLots()) > 0 {
		s.Line("%d %s asked, %d planned, %d passed", r.GetAsked(), plural(int(r.GetAsked()), "piece"), r.GetPlanned(), r.GetPassed())
		var rows [][]string
		for _, l := range r.GetLots() {
			rows = append(rows, []string{l.GetLotCode(), l.GetRunCode(), l.GetState(), fmt.Sprint(l.GetPieces()), fmt.Sprint(l.GetPassed())})
		}
		s.Table([]string{"lot", "run", "state", ">pieces", ">passed"}, rows)
	}
	for _, d := range r.GetDyestuffs() {
		s.Para(0, "%s from %s", d.GetItemCode(), strings.Join(d.GetParcelCodes(), ", "))
	}
	s.customersOwn(r.GetCustomersOwn())
	if r.GetSetText() != "" {
		s.Para(0, "%s", r.GetSetText())
	}
	switch {
	case r.GetHeldBack() != "":
		s.hang(loud, "HELD BACK  ", r.GetHeldBack())
	case r.GetCommission().GetState() == "handed-over":
		s.emit(s.mark(good, "The set has gone."))
	default:
		s.emit(s.mark(good, "The set may go."))
		s.Para(0, "next: dyelot garment send --lot LOT --order %s; the customer's own: dyelot commission give-back %s --lot LOT", r.GetCommission().GetReference(), r.GetCommission().GetCode())
	}
}

func (s *Sheet) customersOwn(own []*dyelotv1.CustomersOwn) {
	if len(own) == 0 {
		return
	}
	var rows [][]string
	for _, o := range own {
		rows = append(rows, []string{o.GetParcelCode(), o.GetItemCode(), amount(o.GetHeld()), fmt.Sprint(o.GetInLots()), fmt.Sprint(o.GetGivenBack()), or(o.GetMightNotTake())})
	}
	s.Table([]string{"the customer's", "item", ">undyed", ">in lots", ">given back", "might not take"}, rows)
}

// Commissions lists commissions.
func (s *Sheet) Commissions(r *dyelotv1.ListCommissionsResponse) {
	if len(r.GetCommissions()) == 0 {
		s.Line("No commission is open.")
		return
	}
	var rows [][]string
	for _, c := range r.GetCommissions() {
		pieces := 0
		for _, p := range c.GetPieces() {
			pieces += int(p.GetCount())
		}
		rows = append(rows, []string{c.GetCode(), c.GetReference(), c.GetColourwayCode(), fmt.Sprint(pieces), c.GetSetTolerance() + ", " + c.GetView(), or(c.GetDueOn()), c.GetState()})
	}
	s.Table([]string{"commission", "reference", "colourway", ">pieces", ">within", "due", "state"}, rows)
	s.Para(0, "Within is the greatest CIEDE2000 between two lots of a set, as agreed, in its standard's light and by its eye.")
}

// CustomersReceived confirms what a customer brought.
func (s *Sheet) CustomersReceived(r *dyelotv1.ReceiveCustomersResponse) {
	p := r.GetParcel()
	s.Title("%s: write this on the bag", p.GetCode())
	s.Para(0, "%s of %s taken in", amount(p.GetOnHand()), named(p.GetItemName(), p.GetItemCode()))
	s.origin(p)
	s.Para(0, "It has no price and counts in no stock: only runs of %s pick it, and it is given back.", p.GetCustomersCommissionCode())
	s.undoMovement(r.GetMovement())
	s.warn(0, r.GetWarnings())
}

// GivenBack confirms what went back to its customer.
func (s *Sheet) GivenBack(r *dyelotv1.GiveBackResponse) {
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	if len(r.GetTags()) > 0 {
		s.Para(0, "given back, dyed: %s", strings.Join(r.GetTags(), ", "))
	}
	for _, l := range r.GetMovement().GetLegs() {
		s.Para(0, "given back, undyed: %s of %s", amount(l.GetAmount()), l.GetParcelCode())
	}
	s.undoMovement(r.GetMovement())
}

// Sampled confirms that a blend was sampled.
func (s *Sheet) Sampled(r *dyelotv1.SampleParcelResponse) {
	p := r.GetParcel()
	s.Para(0, "%s was sampled on %s by %s (%s): a matched set may take it", named(p.GetItemName(), p.GetCode()), r.GetSampledOn(), r.GetBy(), r.GetEvidence())
}
