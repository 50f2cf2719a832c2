package store

import (
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// withdrawnColumns of evidence_withdrawn w, joined from the left.
const withdrawnColumns = `coalesce(w.by_name, '') as withdrawn_by, coalesce(w.reason, '') as withdrawn_why, w.at as withdrawn_at`

type withdrawnRow struct {
	WithdrawnBy  string     `db:"withdrawn_by"`
	WithdrawnWhy string     `db:"withdrawn_why"`
	WithdrawnAt  *time.Time `db:"withdrawn_at"`
}

func (r withdrawnRow) withdrawal() lot.Withdrawal {
	return lot.Withdrawal{By: r.WithdrawnBy, Reason: r.WithdrawnWhy, At: orZero(r.WithdrawnAt)}
}

// LotOfReading finds whose reading that is. fault.NotFound.
func (t *Tx) LotOfReading(id int64) (lotID int64, err error) {
	err = t.get(&lotID, `select lot_id from reading where id = $1`, id)
	return lotID, missing(err, "reading", Code('C', id))
}

// LotOfTest finds whose fastness test that is. fault.NotFound.
func (t *Tx) LotOfTest(id int64) (lotID int64, err error) {
	err = t.get(&lotID, `select lot_id from fastness_test where id = $1`, id)
	return lotID, missing(err, "test", Code('F', id))
}

// Withdraw takes a reading ('C'), a fastness test ('F'), a judgement by eye ('V')
// or a line of the small books ('J') back. It was found before; a second withdrawal is refused.
func (t *Tx) Withdraw(letter byte, id int64, by, reason string) error {
	var reading, test, entry, eye int64
	switch letter {
	case 'C':
		reading = id
	case 'F':
		test = id
	case 'J':
		entry = id
	case 'V':
		eye = id
	default:
		return fault.BadField("code", "%c is neither a reading, a test, a judgement by eye nor a line of the small books", letter)
	}
	return t.exec(`
		insert into evidence_withdrawn (reading_id, test_id, log_entry_id, eye_id, reason, by_name, at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7, $8)`,
		nullIfZero(reading), nullIfZero(test), nullIfZero(entry), nullIfZero(eye), reason, by, t.Now, t.By.ID)
}
