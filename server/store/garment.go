package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

func oneLot(ls []lot.Lot, id int64, err error) (lot.Lot, error) {
	switch {
	case err != nil:
		return lot.Lot{}, err
	case len(ls) == 0:
		return lot.Lot{}, fault.Missing("lot", Code('L', id))
	}
	return ls[0], nil
}

// NewTags draws n serials whose tags are all letters and digits. About 13 % of
// serials have another check character; they are drawn and never issued.
func (t *Tx) NewTags(n int) (serials []int64, tags []string, err error) {
	for len(tags) < n {
		var drawn []int64
		if err := t.list(&drawn, `select nextval('garment_serial') from generate_series(1, $1)`, n-len(tags)); err != nil {
			return nil, nil, err
		}
		for _, s := range drawn {
			if tag, err := trace.Tag(s); err == nil {
				serials, tags = append(serials, s), append(tags, tag)
			}
		}
	}
	return serials, tags, nil
}

// AddGarments writes garments of their lots, each with a fresh tag and its
// first event, which happened at.
func (t *Tx) AddGarments(gs []lot.Garment, at time.Time) error {
	serials, tags, err := t.NewTags(len(gs))
	if err != nil {
		return err
	}
	var lots, parcels, dry []int64
	for _, g := range gs {
		lots, parcels, dry = append(lots, g.LotID), append(parcels, g.ParcelID), append(dry, g.Dry.N)
	}
	return t.exec(`
		with fresh as (
			insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place)
			select serial, tag, lot, parcel, dry, 'planned'
			from unnest(CAST($1 AS bigint[]), CAST($2 AS text[]), CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]))
			     with ordinality as u (serial, tag, lot, parcel, dry, n) order by n
			returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name)
		select id, 'planned', lot_id, $9, $6, $7, $8 from fresh order by id`,
		pq.Array(serials), pq.Array(tags), pq.Array(lots), pq.Array(parcels), pq.Array(dry), t.Now, t.By.ID, t.By.Name, at)
}

type garmentRow struct {
	ID       int64   `db:"id"`
	Tag      string  `db:"tag"`
	LotID    int64   `db:"lot_id"`
	ParcelID int64   `db:"parcel_id"`
	DryUG    int64   `db:"dry_ug"`
	Place    string  `db:"place"`
	Outcome  *string `db:"outcome"`
	OrderRef string  `db:"order_ref"`
	Owner    int64   `db:"commission_id"`
	Next     *int64  `db:"next_lot_id"`
	ItemCode string  `db:"item_code"`
	Style    string  `db:"style"`
	Size     string  `db:"size"`
}

const garmentColumns = `
	select g.id, g.tag, g.lot_id, g.parcel_id, g.dry_ug, g.place, g.outcome, g.order_ref, coalesce(p.commission_id, 0) as commission_id, g.next_lot_id,
	       i.code as item_code, i.style, i.size
	from garment g join parcel p on p.id = g.parcel_id join item i on i.id = p.item_id`

func (t *Tx) garments(query string, args ...any) ([]lot.Garment, error) {
	var rows []garmentRow
	err := t.list(&rows, query, args...)
	gs := make([]lot.Garment, len(rows))
	for i, r := range rows {
		gs[i] = lot.Garment{ID: r.ID, Tag: r.Tag, LotID: r.LotID, ParcelID: r.ParcelID, Dry: quantity.Amount{N: r.DryUG, Unit: quantity.Mass},
			Place: lot.Place(r.Place), OrderRef: r.OrderRef, CommissionID: r.Owner, ItemCode: r.ItemCode, Style: r.Style, Size: r.Size}
		if r.Outcome != nil {
			gs[i].Outcome = *r.Outcome
		}
		if r.Next != nil {
			gs[i].Next = *r.Next
		}
	}
	return gs, err
}

// GarmentsOfLots lists the garments of some lots, by id.
func (t *Tx) GarmentsOfLots(lotIDs ...int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.lot_id = any($1) order by g.id`, pq.Array(lotIDs))
}

// GarmentsByID loads some garments, by id.
func (t *Tx) GarmentsByID(ids []int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.id = any($1) order by g.id`, pq.Array(ids))
}

// PlaceGarments moves every garment of a lot that stands in one of some places,
// each with an event of that kind.
func (t *Tx) PlaceGarments(lotID int64, from []lot.Place, to lot.Place, event string, at time.Time, by, text string) error {
	places := make([]string, len(from))
	for i, p := range from {
		places[i] = string(p)
	}
	return t.exec(`
		with moved as (
			update garment set place = $3 where lot_id = $1 and place = any($2) returning id, lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, $4, lot_id, $5, $6, $7, $8, $9 from moved order by id`,
		lotID, pq.Array(places), string(to), event, at, t.Now, t.By.ID, by, text)
}
