package store

import (
	"time"

	"dyelot/inventory/fault"
)

// MissedNote is a plant's year that a person gave up.
type MissedNote struct {
	Plant, Part string
	Year        int
	Reason      string
	SwatchID    int64  // zero: no swatch stands in
	Colourway   string // empty: no colourway stands in
	By          string
	RecordedAt  time.Time
}

const missedNotes = `
	select distinct on (m.plant, m.part, m.year) m.plant, m.part, m.year, m.reason, coalesce(m.swatch_id, 0) as swatch_id, coalesce(c.code, '') as colourway,
	       m.by_name, m.recorded_at
	from missed_gathering m left join colourway c on c.id = m.colourway_id
	order by m.plant, m.part, m.year, m.id desc`

// MissedNotes are those in force, the newest of each plant, part and year.
func (t *Tx) MissedNotes() ([]MissedNote, error) {
	var rows []struct {
		Plant     string    `db:"plant"`
		Part      string    `db:"part"`
		Year      int       `db:"year"`
		Reason    string    `db:"reason"`
		Swatch    int64     `db:"swatch_id"`
		Colourway string    `db:"colourway"`
		By        string    `db:"by_name"`
		At        time.Time `db:"recorded_at"`
	}
	err := t.list(&rows, missedNotes)
	notes := make([]MissedNote, len(rows))
	for i, r := range rows {
		notes[i] = MissedNote{Plant: r.Plant, Part: r.Part, Year: r.Year, Reason: r.Reason, SwatchID: r.Swatch, Colourway: r.Colourway, By: r.By, RecordedAt: r.At}
	}
	return notes, err
}

// AddMissedNote writes one. fault.NotFound for a colourway that is not there.
func (t *Tx) AddMissedNote(n MissedNote) error {
	var colourway *int64
	if n.Colourway != "" {
		c, err := t.ColourwayByCode(n.Colourway)
		if err != nil {
			if f, ok := fault.Of(err); ok {
				return f.At("colourway_code")
			}
			return err
		}
		colourway = &c.ID
	}
	return t.exec(`
		insert into missed_gathering (plant, part, year, reason, swatch_id, colourway_id, by_name, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		n.Plant, n.Part, n.Year, n.Reason, nullIfZero(n.SwatchID), colourway, n.By, t.Now, t.By.ID)
}
