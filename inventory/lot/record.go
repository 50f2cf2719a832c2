package lot

import (
	"fmt"
	"slices"
	"strings"
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
	// Iron is what each lot's garments have been offered so far.
	Iron map[int64]recipe.Iron
	// Fibre is the one that the recipe is for.
	Fibre string
}

// Deviation is where what was done differs from what was planned. It stops
// nothing, and every later view shows it.
type Deviation struct {
	Key     string // dose, parcel, vessel, temperature, time, ph, extra
	Planned string
	Actual  string
	Text    string
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
// are the things that cannot have happened: a stage that the plan does not
// have, one that is recorded already, dyeing garments that were not issued,
// any stage after a verdict, an end before the beginning, a vessel that does
// not hold the bath; and iron above the fibre's line without a named person's
// override.
func Record(b Before, d Done) (Decision, error) {
	if len(b.Baths) == 0 || len(b.Lots) == 0 {
		return Decision{}, fault.BadField("position", "the plan of these lots has no such stage")
	}
	dec := Decision{Kind: b.Baths[0].Kind, States: map[int64]State{}}
	if !d.Started.IsZero() && !d.Finished.IsZero() && d.Finished.Before(d.Started) {
		return dec, fault.BadField("finished_at", "%s is before the start at %s", d.Finished.Format(time.DateTime), d.Started.Format(time.DateTime))
	}
	for _, l := range b.Lots {
		next, err := step(l, b, dec.Kind)
		if err != nil {
			return dec, err
		}
		dec.States[l.ID] = next
		dec.Lots = append(dec.Lots, BathLot{l.ID, l.Fibre()})
	}
	dec.Deviations = deviations(b, d)
	dec.Promises = spend(b, d)
	warned, err := ironOf(b, d, dec)
	dec.Warnings = warned
	return dec, err
}

func step(l Lot, b Before, k Kind) (State, error) {
	if code, done := b.Recorded[l.ID]; done {
		return "", fault.Refuse("RECORDED_ALREADY", "%s records %s of lot %s already: undo it first, if it is wrong", code, k.Name, l.Code).With("record", code)
	}
	if l.State == Planned && !k.Brews {
		return "", fault.Refuse("NOT_ISSUED", "lot %s has not been issued: take its blanks off the shelf before %s", l.Code, k.Name).With("lot", l.Code)
	}
	act := StageDone
	if b.Open[l.ID] <= 1 && l.State == InWork {
		act = LastDone
	}
	return Next(l.Code, l.State, act)
}

// expected is the plan for the lots of this record, by item: of a bath that is
// recorded for some of its lots only, their share by fibre mass.
type expected struct {
	item    stock.Item
	amount  quantity.Amount
	parcels []string
}

func expect(b Before) []expected {
	var plan []expected
	for _, bath := range b.Baths {
		for _, dose := range bath.Doses {
			part := quantity.Amount{Unit: dose.Amount.Unit}
			for i, share := range Divide(dose.Amount, bath.Lots, dose.Item.Resolution) {
				if b.has(bath.Lots[i].LotID) {
					part = part.Add(share)
				}
			}
			at := slices.IndexFunc(plan, func(e expected) bool { return e.item.ID == dose.Item.ID })
			if at < 0 {
				plan, at = append(plan, expected{item: dose.Item, amount: quantity.Amount{Unit: part.Unit}}), len(plan)
			}
			plan[at].amount = plan[at].amount.Add(part)
			for _, p := range dose.Picks {
				if !slices.Contains(plan[at].parcels, p.Code) {
					plan[at].parcels = append(plan[at].parcels, p.Code)
				}
			}
		}
	}
	return plan
}

func (b Before) has(lotID int64) bool {
	return slices.ContainsFunc(b.Lots, func(l Lot) bool { return l.ID == lotID })
}

// deviations lists, in a fixed order: doses as the recipe has them, what was
// extra, then vessel, temperature, time and pH.
func deviations(b Before, d Done) []Deviation {
	var found []Deviation
	plan := expect(b)
	for _, e := range plan {
		got := quantity.Amount{Unit: e.amount.Unit}
		var from []string
		for _, u := range d.Used {
			if u.Parcel.Item.ID == e.item.ID {
				got, from = got.Add(u.Amount), append(from, u.Parcel.Code())
			}
		}
		if got != e.amount {
			found = append(found, Deviation{"dose", e.amount.String(), got.String(),
				fmt.Sprintf("%s: %s instead of %s (%s)", e.item.Name, got, e.amount, signed(got.Sub(e.amount)))})
		}
		if others := without(from, e.parcels); len(e.parcels) > 0 && len(others) > 0 {
			found = append(found, Deviation{"parcel", strings.Join(e.parcels, ", "), strings.Join(from, ", "),
				fmt.Sprintf("%s: from %s instead of %s", e.item.Name, strings.Join(from, ", "), strings.Join(e.parcels, ", "))})
		}
	}
	for _, u := range d.Used {
		if !slices.ContainsFunc(plan, func(e expected) bool { return e.item.ID == u.Parcel.Item.ID }) {
			found = append(found, Deviation{"extra", "none", u.Amount.String(), fmt.Sprintf("%s: %s, which the plan does not have", u.Parcel.Item.Name, u.Amount)})
		}
	}
	return append(found, circumstances(b.Baths[0], d)...)
}

func circumstances(plan Bath, d Done) []Deviation {
	var found []Deviation
	add := func(key, planned, actual, what string) {
		found = append(found, Deviation{key, planned, actual, fmt.Sprintf("%s: %s instead of %s", what, actual, planned)})
	}
	if plan.Vessel.ID != 0 && d.Vessel.ID != 0 && plan.Vessel.ID != d.Vessel.ID {
		add("vessel", plan.Vessel.Code, d.Vessel.Code, "vessel")
	}
	if plan.Celsius != 0 && d.Celsius != 0 && plan.Celsius != d.Celsius {
		add("temperature", fmt.Sprintf("%d °C", plan.Celsius), fmt.Sprintf("%d °C", d.Celsius), "temperature")
	}
	if plan.Minutes != 0 && d.Minutes != 0 && plan.Minutes != d.Minutes {
		add("time", fmt.Sprintf("%d min", plan.Minutes), fmt.Sprintf("%d min", d.Minutes), "time")
	}
	if d.PH != nil && (plan.PHLow != nil && *d.PH < *plan.PHLow || plan.PHHigh != nil && *d.PH > *plan.PHHigh) {
		add("ph", phRange(plan.PHLow, plan.PHHigh), recipe.PH(*d.PH).String(), "pH")
	}
	return found
}

func phRange(low, high *int) string {
	switch {
	case low == nil:
		return "at most " + recipe.PH(*high).String()
	case high == nil:
		return "at least " + recipe.PH(*low).String()
	}
	return recipe.PH(*low).String() + " to " + recipe.PH(*high).Decimal()
}

func signed(a quantity.Amount) string {
	if a.N > 0 {
		return "+" + a.String()
	}
	return a.String()
}

func without(from, known []string) []string {
	return slices.DeleteFunc(slices.Clone(from), func(s string) bool { return slices.Contains(known, s) })
}

// spend turns the promises of these lots into what was used of them. Once no
// lot of a bath is open any more, the rest is released as unused; until then it
// is kept for the others.
func spend(b Before, d Done) []stock.PromiseEntry {
	taken := map[int64]quantity.Amount{}
	for _, u := range d.Used {
		taken[u.Parcel.ID] = taken[u.Parcel.ID].Add(u.Amount)
	}
	var own []stock.Promise
	waiting := map[int64]bool{} // promises of baths with lots still open
	for _, bath := range b.Baths {
		open := slices.ContainsFunc(bath.Lots, func(l BathLot) bool {
			_, recorded := b.Recorded[l.LotID]
			return !recorded && !b.has(l.LotID)
		})
		for _, dose := range bath.Doses {
			for _, p := range dose.Promises {
				own, waiting[p.ID] = append(own, p), open
			}
		}
	}
	return slices.DeleteFunc(stock.Fulfil(own, taken), func(e stock.PromiseEntry) bool {
		return e.Why == stock.Unused && waiting[e.PromiseID]
	})
}

// ironOf adds what this bath offers to what the garments have had, and asks for
// a named override where it is above the fibre's line.
func ironOf(b Before, d Done, dec Decision) ([]recipe.Warning, error) {
	offered, err := Iron(d.Used, dec.Lots)
	if err != nil || offered == (recipe.Iron{}) {
		return nil, err
	}
	fibre, err := recipe.FibreOf(b.Fibre)
	if err != nil {
		return nil, err
	}
	var warned []recipe.Warning
	for _, l := range b.Lots {
		for _, w := range recipe.CheckIron([]recipe.Fibre{fibre}, b.Iron[l.ID].Add(offered)) {
			if !slices.ContainsFunc(warned, func(had recipe.Warning) bool { return had == w }) {
				warned = append(warned, w)
			}
		}
	}
	if len(warned) > 0 && (strings.TrimSpace(d.Override.By) == "" || strings.TrimSpace(d.Override.Reason) == "") {
		return warned, fault.Refuse("OVERRIDE_NEEDED", "%s", warned[0].Text).At("override_by").With("offered", offered.String())
	}
	return warned, nil
}

// Iron is what a bath offered to the fibre in it, as copperas on its air-dry
// mass, summed over everything that was poured in.
func Iron(used []Used, lots []BathLot) (recipe.Iron, error) {
	dry := Bath{Lots: lots}.Fibre()
	var sum recipe.Iron
	for _, u := range used {
		if u.Parcel.Item.Substance == "" {
			continue
		}
		s, err := recipe.Lookup(u.Parcel.Item.Substance)
		if err != nil {
			return sum, err
		}
		if u.Parcel.StrengthUnknown {
			if slices.Contains(s.Formula.Metals(), "Fe") || s.Metal == "Fe" {
				sum.Unknown = true
			}
			continue
		}
		more, err := recipe.IronFrom(s, u.Parcel.ActingMass(u.Amount), dry)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(more)
	}
	return sum, nil
}

// Skip is Record for a stage that is left out: nothing is used, everything that
// was promised for these lots goes free, and the deviation says so.
func Skip(b Before) (Decision, error) {
	dec, err := Record(b, Done{})
	dec.Deviations = []Deviation{{"skipped", dec.Kind.Name, "not done", dec.Kind.Name + " was left out"}}
	return dec, err
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

// Restore gives promises back what a record, undone now, had used of them or
// freed. spent carries in Outstanding what each lacks of what was promised;
// free is what each parcel can give.
func Restore(spent []stock.Promise, free map[int64]quantity.Amount) []stock.PromiseEntry {
	var entries []stock.PromiseEntry
	for _, p := range spent {
		n := min(p.Outstanding.N, free[p.ParcelID].N)
		if n <= 0 {
			continue
		}
		entries = append(entries, stock.PromiseEntry{PromiseID: p.ID, Delta: n, Why: stock.Restored})
		free[p.ParcelID] = quantity.Amount{N: free[p.ParcelID].N - n, Unit: free[p.ParcelID].Unit}
	}
	return entries
}
