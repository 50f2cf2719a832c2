package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/opening"
	"dyelot/inventory/stock"
)

// Opened is what an opening import wrote: ids in the order of the plan, and the
// tags of each lot's garments.
type Opened struct {
	Parcels []int64
	Lots    []int64
	Runs    []int64
	Tags    [][]string
}

// openingReason stands wherever a movement, a verdict or an override of the
// import asks why.
const openingReason = "opening"

// AddOpening writes a plan that opening.Understand let through: a fixed number
// of statements, however many rows. house are the keys of the rows that a lot
// is held against; what was passed before these books began was held against
// none of them, so whoever passed it then takes each on by name (law 5).
func (t *Tx) AddOpening(p opening.Plan, sheets []OpeningSheet, house []string, zone *time.Location) (Opened, error) {
	w := openingWriter{Tx: t, plan: p, zone: zone}
	for _, step := range []func() error{w.items, w.parcels, w.strengths, w.arrivals, w.lots, w.garments, w.records,
		func() error { return w.verdicts(house) }, func() error { return w.origin(sheets) }} {
		if err := step(); err != nil {
			return Opened{}, err
		}
	}
	return w.opened, nil
}

type openingWriter struct {
	*Tx
	plan   opening.Plan
	zone   *time.Location
	opened Opened
	fresh  map[string]int64 // new items, by code
}

// at is the midnight with which a day of the studio begins.
func (w openingWriter) at(day time.Time) string {
	y, m, d := day.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, w.zone).UTC().Format(time.RFC3339)
}

// dayText is a day for SQL, empty where there is none.
func dayText(d time.Time) string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

func (w *openingWriter) items() error {
	w.fresh = map[string]int64{}
	if len(w.plan.Items) == 0 {
		return nil
	}
	var code, name, kind, unit, style, size, substance, plant, part, family, supplier []string
	var piece, resolution, minimum, pack, lead []int64
	for _, it := range w.plan.Items {
		code, name, kind, unit = append(code, it.Code), append(name, it.Name), append(kind, string(it.Kind)), append(unit, it.Unit.Name())
		style, size, piece = append(style, it.Style), append(size, it.Size), append(piece, it.PieceMass.N)
		substance, plant, part, family = append(substance, it.Substance), append(plant, it.Plant), append(part, it.Part), append(family, it.DyeFamily)
		resolution, minimum, pack = append(resolution, it.Resolution.N), append(minimum, it.Terms.Minimum.N), append(pack, it.Terms.Pack.N)
		supplier, lead = append(supplier, it.Terms.Supplier), append(lead, int64(it.Terms.LeadDays))
	}
	var ids []int64
	err := w.list(&ids, `
		with fresh as (
			insert into item (code, name, kind, unit, style, size, piece_mass_ug, substance, plant, part, dye_family, resolution, minimum, pack, supplier, lead_days, created_at)
			select code, name, kind, unit, style, size, nullif(piece, 0), substance, plant, part, family, resolution, minimum, pack, supplier, lead, $17
			from unnest(CAST($1 AS text[]), CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS bigint[]),
			            CAST($8 AS text[]), CAST($9 AS text[]), CAST($10 AS text[]), CAST($11 AS text[]), CAST($12 AS bigint[]), CAST($13 AS bigint[]),
			            CAST($14 AS bigint[]), CAST($15 AS text[]), CAST($16 AS int[])) with ordinality
			     as u (code, name, kind, unit, style, size, piece, substance, plant, part, family, resolution, minimum, pack, supplier, lead, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(code), pq.Array(name), pq.Array(kind), pq.Array(unit), pq.Array(style), pq.Array(size), pq.Array(piece), pq.Array(substance), pq.Array(plant),
		pq.Array(part), pq.Array(family), pq.Array(resolution), pq.Array(minimum), pq.Array(pack), pq.Array(supplier), pq.Array(lead), w.Now)
	if err != nil {
		return err
	}
	var of, line, percent []int64
	var fibre []string
	for i, it := range w.plan.Items {
		w.fresh[it.Code] = ids[i]
		for j, f := range it.Fibres {
			of, line, fibre, percent = append(of, ids[i]), append(line, int64(j+1)), append(fibre, f.Fibre), append(percent, int64(f.Percent))
		}
	}
	return w.exec(`
		insert into item_fibre (item_id, line, fibre, percent)
		select item, line, fibre, percent
		from unnest(CAST($1 AS bigint[]), CAST($2 AS smallint[]), CAST($3 AS text[]), CAST($4 AS bigint[])) as u (item, line, fibre, percent)`,
		pq.Array(of), pq.Array(line), pq.Array(fibre), pq.Array(percent))
}

func (w *openingWriter) parcels() error {
	if len(w.plan.Parcels) == 0 {
		return nil
	}
	var origin, supplier, supplierLot, currency, part, place, ripeness, picked, permission, arrived, until, note []string
	var item, cost, fresh, mgPerL, piece []int64
	var unknown []bool
	for _, p := range w.plan.Parcels {
		id := p.Item.ID
		if id == 0 {
			id = w.fresh[p.Item.Code]
		}
		item, origin = append(item, id), append(origin, string(p.Origin))
		supplier, supplierLot, cost, currency = append(supplier, p.Supplier), append(supplierLot, p.SupplierLot), append(cost, p.Cost.Micro), append(currency, p.Cost.Currency)
		h := p.Harvest
		part, place, ripeness, permission = append(part, h.Part), append(place, h.Place), append(ripeness, h.Ripeness), append(permission, h.Permission)
		picked, fresh = append(picked, dayText(h.PickedOn)), append(fresh, h.Fresh.N)
		mgPerL, unknown, piece = append(mgPerL, int64(p.Concentration)), append(unknown, p.StrengthUnknown), append(piece, p.PieceMass.N)
		arrived, until, note = append(arrived, w.at(p.ArrivedAt)), append(until, dayText(p.UsableUntil)), append(note, p.Note)
	}
	return w.list(&w.opened.Parcels, `
		with fresh as (
			insert into parcel (item_id, origin, supplier, supplier_lot, cost_micro, currency, part, place, ripeness, picked_on, permission, fresh_ug,
			                    mg_per_l, strength_unknown, piece_mass_ug, arrived_at, usable_until, note, recorded_by, recorded_at)
			select item, origin, supplier, supplier_lot, case when currency <> '' then cost end, nullif(currency, ''), part, place, ripeness,
			       CAST(nullif(picked, '') AS date), permission, nullif(fresh, 0), nullif(mg_per_l, 0), unknown, nullif(piece, 0), arrived,
			       CAST(nullif(until, '') AS date), note, $19, $20
			from unnest(CAST($1 AS bigint[]), CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS bigint[]), CAST($6 AS text[]), CAST($7 AS text[]),
			            CAST($8 AS text[]), CAST($9 AS text[]), CAST($10 AS text[]), CAST($11 AS text[]), CAST($12 AS bigint[]), CAST($13 AS bigint[]), CAST($14 AS boolean[]),
			            CAST($15 AS bigint[]), CAST($16 AS timestamptz[]), CAST($17 AS text[]), CAST($18 AS text[])) with ordinality
			     as u (item, origin, supplier, supplier_lot, cost, currency, part, place, ripeness, picked, permission, fresh, mg_per_l, unknown, piece, arrived, until, note, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(item), pq.Array(origin), pq.Array(supplier), pq.Array(supplierLot), pq.Array(cost), pq.Array(currency), pq.Array(part), pq.Array(place), pq.Array(ripeness),
		pq.Array(picked), pq.Array(permission), pq.Array(fresh), pq.Array(mgPerL), pq.Array(unknown), pq.Array(piece), pq.Array(arrived), pq.Array(until), pq.Array(note), w.By.ID, w.Now)
}

func (w *openingWriter) strengths() error {
	var parcel, percent []int64
	var on []string
	for i, p := range w.plan.Parcels {
		if p.Strength != 0 {
			parcel, percent, on = append(parcel, w.opened.Parcels[i]), append(percent, int64(p.Strength)), append(on, dayText(p.ArrivedAt))
		}
	}
	if len(parcel) == 0 {
		return nil
	}
	return w.exec(`
		insert into parcel_strength (parcel_id, percent, basis, measured_on, recorded_by, recorded_at)
		select parcel, percent, $4, measured, $5, $6
		from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[]), CAST($3 AS date[])) with ordinality as u (parcel, percent, measured, n) order by n`,
		pq.Array(parcel), pq.Array(percent), pq.Array(on), openingReason, w.By.ID, w.Now)
}

// arrivalOf is how each origin brings stock onto the shelf.
var arrivalOf = map[stock.Origin]struct {
	act  stock.Act
	from stock.Place
}{
	stock.FromDelivery: {stock.ActDelivery, stock.Supplier},
	stock.FromHarvest:  {stock.ActHarvest, stock.Field},
	stock.FromMaking:   {stock.ActMaking, stock.InMaking},
}

// arrivals books what came in, and out again what left before these books
// began: where to, nobody says, so it is the difference that a first count finds.
func (w *openingWriter) arrivals() error {
	var all []dated
	for i, p := range w.plan.Parcels {
		if p.Received.N == 0 {
			continue // damp: it holds nothing yet
		}
		id, how := w.opened.Parcels[i], arrivalOf[p.Origin]
		m := stock.Movement{Kind: how.act, ByName: w.By.Name, Reason: openingReason, Legs: []stock.Leg{{ParcelID: id, From: how.from, To: stock.Shelf, Amount: p.Received}}}
		if how.act == stock.ActMaking {
			m.MadeParcelID = id
		}
		all = append(all, dated{m, w.at(p.ArrivedAt)})
	}
	for i, p := range w.plan.Parcels {
		if p.Received.N > 0 && p.Gone().N > 0 {
			all = append(all, dated{stock.Movement{Kind: stock.ActCount, ByName: w.By.Name, Reason: openingReason + ": gone before these books began",
				Legs: []stock.Leg{{ParcelID: w.opened.Parcels[i], From: stock.Shelf, To: stock.Difference, Amount: p.Gone()}}}, w.Now.Format(time.RFC3339Nano)})
		}
	}
	return w.postAll(all)
}

// dated is a movement and when it happened, as SQL reads it.
type dated struct {
	stock.Movement
	at string
}

// postAll is Post for many movements of parcels that nobody else knows of yet, or
// whose balances these movements leave as they are; in one statement.
func (t *Tx) postAll(ms []dated) error {
	if len(ms) == 0 {
		return nil
	}
	var kind, at, by, reason, from, to []string
	var record, lots, made, of, line, parcel, amount []int64
	for i, m := range ms {
		kind, at, by, reason = append(kind, string(m.Kind)), append(at, m.at), append(by, m.ByName), append(reason, m.Reason)
		record, lots, made = append(record, m.RecordID), append(lots, m.LotID), append(made, m.MadeParcelID)
		for j, l := range m.Legs {
			of, line, parcel = append(of, int64(i+1)), append(line, int64(j+1)), append(parcel, l.ParcelID)
			from, to, amount = append(from, string(l.From)), append(to, string(l.To)), append(amount, l.Amount.N)
		}
	}
	return t.exec(`
		with act as (
			insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, reason, record_id, lot_id, made_parcel_id)
			select kind, at, $1, $2, by_name, reason, nullif(record, 0), nullif(lot, 0), nullif(made, 0)
			from unnest(CAST($3 AS text[]), CAST($4 AS timestamptz[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS bigint[]), CAST($8 AS bigint[]), CAST($9 AS bigint[]))
			     with ordinality as u (kind, at, by_name, reason, record, lot, made, n) order by n
			returning id, kind),
		numbered as (select id, kind, row_number() over (order by id) as n from act)
		insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount)
		select numbered.id, numbered.kind, u.line, u.parcel, u.from_place, u.to_place, u.amount
		from unnest(CAST($10 AS bigint[]), CAST($11 AS smallint[]), CAST($12 AS bigint[]), CAST($13 AS text[]), CAST($14 AS text[]), CAST($15 AS bigint[]))
		     as u (of, line, parcel, from_place, to_place, amount)
		join numbered on numbered.n = u.of`,
		t.Now, t.By.ID, pq.Array(kind), pq.Array(at), pq.Array(by), pq.Array(reason), pq.Array(record), pq.Array(lots), pq.Array(made),
		pq.Array(of), pq.Array(line), pq.Array(parcel), pq.Array(from), pq.Array(to), pq.Array(amount))
}

// parcel is the id of a source.
func (w *openingWriter) parcel(s opening.Source) int64 {
	if s.ID != 0 {
		return s.ID
	}
	return w.opened.Parcels[s.Planned]
}

// legs take an amount into a pot. Of a parcel that stood in the books it is
// booked as found in the same act, so that what it holds stays.
func (w *openingWriter) legs(t opening.Taken) []stock.Leg {
	id := w.parcel(t.From)
	taken := stock.Leg{ParcelID: id, From: stock.Shelf, To: stock.Process, Amount: t.Amount}
	if t.From.ID != 0 {
		return []stock.Leg{{ParcelID: id, From: stock.Difference, To: stock.Shelf, Amount: t.Amount}, taken}
	}
	return []stock.Leg{taken}
}

// states are those that a past lot went through.
func statesOf(l opening.Lot) []string {
	states := []string{string(lot.Planned), string(lot.InWork), string(lot.WaitingForTests), string(lot.Passed)}
	if l.State() == lot.Closed {
		states = append(states, string(lot.Closed))
	}
	return states
}
