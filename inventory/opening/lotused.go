package opening

import (
	"slices"
	"strings"
	"time"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// used reads "alum-2023=60.8 g | P7=304 g".
func (r *reading) used(c *cells, dyed time.Time) []Taken {
	var all []Taken
	for _, one := range listed(c.text("used")) {
		word, text, ok := strings.Cut(one, "=")
		if !ok || strings.Contains(text, "=") {
			c.refuse("used", "%q is no parcel with its amount: write alum-2023=60.8 g, and | between two", clip(one))
			continue
		}
		from, p, found := r.source(c, "used", strings.Join(strings.Fields(word), " "))
		if !found {
			continue
		}
		if p.Item.Kind == stock.Blank {
			c.refuse("used", "%s are blanks: they stand in blanks", clip(word))
			continue
		}
		number, unit := suffixed(text)
		if unit == "" {
			c.refuse("used", "%q has no unit: write 60.8 g", clip(one))
			continue
		}
		a := c.measured("used", number, unit, p.Item.Unit)
		switch {
		case a.Unit != 0 && a.N == 0:
			c.refuse("used", "%q is nothing", clip(one))
		case slices.ContainsFunc(all, func(t Taken) bool { return t.From == from }):
			c.refuse("used", "%s is named twice: add up what it gave", clip(word))
		case a.Unit != 0:
			all = append(all, Taken{from, a})
		}
	}
	return all
}

// take lets a source have given an amount on a day.
func (r *reading) take(c *cells, t Taken, dyed time.Time, column string) {
	if t.From.ID != 0 {
		r.mindOnce(Lots, c.row.Line, column, "what past lots took of "+stock.Parcel{ID: t.From.ID}.Code()+
			" is booked as found: it stood in these books before, and what it holds now stays")
		return
	}
	p := &r.plan.Parcels[t.From.Planned]
	switch {
	case t.Amount.N > quantity.Max-p.Used.N:
		c.refuse(column, "makes what was taken of it more than is kept here")
		return
	case p.dated && dyed.Before(p.ArrivedAt):
		c.refuse(column, "the parcel of line %d came on %s, after that", p.Line, p.ArrivedAt.Format(time.DateOnly))
		return
	case !p.dated && dyed.Before(p.ArrivedAt):
		p.ArrivedAt = dyed
	}
	p.Used = p.Used.Add(t.Amount)
}

// records sorts what went in by the stages of the recipe: each to the first
// stage that doses its item, and what no stage asks for to the pot itself.
func (r *reading) records(l Lot, used []Taken) []Record {
	var records []Record
	for _, t := range used {
		position, kind := stageFor(l.Recipe, r.parcelOf(t.From).Item.Code)
		i := slices.IndexFunc(records, func(rec Record) bool { return rec.Position == position })
		if i < 0 {
			i = len(records)
			records = append(records, Record{Position: position, Kind: kind, InPot: kind.Dyes})
		}
		records[i].Used = append(records[i].Used, t)
	}
	if len(records) == 0 { // it was dyed, whatever nobody wrote down
		position, kind := stageFor(l.Recipe, "")
		records = append(records, Record{Position: position, Kind: kind, InPot: kind.Dyes})
	}
	slices.SortFunc(records, func(a, b Record) int { return a.Position - b.Position })
	return records
}

func (r *reading) parcelOf(s Source) stock.Parcel {
	if s.ID != 0 {
		return r.books.Parcels[stock.Parcel{ID: s.ID}.Code()]
	}
	return r.plan.Parcels[s.Planned].Parcel
}

func stageFor(v recipe.Recipe, item string) (position int, k lot.Kind) {
	best := 0
	for _, s := range v.Stages {
		kind, err := lot.KindOf(s.Kind)
		if err != nil {
			continue
		}
		rank := 1
		switch {
		case slices.ContainsFunc(s.Doses, func(d recipe.Line) bool { return d.ItemCode == item }):
			rank = 4
		case kind.Dyes:
			rank = 3
		case kind.Bath:
			rank = 2
		}
		if rank > best {
			best, position, k = rank, s.Position, kind
		}
	}
	return position, k
}

// iron adds up what the lot was offered. Above its fibre's line somebody takes
// it on by name, and here that is who passed it.
func (r *reading) iron(c *cells, l *Lot, blanks stock.Parcel) {
	var used []lot.Used
	for _, rec := range l.Records {
		for _, t := range rec.Used {
			used = append(used, lot.Used{Parcel: r.parcelOf(t.From), Amount: t.Amount})
		}
	}
	sum, err := lot.Iron(used, []lot.BathLot{{Fibre: l.Mass()}})
	if err != nil {
		c.refuse("used", "%v", sayOf(err))
		return
	}
	var fibres []string
	for _, f := range blanks.Item.Fibres {
		fibres = append(fibres, f.Fibre)
	}
	if sum == (recipe.Iron{}) {
		return
	}
	for _, w := range lot.IronWarnings(fibres, sum) {
		l.IronOverride = true
		c.mind(r, "used", "%s; %s takes it on, as whoever passed it", w.Text, l.PassedBy)
	}
}
