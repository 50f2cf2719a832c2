package store

import (
	"strings"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
	"dyelot/inventory/lot"
)

// AddEye writes what was seen, of a lot or of a garment where garmentID is not
// zero, and returns its id.
func (t *Tx) AddEye(e lot.EyeJudgement, garmentID int64) (id int64, err error) {
	err = t.get(&id, `
		insert into eye_judgement (lot_id, garment_id, against_lot_id, grade, direction, light, by_name, second_name, rested, note, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) returning id`,
		e.LotID, nullIfZero(garmentID), nullIfZero(e.AgainstLot), fastness.GreyChange.Text(e.Grade), strings.Join(e.Directions, ", "), e.Light, e.By, e.Second, e.Rested, e.Note,
		e.HappenedAt, t.Now, t.By.ID)
	return id, err
}

type eyeRow struct {
	ID         int64     `db:"id"`
	LotID      int64     `db:"lot_id"`
	Tag        string    `db:"tag"`
	Against    int64     `db:"against_lot_id"`
	Grade      string    `db:"grade"`
	Direction  string    `db:"direction"`
	Light      string    `db:"light"`
	By         string    `db:"by_name"`
	Second     string    `db:"second_name"`
	Rested     bool      `db:"rested"`
	Note       string    `db:"note"`
	HappenedAt time.Time `db:"happened_at"`
	RecordedAt time.Time `db:"recorded_at"`
	withdrawnRow
}

const eyesOfLots = `
	select e.id, e.lot_id, coalesce(g.tag, '') as tag, coalesce(e.against_lot_id, 0) as against_lot_id, e.grade, e.direction, e.light, e.by_name, e.second_name, e.rested,
	       e.note, e.happened_at, e.recorded_at, ` + withdrawnColumns + `
	from eye_judgement e left join garment g on g.id = e.garment_id left join evidence_withdrawn w on w.eye_id = e.id
	where e.lot_id = any($1) order by e.id`

// EyesOf lists what was seen of a lot, in the order it was recorded.
func (t *Tx) EyesOf(lotID int64) ([]lot.EyeJudgement, error) {
	var rows []eyeRow
	if err := t.list(&rows, eyesOfLots, pq.Array([]int64{lotID})); err != nil {
		return nil, err
	}
	eyes := make([]lot.EyeJudgement, len(rows))
	for i, r := range rows {
		grade, err := fastness.Parse(r.Grade, fastness.GreyChange)
		if err != nil {
			return nil, err
		}
		eyes[i] = lot.EyeJudgement{ID: r.ID, LotID: r.LotID, Tag: r.Tag, AgainstLot: r.Against, Grade: grade, Light: r.Light, By: r.By, Second: r.Second, Rested: r.Rested, Note: r.Note,
			HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt, Withdrawn: r.withdrawal()}
		if r.Direction != "" {
			eyes[i].Directions = strings.Split(r.Direction, ", ")
		}
	}
	return eyes, nil
}

// LotOfEye finds whose cloth was looked at. fault.NotFound.
func (t *Tx) LotOfEye(id int64) (lotID int64, err error) {
	err = t.get(&lotID, `select lot_id from eye_judgement where id = $1`, id)
	return lotID, missing(err, "judgement", Code('V', id))
}
