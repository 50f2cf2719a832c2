package opening

import (
	"regexp"
	"strings"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

var parcelCode = regexp.MustCompile(`^[Pp][1-9]\d{0,17}$`)

// parcelFields are the parcel rules' fields that the sheet calls differently.
var parcelFields = map[string]string{"dry_mass": "amount", "fresh_mass": "fresh", "strength_percent": "strength"}

func (r *reading) parcels() {
	for _, row := range r.sheets.Parcels.Rows {
		c := r.cells(r.sheets.Parcels, row)
		p, read := r.parcel(c)
		if !read {
			if p.Ref != "" {
				r.brokenRef[refKey(p.Ref)] = true
			}
			continue
		}
		r.arrived(c, p)
		if p.Ref != "" {
			r.refs[refKey(p.Ref)] = len(r.plan.Parcels)
		}
		r.plan.Parcels = append(r.plan.Parcels, p)
	}
}

// refKey: nobody tells two bags apart by capitals or spaces.
func refKey(ref string) string { return strings.ToLower(strings.Join(strings.Fields(ref), " ")) }

func (r *reading) parcel(c *cells) (p Parcel, ok bool) {
	p = Parcel{Line: c.row.Line, Ref: c.name("ref")}
	if !c.needed("item") {
		return p, false
	}
	code := c.code("item")
	item, known := r.known[code]
	switch {
	case known:
	case r.broken[code]:
		return p, false // its own row says what is off
	case r.sheets.Items.Broken:
		return p, false // as it may stand there
	default:
		c.refuse("item", "there is no item %q, neither in the items sheet nor in the books", clip(code))
		return p, false
	}
	p.Parcel = stock.Parcel{Item: item, Supplier: c.name("supplier"), SupplierLot: c.name("supplier_lot"), Cost: c.money("cost", r.books.Currency), Note: c.text("note")}
	r.ref(c, p.Ref)
	usual := c.text("unit")
	if usual == "" {
		usual = usualUnit(item)
	}
	p.Has, p.Received = c.amount("amount", usual, item.Unit), c.amount("received", usual, item.Unit)
	p.total = p.Received.Unit != 0
	p.PieceMass = c.amount("piece_mass", "", quantity.Mass)
	p.Strength = c.percent("strength")
	p.Harvest = stock.Harvest{Part: c.name("part"), Place: c.name("place"), Ripeness: c.name("ripeness"), Permission: c.name("permission"),
		PickedOn: c.pastDay("picked_on", r.books.Today), Fresh: c.amount("fresh", "", quantity.Mass)}
	p.ArrivedAt = c.pastDay("arrived_on", r.books.Today)
	p.UsableUntil = c.day("usable_until")
	c.concentration(&p)
	if c.ok {
		r.checkParcel(c, &p)
	}
	return p, c.ok
}

func (c *cells) concentration(p *Parcel) {
	text := c.text("grams_per_litre")
	if text == "" {
		p.StrengthUnknown = p.Item.Kind == stock.Solution
		return
	}
	plain, ok := c.number("grams_per_litre", text)
	if !ok {
		return
	}
	var err error
	if p.Concentration, err = quantity.ParseConcentration(plain); err != nil {
		c.fault(err, nil)
	} else if p.Concentration <= 0 {
		c.refuse("grams_per_litre", "%s is not above zero: leave the cell empty where nobody knows", p.Concentration)
	}
}

// ref refuses a word that could not be found by later.
func (r *reading) ref(c *cells, ref string) {
	switch at, twice := r.refs[refKey(ref)]; {
	case ref == "":
	case parcelCode.MatchString(ref):
		c.refuse("ref", "%s looks like a parcel's code of these books: choose another word", ref)
	case strings.ContainsAny(ref, "=|+;"):
		c.refuse("ref", "%q holds a mark that stands between parcels in the lots sheet: leave out = | + ;", clip(ref))
	case twice:
		c.refuse("ref", "%q stands in line %d already", clip(ref), r.plan.Parcels[at].Line)
	}
}

func (r *reading) checkParcel(c *cells, p *Parcel) {
	origin := c.code("origin")
	if origin == "" {
		origin = string(stock.FromDelivery)
		if !p.Harvest.PickedOn.IsZero() || p.Harvest.Fresh.Unit != 0 {
			origin = string(stock.FromHarvest)
		}
	}
	p.Origin = stock.Origin(origin)
	switch p.Origin {
	case stock.FromHarvest:
		r.checkHarvest(c, p)
	case stock.FromDelivery, stock.FromMaking:
		r.checkArrived(c, p)
	default:
		c.refuse("origin", "%q is none of delivery, harvest, making", clip(origin))
		return
	}
	if p.Strength != 0 || c.text("strength") != "" {
		if err := stock.CheckStrength(p.Item, p.Strength); err != nil {
			c.refuse("strength", "%v", sayOf(err))
		}
	}
	if !p.UsableUntil.IsZero() && p.UsableUntil.Before(p.ArrivedAt) {
		c.refuse("usable_until", "%s is before it came, on %s", p.UsableUntil.Format(time.DateOnly), p.ArrivedAt.Format(time.DateOnly))
	}
	for _, w := range stock.LiquorWarnings(p.Parcel) {
		r.mindOnce(Parcels, p.Line, "", w.Text)
	}
}

func (r *reading) checkArrived(c *cells, p *Parcel) {
	for _, column := range []string{"picked_on", "place", "part", "ripeness", "permission", "fresh"} {
		if c.text(column) != "" {
			c.refuse(column, "is for harvests, and this is a %s", p.Origin)
		}
	}
	if c.text("amount") == "" {
		c.refuse("amount", "is empty: write what lies on the shelf, 0 where nothing does")
	}
	if err := stock.CheckBought(p.Item, p.Concentration, p.PieceMass); err != nil {
		c.fault(err, parcelFields)
	}
	p.dated = !p.ArrivedAt.IsZero()
	if !p.dated {
		p.ArrivedAt = r.books.Today
	}
}

func (r *reading) checkHarvest(c *cells, p *Parcel) {
	if err := stock.Gathered(p.Item); err != nil {
		c.refuse("item", "%v", sayOf(err))
		return
	}
	if !c.needed("picked_on") {
		return
	}
	for _, column := range []string{"arrived_on", "grams_per_litre", "piece_mass"} {
		if c.text(column) != "" {
			c.refuse(column, "a harvest has none: it has picked_on")
		}
	}
	if p.Harvest.Part == "" {
		p.Harvest.Part = p.Item.Part
	}
	if p.Harvest.Dry = p.Has; p.Has.Unit == 0 { // the rule below asks for one of the masses
		p.Harvest.Dry = p.Received
	}
	if err := stock.CheckHarvest(p.Harvest); err != nil {
		c.fault(err, parcelFields)
	}
	p.ArrivedAt, p.dated = p.Harvest.PickedOn, true
}

// arrived warns of a bag that seems to come twice.
func (r *reading) arrived(c *cells, p Parcel) {
	if p.SupplierLot == "" {
		return
	}
	o := originOf(p.Item.Code, p.Supplier, p.SupplierLot)
	if line, twice := r.lines[o]; twice {
		c.mind(r, "supplier_lot", "%s of %s, lot %s, stands in line %d already: two bags of it, or one twice?", p.Item.Code, orSomebody(p.Supplier), p.SupplierLot, line)
	} else if codes := r.books.Arrived[o]; len(codes) > 0 {
		c.mind(r, "supplier_lot", "%s of %s, lot %s, is in the books already as %s: another bag of it, or the same?", p.Item.Code, orSomebody(p.Supplier), p.SupplierLot, strings.Join(codes, ", "))
	}
	r.lines[o] = p.Line
}

func orSomebody(supplier string) string {
	if supplier == "" {
		return "an unnamed supplier"
	}
	return supplier
}

// settleParcels reckons what came in, once the lots have said what they took.
func (r *reading) settleParcels() {
	for i := range r.plan.Parcels {
		p := &r.plan.Parcels[i]
		r.settleParcel(p)
		r.sum(p)
	}
}

func (r *reading) settleParcel(p *Parcel) {
	least := p.Item.Zero().Add(p.Has).Add(p.Used)
	refuse := func(column, format string, args ...any) { r.off.add(Parcels, p.Line, column, format, args...) }
	damp := p.Origin == stock.FromHarvest && p.Has.Unit == 0 && p.Received.Unit == 0
	switch {
	case damp && p.Used.N > 0:
		refuse("amount", "is empty, as of a damp harvest, and a lot took %s of it: write what is left, 0 where nothing is", p.Used)
		return
	case damp:
		return
	case p.Received.Unit == 0:
		p.Received = least
	case p.Received.N < least.N:
		refuse("received", "%s is less than the %s that lies there and the %s that past lots took", p.Received, p.Item.Zero().Add(p.Has), p.Item.Zero().Add(p.Used))
		return
	}
	p.Has, p.Used = p.Item.Zero().Add(p.Has), p.Item.Zero().Add(p.Used)
	if p.Received.N == 0 {
		if r.lotsOff {
			return // one of those may have taken some
		}
		refuse("amount", "is nothing, nothing came in and no past lot took any: there is no such parcel")
		return
	}
	if p.Origin == stock.FromHarvest {
		p.Harvest.Dry = p.Received
		warnings, err := stock.CheckDry(p.Item, p.Harvest, p.Received)
		switch {
		case err != nil && !p.total:
			refuse("received", "%v; where only a rest is left, say in received what was weighed dry", sayOf(err))
		case err != nil:
			refuse("received", "%v", sayOf(err))
		}
		for _, w := range warnings {
			r.mind.add(Parcels, p.Line, "received", "%s", w.Text)
		}
	}
}

// sum adds up what each item comes to, within what is kept here.
func (r *reading) sum(p *Parcel) {
	s := r.sums[p.Item.Code]
	if p.Received.N > quantity.Max-s.Has.N-s.Used.N {
		r.off.add(Parcels, p.Line, "amount", "%s would come to more than is kept here (at most %s)", p.Item.Code, quantity.Amount{N: quantity.Max, Unit: p.Item.Unit})
		return
	}
	s.Item, s.Parcels = p.Item.Code, s.Parcels+1
	s.Has, s.Used = p.Item.Zero().Add(s.Has).Add(p.Has), p.Item.Zero().Add(s.Used).Add(p.Used)
	r.sums[p.Item.Code] = s
}

// Sum is what one item comes to by the sheets.
type Sum struct {
	Item      string
	Parcels   int
	Has, Used quantity.Amount
}
