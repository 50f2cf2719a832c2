package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Add holds an addition against the record that it adds to: look at a dried
// corner, add some, look again. The lots stay where they are in their plan, no
// promise is touched, and the iron counts with everything that they had.
//
// fault.Invalid: nothing was added ("used"). fault.Refused: NOT_A_BATH for a
// record without a liquor or one that was left out, UNDONE_ALREADY,
// ADD_TO_THE_STAGE for an addition to an addition, BATH_EARLIER before the stage
// itself, BATH_WENT_ON once the bath was used again, kept, topped up or spent,
// LOT_STATE after a verdict,
// OVERRIDE_NEEDED as in Record.
func Add(b Before, main Standing, bath Liquor, at time.Time, d Done) (Decision, error) {
	code := RecordCode(main.ID)
	switch {
	case main.Undone:
		return Decision{}, fault.Refuse("UNDONE_ALREADY", "%s has been undone: %s", code, main.UndoneWhy)
	case main.Skipped || main.BathID == 0:
		return Decision{}, fault.Refuse("NOT_A_BATH", "%s (%s) has no bath that something could be added to", code, main.Kind.Name).With("record", code)
	case main.AdditionTo != 0:
		return Decision{}, fault.Refuse("ADD_TO_THE_STAGE", "%s is itself an addition: add to %s", code, RecordCode(main.AdditionTo)).With("record", RecordCode(main.AdditionTo))
	case len(d.Used) == 0:
		return Decision{}, fault.BadField("used", "is needed: what was added")
	case at.Before(main.HappenedAt) && at.Before(main.StartedAt):
		return Decision{}, fault.Refuse("BATH_EARLIER", "%s was done at %s, and this would be at %s", code, main.HappenedAt.Format(time.DateTime), at.Format(time.DateTime)).With("bath", bath.Code)
	case bath.UsesBy(at) > main.BathUse:
		return Decision{}, fault.Refuse("BATH_WENT_ON", "%s is in its use %d by then, and %s is its use %d: what went in is of the later one", bath.Code, bath.UsesBy(at), code, main.BathUse).With("bath", bath.Code)
	}
	for _, e := range bath.standing() {
		if said := bathWords[e.Kind]; said != "" && e.AfterUse >= main.BathUse && !at.Before(e.HappenedAt) {
			return Decision{}, fault.Refuse("BATH_WENT_ON", "%s is %s by then (%s): the cloth of %s is out of it", bath.Code, said, EntryCode(e.ID), code).With("bath", bath.Code).With("entry", EntryCode(e.ID))
		}
	}
	dec := Decision{Kind: main.Kind, States: map[int64]State{}, Lots: main.Lots}
	for _, l := range b.Lots {
		next, err := Next(l.Code, l.State, AddMore)
		if err != nil {
			return Decision{}, err
		}
		dec.States[l.ID] = next
	}
	iron, err := ironOf(b, d, dec.Lots)
	if err != nil {
		return Decision{}, err
	}
	for _, u := range d.Used {
		dec.Deviations = append(dec.Deviations, Deviation{"addition", "none", u.Amount.String(), u.Parcel.Item.Name + ": " + u.Amount.String() + " more" + madeMore(u, main.Lots)})
	}
	dec.Warnings = slices.Concat(gaugedOf(main.Kind, b.Fibres, d), iron)
	return dec, nil
}

var bathWords = map[EntryKind]string{EntryKept: "kept", EntryTopUp: "topped up", EntrySpent: "spent"}

// RecordCode is "S4".
func RecordCode(id int64) string { return fmt.Sprintf("S%d", id) }

// madeMore is what an addition makes of the fibre: ", 6.6 % WOF".
func madeMore(u Used, lots []BathLot) string {
	mass := u.Parcel.ActingMass(u.Amount)
	if mass.Unit == 0 {
		return ""
	}
	return fmt.Sprintf(", %s WOF", quantity.PercentOf(mass, Bath{Lots: lots}.Fibre()))
}

// UndoAddition is where lots stand once an addition to a bath of theirs is taken
// back: where they stood.
func UndoAddition(lots []Lot) (map[int64]State, error) {
	states := map[int64]State{}
	for _, l := range lots {
		next, err := Next(l.Code, l.State, AddMore)
		if err != nil {
			return nil, err
		}
		states[l.ID] = next
	}
	return states, nil
}

// mostDips is more than any day has room for.
const mostDips = 1000

// countable refuses (fault.Invalid, "dips") dips of a stage that has none, a
// number that nobody counts, and a garment counted twice.
func countable(k Kind, groups []Dips) error {
	seen := map[int64]bool{}
	for i, g := range groups {
		at := fmt.Sprintf("dips[%d]", i)
		switch {
		case k.Uses != "vat":
			return fault.BadField("dips", "are counted in a vat, and this is %s", k.Name)
		case g.Dips < 1 || g.Dips > mostDips:
			return fault.BadField(at+".dips", "%d: 1 to %d is believed", g.Dips, mostDips)
		case g.Airings < 0 || g.Airings > mostDips:
			return fault.BadField(at+".airings", "%d: 0 to %d is believed", g.Airings, mostDips)
		case len(g.Garments) == 0 && len(groups) > 1:
			return fault.BadField(at+".tags", "are needed where several groups are counted apart")
		}
		for _, id := range g.Garments {
			if seen[id] {
				return fault.BadField(at+".tags", "a garment is counted twice")
			}
			seen[id] = true
		}
	}
	return nil
}

// Undipped warns of garments that are in no group where groups are counted: one
// that stayed dry looks like one that was forgotten on the sheet.
func Undipped(garments []Garment, groups []Dips) []recipe.Warning {
	counted := map[int64]bool{}
	for _, g := range groups {
		if len(g.Garments) == 0 { // the whole lot
			return nil
		}
		for _, id := range g.Garments {
			counted[id] = true
		}
	}
	var dry []string
	for _, g := range garments {
		if !counted[g.ID] {
			dry = append(dry, g.Tag)
		}
	}
	if len(counted) == 0 || len(dry) == 0 {
		return nil
	}
	return []recipe.Warning{{Key: "not-dipped", Text: fmt.Sprintf("no dip is counted of %s: nothing says that they were in the vat", strings.Join(dry, ", ")), Source: recipe.Source{Mark: recipe.Practice}}}
}
