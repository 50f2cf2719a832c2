package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/cost"
	"dyelot/inventory/quantity"
)

// AddRates writes rates; what was in force before stays in the books.
func (t *Tx) AddRates(rates []cost.Rate, note string) error {
	var kind, subject []string
	var money, percent []*int64
	var currency []*string
	var on []*bool
	var from []string
	for _, r := range rates {
		kind, subject, from = append(kind, string(r.Kind)), append(subject, r.Subject), append(from, r.From.Format(time.DateOnly))
		var m, p *int64
		var c *string
		var o *bool
		switch r.Kind {
		case cost.NormalLoss:
			p = new(int64(r.Percent))
		case cost.Pooled:
			o = &r.On
		default:
			m, c = &r.Money.Micro, &r.Money.Currency
		}
		money, percent, currency, on = append(money, m), append(percent, p), append(currency, c), append(on, o)
	}
	return t.exec(`
		insert into cost_rate (kind, subject, money_micro, currency, percent, switched_on, from_on, note, set_at, set_by)
		select kind, subject, money, currency, percent, on_, CAST(from_on AS date), $8, $9, $10
		from unnest(CAST($1 AS text[]), CAST($2 AS text[]), CAST($3 AS bigint[]), CAST($4 AS text[]), CAST($5 AS bigint[]), CAST($6 AS boolean[]), CAST($7 AS text[]))
		     with ordinality as u (kind, subject, money, currency, percent, on_, from_on, n) order by n`,
		pq.Array(kind), pq.Array(subject), pq.Array(money), pq.Array(currency), pq.Array(percent), pq.Array(on), pq.Array(from), note, t.Now, t.By.ID)
}

// Rates lists every rate ever written, the oldest first.
func (t *Tx) Rates() (cost.Rates, error) {
	var rows []struct {
		Kind     string    `db:"kind"`
		Subject  string    `db:"subject"`
		Micro    int64     `db:"money_micro"`
		Currency string    `db:"currency"`
		Percent  int64     `db:"percent"`
		On       bool      `db:"switched_on"`
		From     time.Time `db:"from_on"`
	}
	err := t.list(&rows, `
		select kind, subject, coalesce(money_micro, 0) as money_micro, coalesce(currency, '') as currency, coalesce(percent, 0) as percent,
		       coalesce(switched_on, false) as switched_on, from_on
		from cost_rate order by id`)
	rates := make(cost.Rates, len(rows))
	for i, r := range rows {
		rates[i] = cost.Rate{Kind: cost.RateKind(r.Kind), Subject: r.Subject, Money: quantity.Money{Micro: r.Micro, Currency: r.Currency},
			Percent: quantity.Percent(r.Percent), On: r.On, From: r.From.UTC()}
	}
	return rates, err
}

// WorkOf is what minutes were written for: exactly one of the three.
type WorkOf struct{ LotID, RecordID, ParcelID int64 }

// Work is one entry of minutes; the sum of them where it stands in a list.
type Work struct {
	WorkOf
	Minutes int64
	On      time.Time
	By      string
	Note    string
}

// AddWork writes an entry of minutes.
func (t *Tx) AddWork(w Work) error {
	return t.exec(`
		insert into cost_labour (lot_id, record_id, parcel_id, minutes, worked_on, by_name, note, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		nullIfZero(w.LotID), nullIfZero(w.RecordID), nullIfZero(w.ParcelID), w.Minutes, w.On, w.By, w.Note, t.Now, t.By.ID)
}

// Worked lists the entries of some lots, records and parcels, as they were
// written.
func (t *Tx) Worked(lots, records, parcels []int64) ([]Work, error) {
	var rows []struct {
		Lot     int64     `db:"lot_id"`
		Record  int64     `db:"record_id"`
		Parcel  int64     `db:"parcel_id"`
		Minutes int64     `db:"minutes"`
		On      time.Time `db:"worked_on"`
		By      string    `db:"by_name"`
		Note    string    `db:"note"`
	}
	err := t.list(&rows, `
		select coalesce(lot_id, 0) as lot_id, coalesce(record_id, 0) as record_id, coalesce(parcel_id, 0) as parcel_id, minutes, worked_on, by_name, note
		from cost_labour where lot_id = any($1) or record_id = any($2) or parcel_id = any($3) order by id`,
		pq.Array(lots), pq.Array(records), pq.Array(parcels))
	all := make([]Work, len(rows))
	for i, r := range rows {
		all[i] = Work{WorkOf{r.Lot, r.Record, r.Parcel}, r.Minutes, r.On.UTC(), r.By, r.Note}
	}
	return all, err
}

// LockWork keeps two callers from taking the same minutes off.
func (t *Tx) LockWork(of WorkOf) error {
	var none int
	switch {
	case of.LotID != 0:
		return missing(t.get(&none, `select 1 from lot where id = $1 for update`, of.LotID), "lot", Code('L', of.LotID))
	case of.RecordID != 0:
		return missing(t.get(&none, `
			select 1 from lot where id = (select min(lot_id) from record_lot where record_id = $1) for update`, of.RecordID), "stage record", Code('S', of.RecordID))
	}
	return missing(t.get(&none, `select 1 from balance where parcel_id = $1 for update`, of.ParcelID), "parcel", Code('P', of.ParcelID))
}
