package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

// AddPurchase writes an order with its lines and returns its id.
func (t *Tx) AddPurchase(p stock.Purchase) (int64, error) {
	var item, amount []int64
	var cost []*int64
	var currency []*string
	for _, l := range p.Lines {
		item, amount = append(item, l.Item.ID), append(amount, l.Ordered.N)
		c, of := (*int64)(nil), (*string)(nil)
		if l.Cost.Currency != "" {
			c, of = &l.Cost.Micro, &l.Cost.Currency
		}
		cost, currency = append(cost, c), append(currency, of)
	}
	var id int64
	err := t.get(&id, `
		with fresh as (
			insert into purchase_order (supplier, ordered_on, promised_on, by_name, note, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7) returning id),
		lines as (
			insert into purchase_line (order_id, line, item_id, amount, cost_micro, currency)
			select fresh.id, u.n, u.item, u.amount, u.cost, u.currency
			from fresh, unnest(CAST($8 AS bigint[]), CAST($9 AS bigint[]), CAST($10 AS bigint[]), CAST($11 AS text[])) with ordinality as u (item, amount, cost, currency, n))
		select id from fresh`,
		p.Supplier, p.OrderedOn, p.PromisedOn, p.By, p.Note, t.Now, t.By.ID, pq.Array(item), pq.Array(amount), pq.Array(cost), pq.Array(currency))
	return id, err
}

// openLines are the lines with something to come: neither closed nor whole.
const openLines = `
	select l.order_id, l.line, l.item_id, i.code, i.name, i.unit, o.supplier, o.promised_on, l.amount - coalesce(r.came, 0) as missing
	from purchase_line l join purchase_order o on o.id = l.order_id join item i on i.id = l.item_id
	left join lateral (select sum(r.amount) as came from purchase_receipt r
	                   where r.order_id = l.order_id and r.line = l.line and not exists (select from movement b where b.reverses_id = r.movement_id)) r on true
	where l.amount > coalesce(r.came, 0) and not exists (select from purchase_closed c where c.order_id = l.order_id and c.line = l.line)`

// PurchaseFilter chooses orders for a list.
type PurchaseFilter struct {
	Open   bool      // something is to come
	LateOn time.Time // promised before this day, with something to come; zero: any
}

// Purchases lists orders, the newest first, below an id where that is not zero.
func (t *Tx) Purchases(f PurchaseFilter, below int64, limit int) ([]stock.Purchase, error) {
	var ids []int64
	err := t.list(&ids, `
		select o.id from purchase_order o
		where ($1 = 0 or o.id < $1) and (not $2 or o.id in (select order_id from (`+openLines+`) open))
		and (CAST($3 AS date) is null or o.promised_on < $3)
		order by o.id desc limit $4`, below, f.Open || !f.LateOn.IsZero(), orNull(f.LateOn), limit)
	if err != nil || len(ids) == 0 {
		return nil, err
	}
	by, err := t.PurchasesByID(ids)
	ps := make([]stock.Purchase, len(ids))
	for i, id := range ids {
		ps[i] = by[id]
	}
	return ps, err
}

// LockPurchase locks an order, so that of two who receive on it the second sees
// what the first one booked, and loads it. fault.NotFound.
func (t *Tx) LockPurchase(id int64) (stock.Purchase, error) {
	var locked int64
	if err := t.get(&locked, `select id from purchase_order where id = $1 for update`, id); err != nil {
		return stock.Purchase{}, missing(err, "order", Code('Q', id))
	}
	return t.Purchase(id)
}

// Purchase finds one, whole. fault.NotFound.
func (t *Tx) Purchase(id int64) (stock.Purchase, error) {
	by, err := t.PurchasesByID([]int64{id})
	p, ok := by[id]
	if err == nil && !ok {
		err = missing(orNoRows(nil), "order", Code('Q', id))
	}
	return p, err
}

type purchaseLineRow struct {
	OrderID  int64  `db:"order_id"`
	Line     int    `db:"line"`
	Amount   int64  `db:"amount"`
	Cost     int64  `db:"cost_micro"`
	Currency string `db:"currency"`
	Reason   string `db:"reason"`
	ClosedBy string `db:"closed_by"`
	itemRow
}

const purchaseLines = `
	select l.order_id, l.line, l.amount, coalesce(l.cost_micro, 0) as cost_micro, coalesce(l.currency, '') as currency, coalesce(c.reason, '') as reason,
	       coalesce(c.by_name, '') as closed_by, ` + itemColumns + `
	from purchase_line l join item i on i.id = l.item_id left join purchase_closed c on c.order_id = l.order_id and c.line = l.line
	where l.order_id = any($1) order by l.order_id, l.line`

const purchaseReceipts = `
	select r.order_id, r.line, r.parcel_id, r.movement_id, r.amount, r.cost_micro, CAST(p.arrived_at at time zone studio.time_zone AS date) as arrived_on,
	       exists (select from movement b where b.reverses_id = r.movement_id) as reversed
	from purchase_receipt r join parcel p on p.id = r.parcel_id cross join studio
	where r.order_id = any($1) order by r.order_id, r.line, r.id`

// PurchasesByID loads those of some orders that exist, whole.
func (t *Tx) PurchasesByID(ids []int64) (map[int64]stock.Purchase, error) {
	var orders []struct {
		ID         int64     `db:"id"`
		Supplier   string    `db:"supplier"`
		OrderedOn  time.Time `db:"ordered_on"`
		PromisedOn time.Time `db:"promised_on"`
		By         string    `db:"by_name"`
		Note       string    `db:"note"`
		RecordedAt time.Time `db:"recorded_at"`
	}
	if err := t.list(&orders, `select id, supplier, ordered_on, promised_on, by_name, note, recorded_at from purchase_order where id = any($1)`, pq.Array(ids)); err != nil {
		return nil, err
	}
	receipts, err := t.receipts(ids)
	if err != nil {
		return nil, err
	}
	var lines []purchaseLineRow
	if err := t.list(&lines, purchaseLines, pq.Array(ids)); err != nil {
		return nil, err
	}
	of := map[int64][]stock.PurchaseLine{}
	for _, r := range lines {
		of[r.OrderID] = append(of[r.OrderID], stock.PurchaseLine{Line: r.Line, Item: r.item(), Ordered: amountOf(r.Amount, r.Unit), Cost: quantity.Money{Micro: r.Cost, Currency: r.Currency},
			Closed: r.Reason, ClosedBy: r.ClosedBy, Receipts: receipts[lineKey{r.OrderID, r.Line}].in(units[r.Unit])})
	}
	by := make(map[int64]stock.Purchase, len(orders))
	for _, o := range orders {
		by[o.ID] = stock.Purchase{ID: o.ID, Supplier: o.Supplier, OrderedOn: o.OrderedOn, PromisedOn: o.PromisedOn, By: o.By, Note: o.Note, RecordedAt: o.RecordedAt, Lines: of[o.ID]}
	}
	return by, nil
}

type lineKey struct {
	order int64
	line  int
}

type lineReceipts []stock.Receipt

// in gives the amounts their unit, which is the line's.
func (rs lineReceipts) in(u quantity.Unit) []stock.Receipt {
	for i := range rs {
		rs[i].Amount.Unit = u
	}
	return rs
}

func (t *Tx) receipts(orderIDs []int64) (map[lineKey]lineReceipts, error) {
	var rows []struct {
		OrderID   int64     `db:"order_id"`
		Line      int       `db:"line"`
		Parcel    int64     `db:"parcel_id"`
		Movement  int64     `db:"movement_id"`
		Amount    int64     `db:"amount"`
		Share     int64     `db:"cost_micro"`
		ArrivedOn time.Time `db:"arrived_on"`
		Reversed  bool      `db:"reversed"`
	}
	err := t.list(&rows, purchaseReceipts, pq.Array(orderIDs))
	of := map[lineKey]lineReceipts{}
	for _, r := range rows {
		k := lineKey{r.OrderID, r.Line}
		of[k] = append(of[k], stock.Receipt{ParcelID: r.Parcel, MovementID: r.Movement, Amount: quantity.Amount{N: r.Amount}, Share: r.Share, ArrivedOn: r.ArrivedOn, Reversed: r.Reversed})
	}
	return of, err
}

// AddReceipt writes that a delivery came on a line.
func (t *Tx) AddReceipt(orderID int64, line int, r stock.Receipt) error {
	return t.exec(`insert into purchase_receipt (order_id, line, parcel_id, movement_id, amount, cost_micro) values ($1, $2, $3, $4, $5, $6)`,
		orderID, line, r.ParcelID, r.MovementID, r.Amount.N, r.Share)
}

// ClosePurchaseLine writes that no more will come.
func (t *Tx) ClosePurchaseLine(orderID int64, line int, reason, by string) error {
	return t.exec(`insert into purchase_closed (order_id, line, reason, by_name, at, recorded_by) values ($1, $2, $3, $4, $5, $6)`, orderID, line, reason, by, t.Now, t.By.ID)
}

// Punctuality is how long suppliers really took.
type Punctuality struct {
	Days map[int64]map[string][]int // from order to shelf, by item and supplier's key
	Late map[string][]int           // after the promised day, by supplier's key
}

// Punctuality reads every delivery on an order that stands.
func (t *Tx) Punctuality() (Punctuality, error) {
	p := Punctuality{map[int64]map[string][]int{}, map[string][]int{}}
	var rows []struct {
		ItemID   int64         `db:"item_id"`
		Supplier string        `db:"supplier"`
		Days     pq.Int64Array `db:"days"`
		Late     pq.Int64Array `db:"late"`
	}
	err := t.list(&rows, `
		select l.item_id, lower(o.supplier) as supplier, array_agg(greatest(a.arrived_on - o.ordered_on, 0) order by r.id) as days,
		       array_agg(a.arrived_on - o.promised_on order by r.id) as late
		from purchase_receipt r join purchase_order o on o.id = r.order_id join purchase_line l on l.order_id = r.order_id and l.line = r.line
		join parcel p on p.id = r.parcel_id cross join studio
		cross join lateral (select CAST(p.arrived_at at time zone studio.time_zone AS date) as arrived_on) a
		where not exists (select from movement b where b.reverses_id = r.movement_id)
		group by l.item_id, lower(o.supplier) order by l.item_id, lower(o.supplier)`)
	for _, r := range rows {
		key := season.SupplierKey(r.Supplier)
		if p.Days[r.ItemID] == nil {
			p.Days[r.ItemID] = map[string][]int{}
		}
		for i := range r.Days {
			p.Days[r.ItemID][key] = append(p.Days[r.ItemID][key], int(r.Days[i]))
			p.Late[key] = append(p.Late[key], int(r.Late[i]))
		}
	}
	return p, err
}

// Expected is when what was promised for a day is to be looked for: moved by
// how late the supplier really is, and not before today.
func (p Punctuality) Expected(supplier string, promised, today time.Time) time.Time {
	on := promised.AddDate(0, 0, season.Lateness(p.Late[season.SupplierKey(supplier)]))
	if on.Before(today) {
		return today
	}
	return on
}

type openLine struct {
	OrderID  int64     `db:"order_id"`
	Line     int       `db:"line"`
	ItemID   int64     `db:"item_id"`
	Code     string    `db:"code"`
	Name     string    `db:"name"`
	Unit     string    `db:"unit"`
	Supplier string    `db:"supplier"`
	Promised time.Time `db:"promised_on"`
	Missing  int64     `db:"missing"`
}

// Coming lists what is on the way, by item and line.
func (t *Tx) Coming(p Punctuality) ([]stock.Coming, error) {
	today, err := t.Today()
	if err != nil {
		return nil, err
	}
	var rows []openLine
	err = t.list(&rows, openLines+` order by l.item_id, l.order_id, l.line`)
	coming := make([]stock.Coming, len(rows))
	for i, r := range rows {
		coming[i] = stock.Coming{ItemID: r.ItemID, Order: Code('Q', r.OrderID), Line: r.Line, Supplier: r.Supplier, Left: amountOf(r.Missing, r.Unit),
			Promised: r.Promised, Expected: p.Expected(r.Supplier, r.Promised, today)}
	}
	return coming, err
}

// purchaseTasks are the orders whose promised day has passed.
func (t *Tx) purchaseTasks() ([]Task, error) {
	today, err := t.Today()
	if err != nil {
		return nil, err
	}
	var rows []openLine
	err = t.list(&rows, openLines+` and o.promised_on < $1 order by o.promised_on, l.order_id, l.line`, today)
	var tasks []Task
	for _, r := range rows {
		n := stock.Days(r.Promised, today)
		days := "days"
		if n == 1 {
			days = "day"
		}
		tasks = append(tasks, Task{"delivery-late", Code('Q', r.OrderID), fmt.Sprintf("%s of %s from %s is %d %s late: ask, or close the line", amountOf(r.Missing, r.Unit), r.Name, r.Supplier, n, days), r.Promised})
	}
	return tasks, err
}

// UseByYear is what was taken of an item for pots and lots in each whole year of
// the studio since it first came, the oldest first; this year is not whole.
func (t *Tx) UseByYear(itemID int64) ([]float64, error) {
	var used []float64
	err := t.list(&used, `
		with day as (
			select extract(year from m.happened_at at time zone studio.time_zone) as year, case when p.to_place = 'process' then p.amount when p.from_place = 'process' then -p.amount else 0 end as used
			from posting p join movement m on m.id = p.movement_id join parcel c on c.id = p.parcel_id cross join studio
			where c.item_id = $1 and c.commission_id is null)
		select CAST(coalesce((select sum(day.used) from day where day.year = y), 0) AS double precision)
		from studio, generate_series(CAST((select min(year) from day) AS integer), CAST(extract(year from CAST($2 AS timestamptz) at time zone studio.time_zone) AS integer) - 1) y order by y`, itemID, t.Now)
	return used, err
}
