package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
)

// AddReading writes a reading of a lot's witness cloth, or of a garment where
// garmentID is not zero, and returns its id.
func (t *Tx) AddReading(r lot.Reading, garmentID int64) (int64, error) {
	var id int64
	err := t.get(&id, `
		insert into reading (lot_id, garment_id, l, a, b, illuminant, observer, wet, rested, by_name, instrument, note, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) returning id`,
		r.LotID, nullIfZero(garmentID), r.Colour.L, r.Colour.A, r.Colour.B, r.View.Illuminant.String(), r.View.Observer.Degrees(),
		r.Wet, r.Rested, r.By, r.Instrument, r.Note, r.HappenedAt, t.Now, t.By.ID)
	return id, err
}

type readingRow struct {
	ID    int64  `db:"id"`
	LotID int64  `db:"lot_id"`
	Tag   string `db:"tag"`
	labRow
	Wet        bool      `db:"wet"`
	Rested     bool      `db:"rested"`
	By         string    `db:"by_name"`
	Instrument string    `db:"instrument"`
	Note       string    `db:"note"`
	HappenedAt time.Time `db:"happened_at"`
	RecordedAt time.Time `db:"recorded_at"`
	Apart      bool      `db:"apart"`
	Specular   string    `db:"specular"`
	withdrawnRow
}

// readingsOfLots lists the readings of some lots, by lot and then in the order
// they were recorded. A garment that a verdict of its own took out of its lot,
// or that went on into another, is apart.
func (t *Tx) readingsOfLots(lotIDs []int64) (map[int64][]lot.Reading, error) {
	var rows []readingRow
	if err := t.list(&rows, `
		select r.id, r.lot_id, coalesce(g.tag, '') as tag, r.l, r.a, r.b, r.illuminant, r.observer, r.wet, r.rested,
		       r.by_name, r.instrument, r.note, r.happened_at, r.recorded_at, r.specular,
		       g.id is not null and (g.lot_id <> r.lot_id or coalesce(g.outcome, '') in ('imperfect', 're-dye', 'scrapped')) as apart,
		       `+withdrawnColumns+`
		from reading r left join garment g on g.id = r.garment_id left join evidence_withdrawn w on w.reading_id = r.id
		where r.lot_id = any($1) order by r.id`, pq.Array(lotIDs)); err != nil {
		return nil, err
	}
	readings := map[int64][]lot.Reading{}
	for _, r := range rows {
		c, v, err := r.colour()
		if err != nil {
			return nil, err
		}
		readings[r.LotID] = append(readings[r.LotID], lot.Reading{
			ID: r.ID, LotID: r.LotID, Tag: r.Tag, Colour: c, View: v, Wet: r.Wet, Rested: r.Rested, By: r.By, Instrument: r.Instrument, Note: r.Note,
			HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt, Apart: r.Apart, Withdrawn: r.withdrawal(), Specular: colour.Specular(r.Specular),
		})
	}
	return readings, nil
}

// lastBaths finds, for each of some lots, the last standing record that put its
// cloth into a liquor.
func (t *Tx) lastBaths(lotIDs []int64) (map[int64]lot.LastBath, error) {
	var wet []string
	for _, k := range lot.Kinds() {
		if k.Bath && !k.Brews {
			wet = append(wet, k.Key)
		}
	}
	var rows []struct {
		LotID      int64     `db:"lot_id"`
		Record     int64     `db:"id"`
		HappenedAt time.Time `db:"happened_at"`
		RecordedAt time.Time `db:"recorded_at"`
	}
	err := t.list(&rows, `
		select distinct on (rl.lot_id) rl.lot_id, r.id, r.happened_at, r.recorded_at
		from record_lot rl join stage_record r on r.id = rl.record_id
		where rl.lot_id = any($1) and r.kind = any($2) and not r.skipped
		and not exists (select from record_undone u where u.record_id = r.id)
		order by rl.lot_id, r.happened_at desc, r.id desc`, pq.Array(lotIDs), pq.Array(wet))
	last := map[int64]lot.LastBath{}
	for _, r := range rows {
		last[r.LotID] = lot.LastBath{Record: Code('S', r.Record), HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt}
	}
	return last, err
}
