package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/stock"
)

// AddArrivalCheck writes what was seen of a delivery of blanks.
func (t *Tx) AddArrivalCheck(parcelID int64, a stock.Arrival) error {
	return t.exec(`
		insert into arrival_check (parcel_id, before_length_mm, before_width_mm, after_length_mm, after_width_mm, drop_seconds, brightener, thread, buttons,
		                           cut_off, verdict, note, by_name, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		parcelID, nullIfZero(a.Before.Length), nullIfZero(a.Before.Width), nullIfZero(a.After.Length), nullIfZero(a.After.Width), a.Drop,
		a.Brightener, a.Thread, a.Buttons, a.CutOff, a.Verdict, a.Note, a.By, a.HappenedAt, t.Now, t.By.ID)
}

const arrivalChecks = `
	select parcel_id, coalesce(before_length_mm, 0) as before_length_mm, coalesce(before_width_mm, 0) as before_width_mm,
	       coalesce(after_length_mm, 0) as after_length_mm, coalesce(after_width_mm, 0) as after_width_mm, drop_seconds,
	       brightener, thread, buttons, cut_off, verdict, note, by_name, happened_at
	from arrival_check where parcel_id = any($1) order by id`

// ArrivalChecks lists the checks of some parcels, the oldest first.
func (t *Tx) ArrivalChecks(parcelIDs []int64) (map[int64][]stock.Arrival, error) {
	var rows []struct {
		Parcel       int64     `db:"parcel_id"`
		BeforeLength int64     `db:"before_length_mm"`
		BeforeWidth  int64     `db:"before_width_mm"`
		AfterLength  int64     `db:"after_length_mm"`
		AfterWidth   int64     `db:"after_width_mm"`
		Drop         *int      `db:"drop_seconds"`
		Brightener   string    `db:"brightener"`
		Thread       string    `db:"thread"`
		Buttons      string    `db:"buttons"`
		CutOff       string    `db:"cut_off"`
		Verdict      string    `db:"verdict"`
		Note         string    `db:"note"`
		By           string    `db:"by_name"`
		HappenedAt   time.Time `db:"happened_at"`
	}
	err := t.list(&rows, arrivalChecks, pq.Array(parcelIDs))
	checks := map[int64][]stock.Arrival{}
	for _, r := range rows {
		checks[r.Parcel] = append(checks[r.Parcel], stock.Arrival{
			Before: stock.Size{Length: r.BeforeLength, Width: r.BeforeWidth}, After: stock.Size{Length: r.AfterLength, Width: r.AfterWidth},
			Drop: r.Drop, Brightener: r.Brightener, Thread: r.Thread, Buttons: r.Buttons, CutOff: r.CutOff, Verdict: r.Verdict, Note: r.Note, By: r.By, HappenedAt: r.HappenedAt,
		})
	}
	return checks, err
}

// arrivalTasks are blanks on the shelf that nobody has passed on arrival, and
// those that were rejected and are here still.
func (t *Tx) arrivalTasks() ([]Task, error) {
	var rows []struct {
		Parcel  int64  `db:"parcel_id"`
		Item    string `db:"name"`
		Origin  string `db:"origin"`
		Verdict string `db:"verdict"`
	}
	err := t.list(&rows, `
		select b.parcel_id, i.name, p.origin, coalesce(v.verdict, '') as verdict
		from balance b join parcel p on p.id = b.parcel_id join item i on i.id = p.item_id
		left join lateral (select a.verdict from arrival_check a where a.parcel_id = p.id and a.verdict <> '' order by a.id desc limit 1) v on true
		where i.kind = 'blank' and p.origin in ('delivery', 'customer') and b.on_hand > 0 and coalesce(v.verdict, '') <> 'accept'
		order by b.parcel_id`)
	var tasks []Task
	for _, r := range rows {
		code := Code('P', r.Parcel)
		switch {
		case r.Verdict == "":
			tasks = append(tasks, Task{Key: "arrival-open", Subject: code, Text: fmt.Sprintf("%s: look at it before it is dyed, then: dyelot arrival check %s", r.Item, code)})
		case r.Origin == string(stock.FromCustomer):
			tasks = append(tasks, Task{Key: "send-back", Subject: code, Text: fmt.Sprintf("%s: rejected on arrival, give it back to its customer undyed", r.Item)})
		default:
			tasks = append(tasks, Task{Key: "send-back", Subject: code, Text: fmt.Sprintf("%s: rejected on arrival, send it back: dyelot stock send-back %s", r.Item, code)})
		}
	}
	return tasks, err
}
