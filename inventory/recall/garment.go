package recall

import (
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// Hands says in whose hands a place is.
type Hands uint8

// In the house, out of it, or nowhere any more.
const (
	Ours Hands = iota + 1
	Out
	Nobodys
)

// hands has a row for every place that a garment can be in. What lies in the
// studio's own shop is the studio's; what was lent is out.
var hands = map[lot.Place]Hands{
	lot.PlacePlanned:   Ours,
	lot.PlaceInWork:    Ours,
	lot.PlacePartDone:  Ours,
	lot.PlaceShelf:     Ours,
	lot.PlaceReturned:  Ours,
	lot.PlaceSold:      Out,
	lot.PlaceGivenBack: Out,
	lot.PlaceScrapped:  Nobodys,
	lot.PlaceGone:      Nobodys,
}

// HandsOf is in whose hands a place is.
func HandsOf(p lot.Place) Hands { return hands[p] }

// How is what became of a garment; empty: nobody knows yet.
type How string

// What can have become of it.
const (
	Returned    How = "returned"
	Kept        How = "checked-and-kept" // and found fit to wear, wherever it is
	Destroyed   How = "destroyed"
	Unreachable How = "cannot-be-reached"
)

// Hows lists them.
func Hows() []How { return []How{Returned, Kept, Destroyed, Unreachable} }

// HowOf reads one; fault.Invalid, field how, with the list of known ones.
func HowOf(word string) (How, error) {
	if slices.Contains(Hows(), How(word)) {
		return How(word), nil
	}
	var known []string
	for _, h := range Hows() {
		known = append(known, string(h))
	}
	return "", fault.BadField("how", "%.40q says not what became of it: use one of %s", word, strings.Join(known, ", "))
}

// Garment is one garment of a recall.
type Garment struct {
	ID            int64
	Tag           string
	Place         lot.Place
	OrderRef      string // while it is sold
	FoundPlace    lot.Place
	FoundOrderRef string
	SinceThen     bool // it came downstream after the recall was opened
	Listed        bool // it stands on the kept list
	Told          bool
	Accounted     How
}

// Held is true of a garment that may not be sold while the recall is open: only
// having been checked lets it go.
func (g Garment) Held() bool { return g.Accounted != Kept }

// Settled is true of a garment that is accounted for; what was scrapped is,
// whoever scrapped it.
func (g Garment) Settled() bool { return g.Accounted != "" || HandsOf(g.Place) == Nobodys }

// Undecided is true of a garment in the house that was neither checked nor
// destroyed: it lies there, held.
func (g Garment) Undecided() bool {
	return HandsOf(g.Place) == Ours && g.Accounted != Kept
}

// ToTell is true of a garment that was out when it was found, or is out now.
func (g Garment) ToTell() bool { return HandsOf(g.FoundPlace) == Out || HandsOf(g.Place) == Out }

// SoldUnder is true of a garment that was found sold under an order, or is now.
func (g Garment) SoldUnder(orderRef string) bool {
	return orderRef != "" && (g.OrderRef == orderRef || g.FoundOrderRef == orderRef)
}

// Tell is nil where somebody can be told of a garment. fault.Refused,
// NOBODY_TO_TELL, where it never was out.
func (g Garment) Tell() error {
	if g.ToTell() {
		return nil
	}
	return fault.Refuse("NOBODY_TO_TELL", "%s is %s and was not out: there is nobody to tell of it", g.Tag, g.Place.Words()).With("tag", g.Tag).With("place", string(g.Place))
}

// Step is what the books do with a garment as it is accounted for.
type Step uint8

// Nothing more than the note; or the same act as on any other day.
const (
	NoStep Step = iota
	TakeBack
	Scrap
)

// Account decides what a garment is accounted for as, and which act goes with
// it: returned takes a sold one back; destroyed scraps one that is in the house
// and only notes one that is out, which was destroyed where it is.
//
// fault.Refused: ACCOUNTED_ALREADY for the same word twice, or after it was
// scrapped; NOT_OUT for what never left or is a customer's own again;
// IN_OUR_HANDS for what cannot be reached though it lies here.
func (g Garment) Account(how How) (Step, error) {
	whose := HandsOf(g.Place)
	refuse := func(reason, format string, args ...any) (Step, error) {
		return NoStep, fault.Refuse(reason, "%s "+format, append([]any{g.Tag}, args...)...).With("tag", g.Tag).With("place", string(g.Place)).With("accounted", string(g.Accounted))
	}
	again := how == Returned && g.Place == lot.PlaceSold || how == Destroyed && whose == Ours // it went out once more, or came back after all
	switch {
	case g.Accounted == how && !again:
		return refuse("ACCOUNTED_ALREADY", "is accounted for as %s already", how.Words())
	case whose == Nobodys && how != Destroyed:
		return refuse("ACCOUNTED_ALREADY", "is %s: it can only be accounted for as destroyed", g.Place.Words())
	case how == Returned:
		return g.comeBack(refuse)
	case how == Unreachable && whose == Ours:
		return refuse("IN_OUR_HANDS", "is %s: it can be reached", g.Place.Words())
	case how == Destroyed && whose == Ours:
		return Scrap, nil
	}
	return NoStep, nil
}

func (g Garment) comeBack(refuse func(reason, format string, args ...any) (Step, error)) (Step, error) {
	switch {
	case g.Place == lot.PlaceSold:
		return TakeBack, nil
	case g.Place == lot.PlaceReturned:
		return NoStep, nil
	case HandsOf(g.Place) == Out:
		return refuse("NOT_OUT", "is %s: what its customer brings again is taken in anew, or accounted for as checked or destroyed", g.Place.Words())
	case HandsOf(g.FoundPlace) == Out:
		return NoStep, nil // it came back, and was judged since
	}
	return refuse("NOT_OUT", "is %s and was not out: it cannot have come back", g.Place.Words())
}

// Words is the word as it is said: "checked and kept".
func (h How) Words() string { return strings.ReplaceAll(string(h), "-", " ") }
