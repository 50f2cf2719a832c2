package cause

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Books is what the exposure of garments is read from.
type Books struct {
	Zone    *time.Location // of the studio's days and weeks
	Lots    map[int64]LotPast
	Parcels map[int64]stock.Parcel
	// Water are the readings of the small books, the earliest first.
	Water []WaterRead
}

// LotPast is what one lot went through.
type LotPast struct {
	Code    string // "L3"
	Recipe  string
	Version int
	Pot     string
	Records []lot.Standing // all of it; undone ones count for nothing
	// Parcels are all that its baths brought to its cloth, at any depth; no blanks.
	Parcels []int64
	Iron    recipe.Iron
	// Overridden are the rows of the house standard that somebody took on.
	Overridden []string
}

// WaterRead is one line of the water book.
type WaterRead struct {
	Code   string // "J4"
	Source string // "rain butt"
	At     time.Time
	Found  string // "3.2 °dH"
}

// Piece is a garment as the books have it.
type Piece struct {
	ID       int64
	Tag      string
	Returned bool
	// Lots that it was issued with before it left, or before it came back.
	Lots []int64
	// Blank is the parcel of its blank and all that was made into that.
	Blank  []int64
	Fibres []string
	Shade  string // "2 of R1"; empty where it was not sorted
}

// Case reads what each piece was exposed to in its whole life.
func (b Books) Case(pieces []Piece) Case {
	r := reader{Books: b, at: map[key]int{}, lots: map[int64][]int{}}
	r.printed = b.printedLots()
	for _, p := range pieces {
		g := Garment{ID: p.ID, Tag: p.Tag, Returned: p.Returned}
		var iron recipe.Iron
		for _, id := range p.Lots {
			g.Exposed = append(g.Exposed, r.lot(id)...)
			iron = iron.Add(b.Lots[id].Iron)
		}
		for _, id := range p.Blank {
			g.Exposed = append(g.Exposed, r.parcel(id)...)
		}
		g.Exposed = append(g.Exposed, r.note(ironFactor(p.Fibres, iron)))
		if p.Shade != "" {
			g.Exposed = append(g.Exposed, r.note(Factor{Kind: ShadeGroup, Code: p.Shade, Name: "shade group " + p.Shade, Had: "of shade group " + p.Shade, Own: true}))
		}
		slices.Sort(g.Exposed)
		g.Exposed = slices.Compact(g.Exposed)
		r.found.Garments = append(r.found.Garments, g)
	}
	return r.found
}

// Cloths are the witness cloths of some lots, each with all that its lot had;
// where says where each lies.
func (b Books) Cloths(where map[int64]string) []Cloth {
	r := reader{Books: b, at: map[key]int{}, lots: map[int64][]int{}}
	r.printed = b.printedLots()
	var all []Cloth
	for id, at := range where {
		var had []Factor
		for _, i := range r.lot(id) {
			had = append(had, r.found.Factors[i])
		}
		all = append(all, ClothWith(b.Lots[id].Code, at, had...))
	}
	return all
}

// reader gathers factors, each once.
type reader struct {
	Books
	found   Case
	at      map[key]int
	lots    map[int64][]int
	printed map[string][]int64
	again   map[int64]bool // baths with a second use
}

func (r *reader) note(f Factor) int {
	i, known := r.at[f.key()]
	if !known {
		i = len(r.found.Factors)
		r.at[f.key()] = i
		r.found.Factors = append(r.found.Factors, f)
	}
	return i
}

// printedLots are the parcels by what their supplier printed on them.
func (b Books) printedLots() map[string][]int64 {
	printed := map[string][]int64{}
	for id, p := range b.Parcels {
		if k := printedOn(p); k != "" {
			printed[k] = append(printed[k], id)
		}
	}
	return printed
}

func printedOn(p stock.Parcel) string {
	if p.SupplierLot == "" {
		return ""
	}
	return strings.ToLower(p.Supplier + "\x00" + p.SupplierLot)
}

// lot is what a lot brings to all its garments.
func (r *reader) lot(id int64) []int {
	if known, is := r.lots[id]; is {
		return known
	}
	l := r.Lots[id]
	var has []int
	note := func(f Factor) { has = append(has, r.note(f)) }
	if l.Recipe != "" {
		version := fmt.Sprintf("%s version %d", l.Recipe, l.Version)
		note(Factor{Kind: Recipe, Code: version, Name: "recipe " + version, Had: "dyed by " + version})
	}
	if l.Pot != "" {
		note(vessel(l.Pot))
	}
	for _, key := range l.Overridden {
		note(Factor{Kind: Override, Code: "row " + key, Name: "override of the row " + key, Had: "passed by an override of the row " + key})
	}
	for _, rec := range l.Records {
		if !rec.Undone {
			r.record(rec, note)
		}
	}
	for _, p := range l.Parcels {
		if r.Parcels[p].Item.Kind != stock.WitnessCloth {
			has = append(has, r.parcel(p)...)
		}
	}
	slices.Sort(has)
	r.lots[id] = slices.Compact(has)
	return r.lots[id]
}

func vessel(code string) Factor {
	return Factor{Kind: Vessel, Code: code, Name: "vessel " + code, Had: "that were in " + code}
}

// record is what one stage brings.
func (r *reader) record(rec lot.Standing, note func(Factor)) {
	stage := rec.Kind.Name
	if rec.Skipped {
		note(Factor{Kind: LeftUndone, Code: rec.Kind.Key, Name: stage + " skipped", Had: "whose " + stage + " was skipped"})
		return
	}
	note(Factor{Kind: Person, Code: rec.By + " at " + rec.Kind.Key, Name: rec.By + " at " + stage, Had: "whose " + stage + " " + rec.By + " did"})
	if rec.Override.By != "" {
		note(Factor{Kind: Override, Code: "stage " + rec.Kind.Key, Name: "override at " + stage, Had: "that went on by an override at " + stage})
	}
	if rec.Vessel.Code != "" {
		note(vessel(rec.Vessel.Code))
	}
	if !rec.Kind.Bath {
		return
	}
	at := rec.HappenedAt.In(r.Zone)
	year, week := at.ISOWeek()
	code := fmt.Sprintf("%d-W%02d", year, week)
	note(Factor{Kind: Week, Code: code, Name: "week " + code, Had: "that were in a bath in week " + code})
	if w, is := r.water(rec.HappenedAt); is {
		name := fmt.Sprintf("water as last read in %s (%s, %s, %s)", w.Code, w.Source, w.At.In(r.Zone).Format(time.DateOnly), w.Found)
		note(Factor{Kind: Water, Code: w.Code, Name: name, Had: "with " + name})
	}
	if rec.BathID != 0 && rec.AdditionTo == 0 {
		r.bath(rec, at, note)
	}
}

// bath: each use is a state of its liquor, and the bath itself is a suspect where
// it was used more than once.
func (r *reader) bath(rec lot.Standing, at time.Time, note func(Factor)) {
	words := fmt.Sprintf("%s S%d of %s", rec.Kind.Name, rec.ID, at.Format(time.DateOnly))
	if rec.Vessel.Code != "" {
		words += " in " + rec.Vessel.Code
	}
	if rec.BathUse > 1 {
		words += fmt.Sprintf(", use %d of B%d", rec.BathUse, rec.BathID)
	}
	note(Factor{Kind: BathUse, Code: fmt.Sprintf("S%d", rec.ID), Name: words, Had: "that were in " + words})
	if r.usedAgain(rec.BathID) {
		bath := fmt.Sprintf("bath B%d (%s) in any of its uses", rec.BathID, rec.Kind.Name)
		note(Factor{Kind: Bath, Code: fmt.Sprintf("B%d", rec.BathID), Name: bath, Had: "that were in " + bath})
	}
}

func (r *reader) usedAgain(bathID int64) bool {
	if r.again == nil {
		r.again = map[int64]bool{}
		for _, l := range r.Lots {
			for _, rec := range l.Records {
				if !rec.Undone && rec.BathUse > 1 {
					r.again[rec.BathID] = true
				}
			}
		}
	}
	return r.again[bathID]
}

// water is the last reading before a time. Which water went in the books do not
// say; where it was read anew, something of it was in doubt.
func (r *reader) water(at time.Time) (WaterRead, bool) {
	i, _ := slices.BinarySearchFunc(r.Water, at, func(w WaterRead, at time.Time) int {
		if w.At.After(at) {
			return 1
		}
		return -1
	})
	if i == 0 {
		return WaterRead{}, false
	}
	return r.Water[i-1], true
}

// parcel is one parcel, and its supplier's lot where several came of that.
func (r *reader) parcel(id int64) []int {
	p, known := r.Parcels[id]
	if !known {
		return nil
	}
	f := Factor{Kind: Parcel, Code: p.Code(), Name: p.Item.Name + " " + p.Code(), Own: p.Item.Kind == stock.Blank}
	if p.Item.Name == "" {
		f.Name = p.Item.Code + " " + p.Code()
	}
	switch p.Origin {
	case stock.FromHarvest:
		f.Kind = Harvest
		f.Name += fmt.Sprintf(" (harvest %s)", strings.Trim(p.Harvest.PickedOn.Format(time.DateOnly)+", "+p.Harvest.Place, ", "))
	case stock.FromMaking:
		f.Kind = Making
	default:
		if from := from(p); from != "" {
			f.Name += " (" + from + ")"
		}
	}
	f.Had = "that had " + f.Name + " in them"
	if f.Own {
		f.Had = "made of " + f.Name
	}
	has := []int{r.note(f)}
	if of := r.printed[printedOn(p)]; len(of) > 1 {
		name := from(r.Parcels[slices.Min(of)]) // as it was spelled first
		has = append(has, r.note(Factor{Kind: SupplierLot, Code: name, Name: fmt.Sprintf("%s, in %d parcels", name, len(of)), Had: "that had anything of " + name + " in them", Own: f.Own}))
	}
	return has
}

func from(p stock.Parcel) string {
	lot := ""
	if p.SupplierLot != "" {
		lot = "lot " + p.SupplierLot
	}
	return strings.Trim(p.Supplier+", "+lot, ", ")
}

// ironFactor says where the iron of a garment's life stands against the line of
// its fibres.
func ironFactor(fibres []string, iron recipe.Iron) Factor {
	f := Factor{Kind: IronAddedUp, Code: "below", Name: "iron up to the line", Had: "whose iron adds up to no more than their fibre's line", Own: true}
	if iron == (recipe.Iron{}) {
		f.Code, f.Name, f.Had = "none", "no iron", "that had no iron"
	}
	for _, w := range lot.IronWarnings(fibres, iron) {
		switch w.Key {
		case "iron-over":
			f.Code, f.Name, f.Had = "above", "iron above the line", "whose iron adds up to more than their fibre's line"
			return f
		case "iron-unknown":
			f.Code, f.Name, f.Had = "unknown", "iron of unknown strength", "that had iron of unknown strength"
		}
	}
	return f
}
