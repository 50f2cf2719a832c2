package lot

import (
	"slices"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Done is what somebody says was done at the pot.
type Done struct {
	Used     []Used
	Vessel   Pot // ID zero where none was named
	Started  time.Time
	Finished time.Time
	Celsius  int
	Minutes  int
	PH       *int // hundredths
	Reason   string
	Override Override
	Dips     []Dips // counted, of a vat
}

// Used is an amount that was weighed or measured out of one parcel.
type Used struct {
	Parcel stock.Parcel
	Amount quantity.Amount
}

// Override is a named person taking a warning on.
type Override struct{ By, Reason string }

// Before is what stands in the books when the record arrives.
type Before struct {
	Lots []Lot
	// Baths of the plan, at this position, that serve any of the lots; each
	// dose with its promises.
	Baths []Bath
	// Recorded maps a lot to its standing record of this position.
	Recorded map[int64]string
	// Open counts, by lot, the stages of its plan without a standing record.
	Open map[int64]int
	// Scrapped are lots of the run that no longer come to their baths, those that
	// were put on the shelf part-done among them.
	Scrapped map[int64]bool
	// Iron is what each lot's baths have offered its garments so far, and Past
	// what some of them had been offered in lots before.
	Iron map[int64]recipe.Iron
	Past map[int64]Past
	// Fibres are the one that the recipe is for and those of the garments.
	Fibres []string
	// Liquor is what went into the bath before this use of it.
	Liquor []stock.Parcel
}

func (b Before) has(lotID int64) bool {
	return slices.ContainsFunc(b.Lots, func(l Lot) bool { return l.ID == lotID })
}

// planned is true of a lot that one of the baths is for.
func (b Before) planned(lotID int64) bool {
	return slices.ContainsFunc(b.Baths, func(bath Bath) bool { return bath.serves(lotID) })
}

// Decision is what follows from a record.
type Decision struct {
	Kind       Kind
	Lots       []BathLot
	States     map[int64]State // the lots' next states
	Deviations []Deviation
	Promises   []stock.PromiseEntry // of these lots: used, and what they no longer need
	Warnings   []recipe.Warning
}

// Record holds what was done against the plan.
//
// What was weighed is never refused for a wrong book figure (law 2). Refused
// are the things that cannot have happened: fault.Invalid, a stage that the plan
// does not have and an end before the beginning; fault.Refused, RECORDED_ALREADY,
// NOT_ISSUED for garments that are still on the shelf, LOT_STATE for any stage
// after a verdict; and OVERRIDE_NEEDED, iron above the fibre's line without a
// named person's override.
func Record(b Before, d Done) (Decision, error) {
	if len(b.Baths) == 0 || len(b.Lots) == 0 {
		return Decision{}, fault.BadField("position", "the plan of these lots has no such stage")
	}
	if !d.Started.IsZero() && !d.Finished.IsZero() && d.Finished.Before(d.Started) {
		return Decision{}, fault.BadField("finished_at", "%s is before the start at %s", d.Finished.Format(time.DateTime), d.Started.Format(time.DateTime))
	}
	dec := Decision{Kind: b.Baths[0].Kind, States: map[int64]State{}}
	if err := countable(dec.Kind, d.Dips); err != nil {
		return Decision{}, err
	}
	for _, l := range b.Lots {
		next, err := step(l, b, dec.Kind)
		if err != nil {
			return Decision{}, err
		}
		dec.States[l.ID] = next
		dec.Lots = append(dec.Lots, BathLot{l.ID, l.Fibre()})
	}
	iron, err := ironOf(b, d, dec.Lots)
	if err != nil {
		return Decision{}, err
	}
	dec.Deviations = deviations(b, d)
	dec.Promises = spend(b, d)
	dec.Warnings = slices.Concat(d.Vessel.Warnings(dec.Kind), gauged(b, d), iron)
	return dec, nil
}

// gauged warns of a temperature above the fibre's limit and of a vat's pH
// outside its range, as they were read.
func gauged(b Before, d Done) []recipe.Warning {
	return gaugedOf(b.Baths[0].Kind, b.Fibres, d)
}

func gaugedOf(k Kind, fibres []string, d Done) []recipe.Warning {
	p := recipe.Planned{Stage: k.Key}
	for _, f := range known(fibres) {
		p.Fibres = append(p.Fibres, f.Key)
	}
	if d.Celsius != 0 {
		p.Heat = new(recipe.Degrees(int64(d.Celsius)))
	}
	if d.PH != nil {
		p.PH = new(recipe.PH(*d.PH))
	}
	said, err := recipe.Check(p)
	if err != nil { // hotter than any open pot, and written down all the same
		return []recipe.Warning{{Key: "too-hot", Text: sentence(err), Source: recipe.Source{Mark: recipe.Practice}}}
	}
	return slices.DeleteFunc(said, func(w recipe.Warning) bool { return w.Key != "too-hot" && w.Key != "vat-ph" })
}

// step is the state that the record brings a lot to. A brew needs no cloth, so
// it may come before the blanks are issued, unless it is all that the lot waits
// for: issuing it would then never end.
func step(l Lot, b Before, k Kind) (State, error) {
	if !b.planned(l.ID) {
		return "", fault.BadField("position", "the plan of lot %s has no such stage", l.Code)
	}
	if code, done := b.Recorded[l.ID]; done {
		return "", fault.Refuse("RECORDED_ALREADY", "%s records %s of lot %s already: undo it first, if it is wrong", code, k.Name, l.Code).With("record", code)
	}
	last := b.Open[l.ID] <= 1
	if l.State == Planned && (!k.Brews || last) {
		return "", fault.Refuse("NOT_ISSUED", "lot %s has not been issued: take its blanks off the shelf before %s is recorded", l.Code, k.Name).With("lot", l.Code)
	}
	if last && l.State == InWork {
		return Next(l.Code, l.State, LastDone)
	}
	return Next(l.Code, l.State, StageDone)
}

// Skip is Record for a stage that is left out: nothing is used, what was
// promised for it goes free once no other lot of its bath waits for it, and the
// deviation says so.
func Skip(b Before) (Decision, error) {
	dec, err := Record(b, Done{})
	if err != nil {
		return Decision{}, err
	}
	dec.Deviations = []Deviation{{"skipped", dec.Kind.Name, "not done", dec.Kind.Name + " was left out"}}
	return dec, nil
}

// UndoStates is where lots stand once a record of theirs is taken back.
func UndoStates(lots []Lot) (map[int64]State, error) {
	states := map[int64]State{}
	for _, l := range lots {
		next, err := Next(l.Code, l.State, Undo)
		if err != nil {
			return nil, err
		}
		states[l.ID] = next
	}
	return states, nil
}
