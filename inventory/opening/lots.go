package opening

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

const (
	maxPieces   = 10_000  // of one lot: no pot holds more
	maxGarments = 100_000 // of one import
)

func (r *reading) lots() {
	garments := 0
	r.lotsOff = r.sheets.Lots.Broken
	for _, row := range r.sheets.Lots.Rows {
		c := r.cells(r.sheets.Lots, row)
		l := Lot{Line: row.Line, Ref: c.name("ref"), Note: c.text("note"), By: orElse(c.name("by"), r.books.By), PassedBy: orElse(c.name("passed_by"), r.books.By)}
		r.lotRef(c, l.Ref)
		r.colourway(c, &l)
		r.days(c, &l)
		pieces := 0
		if c.needed("pieces") {
			pieces = c.whole("pieces", 1, maxPieces)
		}
		blanks, piece := r.blanks(c, &l)
		l.Masses = c.masses(pieces, piece)
		r.sold(c, &l, pieces)
		used := r.used(c, l.DyedOn)
		if garments += pieces; garments > maxGarments {
			c.refuse("pieces", "makes it more than %d garments, which is all that is taken at once", maxGarments)
			r.lotsOff = true
			return
		}
		if !c.ok {
			r.lotsOff = true
			continue
		}
		r.take(c, Taken{l.Blanks, quantity.Pieces(int64(pieces))}, l.DyedOn, "blanks")
		for _, t := range used {
			r.take(c, t, l.DyedOn, "used")
		}
		l.Bath = l.Recipe.Ratio.Bath(l.Mass())
		l.Bath.N = max(l.Bath.N, 1)
		l.Records = r.records(l, used)
		r.iron(c, &l, blanks)
		r.plan.Lots = append(r.plan.Lots, l)
	}
}

func orElse(text, usual string) string {
	if text == "" {
		return usual
	}
	return text
}

func (r *reading) lotRef(c *cells, ref string) {
	if ref == "" {
		return
	}
	if line, twice := r.lotLines[refKey(ref)]; twice {
		c.refuse("ref", "%q stands in line %d already", clip(ref), line)
		return
	}
	r.lotLines[refKey(ref)] = c.row.Line
	if codes := r.books.Lots[refKey(ref)]; len(codes) > 0 {
		c.mind(r, "ref", "%q was imported before, as %s: is it the same lot?", clip(ref), strings.Join(codes, ", "))
	}
}

func (r *reading) colourway(c *cells, l *Lot) {
	version := c.whole("recipe_version", 1, 1_000_000)
	if c.needed("colourway") {
		way, known := r.books.Colourways[c.code("colourway")]
		switch i := slices.IndexFunc(way.Versions, func(v recipe.Recipe) bool { return v.Version == version }); {
		case !known:
			c.refuse("colourway", "there is no colourway %q in the books: add it first", clip(c.text("colourway")))
		case c.text("recipe_version") == "":
			l.Colourway, l.Recipe = way, way.Versions[len(way.Versions)-1]
		case i < 0:
			c.refuse("recipe_version", "its recipe has the versions %d to %d, and no %d", way.Versions[0].Version, way.Versions[len(way.Versions)-1].Version, version)
		default:
			l.Colourway, l.Recipe = way, way.Versions[i]
		}
	}
	if c.needed("vessel") {
		pot, known := r.books.Vessels[c.text("vessel")]
		if !known {
			pot, known = r.books.Vessels[c.code("vessel")]
		}
		if l.Pot = pot; !known {
			c.refuse("vessel", "there is no vessel %q in the books: add it first", clip(c.text("vessel")))
		}
	}
}

func (r *reading) days(c *cells, l *Lot) {
	if !c.needed("dyed_on") {
		return
	}
	l.DyedOn = c.pastDay("dyed_on", r.books.Today)
	last, before := l.DyedOn, "dyed_on"
	for _, d := range []struct {
		column string
		into   *time.Time
	}{{"passed_on", &l.PassedOn}, {"sold_on", &l.SoldOn}} {
		if *d.into = c.pastDay(d.column, r.books.Today); d.into.IsZero() {
			*d.into = last
		}
		if d.into.Before(last) {
			c.refuse(d.column, "%s is before %s, %s", d.into.Format(time.DateOnly), before, last.Format(time.DateOnly))
		}
		last, before = *d.into, d.column
	}
}

// blanks finds what the garments were undyed, and what one piece of it weighs.
func (r *reading) blanks(c *cells, l *Lot) (stock.Parcel, quantity.Amount) {
	if !c.needed("blanks") {
		return stock.Parcel{}, quantity.Amount{}
	}
	from, p, ok := r.source(c, "blanks", c.name("blanks"))
	if ok && p.Item.Kind != stock.Blank {
		c.refuse("blanks", "%s is a %s: garments come from blanks", p.Item.Code, p.Item.Kind)
	}
	l.Blanks = from
	return p, p.OnePiece()
}

// source finds a parcel by ref or by code. What is not found and not to be
// complained of a second time is only not ok.
func (r *reading) source(c *cells, column, word string) (Source, stock.Parcel, bool) {
	if i, planned := r.refs[refKey(word)]; planned {
		return Source{Planned: i}, r.plan.Parcels[i].Parcel, true
	}
	if r.brokenRef[refKey(word)] {
		c.ok = false
		return Source{}, stock.Parcel{}, false
	}
	code := strings.ToUpper(word)
	if codes := r.books.Refs[refKey(word)]; len(codes) == 1 {
		code = codes[0]
	} else if len(codes) > 1 {
		c.refuse(column, "%q is the word for %s: name one of them by its code", clip(word), strings.Join(codes, " and "))
		return Source{}, stock.Parcel{}, false
	}
	p, known := r.books.Parcels[code]
	if !known {
		if c.ok = false; !r.sheets.Parcels.Broken {
			c.refuse(column, "there is no parcel %q: it is neither a ref of the parcels sheet nor a code in the books", clip(word))
		}
		return Source{}, p, false
	}
	return Source{ID: p.ID}, p, true
}

// masses divides what the garments weigh among them; without a total each weighs
// what one blank does.
func (c *cells) masses(pieces int, piece quantity.Amount) []quantity.Amount {
	total := c.amount("dry_mass", "", quantity.Mass)
	if pieces == 0 || !c.ok {
		return nil
	}
	masses := make([]quantity.Amount, pieces)
	if total.Unit == 0 {
		for i := range masses {
			masses[i] = piece
		}
		if piece.N > quantity.Max/int64(pieces) {
			c.refuse("pieces", "%d pieces of %s are more than is kept here", pieces, piece)
		}
		return masses
	}
	weights := slices.Repeat([]int64{1}, pieces)
	step := int64(tenthOfAGram)
	if total.N/int64(pieces) < step {
		step = 1
	}
	for i, n := range quantity.Share(total.N, weights, step) {
		masses[i] = quantity.Amount{N: n, Unit: quantity.Mass}
	}
	if masses[pieces-1].N <= 0 {
		c.refuse("dry_mass", "%s is too little for %d pieces", total, pieces)
	}
	return masses
}

const tenthOfAGram = 100_000 // µg: what the studio's scale shows

func (r *reading) sold(c *cells, l *Lot, pieces int) {
	l.Order = c.name("order")
	said := c.text("sold") != ""
	sold := c.whole("sold", 0, cmp.Or(pieces, maxPieces))
	switch {
	case l.Order == "" && said && sold > 0:
		c.refuse("order", "is empty, and %d were sold: give the order's own reference, so that a recall finds who has them", sold)
	case l.Order == "" && c.text("sold_on") != "":
		c.refuse("sold_on", "is for what was sold: give the order's own reference in order")
	case l.Order == "":
	case !said:
		sold = pieces
	}
	if l.Order != "" {
		if err := lot.OrderRef(l.Order); err != nil {
			c.refuse("order", "%v", sayOf(err))
		}
	}
	l.Sold = sold
}

// sayOf is a rule's sentence without its field.
func sayOf(err error) string {
	if f, ok := fault.Of(err); ok {
		return f.Say
	}
	return err.Error()
}
