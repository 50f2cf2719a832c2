package store

import (
	"strings"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// itemRow is an item's facts, under names that may stand beside a parcel's.
type itemRow struct {
	ItemID      int64          `db:"item_id"`
	ItemCode    string         `db:"item_code"`
	ItemName    string         `db:"item_name"`
	Kind        string         `db:"item_kind"`
	Unit        string         `db:"unit"`
	Style       string         `db:"style"`
	Size        string         `db:"size"`
	ItemPieceUG int64          `db:"item_piece_ug"`
	Substance   string         `db:"substance"`
	Plant       string         `db:"plant"`
	ItemPart    string         `db:"item_part"`
	DyeFamily   string         `db:"dye_family"`
	Resolution  int64          `db:"resolution"`
	Minimum     int64          `db:"minimum"`
	Pack        int64          `db:"pack"`
	ItemFrom    string         `db:"item_supplier"`
	LeadDays    int            `db:"lead_days"`
	Fibres      pq.StringArray `db:"fibres"`
	Percents    pq.Int64Array  `db:"percents"`
}

const itemColumns = `
	i.id as item_id, i.code as item_code, i.name as item_name, i.kind as item_kind, i.unit, i.style, i.size,
	coalesce(i.piece_mass_ug, 0) as item_piece_ug, i.substance, i.plant, i.part as item_part, i.dye_family, i.resolution,
	i.minimum, i.pack, i.supplier as item_supplier, i.lead_days,
	array(select fibre from item_fibre f where f.item_id = i.id order by f.line) as fibres,
	array(select percent from item_fibre f where f.item_id = i.id order by f.line) as percents`

func (r itemRow) item() stock.Item {
	it := stock.Item{
		ID: r.ItemID, Code: r.ItemCode, Name: r.ItemName, Kind: stock.Kind(r.Kind), Unit: units[r.Unit], Style: r.Style, Size: r.Size,
		PieceMass: massOrNone(r.ItemPieceUG), Substance: r.Substance, Plant: r.Plant, Part: r.ItemPart, DyeFamily: r.DyeFamily,
		Resolution: amountOf(r.Resolution, r.Unit),
		Terms:      stock.Terms{Minimum: amountOf(r.Minimum, r.Unit), Pack: amountOf(r.Pack, r.Unit), Supplier: r.ItemFrom, LeadDays: r.LeadDays},
	}
	for i, fibre := range r.Fibres {
		it.Fibres = append(it.Fibres, stock.FibrePart{Fibre: fibre, Percent: quantity.Percent(r.Percents[i])})
	}
	return it
}

func massOrNone(ug int64) quantity.Amount {
	if ug == 0 {
		return quantity.Amount{}
	}
	return quantity.Amount{N: ug, Unit: quantity.Mass}
}

func nullIfZero(n int64) *int64 {
	if n == 0 {
		return nil
	}
	return &n
}

// summedRow is an item with the sums over its parcels.
type summedRow struct {
	itemRow
	OnHand   int64 `db:"on_hand"`
	Promised int64 `db:"promised"`
	Usable   int64 `db:"usable"`
}

func (r summedRow) item() stock.Item {
	it := r.itemRow.item()
	it.OnHand, it.Promised, it.Usable = amountOf(r.OnHand, r.Unit), amountOf(r.Promised, r.Unit), amountOf(r.Usable, r.Unit)
	return it
}

// summedItems takes the studio's day as $1: what may be promised depends on it.
// What a customer brought to be dyed is nobody's stock and counts nowhere.
const summedItems = `
	select ` + itemColumns + `, s.on_hand, s.promised, s.usable
	from item i cross join lateral (
		select coalesce(sum(b.on_hand), 0) as on_hand, coalesce(sum(b.reserved), 0) as promised,
		       coalesce(sum(b.on_hand - b.reserved) filter (where (p.usable_until is null or p.usable_until >= $1) and k.lifted is distinct from false), 0) as usable
		from parcel p join balance b on b.parcel_id = p.id
		left join lateral (select lifted from parcel_block where parcel_id = p.id order by id desc limit 1) k on true
		where p.item_id = i.id and b.on_hand > 0 and p.commission_id is null) s`

func (t *Tx) summed(query string, args ...any) ([]stock.Item, error) {
	today, err := t.Today()
	if err != nil {
		return nil, err
	}
	var rows []summedRow
	err = t.list(&rows, summedItems+query, append([]any{today}, args...)...)
	items := make([]stock.Item, len(rows))
	for i, r := range rows {
		items[i] = r.item()
	}
	return items, err
}

// Items lists items of one kind, or of all when it is empty, by code after one,
// with the sums over their parcels.
func (t *Tx) Items(kind, after string, limit int) ([]stock.Item, error) {
	return t.summed(` where i.code > $2 and ($3 = '' or i.kind = $3) order by i.code limit $4`, after, kind, limit)
}

// ItemByCode finds one, in whatever case its code was typed, with the sums over
// its parcels. fault.NotFound.
func (t *Tx) ItemByCode(code string) (stock.Item, error) {
	items, err := t.summed(` where i.code = $2`, strings.ToLower(strings.TrimSpace(code)))
	if err != nil || len(items) == 0 {
		return stock.Item{}, missing(orNoRows(err), "item", code)
	}
	return items[0], nil
}

// ItemsByID loads the facts of some items, without sums.
func (t *Tx) ItemsByID(ids []int64) (map[int64]stock.Item, error) {
	var rows []itemRow
	err := t.list(&rows, `select `+itemColumns+` from item i where i.id = any($1)`, pq.Array(ids))
	items := make(map[int64]stock.Item, len(rows))
	for _, r := range rows {
		items[r.ItemID] = r.item()
	}
	return items, err
}

// CreateItem writes an item that stock.Item.Check has read, and returns its id.
// fault.Exists when the code is taken.
func (t *Tx) CreateItem(it stock.Item) (int64, error) {
	var fibres []string
	var percents []int64
	for _, p := range it.Fibres {
		fibres, percents = append(fibres, p.Fibre), append(percents, int64(p.Percent))
	}
	var id int64
	err := t.get(&id, `
		with fresh as (
			insert into item (code, name, kind, unit, style, size, piece_mass_ug, substance, plant, part, dye_family, resolution,
			                  minimum, pack, supplier, lead_days, created_at)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) returning id),
		parts as (
			insert into item_fibre (item_id, line, fibre, percent)
			select fresh.id, u.n, u.fibre, u.percent
			from fresh, unnest(CAST($18 AS text[]), CAST($19 AS bigint[])) with ordinality as u (fibre, percent, n))
		select id from fresh`,
		it.Code, it.Name, string(it.Kind), it.Unit.Name(), it.Style, it.Size, nullIfZero(it.PieceMass.N), it.Substance, it.Plant, it.Part, it.DyeFamily, it.Resolution.N,
		it.Terms.Minimum.N, it.Terms.Pack.N, it.Terms.Supplier, it.Terms.LeadDays, t.Now, pq.Array(fibres), pq.Array(percents))
	return id, err
}

// SetReorderTerms replaces the terms of an item whole.
func (t *Tx) SetReorderTerms(itemID int64, terms stock.Terms) error {
	return t.exec(`update item set minimum = $2, pack = $3, supplier = $4, lead_days = $5 where id = $1`,
		itemID, terms.Minimum.N, terms.Pack.N, terms.Supplier, terms.LeadDays)
}
