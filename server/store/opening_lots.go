package store

import (
	"strings"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/opening"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// lots writes a run for each past lot, the lot, and the states it went through.
func (w *openingWriter) lots() error {
	if len(w.plan.Lots) == 0 {
		return nil
	}
	var colourway, version, standard, vessel, mass, bath []int64
	var note, dyed, state []string
	for _, l := range w.plan.Lots {
		colourway, version, standard = append(colourway, l.Colourway.ID), append(version, l.Recipe.ID), append(standard, l.Colourway.StandardID)
		vessel, mass, bath = append(vessel, l.Pot.ID), append(mass, l.Mass().N), append(bath, l.Bath.N)
		note, dyed, state = append(note, noteOf(l)), append(dyed, w.at(l.DyedOn)), append(state, string(l.State()))
	}
	if err := w.list(&w.opened.Runs, `
		with fresh as (
			insert into run (colourway_id, version_id, standard_id, matched_set, note, planned_by, planned_at)
			select colourway, version, standard, false, note, $6, dyed
			from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[]), CAST($3 AS bigint[]), CAST($4 AS text[]), CAST($5 AS timestamptz[]))
			     with ordinality as u (colourway, version, standard, note, dyed, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(colourway), pq.Array(version), pq.Array(standard), pq.Array(note), pq.Array(dyed), w.By.ID); err != nil {
		return err
	}
	if err := w.list(&w.opened.Lots, `
		with fresh as (
			insert into lot (run_id, vessel_id, state, garment_ug, witness_ug, bath_ul, issued_at)
			select run, vessel, state, mass, 0, bath, dyed
			from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[]), CAST($3 AS text[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]), CAST($6 AS timestamptz[]))
			     with ordinality as u (run, vessel, state, mass, bath, dyed, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(w.opened.Runs), pq.Array(vessel), pq.Array(state), pq.Array(mass), pq.Array(bath), pq.Array(dyed)); err != nil {
		return err
	}
	return w.lotEvents()
}

// noteOf keeps what the old sheet said, with where it is from.
func noteOf(l opening.Lot) string {
	note := openingReason
	if l.Ref != "" {
		note += ", lot " + l.Ref + " of the books before"
	}
	if l.Note != "" {
		note += ": " + l.Note
	}
	return note
}

func (w *openingWriter) lotEvents() error {
	var of []int64
	var state []string
	for i, l := range w.plan.Lots {
		for _, s := range statesOf(l) {
			of, state = append(of, w.opened.Lots[i]), append(state, s)
		}
	}
	return w.exec(`
		insert into lot_event (lot_id, state, at, recorded_by)
		select lot, state, $3, $4 from unnest(CAST($1 AS bigint[]), CAST($2 AS text[])) with ordinality as u (lot, state, n) order by n`,
		pq.Array(of), pq.Array(state), w.Now, w.By.ID)
}

// garments writes every garment with a fresh tag, what happened to it, and that
// its blanks left the shelf.
func (w *openingWriter) garments() error {
	if len(w.plan.Lots) == 0 {
		return nil
	}
	serials, tags, err := w.NewTags(w.plan.Garments())
	if err != nil {
		return err
	}
	var lots, parcels, dry []int64
	var place, order []string
	var issues []dated
	n := 0
	for i, l := range w.plan.Lots {
		for j, m := range l.Masses {
			lots, parcels, dry = append(lots, w.opened.Lots[i]), append(parcels, w.parcel(l.Blanks)), append(dry, m.N)
			if j < l.Sold {
				place, order = append(place, string(lot.PlaceSold)), append(order, l.Order)
			} else {
				place, order = append(place, string(lot.PlaceShelf)), append(order, "")
			}
		}
		w.opened.Tags = append(w.opened.Tags, tags[n:n+len(l.Masses)])
		n += len(l.Masses)
		issues = append(issues, dated{stock.Movement{Kind: stock.ActUse, LotID: w.opened.Lots[i], ByName: l.By, Reason: openingReason,
			Legs: w.legs(opening.Taken{From: l.Blanks, Amount: quantity.Pieces(int64(len(l.Masses)))})}, w.at(l.DyedOn)})
	}
	var ids []int64
	if err := w.list(&ids, `
		with fresh as (
			insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place, order_ref)
			select serial, tag, lot, parcel, dry, place, order_ref
			from unnest(CAST($1 AS bigint[]), CAST($2 AS text[]), CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]), CAST($6 AS text[]), CAST($7 AS text[]))
			     with ordinality as u (serial, tag, lot, parcel, dry, place, order_ref, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(serials), pq.Array(tags), pq.Array(lots), pq.Array(parcels), pq.Array(dry), pq.Array(place), pq.Array(order)); err != nil {
		return err
	}
	if err := w.garmentEvents(ids); err != nil {
		return err
	}
	return w.postAll(issues)
}

// garmentEvents tells each garment's life in order: planned, issued, passed, and
// sold where it was.
func (w *openingWriter) garmentEvents(ids []int64) error {
	var garment, lots []int64
	var kind, at, by, order, text []string
	say := func(g, l int64, what string, day time.Time, who, ref, why string) {
		garment, lots, kind = append(garment, g), append(lots, l), append(kind, what)
		at, by, order, text = append(at, w.at(day)), append(by, who), append(order, ref), append(text, why)
	}
	n := 0
	for i, l := range w.plan.Lots {
		for j := range l.Masses {
			g, of := ids[n], w.opened.Lots[i]
			n++
			say(g, of, "planned", l.DyedOn, l.By, "", "")
			say(g, of, "issued", l.DyedOn, l.By, "", "")
			say(g, of, string(lot.Pass), l.PassedOn, l.PassedBy, "", openingReason)
			if j < l.Sold {
				say(g, of, "sold", l.SoldOn, w.By.Name, l.Order, "")
			}
		}
	}
	return w.exec(`
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, order_ref, text)
		select garment, kind, lot, at, $1, $2, by_name, order_ref, why
		from unnest(CAST($3 AS bigint[]), CAST($4 AS text[]), CAST($5 AS bigint[]), CAST($6 AS timestamptz[]), CAST($7 AS text[]), CAST($8 AS text[]), CAST($9 AS text[]))
		     with ordinality as u (garment, kind, lot, at, by_name, order_ref, why, n) order by n`,
		w.Now, w.By.ID, pq.Array(garment), pq.Array(kind), pq.Array(lots), pq.Array(at), pq.Array(by), pq.Array(order), pq.Array(text))
}

// records writes what went into each lot, stage by stage, and takes it out of
// its parcels (law 3).
func (w *openingWriter) records() error {
	var run, position, vessel, bath, lots, fibre []int64
	var kind, by, at, overrideBy, overrideReason []string
	var uses []dated
	for i, l := range w.plan.Lots {
		for _, r := range l.Records {
			run, position, kind = append(run, w.opened.Runs[i]), append(position, int64(r.Position)), append(kind, r.Kind.Key)
			by, at = append(by, l.By), append(at, w.at(l.DyedOn))
			lots, fibre = append(lots, w.opened.Lots[i]), append(fibre, l.Mass().N)
			pot, volume, who, why := int64(0), int64(0), "", ""
			if r.InPot {
				pot, volume = l.Pot.ID, l.Bath.N
			}
			if l.IronOverride {
				who, why = l.PassedBy, openingReason
			}
			vessel, bath, overrideBy, overrideReason = append(vessel, pot), append(bath, volume), append(overrideBy, who), append(overrideReason, why)
			m := dated{stock.Movement{Kind: stock.ActUse, ByName: l.By, Reason: openingReason}, w.at(l.DyedOn)}
			for _, t := range r.Used {
				m.Legs = append(m.Legs, w.legs(t)...)
			}
			uses = append(uses, m)
		}
	}
	if len(run) == 0 {
		return nil
	}
	var ids []int64
	err := w.list(&ids, `
		with fresh as (
			insert into stage_record (run_id, position, kind, vessel_id, by_name, happened_at, recorded_at, recorded_by, bath_ul, note, override_by, override_reason)
			select run, position, kind, nullif(vessel, 0), by_name, at, $1, $2, bath, $3, override_by, override_reason
			from unnest(CAST($4 AS bigint[]), CAST($5 AS int[]), CAST($6 AS text[]), CAST($7 AS bigint[]), CAST($8 AS text[]), CAST($9 AS timestamptz[]),
			            CAST($10 AS bigint[]), CAST($11 AS text[]), CAST($12 AS text[]))
			     with ordinality as u (run, position, kind, vessel, by_name, at, bath, override_by, override_reason, n) order by n
			returning id),
		numbered as (select id, row_number() over (order by id) as n from fresh),
		served as (
			insert into record_lot (record_id, lot_id, fibre_ug)
			select numbered.id, u.lot, u.fibre
			from numbered join unnest(CAST($13 AS bigint[]), CAST($14 AS bigint[])) with ordinality as u (lot, fibre, n) on u.n = numbered.n)
		select id from numbered order by n`,
		w.Now, w.By.ID, openingReason+": as the books before have it",
		pq.Array(run), pq.Array(position), pq.Array(kind), pq.Array(vessel), pq.Array(by), pq.Array(at), pq.Array(bath), pq.Array(overrideBy), pq.Array(overrideReason),
		pq.Array(lots), pq.Array(fibre))
	if err != nil {
		return err
	}
	var took []dated
	for i, m := range uses {
		if m.RecordID = ids[i]; len(m.Legs) > 0 {
			took = append(took, m)
		}
	}
	return w.postAll(took)
}

// verdicts writes who passed each lot then, who takes the rows on that it was
// not held against, and the end of what is all sold.
func (w *openingWriter) verdicts(house []string) error {
	var lots, over []int64
	var outcome, by, at, row, who, when []string
	for i, l := range w.plan.Lots {
		for _, s := range statesOf(l)[3:] { // passed, and closed where it is
			lots, outcome, by = append(lots, w.opened.Lots[i]), append(outcome, s), append(by, l.PassedBy)
			day := l.PassedOn
			if s == string(lot.Closed) {
				day = l.SoldOn
			}
			at = append(at, w.at(day))
		}
		for _, key := range house {
			over, row, who, when = append(over, w.opened.Lots[i]), append(row, key), append(who, l.PassedBy), append(when, w.at(l.PassedOn))
		}
	}
	if len(lots) == 0 {
		return nil
	}
	if err := w.exec(`
		insert into row_override (lot_id, row_key, reason, by_name, happened_at, recorded_at, recorded_by)
		select lot, row_key, $1, by_name, at, $2, $3
		from unnest(CAST($4 AS bigint[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS timestamptz[])) with ordinality as u (lot, row_key, by_name, at, n) order by n`,
		openingReason+": passed before these books began", w.Now, w.By.ID, pq.Array(over), pq.Array(row), pq.Array(who), pq.Array(when)); err != nil {
		return err
	}
	return w.exec(`
		insert into verdict (lot_id, outcome, reason, by_name, happened_at, recorded_at, recorded_by)
		select lot, outcome, $1, by_name, at, $2, $3
		from unnest(CAST($4 AS bigint[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS timestamptz[])) with ordinality as u (lot, outcome, by_name, at, n) order by n`,
		openingReason, w.Now, w.By.ID, pq.Array(lots), pq.Array(outcome), pq.Array(by), pq.Array(at))
}

// origin remembers the import, its sheets and their words.
func (w *openingWriter) origin(sheets []OpeningSheet) error {
	var id int64
	if err := w.get(&id, `
		insert into opening_import (items, parcels, lots, recorded_at, recorded_by) values ($1, $2, $3, $4, $5) returning id`,
		len(w.plan.Items), len(w.plan.Parcels), len(w.plan.Lots), w.Now, w.By.ID); err != nil {
		return err
	}
	for _, s := range sheets { // three at most
		if err := w.exec(`insert into opening_sheet (import_id, kind, name, sha256) values ($1, $2, $3, $4)`, id, string(s.Kind), s.Name, s.SHA256); err != nil {
			return err
		}
	}
	var parcelRefs, lotRefs []string
	for _, p := range w.plan.Parcels {
		parcelRefs = append(parcelRefs, plainRef(p.Ref))
	}
	for _, l := range w.plan.Lots {
		lotRefs = append(lotRefs, plainRef(l.Ref))
	}
	return w.exec(`
		with bags as (
			insert into opening_parcel (parcel_id, import_id, ref)
			select parcel, $1, ref from unnest(CAST($2 AS bigint[]), CAST($3 AS text[])) as u (parcel, ref))
		insert into opening_lot (lot_id, import_id, ref)
		select lot, $1, ref from unnest(CAST($4 AS bigint[]), CAST($5 AS text[])) as u (lot, ref)`,
		id, pq.Array(w.opened.Parcels), pq.Array(parcelRefs), pq.Array(w.opened.Lots), pq.Array(lotRefs))
}

func plainRef(ref string) string { return strings.ToLower(strings.Join(strings.Fields(ref), " ")) }
