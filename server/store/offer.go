package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

// Offer is what a supplier asks for an item, as it was written.
type Offer struct {
	season.SupplierOffer
	ID         int64
	Item       stock.Item // its code, name and unit
	Withdrawn  bool
	Reason     string // why it was withdrawn
	Newest     bool   // none of the same item and supplier was written after it
	RecordedAt time.Time
	By         string
}

type offerRow struct {
	ID         int64         `db:"id"`
	ItemID     int64         `db:"item_id"`
	Code       string        `db:"code"`
	Name       string        `db:"name"`
	Unit       string        `db:"unit"`
	Supplier   string        `db:"supplier"`
	Pack       int64         `db:"pack"`
	Minimum    int64         `db:"minimum"`
	Currency   string        `db:"currency"`
	Carriage   int64         `db:"carriage_micro"`
	LeadDays   int           `db:"lead_days"`
	From       *time.Time    `db:"valid_from"`
	Until      *time.Time    `db:"valid_until"`
	Note       string        `db:"note"`
	Withdrawn  bool          `db:"withdrawn"`
	Reason     string        `db:"reason"`
	Newest     bool          `db:"newest"`
	RecordedAt time.Time     `db:"recorded_at"`
	By         string        `db:"by_name"`
	Breaks     pq.Int64Array `db:"breaks"`
	Prices     pq.Int64Array `db:"prices"`
}

const offerColumns = `
	select o.id, o.item_id, i.code, i.name, i.unit, o.supplier, o.pack, o.minimum, o.currency, o.carriage_micro, o.lead_days, o.valid_from, o.valid_until, o.note,
	       o.withdrawn, o.reason, o.recorded_at, w.name as by_name,
	       not exists (select from supplier_offer n where n.item_id = o.item_id and lower(n.supplier) = lower(o.supplier) and n.id > o.id) as newest,
	       array(select from_packs from offer_break b where b.offer_id = o.id order by from_packs) as breaks,
	       array(select price_micro_per_pack from offer_break b where b.offer_id = o.id order by from_packs) as prices
	from supplier_offer o join item i on i.id = o.item_id join principal w on w.id = o.recorded_by`

func (r offerRow) offer() Offer {
	o := Offer{ID: r.ID, Item: stock.Item{ID: r.ItemID, Code: r.Code, Name: r.Name, Unit: units[r.Unit]}, Withdrawn: r.Withdrawn, Reason: r.Reason, Newest: r.Newest,
		RecordedAt: r.RecordedAt, By: r.By,
		SupplierOffer: season.SupplierOffer{Supplier: r.Supplier, Pack: amountOf(r.Pack, r.Unit), Minimum: r.Minimum, Carriage: quantity.Money{Micro: r.Carriage, Currency: r.Currency},
			LeadDays: r.LeadDays, From: orZero(r.From), Until: orZero(r.Until), Note: r.Note}}
	for i, from := range r.Breaks {
		o.Prices = append(o.Prices, season.PackPrice{From: from, Price: quantity.Money{Micro: r.Prices[i], Currency: r.Currency}})
	}
	return o
}

func (t *Tx) offers(query string, args ...any) ([]Offer, error) {
	var rows []offerRow
	err := t.list(&rows, query, args...)
	offers := make([]Offer, len(rows))
	for i, r := range rows {
		offers[i] = r.offer()
	}
	return offers, err
}

// inForceOffers are the newest of each item and supplier that were not
// withdrawn, of some items.
const inForceOffers = offerColumns + `
	where o.item_id = any($1) and not o.withdrawn
	and not exists (select from supplier_offer n where n.item_id = o.item_id and lower(n.supplier) = lower(o.supplier) and n.id > o.id)
	order by o.item_id, lower(o.supplier)`

// OffersOf are the offers of some items that stand, whatever their days.
func (t *Tx) OffersOf(itemIDs []int64) ([]Offer, error) {
	return t.offers(inForceOffers, pq.Array(itemIDs))
}

// Offers lists offers of an item, or of all where it is zero, by id after one:
// those that stand, or all that were ever written.
func (t *Tx) Offers(itemID int64, all bool, after int64, limit int) ([]Offer, error) {
	return t.offers(offerColumns+`
		where o.id > $1 and ($2 = 0 or o.item_id = $2)
		and ($3 or (not o.withdrawn and not exists (select from supplier_offer n where n.item_id = o.item_id and lower(n.supplier) = lower(o.supplier) and n.id > o.id)))
		order by o.id limit $4`, after, itemID, all, limit)
}

// LastOffer is the newest of an item and a supplier, withdrawn or not; ok is
// false where there is none.
func (t *Tx) LastOffer(itemID int64, supplier string) (o Offer, ok bool, err error) {
	offers, err := t.offers(offerColumns+` where o.item_id = $1 and lower(o.supplier) = lower($2) order by o.id desc limit 1`, itemID, supplier)
	if err != nil || len(offers) == 0 {
		return Offer{}, false, err
	}
	return offers[0], true, nil
}

// AddOffer writes an offer, or that it was withdrawn.
func (t *Tx) AddOffer(o Offer) (int64, error) {
	var from, price []int64
	for _, p := range o.Prices {
		from, price = append(from, p.From), append(price, p.Price.Micro)
	}
	var id int64
	err := t.get(&id, `
		with fresh as (
			insert into supplier_offer (item_id, supplier, pack, minimum, currency, carriage_micro, lead_days, valid_from, valid_until, note, withdrawn, reason, recorded_at, recorded_by)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) returning id),
		breaks as (
			insert into offer_break (offer_id, from_packs, price_micro_per_pack)
			select fresh.id, u.packs, u.price from fresh, unnest(CAST($15 AS bigint[]), CAST($16 AS bigint[])) as u (packs, price))
		select id from fresh`,
		o.Item.ID, o.Supplier, o.Pack.N, o.Minimum, o.Currency(), o.Carriage.Micro, o.LeadDays, orNull(o.From), orNull(o.Until), o.Note, o.Withdrawn, o.Reason, t.Now, t.By.ID,
		pq.Array(from), pq.Array(price))
	return id, err
}
