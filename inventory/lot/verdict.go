package lot

import (
	"slices"
	"strings"

	"dyelot/inventory/fault"
)

// Outcome is one thing that a verdict can say: a row of the table below.
type Outcome struct {
	Act Act
	// NeedsReason: what does not simply pass is asked why, on every later day.
	NeedsReason bool
	// Place is where the garments go that are still in the house; empty where
	// they stay.
	Place Place
	// Single: it can be said of one garment alone.
	Single bool
}

var outcomes = []Outcome{
	{Pass, false, PlaceShelf, true},
	{Hold, true, PlaceInWork, true},
	{SellImperfect, true, PlaceShelf, true},
	{SendToReDye, true, PlaceInWork, true},
	{Scrap, true, PlaceScrapped, true},
	{Close, false, "", false},
}

// OutcomeOf finds an outcome by its word; fault.Invalid, field "outcome", with
// the list of known ones.
func OutcomeOf(word string) (Outcome, error) {
	var known []string
	for _, o := range outcomes {
		if string(o.Act) == word {
			return o, nil
		}
		known = append(known, string(o.Act))
	}
	return Outcome{}, fault.BadField("outcome", "%.40q is no verdict: use one of %s", word, strings.Join(known, ", "))
}

func (o Outcome) reasoned(reason string) error {
	if o.NeedsReason && strings.TrimSpace(reason) == "" {
		return fault.BadField("reason", "%s needs a reason", o.Act)
	}
	return nil
}

// InHouse are the places of garments that a verdict on their lot moves, unless
// they are planned into another lot.
var InHouse = []Place{PlaceInWork, PlaceShelf, PlacePartDone}

// Give decides a verdict on the whole lot and returns its next state. Garments
// that had a verdict of their own keep it.
//
// fault.Invalid: a reason that is missing. fault.Refused: LOT_STATE where the
// lot's life has no such turn; HOUSE_STANDARD where it is to pass and may not.
func (j Judgement) Give(o Outcome, reason string) (State, error) {
	if err := o.reasoned(reason); err != nil {
		return "", err
	}
	next, err := Next(j.Code, j.State, o.Act)
	if err != nil {
		return "", err
	}
	if o.Act == Pass {
		err = j.Refusal()
	}
	return next, err
}

// singleIn are the states of a lot in which one of its garments may be given a
// verdict of its own. A piece may be torn in the pot, but nothing is judged
// before the lot is dyed.
var singleIn = map[State][]Act{
	InWork:          {Scrap},
	PartDone:        {Scrap},
	WaitingForTests: {Pass, Hold, SellImperfect, SendToReDye, Scrap},
	Held:            {Pass, Hold, SellImperfect, SendToReDye, Scrap},
	Passed:          {Pass, Hold, SellImperfect, SendToReDye, Scrap},
	Imperfect:       {Pass, Hold, SellImperfect, SendToReDye, Scrap},
	ReDye:           {Hold, SellImperfect, SendToReDye, Scrap},
	Closed:          {Hold, SellImperfect, SendToReDye, Scrap}, // of what came back
}

// GiveSingle decides a verdict on single garments of the lot, which then goes
// before their lot's.
//
// fault.Invalid: a missing reason, an outcome that is only of whole lots, a
// garment of another lot. fault.Refused: LOT_STATE; GARMENT_AWAY for one that
// is not in the house; PLANNED_AGAIN for one that is planned into another lot;
// HOUSE_STANDARD where one is to pass and its lot may not:
// it came out of the same pot.
func (j Judgement) GiveSingle(o Outcome, reason string, garments []Garment, lotID int64) error {
	if err := o.reasoned(reason); err != nil {
		return err
	}
	if !o.Single {
		return fault.BadField("tags", "a single garment is not %s: only its lot is", o.Act)
	}
	if !slices.Contains(singleIn[j.State], o.Act) {
		return fault.Refuse("LOT_STATE", "lot %s is %s: no garment of it can be given the verdict %s", j.Code, j.State.Words(), o.Act).With("state", string(j.State)).With("lot", j.Code)
	}
	for _, g := range garments {
		switch {
		case g.LotID != lotID:
			return fault.BadField("tags", "%s is not of lot %s", g.Tag, j.Code)
		case g.Place != PlaceInWork && g.Place != PlaceShelf && g.Place != PlaceReturned && g.Place != PlacePartDone:
			return fault.Refuse("GARMENT_AWAY", "%s is %s: a verdict is given on what is in the house", g.Tag, g.Place).With("tag", g.Tag).With("place", string(g.Place))
		case g.Next != 0:
			return g.plannedAgain()
		}
	}
	if o.Act == Pass {
		return j.Refusal()
	}
	return nil
}

// Measurable refuses (fault.Refused, LOT_STATE) to read or test the cloth of a
// lot that is not dyed yet, or never will be.
func (s State) Measurable(code string) error {
	if s == Planned || s == Cancelled {
		return fault.Refuse("LOT_STATE", "lot %s is %s: there is no dyed cloth of it", code, s.Words()).With("state", string(s)).With("lot", code)
	}
	return nil
}
