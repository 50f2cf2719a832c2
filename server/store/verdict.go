package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// Verdict is what was decided of a lot, or of some of its garments.
type Verdict struct {
	LotID      int64
	Tags       []string // empty: the whole lot
	Outcome    string
	Reason     string
	By         string
	HappenedAt time.Time
	RecordedAt time.Time
}

// verdictsOf lists a lot's verdicts in the order they were recorded; garments
// that were decided in one act stand together.
func (t *Tx) verdictsOf(lotID int64) ([]Verdict, error) {
	var rows []struct {
		Tags       pq.StringArray `db:"tags"`
		Outcome    string         `db:"outcome"`
		Reason     string         `db:"reason"`
		By         string         `db:"by_name"`
		HappenedAt time.Time      `db:"happened_at"`
		RecordedAt time.Time      `db:"recorded_at"`
	}
	err := t.list(&rows, `
		select array_remove(array_agg(g.tag order by g.id), null) as tags, v.outcome, v.reason, v.by_name, v.happened_at, v.recorded_at
		from verdict v left join garment g on g.id = v.garment_id
		where v.lot_id = $1
		group by v.garment_id is null, v.outcome, v.reason, v.by_name, v.happened_at, v.recorded_at order by min(v.id)`, lotID)
	verdicts := make([]Verdict, len(rows))
	for i, r := range rows {
		verdicts[i] = Verdict{LotID: lotID, Tags: r.Tags, Outcome: r.Outcome, Reason: r.Reason, By: r.By, HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt}
	}
	return verdicts, err
}

// GarmentsToJudge locks garments by serial, in ascending id. One that does not
// exist is not in the answer.
func (t *Tx) GarmentsToJudge(serials []int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.serial = any($1) order by g.id for update of g`, pq.Array(serials))
}

// GarmentBySerial finds one without locking it; fault.NotFound names its tag.
func (t *Tx) GarmentBySerial(serial int64, tag string) (lot.Garment, error) {
	gs, err := t.garments(garmentColumns+` where g.serial = $1`, serial)
	if err != nil || len(gs) == 0 {
		return lot.Garment{}, missing(orNoRows(err), "garment", tag)
	}
	return gs[0], nil
}

// LotVerdict writes a verdict on a whole lot that lot.Give has decided: its next
// state, and where its garments go that have no verdict of their own and are in
// the house.
func (t *Tx) LotVerdict(v Verdict, next lot.State, place lot.Place) error {
	if err := t.exec(`
		insert into verdict (lot_id, outcome, reason, by_name, happened_at, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		v.LotID, v.Outcome, v.Reason, v.By, v.HappenedAt, t.Now, t.By.ID); err != nil {
		return err
	}
	if err := t.SetLotStates(map[int64]lot.State{v.LotID: next}); err != nil || place == "" {
		return err
	}
	inHouse := make([]string, len(lot.InHouse))
	for i, p := range lot.InHouse {
		inHouse[i] = string(p)
	}
	return t.exec(`
		with moved as (
			update garment set place = $2 where lot_id = $1 and outcome is null and next_lot_id is null and place = any($3) returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, $4, lot_id, $5, $6, $7, $8, $9 from moved order by id`,
		v.LotID, string(place), pq.Array(inHouse), v.Outcome, v.HappenedAt, t.Now, t.By.ID, v.By, v.Reason)
}

// GarmentVerdict writes a verdict on single garments, of one lot or of several,
// that lot.GiveSingle has decided. From now on it goes before their lot's.
func (t *Tx) GarmentVerdict(v Verdict, garments []lot.Garment, place lot.Place) error {
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	return t.exec(`
		with judged as (
			insert into verdict (lot_id, garment_id, outcome, reason, by_name, happened_at, recorded_at, recorded_by)
			select lot_id, id, $2, $3, $4, $5, $6, $7 from garment where id = any($1) order by id),
		moved as (
			update garment set place = $8, outcome = $2 where id = any($1) returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, $2, lot_id, $5, $6, $7, $4, $3 from moved order by id`,
		pq.Array(ids), v.Outcome, v.Reason, v.By, v.HappenedAt, t.Now, t.By.ID, string(place))
}
