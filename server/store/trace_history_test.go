package store

import (
	"errors"
	"slices"
	"testing"

	"github.com/lib/pq"
	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
)

// archive is a studio with one run, in which histories are written and traced.
type archive struct {
	*shelf
	alum, tunic stock.Item
	run         int64
}

func openArchive(t *testing.T) *archive {
	a := &archive{shelf: openShelf(t)}
	a.alum = a.item(alumItem())
	a.tunic = a.item(stock.Item{Code: "tunic", Kind: stock.Blank, PieceMass: grams(104), Fibres: []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}})
	a.do(func(tx *Tx) error {
		return tx.get(&a.run, `
			with pot as (insert into vessel (code, name, volume_ul, fill_percent, uses, added_at) values ('pot-40', 'pot', 40000000, 800000, '{dye}', now())),
			standard as (
				insert into shade_standard (code, name, l, a, b, illuminant, observer, tolerance, set_tolerance, dated_on, recorded_by, recorded_at)
				values ('olive', 'olive', 62, -2, 38, 'D65', 10, 1500, 1000, '2026-01-10', 1, now()) returning id),
			book as (insert into recipe (code) values ('weld-olive') returning id),
			version as (
				insert into recipe_version (recipe_id, version, name, fibre, liquor_ratio, written_by, written_at)
				select id, 1, 'weld, saddened', 'silk', 40000, 1, now() from book returning id),
			way as (
				insert into colourway (code, name, standard_id, recipe_id, created_at)
				select 'olive', 'olive', standard.id, book.id, now() from standard, book returning id)
			insert into run (colourway_id, version_id, standard_id, matched_set, planned_by, planned_at)
			select way.id, version.id, standard.id, true, 1, now() from way, version, standard returning id`)
	})
	return a
}

// past is one random history as it is written, and the graph of what happened,
// linked by hand.
type past struct {
	*rapid.T
	*archive
	tx       *Tx
	parcels  []stock.Parcel
	lots     []int64
	issued   map[int64]bool
	garments []lot.Garment
	cloth    []trace.Given // blanks that lots were issued
	poured   []pour
	uses     map[int64]int64 // of each bath
	fed      []feed
	set      int64    // a bath that was fed before anything was in it; zero: none
	shared   [][2]int // brews that went on into a later bath, by their place in poured
}

// feed is an entry of a bath's diary that something went in with.
type feed struct {
	entry, bath, parcel int64
	after               int64 // how many uses were over
	movement            stock.Movement
	undone              bool
}

type pour struct {
	record, bath int64
	movement     stock.Movement
	lots         []int64
	undone       bool
}

// took is what went into it.
func (x pour) took() int64 {
	if len(x.movement.Legs) == 0 {
		return 0
	}
	return x.movement.Legs[0].Amount.N
}

var errOnlyTried = errors.New("only tried")

// inPast runs fn in a transaction that is rolled back, whatever happens in it.
func (a *archive) inPast(t *rapid.T, fn func(*past)) {
	var failed any
	err := a.try(func(tx *Tx) error {
		defer func() { failed = recover() }()
		fn(&past{T: t, archive: a, tx: tx, issued: map[int64]bool{}, uses: map[int64]int64{}})
		return errOnlyTried
	})
	switch {
	case failed != nil:
		panic(failed)
	case !errors.Is(err, errOnlyTried):
		t.Fatal(err)
	}
}

func (p *past) must(err error) {
	if err != nil {
		p.Fatal(err)
	}
}

func (p *past) random() {
	for range rapid.IntRange(2, 3).Draw(p.T, "lots") {
		p.newLot()
	}
	for range 2 {
		p.deliver(p.alum)
		p.deliver(p.tunic)
	}
	p.issue(0)
	acts := []func(){func() { p.deliver(p.alum) }, func() { p.make(p.alum) }, func() { p.make(p.tunic) }, func() { p.issue(1) }, func() { p.issue(2) },
		p.pour, p.pour, p.pour, p.undo, p.undo, p.overDye, p.unmake, p.feed, p.unfeed, p.goOn}
	for range rapid.IntRange(4, 18).Draw(p.T, "acts") {
		acts[rapid.IntRange(0, len(acts)-1).Draw(p.T, "act")]()
	}
}

func (p *past) newLot() {
	ids, err := p.tx.AddLots(p.run, []lot.Lot{{Pot: lot.Pot{ID: 1}, GarmentMass: grams(300), WitnessMass: grams(0), Bath: quantity.Millilitres(12_000)}})
	p.must(err)
	p.lots = append(p.lots, ids...)
}

func (p *past) any(kind stock.Kind) (stock.Parcel, bool) {
	var some []stock.Parcel
	for _, q := range p.parcels {
		if kind == "" || q.Item.Kind == kind {
			some = append(some, q)
		}
	}
	if len(some) == 0 {
		return stock.Parcel{}, false
	}
	return some[rapid.IntRange(0, len(some)-1).Draw(p.T, "parcel")], true
}

func (p *past) amount(it stock.Item) quantity.Amount {
	return quantity.Amount{N: rapid.Int64Range(1, 9).Draw(p.T, "amount"), Unit: it.Unit}
}

func (p *past) add(it stock.Item, origin stock.Origin) stock.Parcel {
	q := stock.Parcel{Item: it, Origin: origin, ArrivedAt: p.tx.Now, OnHand: it.Zero()}
	var err error
	q.ID, err = p.tx.AddParcel(q)
	p.must(err)
	p.parcels = append(p.parcels, q)
	return q
}

func (p *past) post(m stock.Movement) stock.Movement {
	m.HappenedAt = p.tx.Now
	var err error
	m.ID, err = p.tx.Post(m)
	p.must(err)
	return m
}

// now is a parcel with what it holds.
func (p *past) now(q stock.Parcel) stock.Parcel {
	q, err := p.tx.Parcel(q.ID)
	p.must(err)
	return q
}

func (p *past) deliver(it stock.Item) {
	q := p.add(it, stock.FromDelivery)
	p.post(stock.Movement{Kind: stock.ActDelivery, Legs: []stock.Leg{{ParcelID: q.ID, From: stock.Supplier, To: stock.Shelf, Amount: p.amount(it)}}})
}

// make makes a parcel from one or two: more of the same, and for cloth, of
// cloth and a mordant.
func (p *past) make(it stock.Item) {
	parents := []stock.Kind{it.Kind}
	if rapid.Bool().Draw(p.T, "two parents") {
		parents = append(parents, stock.Mordant)
	}
	var given []stock.Given
	for _, kind := range parents {
		q, ok := p.any(kind)
		if !ok || slices.ContainsFunc(given, func(g stock.Given) bool { return g.Parcel.ID == q.ID }) {
			return
		}
		given = append(given, stock.Given{Parcel: p.now(q), Amount: p.amount(q.Item)})
	}
	m, err := stock.Make(it, given[0].Amount, given, false)
	p.must(err)
	p.post(m.Movement(p.add(it, stock.FromMaking).ID))
}

// unmake takes a making back that nothing was used of.
func (p *past) unmake() {
	for _, q := range slices.Backward(p.parcels) {
		ms, err := p.tx.MovementsOfParcel(q.ID)
		p.must(err)
		if ms[0].MadeParcelID != q.ID || ms[0].ReversedByID != 0 {
			continue
		}
		if back, err := stock.Reverse(ms[0], []stock.Parcel{p.now(q)}, "slip"); err == nil {
			p.post(back)
			return
		}
	}
}

// issue gives a lot its cloth: two garments of one parcel or of two, and some
// of a mordant in place of witness cloth, which goes to the whole lot.
func (p *past) issue(n int) {
	id := p.lots[n%len(p.lots)]
	if p.issued[id] {
		return
	}
	p.issued[id] = true
	var legs []stock.Leg
	for range 2 {
		q, _ := p.any(stock.Blank)
		p.must(p.tx.AddGarments([]lot.Garment{{LotID: id, ParcelID: q.ID, Dry: grams(150)}}, p.tx.Now))
		if !slices.ContainsFunc(legs, func(l stock.Leg) bool { return l.ParcelID == q.ID && l.To == stock.Process }) {
			legs = append(legs, stock.Take(p.now(q), quantity.Pieces(1))...)
		}
		p.cloth = append(p.cloth, trace.Given{Lot: id, Through: trace.LotNode(id), Parcel: q.ID, Blanks: true})
	}
	if q, ok := p.any(stock.Mordant); ok && rapid.Bool().Draw(p.T, "witness") {
		legs = append(legs, stock.Take(p.now(q), p.amount(q.Item))...)
		p.cloth = append(p.cloth, trace.Given{Lot: id, Through: trace.LotNode(id), Parcel: q.ID})
	}
	p.post(stock.Movement{Kind: stock.ActUse, LotID: id, Legs: legs})
	p.must(p.tx.PlaceGarments(id, []lot.Place{lot.PlacePlanned}, lot.PlaceInWork, "issued", p.tx.Now, "dyer-1", ""))
}

// feed tops a bath up, used or not.
func (p *past) feed() {
	q, ok := p.any(stock.Mordant)
	if !ok {
		return
	}
	x := feed{parcel: q.ID}
	if n := len(p.poured); n > 0 && rapid.IntRange(0, 3).Draw(p.T, "a bath that is there") > 0 {
		x.bath = p.poured[rapid.IntRange(0, n-1).Draw(p.T, "which")].bath
	} else {
		var err error
		x.bath, err = p.tx.AddVat(lot.Kind{Key: "mordant"}, 1, "", p.tx.Now)
		p.must(err)
		p.set = x.bath
	}
	x.after = p.uses[x.bath]
	var err error
	x.entry, err = p.tx.AddEntry(lot.Entry{BathID: x.bath, Kind: lot.EntryTopUp, AfterUse: int(x.after), HappenedAt: p.tx.Now, By: "dyer-1"})
	p.must(err)
	x.movement = p.post(stock.Movement{Kind: stock.ActUse, EntryID: x.entry, Legs: stock.Take(p.now(q), p.amount(q.Item))})
	p.fed = append(p.fed, x)
}

func (p *past) unfeed() {
	for i := range p.fed {
		x := &p.fed[i]
		if x.undone || !rapid.Bool().Draw(p.T, "this entry") {
			continue
		}
		back, err := stock.Mirror(x.movement, nil, "slip")
		p.must(err)
		p.post(back)
		p.must(p.tx.UndoEntry(x.entry, "slip"))
		x.undone = true
		return
	}
}

// goOn pours the liquor of one bath on into a later one, as a brew is.
func (p *past) goOn() {
	if len(p.poured) < 2 {
		return
	}
	from := rapid.IntRange(0, len(p.poured)-2).Draw(p.T, "brew")
	into := rapid.IntRange(from+1, len(p.poured)-1).Draw(p.T, "dye")
	p.must(p.tx.exec(`insert into brew_share (brew_id, dye_id) values ($1, $2) on conflict do nothing`, p.poured[from].record, p.poured[into].record))
	p.shared = append(p.shared, [2]int{from, into})
}

// pour records a bath of some lots, fresh, fed before it was ever used, or used
// before.
func (p *past) pour() {
	var ids []int64
	for _, id := range p.lots {
		if rapid.Bool().Draw(p.T, "in the bath") {
			ids = append(ids, id)
		}
	}
	q, ok := p.any(stock.Mordant)
	if !ok || len(ids) == 0 {
		return
	}
	x := pour{lots: ids}
	if n := len(p.poured); n > 0 && rapid.Bool().Draw(p.T, "the bath before") {
		x.bath = p.poured[n-1].bath
	} else if p.set != 0 && rapid.Bool().Draw(p.T, "the vat that was set") {
		x.bath = p.set
	} else {
		p.must(p.tx.get(&x.bath, `insert into bath (kind, opened_at) values ('mordant', now()) returning id`))
	}
	p.uses[x.bath]++
	p.must(p.tx.get(&x.record, `
		with fresh as (
			insert into stage_record (run_id, position, kind, bath_id, bath_use, by_name, happened_at, recorded_at, recorded_by)
			values ($1, 1, 'mordant', $2, $3, 'dyer-1', now(), now(), 1) returning id),
		served as (insert into record_lot (record_id, lot_id, fibre_ug) select id, unnest(CAST($4 AS bigint[])), 300000000 from fresh)
		select id from fresh`, p.run, x.bath, p.uses[x.bath], pq.Array(ids)))
	if rapid.IntRange(0, 3).Draw(p.T, "poured") > 0 { // else nothing more went in
		x.movement = p.post(stock.Movement{Kind: stock.ActUse, RecordID: x.record, Legs: stock.Take(p.now(q), p.amount(q.Item))})
	}
	p.poured = append(p.poured, x)
}

func (p *past) undo() {
	for i := range p.poured {
		x := &p.poured[i]
		if x.undone || !rapid.Bool().Draw(p.T, "this one") {
			continue
		}
		if x.took() > 0 {
			back, err := stock.Mirror(x.movement, nil, "slip")
			p.must(err)
			p.post(back)
		}
		p.must(p.tx.UndoRecord(x.record, "slip"))
		x.undone = true
		return
	}
}

// overDye moves a garment that was issued into another lot, as a plan and its
// issue do.
func (p *past) overDye() {
	gs, err := p.tx.GarmentsOfLots(p.lots...)
	p.must(err)
	gs = slices.DeleteFunc(gs, func(g lot.Garment) bool { return g.Place != lot.PlaceInWork })
	if len(gs) == 0 {
		return
	}
	g, to := gs[rapid.IntRange(0, len(gs)-1).Draw(p.T, "garment")], p.lots[rapid.IntRange(0, len(p.lots)-1).Draw(p.T, "into")]
	if g.LotID == to {
		return
	}
	g.Next = to
	p.must(p.tx.PlanAgain([]lot.Garment{g}, p.tx.Now))
	if rapid.IntRange(0, 4).Draw(p.T, "given up") == 0 {
		p.must(p.tx.GiveUpAgain([]int64{to}, "another shade"))
		return
	}
	p.must(p.tx.MoveIn(to, p.tx.Now))
	moved, err := p.tx.GarmentBySerial(p.serial(g.ID), g.Tag)
	p.must(err)
	if moved.LotID != to || moved.Next != 0 || moved.Place != lot.PlaceInWork {
		p.Fatalf("%+v was to move into L%d", moved, to)
	}
}

func (p *past) serial(garmentID int64) (serial int64) {
	p.must(p.tx.get(&serial, `select serial from garment where id = $1`, garmentID))
	return serial
}

// happened is the graph of what stands, linked from what was written down.
func (p *past) happened() *trace.Graph {
	g := &trace.Graph{}
	var ms []trace.Member
	p.must(p.tx.list(&ms, `
		select e.garment_id as garment, e.lot_id as lot, g.parcel_id as parcel
		from garment_event e join garment g on g.id = e.garment_id where e.kind = 'issued' and e.lot_id = any($1)`, pq.Array(p.lots)))
	for _, m := range ms {
		g.Link(trace.LotNode(m.Lot), trace.GarmentNode(m.Garment))
		for _, c := range p.cloth {
			if c.Lot == m.Lot && c.Blanks && c.Parcel == m.Parcel {
				g.Link(trace.ParcelNode(c.Parcel), trace.GarmentNode(m.Garment))
			}
		}
	}
	for _, c := range p.cloth {
		if !c.Blanks {
			g.Link(trace.ParcelNode(c.Parcel), trace.LotNode(c.Lot))
		}
	}
	for i, x := range p.poured {
		if x.undone {
			continue
		}
		if x.took() > 0 {
			g.Link(trace.ParcelNode(x.movement.Legs[0].ParcelID), trace.RecordNode(x.record))
		}
		for _, id := range x.lots {
			g.Link(trace.RecordNode(x.record), trace.LotNode(id))
		}
		for _, later := range p.poured[i+1:] {
			if later.bath == x.bath && !later.undone {
				g.Link(trace.RecordNode(x.record), trace.RecordNode(later.record))
			}
		}
	}
	for _, s := range p.shared {
		if from, into := p.poured[s[0]], p.poured[s[1]]; !from.undone && !into.undone {
			g.Link(trace.RecordNode(from.record), trace.RecordNode(into.record))
		}
	}
	for _, f := range p.fed {
		use := int64(0)
		for _, x := range p.poured {
			if x.bath != f.bath {
				continue
			}
			if use++; use > f.after && !x.undone && !f.undone {
				g.Link(trace.ParcelNode(f.parcel), trace.EntryNode(f.entry))
				g.Link(trace.EntryNode(f.entry), trace.RecordNode(x.record))
			}
		}
	}
	for _, q := range p.parcels {
		moved, err := p.tx.MovementsOfParcel(q.ID)
		p.must(err)
		for _, l := range moved[0].Legs {
			if moved[0].MadeParcelID == q.ID && moved[0].ReversedByID == 0 && l.To == stock.InMaking {
				g.Link(trace.ParcelNode(l.ParcelID), trace.ParcelNode(q.ID))
			}
		}
	}
	return g
}
