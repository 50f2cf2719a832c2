package lot

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Commission is a matched set for one customer: what is asked, how far its lots
// may be apart, and by when. Whose it is is kept elsewhere: here stands the
// order's own reference.
type Commission struct {
	ID           int64
	Reference    string // "choir-7"
	Colourway    string // code
	ColourwayID  int64
	StandardCode string
	View         colour.View // the standard's light and eye, which the tolerance is for
	SetTolerance Tolerance   // as agreed with the customer; it goes before the standard's
	DueOn        time.Time
	Pieces       []CommissionPieces
	Spares       int // dyed with the set and kept, beyond what is asked
	Note         string
	AgreedAt     time.Time
	AgreedBy     string
	SignOffs     []SignOff // the oldest first
}

// CommissionPieces is what is asked of one blank item.
type CommissionPieces struct {
	ItemID       int64
	ItemCode     string
	ItemName     string
	Count        int
	MightNotTake string // why; the customer is told before it is dyed
}

// SignOff is a swatch that the customer's side agreed to: a reading, a lot's
// cloth, or the standard itself.
type SignOff struct {
	ReadingID  int64
	LotID      int64
	Standard   string
	StandardID int64
	On         time.Time
	ByRole     string // a word, such as conductor; never a name
	Note       string
	RecordedBy string
}

// Code is "W1".
func (c Commission) Code() string { return "W" + strconv.FormatInt(c.ID, 10) }

// String names it aloud: "W1 (choir-7)".
func (c Commission) String() string { return c.Code() + " (" + c.Reference + ")" }

// Asked is how many pieces the customer asked for, without spares.
func (c Commission) Asked() int {
	n := 0
	for _, p := range c.Pieces {
		n += p.Count
	}
	return n
}

var (
	referenceForm = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$`)
	codeForm      = regexp.MustCompile(`^w[0-9]+$`)
	roleForm      = regexp.MustCompile(`^[a-z][a-z-]{0,39}$`)
)

// mostAsked of one commission: beyond that it is a collection.
const mostAsked = 2000

// Check refuses (fault.Invalid, naming the field) a commission that nothing can
// be judged or planned by, or that could name a person.
func (c Commission) Check(today time.Time) error {
	switch {
	case !referenceForm.MatchString(c.Reference) || codeForm.MatchString(c.Reference):
		return fault.BadField("reference", "%.40q: the order's own reference in lower-case letters, digits and hyphens is needed, such as choir-7; who it is for is kept elsewhere", c.Reference)
	case c.SetTolerance <= 0 || c.SetTolerance > widest:
		return fault.BadField("set_tolerance", "%s: a CIEDE2000 above 0 and at most %s is needed, as agreed with the customer", c.SetTolerance, widest)
	case !c.DueOn.IsZero() && c.DueOn.Before(today):
		return fault.BadField("due_on", "%s is past: today is %s", c.DueOn.Format(time.DateOnly), today.Format(time.DateOnly))
	case len(c.Pieces) == 0:
		return fault.BadField("pieces", "is needed: how many pieces of which blank")
	case c.Spares < 0 || c.Spares > mostAsked:
		return fault.BadField("spares", "%d spare pieces: 0 to %d", c.Spares, mostAsked)
	}
	seen := map[int64]bool{}
	for i, p := range c.Pieces {
		at := fmt.Sprintf("pieces[%d]", i)
		switch {
		case seen[p.ItemID]:
			return fault.BadField(at+".item_code", "%s is named twice: add up its pieces", p.ItemCode)
		case p.Count < 1 || p.Count > mostAsked:
			return fault.BadField(at+".count", "%d pieces of %s: 1 to %d", p.Count, p.ItemCode, mostAsked)
		}
		seen[p.ItemID] = true
	}
	return nil
}

// Check refuses (fault.Invalid, naming the field) a sign-off of nothing or of
// two things at once, without its day, or by somebody whose name stands there.
func (s SignOff) Check(c Commission) error {
	n := 0
	for _, given := range []bool{s.ReadingID != 0, s.LotID != 0, s.Standard != ""} {
		if given {
			n++
		}
	}
	switch {
	case n != 1:
		return fault.BadField("", "say which swatch was agreed to: exactly one of a reading, a lot or the standard")
	case s.Standard != "" && s.Standard != c.StandardCode:
		return fault.BadField("standard_code", "%s is not what %s is judged by: its colourway %s goes by %s", s.Standard, c.Code(), c.Colourway, c.StandardCode)
	case !roleForm.MatchString(s.ByRole):
		return fault.BadField("by_role", "%.40q: who agreed, in one lower-case word such as conductor; no name is kept", s.ByRole)
	case s.On.IsZero():
		return fault.BadField("signed_on", "is needed: the day the swatch was agreed to")
	}
	return nil
}

// MayPlan refuses a run for the commission: COMMISSION_UNSIGNED before the
// customer's side agreed to a swatch; (fault.Invalid, field "colourway_code")
// another colourway than the one agreed.
func (c Commission) MayPlan(colourway string) error {
	switch {
	case colourway != c.Colourway:
		return fault.BadField("colourway_code", "%s is for %s, not for %s", c, c.Colourway, colourway)
	case len(c.SignOffs) == 0:
		return fault.Refuse("COMMISSION_UNSIGNED", "no run is planned for %s: nobody of the customer's side has signed a swatch off yet", c).With("commission", c.Code())
	}
	return nil
}

// SetLot is a lot of a commission, as far as its leaving is concerned.
type SetLot struct {
	ID     int64
	Code   string
	RunID  int64
	State  State
	Pieces []SetPieces
}

// SetPieces are the garments of one item in one lot.
type SetPieces struct {
	ItemID  int64
	Count   int
	Planned int // that are part of the set, or may still become one
	Passed  int // in a lot that passed, and without a worse verdict of their own
	Gone    int // of those passed: sold, or given back
}

// open is true of a lot whose fate nobody has decided.
func (l SetLot) open() bool {
	switch l.State {
	case Planned, InWork, WaitingForTests, Held:
		return true
	}
	return false
}

// Tally sums the pieces of some lots up, of one item, or of all where it is zero.
func Tally(lots []SetLot, itemID int64) (t SetPieces) {
	t.ItemID = itemID
	for _, l := range lots {
		for _, p := range l.Pieces {
			if itemID == 0 || p.ItemID == itemID {
				t.Count, t.Planned, t.Passed, t.Gone = t.Count+p.Count, t.Planned+p.Planned, t.Passed+p.Passed, t.Gone+p.Gone
			}
		}
	}
	return t
}

// Whole is nil where the set may go as far as its lots' verdicts are concerned:
// no lot of any run of it is open, and of each item as many pieces passed as
// were asked for. It passes as a set or not at all: otherwise fault.Refused,
// WHOLE_SET, and no piece of it leaves. Whether its lots match each other, their
// set's row says.
//
// What was sold as imperfect, dyed again or thrown away is no part of the set
// any more; a spare piece or a second run takes its place.
func (c Commission) Whole(lots []SetLot) error {
	var wait []string
	for _, l := range lots {
		if l.open() {
			wait = append(wait, fmt.Sprintf("lot %s is %s", l.Code, l.State.Words()))
		}
	}
	for _, p := range c.Pieces {
		if passed := Tally(lots, p.ItemID).Passed; passed < p.Count {
			wait = append(wait, fmt.Sprintf("of %s %d of the %d asked for have passed", p.ItemCode, passed, p.Count))
		}
	}
	if len(wait) == 0 {
		return nil
	}
	return fault.Refuse("WHOLE_SET", "no piece of %s leaves: a set passes as a set or not at all, and %s", c, strings.Join(wait, "; ")).
		With("commission", c.Code()).With("passed", strconv.Itoa(Tally(lots, 0).Passed)).With("asked", strconv.Itoa(c.Asked()))
}

// State sums the commission up in a word: unsigned, signed, in-work, judged, or
// handed-over once all that was asked for has gone.
func (c Commission) State(lots []SetLot) string {
	gone := true
	for _, p := range c.Pieces {
		gone = gone && Tally(lots, p.ItemID).Gone >= p.Count
	}
	switch {
	case gone:
		return "handed-over"
	case len(lots) > 0 && c.Whole(lots) == nil:
		return "judged"
	case len(lots) > 0:
		return "in-work"
	case len(c.SignOffs) > 0:
		return "signed"
	}
	return "unsigned"
}

// Short says what is still to be planned: pieces asked for and spares, against
// what is planned or passed so far. Empty where it is enough.
func (c Commission) Short(lots []SetLot) string {
	var lack []string
	for _, p := range c.Pieces {
		if planned := Tally(lots, p.ItemID).Planned; planned < p.Count {
			lack = append(lack, fmt.Sprintf("of %s %d of the %d asked for are planned", p.ItemCode, planned, p.Count))
		}
	}
	if all := Tally(lots, 0).Planned; len(lack) == 0 && all < c.Asked()+c.Spares {
		lack = append(lack, fmt.Sprintf("%d of %d spare pieces are planned, and a piece dyed later never matches", max(0, all-c.Asked()), c.Spares))
	}
	return strings.Join(lack, "; ")
}

// MayGiveBack is nil where a dyed garment of a customer goes back to them: it
// was judged, whatever the verdict, for theirs it is even where it failed.
// Whether the set stands is asked beside this of what passed.
//
// fault.Refused: NOT_CUSTOMERS, GARMENT_AWAY, NEEDS_VERDICT.
func (g Garment) MayGiveBack(commissionID int64, l Lot) error {
	switch {
	case g.CommissionID == 0 || g.CommissionID != commissionID:
		return fault.Refuse("NOT_CUSTOMERS", "%s does not belong to the customer of W%d: only their own is given back", g.Tag, commissionID).With("tag", g.Tag)
	case g.Place == PlaceGivenBack || g.Place == PlaceGone:
		return g.away("is %s already", g.Place.Words())
	}
	switch v := g.Verdict(l); State(v) {
	case Planned, InWork, PartDone, WaitingForTests, Held, Cancelled:
		return fault.Refuse("NEEDS_VERDICT", "%s is not given back yet: it is %s, and what was dyed is judged first", g.Tag, State(v).Words()).
			With("tag", g.Tag).With("lot", l.Code).With("verdict", v)
	}
	return nil
}

// InSet is true of a garment that goes as part of its set, not beside it.
func (g Garment) InSet(l Lot) bool {
	v := g.Verdict(l)
	return v == string(Passed) || v == string(Closed)
}
