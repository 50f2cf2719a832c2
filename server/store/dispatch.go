package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// GarmentsBySerial loads garments without locking them, by id. One that does
// not exist is not in the answer.
func (t *Tx) GarmentsBySerial(serials []int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.serial = any($1) order by g.id`, pq.Array(serials))
}

// GarmentFilter chooses garments for a list.
type GarmentFilter struct {
	LotID    int64     // zero: of every lot
	Place    lot.Place // empty: everywhere, without those that were never dyed
	OrderRef string    // empty: of every order and of none
}

// Each list is its own statement, so that a plan that knows none of the values
// still goes by the index that fits.
const (
	garmentsAt      = ` ($3 = '' and g.place <> 'cancelled' or g.place = $3) order by g.id limit $2`
	garmentsAnyhow  = garmentColumns + ` where g.id > $1 and` + garmentsAt
	garmentsOfLot   = garmentColumns + ` where g.id > $1 and g.lot_id = $4 and ($5 = '' or g.order_ref = $5) and` + garmentsAt
	garmentsOfOrder = garmentColumns + ` where g.id > $1 and g.order_ref = $4 and g.order_ref <> '' and` + garmentsAt
)

// ListGarments lists garments by id, after one.
func (t *Tx) ListGarments(f GarmentFilter, after int64, limit int) ([]lot.Garment, error) {
	switch {
	case f.LotID != 0:
		return t.garments(garmentsOfLot, after, limit, string(f.Place), f.LotID, f.OrderRef)
	case f.OrderRef != "":
		return t.garments(garmentsOfOrder, after, limit, string(f.Place), f.OrderRef)
	}
	return t.garments(garmentsAnyhow, after, limit, string(f.Place))
}

// GarmentEvent is one thing that happened to a garment.
type GarmentEvent struct {
	Kind       string    `db:"kind"`
	LotID      int64     `db:"lot_id"`
	HappenedAt time.Time `db:"happened_at"`
	By         string    `db:"by_name"`
	OrderRef   string    `db:"order_ref"`
	Text       string    `db:"text"`
}

// GarmentEvents lists them in the order in which they were recorded.
func (t *Tx) GarmentEvents(garmentID int64) ([]GarmentEvent, error) {
	var es []GarmentEvent
	err := t.list(&es, `
		select kind, lot_id, happened_at, by_name, order_ref, text from garment_event where garment_id = $1 order by id`, garmentID)
	return es, err
}

// SendGarments moves garments to an order. Only what lot.MayLeave has let go.
func (t *Tx) SendGarments(garments []lot.Garment, orderRef string, at time.Time) error {
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	return t.exec(`
		with sent as (
			update garment set place = 'sold', order_ref = $2 where id = any($1) returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, order_ref)
		select id, 'sold', lot_id, $3, $4, $5, $6, $2 from sent order by id`,
		pq.Array(ids), orderRef, at, t.Now, t.By.ID, t.By.Name)
}

// TakeBackGarment moves a sold garment back into the house. Its order stays
// with the event.
func (t *Tx) TakeBackGarment(g lot.Garment, complaint string, at time.Time) error {
	return t.exec(`
		with back as (
			update garment set place = 'returned', order_ref = '' where id = $1 returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, order_ref, text)
		select id, 'returned', lot_id, $2, $3, $4, $5, $6, $7 from back`,
		g.ID, at, t.Now, t.By.ID, t.By.Name, g.OrderRef, complaint)
}
