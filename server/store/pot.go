package store

import (
	"database/sql"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// addDips writes counted dips: one row for the whole lot, or one a garment.
func (t *Tx) addDips(recordID int64, groups []lot.Dips) error {
	var line, garment, dips, airings []int64
	for i, g := range groups {
		for _, id := range append([]int64{}, orWhole(g.Garments)...) {
			line, garment = append(line, int64(i+1)), append(garment, id)
			dips, airings = append(dips, int64(g.Dips)), append(airings, int64(g.Airings))
		}
	}
	return t.exec(`
		insert into record_dip (record_id, line, garment_id, dips, airings)
		select $1, line, nullif(garment, 0), dips, airings
		from unnest(CAST($2 AS smallint[]), CAST($3 AS bigint[]), CAST($4 AS int[]), CAST($5 AS int[])) as u (line, garment, dips, airings)`,
		recordID, pq.Array(line), pq.Array(garment), pq.Array(dips), pq.Array(airings))
}

// orWhole stands 0 for the whole lot.
func orWhole(garments []int64) []int64 {
	if len(garments) == 0 {
		return []int64{0}
	}
	return garments
}

// addBrewShares notes that the liquor of a brew went on into the dye baths of
// its lots, whichever of the two was written down first.
func (t *Tx) addBrewShares(recordID int64, r lot.Standing) error {
	var brews, dyes []string
	for _, k := range lot.Kinds() {
		if k.Brews {
			brews = append(brews, k.Key)
		}
		if k.Dyes {
			dyes = append(dyes, k.Key)
		}
	}
	others := dyes
	if r.Kind.Dyes {
		others = brews
	}
	return t.exec(`
		insert into brew_share (brew_id, dye_id)
		select distinct case when $4 then r.id else $1 end, case when $4 then $1 else r.id end
		from record_lot mine join record_lot theirs on theirs.lot_id = mine.lot_id join stage_record r on r.id = theirs.record_id
		where mine.record_id = $1 and r.run_id = $2 and r.kind = any($5) and not r.skipped and case when $4 then r.position < $3 else r.position > $3 and r.addition_to is null end
		and`+notUndone, recordID, r.RunID, r.Position, r.Kind.Dyes, pq.Array(others))
}

func (t *Tx) loadDips(at map[int64]*lot.Standing, ids []int64) error {
	var rows []struct {
		Record  int64          `db:"record_id"`
		Line    int            `db:"line"`
		Garment sql.NullInt64  `db:"garment_id"`
		Tag     sql.NullString `db:"tag"`
		Dips    int            `db:"dips"`
		Airings int            `db:"airings"`
	}
	err := t.list(&rows, `
		select d.record_id, d.line, d.garment_id, g.tag, d.dips, d.airings
		from record_dip d left join garment g on g.id = d.garment_id where d.record_id = any($1) order by d.record_id, d.line, d.garment_id`, pq.Array(ids))
	for _, r := range rows {
		s := at[r.Record]
		if len(s.Dips) < r.Line {
			s.Dips = append(s.Dips, lot.Dips{Dips: r.Dips, Airings: r.Airings})
		}
		if r.Garment.Valid {
			g := &s.Dips[len(s.Dips)-1]
			g.Garments, g.Tags = append(g.Garments, r.Garment.Int64), append(g.Tags, r.Tag.String)
		}
	}
	return err
}

// loadLiquor lists, for each record, the parcels that went into its bath before:
// with earlier uses and with what it was set, topped up and fed with.
func (t *Tx) loadLiquor(at map[int64]*lot.Standing, ids []int64) error {
	var rows []struct {
		Record int64 `db:"id"`
		Parcel int64 `db:"parcel_id"`
	}
	err := t.list(&rows, `
		select s.id, p.parcel_id
		from stage_record s
		cross join lateral (
			select m.id
			from stage_record r join movement m on m.record_id = r.id
			where s.bath_use > 1 and r.bath_id = s.bath_id and r.bath_use < s.bath_use and`+notUndone+`
			union all
			select m.id
			from bath_entry e join movement m on m.entry_id = e.id
			where e.bath_id = s.bath_id and e.after_use < s.bath_use and`+entryStands+`) m
		join posting p on p.movement_id = m.id and p.to_place = 'process'
		where s.id = any($1) and s.addition_to is null group by s.id, p.parcel_id order by s.id, p.parcel_id`, pq.Array(ids))
	for _, r := range rows {
		at[r.Record].Liquor = append(at[r.Record].Liquor, r.Parcel)
	}
	return err
}

// loadLeft tells, of records whose liquor was measured, what was left over after
// them and where it went.
func (t *Tx) loadLeft(at map[int64]*lot.Standing, _ []int64) error {
	var baths []int64
	for _, r := range at {
		if r.Kind.Brews && r.BathID != 0 && r.Volume.N > 0 && r.AdditionTo == 0 {
			baths = append(baths, r.BathID)
		}
	}
	if len(baths) == 0 {
		return nil
	}
	entries, err := t.entries(entryColumns+` where e.bath_id = any($1) order by e.happened_at, e.id`, pq.Array(baths))
	for _, r := range at {
		b := lot.Liquor{}
		for _, e := range entries {
			if e.BathID == r.BathID {
				b.Entries = append(b.Entries, e)
			}
		}
		if e, said := b.LeftOver(r.BathUse); said && r.Volume.N > 0 && r.AdditionTo == 0 {
			r.Left = lot.LeftOver{Litres: e.Litres, Went: e.Route}
			if e.Kind == lot.EntryKept {
				r.Left.Went = "kept, " + lot.EntryCode(e.ID)
			}
		}
	}
	return err
}

// keptTasks asks about baths that have stood for long: a kept one goes off, and
// a vat that nobody looks at goes out of balance.
func (t *Tx) keptTasks() ([]Task, error) {
	baths, err := t.Liquors(0, maxKept, false)
	var tasks []Task
	for _, b := range baths {
		if text := b.Ask(t.Now); text != "" {
			tasks = append(tasks, Task{Key: "kept-bath", Subject: b.Code, Text: text})
		}
	}
	return tasks, err
}

// maxKept: nobody has so many tubs.
const maxKept = 1000

// PouredInto lists the parcels that ever went into a bath, by id.
func (t *Tx) PouredInto(bathID int64) ([]int64, error) {
	if bathID == 0 {
		return nil, nil
	}
	var ids []int64
	err := t.list(&ids, `
		select distinct p.parcel_id
		from (
			select m.id from stage_record r join movement m on m.record_id = r.id where r.bath_id = $1 and`+notUndone+`
			union all
			select m.id from bath_entry e join movement m on m.entry_id = e.id where e.bath_id = $1 and`+entryStands+`) m
		join posting p on p.movement_id = m.id and p.to_place = 'process' order by 1`, bathID)
	return ids, err
}
