package opening

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/stock"
)

// Understood is what sheets come to when they are held against the books.
type Understood struct {
	Plan Plan
	// Off forbids the import: each of its notes is to be put right.
	Off Notes
	// Mind forbids nothing.
	Mind Notes
	Sums []Sum // by item
}

// reading is one pass over the sheets.
type reading struct {
	sheets Sheets
	books  Books
	form   Form
	plan   Plan
	off    *Notes
	mind   *Notes

	known     map[string]stock.Item // of the books and of the items sheet
	broken    map[string]bool       // items whose own row is off
	itemLine  map[string]int
	refs      map[string]int // into plan.Parcels
	brokenRef map[string]bool
	lines     map[Origin]int
	lotLines  map[string]int
	sums      map[string]Sum
	said      map[string]bool
	lotsOff   bool // what some lots took is not known
}

// Understand holds the sheets against the books. off is what reading them found
// already. Where anything is off, the plan is not to be used.
func Understand(s Sheets, b Books, f Form, off Notes) Understood {
	u := Understood{Off: off}
	r := &reading{sheets: s, books: b, form: f, off: &u.Off, mind: &u.Mind,
		known: map[string]stock.Item{}, broken: map[string]bool{}, itemLine: map[string]int{}, refs: map[string]int{}, brokenRef: map[string]bool{},
		lines: map[Origin]int{}, lotLines: map[string]int{}, sums: map[string]Sum{}, said: map[string]bool{}}
	maps.Copy(r.known, b.Items)
	r.items()
	r.parcels()
	r.lots()
	r.settleParcels()
	u.Plan = r.plan
	for _, code := range slices.Sorted(maps.Keys(r.sums)) {
		u.Sums = append(u.Sums, r.sums[code])
	}
	slices.SortStableFunc(u.Off.List, func(a, b Note) int {
		if a.Sheet != b.Sheet {
			return slices.Index(Kinds(), a.Sheet) - slices.Index(Kinds(), b.Sheet)
		}
		return a.Line - b.Line
	})
	return u
}

func (r *reading) cells(s Sheet, row Row) *cells {
	return &cells{sheet: s, row: row, form: r.form, off: r.off, ok: true}
}

// mind notes what does not stop the row.
func (c *cells) mind(r *reading, column, format string, args ...any) {
	r.mind.add(c.sheet.Kind, c.row.Line, column, format, args...)
}

// mindOnce notes a sentence where it first applies, and not a thousand times.
func (r *reading) mindOnce(k Kind, line int, column, text string) {
	if !r.said[text] {
		r.said[text] = true
		r.mind.add(k, line, column, "%s", text)
	}
}

// Wants lists what of the books the sheets name.
func (s Sheets) Wants() Wants {
	var w Wants
	items, lots, codes, refs, ways := set{}, set{}, set{}, set{}, set{}
	for _, row := range s.Items.Rows {
		items.put(strings.ToLower(s.Items.cell(row, "item")))
	}
	for _, row := range s.Parcels.Rows {
		items.put(strings.ToLower(s.Parcels.cell(row, "item")))
		lots.put(strings.ToLower(strings.Join(strings.Fields(s.Parcels.cell(row, "supplier_lot")), " ")))
	}
	for _, row := range s.Lots.Rows {
		ways.put(strings.ToLower(s.Lots.cell(row, "colourway")))
		refs.put(refKey(s.Lots.cell(row, "ref")))
		words := []string{s.Lots.cell(row, "blanks")}
		for _, one := range listed(s.Lots.cell(row, "used")) {
			word, _, _ := strings.Cut(one, "=")
			words = append(words, word)
		}
		for _, word := range words {
			refs.put(refKey(word))
			if word = strings.ToUpper(strings.TrimSpace(word)); parcelCode.MatchString(word) {
				codes.put(word)
			}
		}
	}
	w.Items, w.SupplierLots, w.ParcelCodes, w.Refs, w.Colourways = items.list(), lots.list(), codes.list(), refs.list(), ways.list()
	return w
}

type set map[string]bool

func (s set) put(word string) {
	if word != "" {
		s[word] = true
	}
}

func (s set) list() []string { return slices.Sorted(maps.Keys(s)) }

// FirstRows is how many rows of each sheet are shown as they were understood.
const FirstRows = 5

// InWords shows the first rows of each sheet as they were understood.
func (p Plan) InWords() []Note {
	var notes []Note
	say := func(k Kind, line int, text string) { notes = append(notes, Note{Sheet: k, Line: line, Text: text}) }
	for _, it := range p.Items[:min(FirstRows, len(p.Items))] {
		say(Items, it.Line, it.words())
	}
	for _, q := range p.Parcels[:min(FirstRows, len(p.Parcels))] {
		say(Parcels, q.Line, q.words())
	}
	for _, l := range p.Lots[:min(FirstRows, len(p.Lots))] {
		say(Lots, l.Line, l.words())
	}
	return notes
}

func (it Item) words() string {
	text := fmt.Sprintf("%s: %s %q, counted in %s", it.Code, it.Kind, it.Name, it.Unit.Name())
	for _, f := range it.Fibres {
		text += fmt.Sprintf(", %s of %s", f.Percent, f.Fibre)
	}
	if it.PieceMass.Unit != 0 {
		text += fmt.Sprintf(", %s a piece", it.PieceMass)
	}
	if it.Terms.Minimum.N > 0 {
		text += fmt.Sprintf(", at least %s kept", it.Terms.Minimum)
	}
	return text
}

func (p Parcel) words() string {
	when := "came " + p.ArrivedAt.Format(time.DateOnly)
	switch p.Origin {
	case stock.FromHarvest:
		when = "picked " + p.ArrivedAt.Format(time.DateOnly)
	case stock.FromMaking:
		when = "made " + p.ArrivedAt.Format(time.DateOnly)
	}
	text := fmt.Sprintf("%s of %s on the shelf, %s", p.Item.Zero().Add(p.Has), p.Item.Code, when)
	if p.Damp() {
		text = fmt.Sprintf("%s, damp, %s fresh, %s", p.Item.Code, p.Harvest.Fresh, when)
	}
	if p.Supplier != "" {
		text += " from " + p.Supplier
	}
	if p.SupplierLot != "" {
		text += ", lot " + p.SupplierLot
	}
	if p.Cost.Currency != "" {
		text += ", " + p.Cost.String()
	}
	if p.Received.N > p.Has.N {
		text += fmt.Sprintf("; %s came in, %s went into these lots, %s before", p.Received, p.Used, p.Gone())
	}
	return text
}

func (l Lot) words() string {
	text := fmt.Sprintf("%d pieces, %s air-dry, dyed %s in %s by %s with %s version %d, passed by %s", len(l.Masses), l.Mass(), l.DyedOn.Format(time.DateOnly),
		l.Pot.Code, l.By, l.Recipe.Code, l.Recipe.Version, l.PassedBy)
	if l.Sold > 0 {
		text += fmt.Sprintf("; %d sold for %s", l.Sold, l.Order)
	}
	return text
}
