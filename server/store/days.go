package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/days"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// Hours are the working hours in force; usual is true where nobody set any.
func (t *Tx) Hours() (h days.Hours, usual bool, err error) {
	var rows []struct {
		Weekdays pq.Int64Array  `db:"weekdays"`
		From     int            `db:"from_minute"`
		To       int            `db:"to_minute"`
		People   int            `db:"people"`
		Burners  int            `db:"burners"`
		Rack     int            `db:"rack_pieces"`
		Off      pq.StringArray `db:"days_off"`
	}
	err = t.list(&rows, `
		select weekdays, from_minute, to_minute, people, burners, rack_pieces, CAST(days_off AS text[]) as days_off
		from studio_hours order by id desc limit 1`)
	if err != nil || len(rows) == 0 {
		return days.UsualHours(), true, err
	}
	r := rows[0]
	h = days.Hours{From: r.From, To: r.To, People: r.People, Burners: r.Burners, RackPieces: r.Rack}
	for _, d := range r.Weekdays {
		h.Weekdays = append(h.Weekdays, time.Weekday(d))
	}
	for _, d := range r.Off {
		off, err := time.Parse(time.DateOnly, d)
		if err != nil {
			return h, false, err
		}
		h.Off = append(h.Off, off)
	}
	return h, false, nil
}

// SetHours writes them; they are in force from now on.
func (t *Tx) SetHours(h days.Hours) error {
	var weekdays []int64
	for _, d := range h.Weekdays {
		weekdays = append(weekdays, int64(d))
	}
	off := []string{}
	for _, d := range h.Off {
		off = append(off, d.Format(time.DateOnly))
	}
	return t.exec(`
		insert into studio_hours (weekdays, from_minute, to_minute, people, burners, rack_pieces, days_off, set_at, set_by)
		values (CAST($1 AS smallint[]), $2, $3, $4, $5, $6, CAST($7 AS date[]), $8, $9)`,
		pq.Array(weekdays), h.From, h.To, h.People, h.Burners, h.RackPieces, pq.Array(off), t.Now, t.By.ID)
}

// OpenStage is a stage of a run that has a lot planned or in work, recorded or
// not.
type OpenStage struct {
	ID        int64
	RunID     int64
	Position  int
	Kind      string
	VesselID  int64
	Bath      quantity.Amount
	Celsius   int
	Minutes   int
	Due       time.Time
	PlannedAt time.Time
	Colourway string
	Light     float64 // L* of the standard
	Lots      []OpenLot
	Done      []StageDone // of its lots, the newest that stands; several where each was recorded by itself
	Pin       *StagePin
}

// OpenLot is a lot of such a stage.
type OpenLot struct {
	ID     int64
	Pot    int64
	State  lot.State
	Pieces int64
}

// StageDone is what was recorded of a stage for one lot.
type StageDone struct {
	LotID      int64
	VesselID   int64
	HappenedAt time.Time
	StartedAt  time.Time
	FinishedAt time.Time
	RecordedAt time.Time
	Skipped    bool
}

// StagePin is a stage set to a time.
type StagePin struct {
	StartsAt time.Time
	VesselID int64
	Reason   string
}

// OpenStages lists them by run and position; each of its three statements is one
// for all runs.
func (t *Tx) OpenStages() ([]OpenStage, error) {
	var rows []struct {
		ID        int64      `db:"id"`
		Run       int64      `db:"run_id"`
		Position  int        `db:"position"`
		Kind      string     `db:"kind"`
		Vessel    int64      `db:"vessel_id"`
		Bath      int64      `db:"bath_ul"`
		Celsius   int        `db:"celsius"`
		Minutes   int        `db:"minutes"`
		Due       *time.Time `db:"due_on"`
		Planned   time.Time  `db:"planned_at"`
		Colourway string     `db:"colourway"`
		Light     float64    `db:"l"`
	}
	err := t.list(&rows, `
		select s.id, s.run_id, s.position, s.kind, coalesce(s.vessel_id, 0) as vessel_id, s.bath_ul, s.celsius, s.minutes, run.due_on, run.planned_at, c.code as colourway, st.l
		from planned_stage s join run on run.id = s.run_id join colourway c on c.id = run.colourway_id join shade_standard st on st.id = run.standard_id
		where run.cancelled_at is null and s.run_id in (select l.run_id from lot l where l.state in ('planned', 'in-work'))
		order by s.run_id, s.position, s.id`)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	stages, at := make([]OpenStage, len(rows)), map[int64]*OpenStage{}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		stages[i] = OpenStage{ID: r.ID, RunID: r.Run, Position: r.Position, Kind: r.Kind, VesselID: r.Vessel, Bath: quantity.Amount{N: r.Bath, Unit: quantity.Volume},
			Celsius: r.Celsius, Minutes: r.Minutes, Due: orZero(r.Due), PlannedAt: r.Planned, Colourway: r.Colourway, Light: r.Light}
		at[r.ID], ids[i] = &stages[i], r.ID
	}
	if err := t.loadOpenLots(at, ids); err != nil {
		return nil, err
	}
	if err := t.loadStageDone(at, ids); err != nil {
		return nil, err
	}
	return stages, t.loadPins(at, ids)
}

func (t *Tx) loadOpenLots(at map[int64]*OpenStage, ids []int64) error {
	var rows []struct {
		Stage  int64  `db:"stage_id"`
		Lot    int64  `db:"lot_id"`
		Pot    int64  `db:"vessel_id"`
		State  string `db:"state"`
		Pieces int64  `db:"pieces"`
	}
	err := t.list(&rows, `
		with open as (select distinct sl.lot_id from planned_stage_lot sl where sl.stage_id = any($1)),
		held as (select o.lot_id, (select count(*) from garment g where g.lot_id = o.lot_id or g.next_lot_id = o.lot_id) as pieces from open o)
		select sl.stage_id, sl.lot_id, l.vessel_id, l.state, h.pieces
		from planned_stage_lot sl join lot l on l.id = sl.lot_id join held h on h.lot_id = sl.lot_id
		where sl.stage_id = any($1) and l.state in ('planned', 'in-work') order by sl.stage_id, sl.lot_id`, pq.Array(ids))
	for _, r := range rows {
		s := at[r.Stage]
		s.Lots = append(s.Lots, OpenLot{r.Lot, r.Pot, lot.State(r.State), r.Pieces})
	}
	return err
}

func (t *Tx) loadStageDone(at map[int64]*OpenStage, ids []int64) error {
	var rows []struct {
		Stage    int64      `db:"stage_id"`
		Lot      int64      `db:"lot_id"`
		Vessel   int64      `db:"vessel_id"`
		Happened time.Time  `db:"happened_at"`
		Started  *time.Time `db:"started_at"`
		Finished *time.Time `db:"finished_at"`
		Recorded time.Time  `db:"recorded_at"`
		Skipped  bool       `db:"skipped"`
	}
	err := t.list(&rows, `
		select distinct on (s.id, sl.lot_id) s.id as stage_id, sl.lot_id, coalesce(r.vessel_id, 0) as vessel_id, r.happened_at, r.started_at, r.finished_at, r.recorded_at, r.skipped
		from planned_stage s join planned_stage_lot sl on sl.stage_id = s.id
		join lot l on l.id = sl.lot_id and l.state in ('planned', 'in-work')
		join stage_record r on r.run_id = s.run_id and r.position = s.position and r.addition_to is null
		join record_lot rl on rl.record_id = r.id and rl.lot_id = sl.lot_id
		where s.id = any($1) and not exists (select from record_undone u where u.record_id = r.id)
		order by s.id, sl.lot_id, r.happened_at desc, r.id desc`, pq.Array(ids))
	for _, r := range rows {
		s := at[r.Stage]
		s.Done = append(s.Done, StageDone{r.Lot, r.Vessel, r.Happened, orZero(r.Started), orZero(r.Finished), r.Recorded, r.Skipped})
	}
	return err
}

func (t *Tx) loadPins(at map[int64]*OpenStage, ids []int64) error {
	var rows []struct {
		Stage  int64     `db:"stage_id"`
		Starts time.Time `db:"starts_at"`
		Vessel int64     `db:"vessel_id"`
		Reason string    `db:"reason"`
	}
	err := t.list(&rows, `
		select p.stage_id, p.starts_at, p.vessel_id, p.reason from (
			select distinct on (s.id, sl.lot_id) s.id as stage_id, k.id, k.starts_at, coalesce(k.vessel_id, 0) as vessel_id, k.reason, k.withdrawn
			from planned_stage s join planned_stage_lot sl on sl.stage_id = s.id
			join stage_pin k on k.lot_id = sl.lot_id and k.position = s.position
			where s.id = any($1) order by s.id, sl.lot_id, k.id desc) p
		where not p.withdrawn order by p.id`, pq.Array(ids))
	for _, r := range rows {
		at[r.Stage].Pin = &StagePin{r.Starts, r.Vessel, r.Reason}
	}
	return err
}

// AddPin sets a stage of a lot to a time.
func (t *Tx) AddPin(lotID int64, position int, p StagePin) error {
	return t.exec(`
		insert into stage_pin (lot_id, position, starts_at, vessel_id, reason, at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		lotID, position, p.StartsAt, nullIfZero(p.VesselID), p.Reason, t.Now, t.By.ID)
}

// DropPins takes the pins of a stage back, whichever of its lots they were
// given for, and says whether there was one in force.
func (t *Tx) DropPins(lotIDs []int64, position int, reason string) (bool, error) {
	var dropped []int64
	err := t.list(&dropped, `
		with force as (select distinct on (lot_id) lot_id, withdrawn from stage_pin where lot_id = any($1) and position = $2 order by lot_id, id desc)
		insert into stage_pin (lot_id, position, withdrawn, reason, at, recorded_by)
		select lot_id, $2, true, $3, $4, $5 from force where not withdrawn order by lot_id returning id`,
		pq.Array(lotIDs), position, reason, t.Now, t.By.ID)
	return len(dropped) > 0, err
}

// ShortByStage is, of each planned stage that is not recorded for all its lots,
// the items of which a dose is promised from no parcel.
func (t *Tx) ShortByStage() (map[int64][]string, error) {
	var rows []struct {
		Run      int64  `db:"run_id"`
		Position int64  `db:"position"`
		Name     string `db:"name"`
		Unit     string `db:"unit"`
		Short    int64  `db:"short"`
		Stage    int64  `db:"stage_id"`
	}
	err := t.list(&rows, openDoses+`
		select o.run_id, o.position, i.name, i.unit, d.stage_id, sum(o.short) as short
		from open_dose o join item i on i.id = o.item_id join planned_dose d on d.id = o.id
		where o.short > 0 group by o.run_id, o.position, i.name, i.unit, d.stage_id order by d.stage_id, i.name`)
	short := map[int64][]string{}
	for _, r := range rows {
		short[r.Stage] = append(short[r.Stage], amountOf(r.Short, r.Unit).String()+" of "+r.Name)
	}
	return short, err
}

// Span is when a recorded stage began, as far as anyone said, and when it is
// over: when somebody said, or after what goes on by itself.
func (d StageDone) Span(kind string, celsius, minutes int) (start, over time.Time) {
	start, over = d.HappenedAt, d.HappenedAt
	if !d.StartedAt.IsZero() {
		start = d.StartedAt
	}
	row, err := days.RowOf(kind)
	switch {
	case !d.FinishedAt.IsZero():
		return start, d.FinishedAt
	case d.Skipped || err != nil:
		return start, over
	}
	over = over.Add(time.Duration(row.GoesOn(celsius, minutes)) * time.Minute)
	if t := row.Task(celsius, minutes, 0); !d.StartedAt.IsZero() { // begun, and nobody said that it ended
		if until := d.StartedAt.Add(time.Duration(t.Begin+t.Heat+t.Soak) * time.Minute); until.After(over) {
			over = until
		}
	}
	return start, over
}
