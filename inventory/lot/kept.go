package lot

import (
	"fmt"
	"strconv"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// EntryKind is what an entry in the diary of a bath says.
type EntryKind string

// The entries.
const (
	EntrySet   EntryKind = "set"    // a vat was set; no lot has been in it
	EntryKept  EntryKind = "kept"   // kept for another use
	EntryTopUp EntryKind = "top-up" // water or feed went in between uses
	EntryNote  EntryKind = "note"   // looked at, read, fed
	EntrySpent EntryKind = "spent"  // poured away
)

// feeds are the entries that stock may go into.
var feeds = map[EntryKind]bool{EntrySet: true, EntryTopUp: true, EntryNote: true}

// logged are the entries that LogBath writes, in the order they are told.
var logged = []EntryKind{EntryKept, EntryTopUp, EntryNote, EntrySpent}

// Entry is one entry in the diary of a bath.
type Entry struct {
	ID         int64
	BathID     int64
	Kind       EntryKind
	AfterUse   int // how many uses were over by then
	HappenedAt time.Time
	RecordedAt time.Time
	By         string
	Litres     quantity.Amount // absent where nobody measured
	PH         *int            // hundredths
	Celsius    int
	Route      string
	Note       string
	Undone     bool
	UndoneWhy  string
	Used       []Taken
}

// Liquor is a bath over its whole life: one liquor in one vessel, with its uses
// and its diary. Nothing in it claims what dye or salt is left.
type Liquor struct {
	ID       int64
	Code     string
	Kind     Kind
	Vessel   Pot // ID zero where none was named
	Fibre    string
	OpenedAt time.Time
	UseAt    []time.Time     // when its standing uses were; additions are no uses of their own
	Lots     []int64         // whatever was in it, ascending
	LastUse  time.Time       // of its uses and additions; zero before the first
	Measured quantity.Amount // the bath of the last use that read it …
	Use      int             // … and which that was
	Entries  []Entry         // in the order in which they happened
}

// Uses counts them.
func (b Liquor) Uses() int { return len(b.UseAt) }

// UsesBy counts those that were over by a time.
func (b Liquor) UsesBy(at time.Time) int {
	n := 0
	for _, used := range b.UseAt {
		if !used.After(at) {
			n++
		}
	}
	return n
}

// standing are the entries that nobody took back.
func (b Liquor) standing() []Entry {
	var found []Entry
	for _, e := range b.Entries {
		if !e.Undone {
			found = append(found, e)
		}
	}
	return found
}

// lastOf is the last standing entry of one of some kinds.
func (b Liquor) lastOf(kinds ...EntryKind) (Entry, bool) {
	var last Entry
	for _, e := range b.standing() {
		for _, k := range kinds {
			if e.Kind == k {
				last = e
			}
		}
	}
	return last, last.ID != 0
}

// State is in-use, kept or spent.
func (b Liquor) State() string {
	last, found := b.lastOf(EntrySet, EntryKept, EntrySpent)
	switch {
	case !found:
		return "in-use"
	case last.Kind == EntrySpent:
		return "spent"
	}
	return "kept"
}

// Days is how many whole days the bath has stood, until now or until it was
// logged spent.
func (b Liquor) Days(now time.Time) int {
	if spent, over := b.lastOf(EntrySpent); over {
		now = spent.HappenedAt
	}
	return max(0, int(now.Sub(b.OpenedAt)/(24*time.Hour)))
}

// Litres is how much there is, as far as it was measured: what the last entry
// that measured the whole says, and what was topped up since. Absent where
// nobody knows; zero once it is spent.
func (b Liquor) Litres() quantity.Amount {
	litres := b.Measured
	for _, e := range b.standing() {
		switch {
		case e.Kind == EntrySpent:
			litres = quantity.Amount{Unit: quantity.Volume}
		case e.Litres.Unit == 0 || e.AfterUse < b.Use:
		case e.Kind == EntryTopUp && litres.Unit != 0:
			litres = litres.Add(e.Litres)
		case e.Kind != EntryTopUp:
			litres = e.Litres
		}
	}
	return litres
}

// Read is the last pH and temperature that the diary has; nil and zero where it
// has none.
func (b Liquor) Read() (ph *int, celsius int) {
	for _, e := range b.standing() {
		if e.PH != nil {
			ph = e.PH
		}
		if e.Celsius != 0 {
			celsius = e.Celsius
		}
	}
	return ph, celsius
}

// goesOn refuses (fault.Refused) what cannot have happened to a bath: BATH_SPENT
// after it was poured away, BATH_EARLIER before what it is already known to have
// been through.
func (b Liquor) goesOn(what string, at time.Time) error {
	if spent, over := b.lastOf(EntrySpent); over {
		return fault.Refuse("BATH_SPENT", "%s was logged spent on %s: %s", b.Code, spent.HappenedAt.Format(time.DateOnly), what).With("bath", b.Code).With("entry", EntryCode(spent.ID))
	}
	last := b.LastUse
	for _, e := range b.standing() {
		if e.HappenedAt.After(last) {
			last = e.HappenedAt
		}
	}
	if at.Before(last) {
		return fault.Refuse("BATH_EARLIER", "%s was used or written of last at %s, and this would be at %s: %s", b.Code, last.Format(time.DateTime), at.Format(time.DateTime), what).With("bath", b.Code)
	}
	return nil
}

// EntryCode is "E4".
func EntryCode(id int64) string { return "E" + strconv.FormatInt(id, 10) }

// MayServe refuses (fault.Refused) another use of a bath for a stage:
// BATH_SPENT, OTHER_BATH for a stage of another kind, BATH_EARLIER for a use
// before the last one. A bath that nobody said to keep may be used again all the
// same: it is there.
func (b Liquor) MayServe(k Kind, at time.Time) error {
	if b.Kind.Key != k.Key {
		return fault.Refuse("OTHER_BATH", "%s is a bath for %s, and this is %s: name another bath, or record it as a fresh one", b.Code, b.Kind.Name, k.Name).With("bath", b.Code)
	}
	return b.goesOn("it cannot be used again", at)
}

// MayLog refuses an entry that says nothing or cannot be. fault.Invalid: a kind
// that is not written by hand ("kind"), a spent bath without litres or route, a
// top-up of nothing, a note of nothing, stock in an entry that takes none
// ("used"), a route of a bath that goes nowhere, more litres than its vessel has
// to the brim. fault.Refused as in MayServe.
func (b Liquor) MayLog(e Entry, feed int) error {
	measured := e.Litres.Unit != 0 && e.Litres.N > 0
	if b.Vessel.Brim.N > 0 && e.Litres.N > b.Vessel.Brim.N {
		return fault.BadField("litres", "%s do not go into %s, which holds %s to the brim", e.Litres, b.Vessel.Code, b.Vessel.Brim)
	}
	switch e.Kind {
	case EntryKept:
	case EntryTopUp:
		if !measured && feed == 0 {
			return fault.BadField("litres", "is needed: what went in, litres or something from a parcel")
		}
	case EntryNote:
		if e.PH == nil && e.Celsius == 0 && feed == 0 && e.Note == "" && !measured {
			return fault.BadField("note", "is needed: what was seen, read or fed")
		}
	case EntrySpent:
		if !measured {
			return fault.BadField("litres", "is needed: how much was poured away")
		}
		if e.Route == "" {
			return fault.BadField("route", "is needed: where it went, such as foul sewer")
		}
	default:
		return fault.BadField("kind", "%.40q is no entry for a bath: use one of %v", string(e.Kind), logged)
	}
	if feed > 0 && !feeds[e.Kind] {
		return fault.BadField("used", "nothing goes into a bath that is %s: top it up first", e.Kind)
	}
	if e.Route != "" && e.Kind != EntrySpent {
		return fault.BadField("route", "is for a bath that is logged spent")
	}
	if e.Kind == EntryTopUp || e.Kind == EntryNote {
		return b.wasThere(e.HappenedAt)
	}
	return b.goesOn("nothing more happens to it", e.HappenedAt)
}

// StillIn warns of liquors that are kept in a vessel while a fresh one is set in
// it: one of the two is not there.
func StillIn(vessel Pot, kept []Liquor) []recipe.Warning {
	var said []recipe.Warning
	for _, b := range kept {
		if b.Vessel.ID == vessel.ID {
			said = append(said, recipe.Warning{Key: "vessel-taken", Source: recipe.Source{Mark: recipe.Practice},
				Text: fmt.Sprintf("%s still holds %s by the books: log that one spent, or take this one back if it is the same liquor", vessel.Code, b.Code)})
		}
	}
	return said
}

// wasThere lets what went in between two uses be written down late; refused
// (fault.Refused), BATH_SPENT and BATH_EARLIER, where there was no such bath.
func (b Liquor) wasThere(at time.Time) error {
	if spent, over := b.lastOf(EntrySpent); over && !at.Before(spent.HappenedAt) {
		return b.goesOn("nothing more happens to it", at)
	}
	if at.Before(b.OpenedAt) {
		return fault.Refuse("BATH_EARLIER", "%s was made at %s, and this would be at %s", b.Code, b.OpenedAt.Format(time.DateTime), at.Format(time.DateTime)).With("bath", b.Code)
	}
	return nil
}
