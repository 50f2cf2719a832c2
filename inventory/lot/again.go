package lot

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
)

// MayBeDyedFor is nil where a garment may go into a run of a commission, or of
// none, where commissionID is zero: what is a customer's is dyed for their
// commission alone, however often. fault.Refused, CUSTOMERS_OWN.
func (g Garment) MayBeDyedFor(commissionID int64) error {
	if g.CommissionID == 0 || g.CommissionID == commissionID {
		return nil
	}
	return fault.Refuse("CUSTOMERS_OWN", "%s belongs to the customer of W%d: it is dyed for that commission and given back, never taken for another run", g.Tag, g.CommissionID).
		With("tag", g.Tag).With("commission", fmt.Sprintf("W%d", g.CommissionID))
}

// MayDyeAgain is nil where a garment of a lot may go into a new one: it waits on
// the shelf part-done; or it came back, is imperfect or is to be re-dyed, and
// nothing more can happen to its lot at the pot.
//
// fault.Refused: PLANNED_AGAIN where a new lot waits for it already,
// GARMENT_AWAY where it is not in the house, LOT_STATE while its lot is in work,
// NOT_TO_DYE where it is good as it is, or nobody has said that it is not.
func (g Garment) MayDyeAgain(l Lot) error {
	switch {
	case g.Next != 0:
		return g.plannedAgain()
	case g.Place == PlacePartDone:
		return nil
	case !slices.Contains([]Place{PlaceInWork, PlaceShelf, PlaceReturned}, g.Place):
		return g.away("is %s: what is dyed again has to be in the house", State(g.Place).Words())
	case slices.Contains([]State{Planned, InWork, WaitingForTests}, l.State):
		return fault.Refuse("LOT_STATE", "%s is of lot %s, which is %s: its own lot is dyed and decided about first", g.Tag, l.Code, l.State.Words()).
			With("state", string(l.State)).With("lot", l.Code)
	case g.Place == PlaceReturned:
		return nil
	}
	if v := State(g.Verdict(l)); v != Imperfect && v != ReDye {
		return fault.Refuse("NOT_TO_DYE", "%s is %s: only what came back, is imperfect, is to be re-dyed or waits part-done goes into a new lot", g.Tag, v.Words()).
			With("tag", g.Tag).With("lot", l.Code)
	}
	return nil
}

// plannedAgain refuses what would take a garment from the lot that waits for it.
func (g Garment) plannedAgain() *fault.Fault {
	next := fmt.Sprintf("L%d", g.Next)
	return fault.Refuse("PLANNED_AGAIN", "%s is planned into lot %s: issue that lot, or give its run up first", g.Tag, next).With("tag", g.Tag).With("lot", next)
}

// MayMend is nil where a garment is in the house and was dyed, so that somebody
// can have mended it. fault.Refused, GARMENT_AWAY.
func (g Garment) MayMend() error {
	if !slices.Contains([]Place{PlaceInWork, PlacePartDone, PlaceShelf, PlaceReturned}, g.Place) {
		return g.away("is %s: what is mended has to be in the house", State(g.Place).Words())
	}
	return nil
}
