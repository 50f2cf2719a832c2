package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Places lists where a garment can be, in the order of a life that goes well.
func Places() []Place {
	return []Place{PlacePlanned, PlaceInWork, PlacePartDone, PlaceShelf, PlaceSold, PlaceReturned, PlaceGivenBack, PlaceScrapped, PlaceGone}
}

// leaves are the verdicts with which a garment goes out. A closed lot was passed
// or sold as imperfect before.
var leaves = []string{string(Passed), string(Imperfect), string(Closed)}

// Verdict is what was decided of a garment: its own, or else its lot's.
func (g Garment) Verdict(l Lot) string {
	if g.Outcome != "" {
		return g.Outcome
	}
	return string(l.State)
}

// MayLeave is nil where a garment of a lot may go out to an order as far as it
// alone is concerned; whether its matched set stands, the set says.
//
// fault.Refused: CUSTOMERS_OWN where it is a customer's, GARMENT_AWAY where it
// is not on the shelf, NEEDS_VERDICT where it came back and nobody has judged it
// since, PLANNED_AGAIN where it is planned into another lot, NOT_PASSED where neither it nor
// its lot has passed or is sold as imperfect.
func (g Garment) MayLeave(l Lot) error {
	switch {
	case g.CommissionID != 0:
		return fault.Refuse("CUSTOMERS_OWN", "%s belongs to the customer of W%d: it is given back, never sold", g.Tag, g.CommissionID).
			With("tag", g.Tag).With("commission", fmt.Sprintf("W%d", g.CommissionID))
	case g.Place == PlaceSold:
		return g.away("is sold already, under order %s", g.OrderRef).With("order_ref", g.OrderRef)
	case g.Place == PlaceReturned:
		return fault.Refuse("NEEDS_VERDICT", "%s came back: it goes out again only with a verdict of its own", g.Tag).With("tag", g.Tag).With("place", string(g.Place))
	case g.Place == PlaceScrapped || g.Place == PlaceGone || g.Place == PlaceGivenBack:
		return g.away("is %s", g.Place.Words())
	case g.Next != 0:
		return g.plannedAgain()
	}
	if v := g.Verdict(l); !slices.Contains(leaves, v) {
		whose := "lot " + l.Code
		if g.Outcome != "" {
			whose = "it"
		}
		return fault.Refuse("NOT_PASSED", "%s does not leave: %s is %s, not passed", g.Tag, whose, State(v).Words()).
			With("tag", g.Tag).With("lot", l.Code).With("verdict", v)
	}
	if g.Place != PlaceShelf {
		return g.away("is %s, not on the shelf", State(g.Place).Words())
	}
	return nil
}

func (g Garment) away(format string, args ...any) *fault.Fault {
	return fault.Refuse("GARMENT_AWAY", "%s "+format, append([]any{g.Tag}, args...)...).With("tag", g.Tag).With("place", string(g.Place))
}

// MayComeBack is nil where a garment can be taken back: it was sold, and before
// that moment. fault.Refused, NOT_SOLD; fault.Invalid, field happened_at.
func (g Garment) MayComeBack(soldAt, at time.Time) error {
	if g.Place != PlaceSold {
		return fault.Refuse("NOT_SOLD", "%s is not sold, it is %s: only what went out comes back", g.Tag, State(g.Place).Words()).
			With("tag", g.Tag).With("place", string(g.Place))
	}
	if at.Before(soldAt) {
		return fault.BadField("happened_at", "%s is before it was sold, at %s", at.Format(time.RFC3339), soldAt.Format(time.RFC3339))
	}
	return nil
}

// OrderRef refuses what can be no order's own reference: nothing, or an address
// of the person who bought it, which has no place in these books.
func OrderRef(s string) error {
	switch {
	case strings.TrimSpace(s) == "":
		return fault.BadField("order_ref", "is needed: the order's own reference, so that a recall finds who has the garment")
	case strings.Contains(s, "@"):
		return fault.BadField("order_ref", "holds an address: who bought it is kept elsewhere, only the order's own reference stands here")
	}
	return nil
}
