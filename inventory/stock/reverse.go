package stock

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Reverse takes a movement back by hand: the same legs the other way, for the
// same amounts. parcels are those of its legs, locked.
//
// Refused: REVERSAL_STANDS, REVERSED_ALREADY, UNDO_THE_STAGE for what a stage
// or a lot took, UNDO_THE_ENTRY for what went into a kept bath, and STOCK_SHORT where what came in is no longer all there.
func Reverse(m Movement, parcels []Parcel, reason string) (Movement, error) {
	switch {
	case m.Kind == ActReversal:
		return Movement{}, fault.Refuse("REVERSAL_STANDS", "%s is a reversal: book what is right as a new movement", m.Code())
	case m.Kind == ActUse && m.RecordID != 0:
		return Movement{}, fault.Refuse("UNDO_THE_STAGE", "%s is what stage S%d used: undo the stage, so that both go back", m.Code(), m.RecordID).With("stage", fmt.Sprintf("S%d", m.RecordID))
	case m.Kind == ActUse && m.EntryID != 0:
		return Movement{}, fault.Refuse("UNDO_THE_ENTRY", "%s is what E%d put into a bath: take that entry back, so that both go back", m.Code(), m.EntryID).With("entry", fmt.Sprintf("E%d", m.EntryID))
	case m.Kind == ActUse:
		return Movement{}, fault.Refuse("UNDO_THE_STAGE", "%s was issued to lot L%d: it leaves that lot by a verdict or a return, not by a reversal", m.Code(), m.LotID).With("lot", fmt.Sprintf("L%d", m.LotID))
	}
	return Mirror(m, parcels, reason)
}

// Mirror is Reverse without the question who may: undoing a stage takes back
// its use with it. Refused: REVERSED_ALREADY, STOCK_SHORT.
func Mirror(m Movement, parcels []Parcel, reason string) (Movement, error) {
	if m.ReversedByID != 0 {
		return Movement{}, fault.Refuse("REVERSED_ALREADY", "%s was reversed by M%d already", m.Code(), m.ReversedByID).With("reversed_by", fmt.Sprintf("M%d", m.ReversedByID))
	}
	back := Movement{Kind: ActReversal, Reason: reason, ReversesID: m.ID, ReversesKind: m.Kind}
	for _, l := range m.Legs {
		back.Legs = append(back.Legs, Leg{l.ParcelID, l.To, l.From, l.Amount})
	}
	change := OnShelf(back.Legs)
	for _, p := range parcels {
		if after := p.OnHand.Add(change[p.ID]); after.N < 0 {
			gone := quantity.Amount{N: -after.N, Unit: after.Unit}
			return Movement{}, fault.Refuse("STOCK_SHORT", "%s holds %s of the %s that %s brought in: %s is missing, so it cannot be taken back whole; count or write off the parcel instead",
				p.Code(), p.OnHand, quantity.Amount{N: -change[p.ID].N, Unit: after.Unit}, m.Code(), gone).
				With("parcel", p.Code()).With("on_hand", p.OnHand.String()).With("missing", gone.String())
		}
	}
	return back, nil
}
