package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// Held is what a commission's customer brought, by parcel.
type Held struct {
	ParcelID  int64  `db:"parcel_id"`
	ItemCode  string `db:"code"`
	Why       string `db:"might_not_take"`
	OnHand    int64  `db:"on_hand"`
	InLots    int    `db:"in_lots"`
	GivenBack int    `db:"given_back"`
}

// HeldFor lists the customer's own garments of a commission, by parcel. What was
// given back undyed counts too.
func (t *Tx) HeldFor(commissionID int64) ([]Held, error) {
	var rows []Held
	err := t.list(&rows, `
		select p.id as parcel_id, i.code, p.might_not_take, b.on_hand,
		       (select count(*) from garment g where g.parcel_id = p.id and g.place in ('in-work', 'shelf', 'returned', 'scrapped')) as in_lots,
		       (select count(*) from garment g where g.parcel_id = p.id and g.place = 'given-back')
		       + coalesce((select sum(case when o.to_place = 'customer' then o.amount else -o.amount end) from posting o join movement m on m.id = o.movement_id
		                   where o.parcel_id = p.id and (m.kind = 'given-back' or m.reverses_kind = 'given-back')), 0) as given_back
		from parcel p join item i on i.id = p.item_id join balance b on b.parcel_id = p.id
		where p.commission_id = $1 order by p.id`, commissionID)
	return rows, err
}

// GiveBackGarments hands dyed garments to the customer whose own they are. Only
// what lot.MayGiveBack has let go.
func (t *Tx) GiveBackGarments(garments []lot.Garment, note string, at time.Time) error {
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	return t.exec(`
		with gone as (
			update garment set place = 'given-back' where id = any($1) returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, 'given-back', lot_id, $2, $3, $4, $5, $6 from gone order by id`,
		pq.Array(ids), at, t.Now, t.By.ID, t.By.Name, note)
}

// Sample is what a blend was sampled by.
type Sample struct {
	ParcelID  int64
	LotID     int64
	ReadingID int64
	Note      string
	On        time.Time
	By        string
}

// AddSample writes that a swatch was dyed with a blend.
func (t *Tx) AddSample(s Sample) error {
	return t.exec(`
		insert into parcel_sample (parcel_id, lot_id, reading_id, note, sampled_on, by_name, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7, $8)`,
		s.ParcelID, nullIfZero(s.LotID), nullIfZero(s.ReadingID), s.Note, s.On, s.By, t.Now, t.By.ID)
}

// unsampledBlends walks up from a parcel through its makings, and stops where
// something was sampled: that counts as one harvest from there on.
const unsampledBlends = `
	with recursive up (parcel_id, id) as (
		select p.id, p.id from parcel p where p.id = any($1)
		union
		select up.parcel_id, g.parcel_id
		from up join movement m on m.made_parcel_id = up.id and m.kind = 'making' join posting g on g.movement_id = m.id and g.to_place = 'making'
		where not exists (select from parcel_sample s where s.parcel_id = up.id)
		and not exists (select from movement b where b.reverses_id = m.id))
	select distinct up.parcel_id
	from up join parcel p on p.id = up.id join item i on i.id = p.item_id
	where i.kind = 'dyestuff' and (p.origin <> 'making' or exists (select from parcel_sample s where s.parcel_id = p.id))
	group by up.parcel_id, lower(coalesce(nullif(i.plant, ''), i.code)) having count(*) > 1`

// UnsampledBlends are those of some parcels that came from two harvests or
// deliveries of one dyestuff, however many makings ago, with nothing sampled
// since they met.
func (t *Tx) UnsampledBlends(parcelIDs []int64) (map[int64]bool, error) {
	var ids []int64
	err := t.list(&ids, unsampledBlends, pq.Array(parcelIDs))
	unsampled := map[int64]bool{}
	for _, id := range ids {
		unsampled[id] = true
	}
	return unsampled, err
}

// Reading finds one with the lot whose cloth it is of. fault.NotFound.
func (t *Tx) Reading(id int64) (lot.Reading, error) {
	var lotID int64
	if err := t.get(&lotID, `select lot_id from reading where id = $1`, id); err != nil {
		return lot.Reading{}, missing(err, "reading", Code('C', id))
	}
	readings, err := t.readingsOfLots([]int64{lotID})
	for _, r := range readings[lotID] {
		if r.ID == id {
			return r, err
		}
	}
	return lot.Reading{}, missing(orNoRows(err), "reading", Code('C', id))
}
