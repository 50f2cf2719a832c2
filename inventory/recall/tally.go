package recall

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// Tally is how far a recall has come.
type Tally struct {
	Found, SinceThen     int // on the list as it was found; downstream since then
	ToTell, Told         int // of those that are or were out
	Accounted            int
	Held                 int // in the house, undecided
	StillOut             int // out, not accounted for
	Places               []PlaceCount
	Returned, Kept       int
	Destroyed, Unreached int
}

// PlaceCount is how many are in one place, and how many of those are open.
type PlaceCount struct {
	Place lot.Place
	Count int
	Open  int
}

// All is how many garments there are.
func (t Tally) All() int { return t.Found + t.SinceThen }

// Count adds garments up.
func Count(gs []Garment) Tally {
	var t Tally
	at := map[lot.Place]*PlaceCount{}
	hows := map[How]*int{Returned: &t.Returned, Kept: &t.Kept, Destroyed: &t.Destroyed, Unreachable: &t.Unreached}
	for _, g := range gs {
		add(&t.SinceThen, g.SinceThen)
		add(&t.Found, !g.SinceThen)
		add(&t.ToTell, g.ToTell())
		add(&t.Told, g.ToTell() && g.Told)
		add(&t.Accounted, g.Settled())
		add(&t.Held, g.Undecided())
		add(&t.StillOut, HandsOf(g.Place) == Out && !g.Settled())
		if at[g.Place] == nil {
			at[g.Place] = &PlaceCount{Place: g.Place}
		}
		at[g.Place].Count++
		add(&at[g.Place].Open, !g.Settled())
		if n := hows[g.Accounted]; n != nil {
			*n++
		}
	}
	for _, p := range lot.Places() {
		if at[p] != nil {
			t.Places = append(t.Places, *at[p])
		}
	}
	return t
}

func add(n *int, when bool) {
	if when {
		*n++
	}
}

// Percent is how many of all, rounded down: 100 is every one. Of nothing
// everything is done.
func Percent(part, all int) int {
	if all == 0 {
		return 100
	}
	return part * 100 / all
}

// MayClose is nil where a recall may be closed: nothing lies undecided in the
// house, and of each garment that is out somebody was told, or it is accounted
// for all the same. Some may never answer: that the reason says.
//
// fault.Refused: RECALL_UNDECIDED, RECALL_UNTOLD, each with how many, and the
// first few tags.
func MayClose(code string, gs []Garment) error {
	undecided := few(gs, Garment.Undecided)
	if len(undecided) > 0 {
		return fault.Refuse("RECALL_UNDECIDED", "%s stays open: %d in the house %s neither checked and kept nor destroyed: %s", code, len(undecided), verb(len(undecided)), named(undecided)).
			With("recall", code).With("undecided", fmt.Sprint(len(undecided)))
	}
	untold := few(gs, func(g Garment) bool { return HandsOf(g.Place) == Out && !g.Told && !g.Settled() })
	if len(untold) > 0 {
		return fault.Refuse("RECALL_UNTOLD", "%s stays open: of %d that %s out nobody was told: %s", code, len(untold), verb(len(untold)), named(untold)).
			With("recall", code).With("untold", fmt.Sprint(len(untold)))
	}
	return nil
}

func few(gs []Garment, is func(Garment) bool) []string {
	var tags []string
	for _, g := range gs {
		if is(g) {
			tags = append(tags, g.Tag)
		}
	}
	slices.Sort(tags)
	return tags
}

func verb(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// mostNamed is how many tags a sentence names before it counts the rest.
const mostNamed = 5

func named(tags []string) string {
	if len(tags) <= mostNamed {
		return strings.Join(tags, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(tags[:mostNamed], ", "), len(tags)-mostNamed)
}
