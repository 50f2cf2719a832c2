package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/opening"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// OpeningBooks loads what the sheets of an opening import name of the books, in
// a fixed number of statements. Its day, zone and caller are the caller's to
// fill in.
func (t *Tx) OpeningBooks(w opening.Wants) (b opening.Books, err error) {
	if b.Items, err = t.itemsByCode(w.Items); err != nil {
		return b, err
	}
	parcels, lots, err := t.openingRefs(w.Refs)
	if err != nil {
		return b, err
	}
	b.Refs, b.Lots = parcels, lots
	if b.Parcels, err = t.openingParcels(w.ParcelCodes, parcels); err != nil {
		return b, err
	}
	if b.Arrived, err = t.parcelsOfSupplierLots(w.SupplierLots); err != nil {
		return b, err
	}
	if b.Colourways, err = t.openingColourways(w.Colourways); err != nil {
		return b, err
	}
	vessels, err := t.Vessels()
	b.Vessels = map[string]lot.Pot{}
	for _, v := range vessels {
		b.Vessels[v.Code] = v.Pot()
	}
	return b, err
}

func (t *Tx) itemsByCode(codes []string) (map[string]stock.Item, error) {
	var rows []itemRow
	err := t.list(&rows, `select `+itemColumns+` from item i where i.code = any($1)`, pq.Array(codes))
	items := make(map[string]stock.Item, len(rows))
	for _, r := range rows {
		items[r.ItemCode] = r.item()
	}
	return items, err
}

// openingRefs finds what earlier imports called by these words.
func (t *Tx) openingRefs(refs []string) (parcels, lots map[string][]string, err error) {
	var rows []struct {
		Ref    string `db:"ref"`
		Parcel int64  `db:"parcel_id"`
		Lot    int64  `db:"lot_id"`
	}
	err = t.list(&rows, `
		select ref, parcel_id, 0 as lot_id from opening_parcel where ref = any($1) and ref <> ''
		union all
		select ref, 0, lot_id from opening_lot where ref = any($1) and ref <> ''
		order by 2, 3`, pq.Array(refs))
	parcels, lots = map[string][]string{}, map[string][]string{}
	for _, r := range rows {
		if r.Lot != 0 {
			lots[r.Ref] = append(lots[r.Ref], Code('L', r.Lot))
		} else {
			parcels[r.Ref] = append(parcels[r.Ref], Code('P', r.Parcel))
		}
	}
	return parcels, lots, err
}

func (t *Tx) openingParcels(codes []string, refs map[string][]string) (map[string]stock.Parcel, error) {
	var ids []int64
	for _, of := range refs {
		codes = append(codes, of...)
	}
	for _, c := range codes {
		if id, err := ID('P', "", c); err == nil { // what is too long for a code is no parcel's
			ids = append(ids, id)
		}
	}
	byID, err := t.ParcelsByID(ids)
	by := make(map[string]stock.Parcel, len(byID))
	for _, p := range byID {
		by[p.Code()] = p
	}
	return by, err
}

func (t *Tx) parcelsOfSupplierLots(lots []string) (map[opening.Origin][]string, error) {
	ps, err := t.parcels(parcelColumns+` from balance b`+parcelJoins+`
		where lower(p.supplier_lot) = any($1) and p.supplier_lot <> '' order by p.id`, pq.Array(lots))
	of := map[opening.Origin][]string{}
	for _, p := range ps {
		o := opening.OriginOf(p)
		of[o] = append(of[o], p.Code())
	}
	return of, err
}

func (t *Tx) openingColourways(codes []string) (map[string]opening.Colourway, error) {
	var ways []Colourway
	if err := t.list(&ways, colourwayColumns+` where c.code = any($1)`, pq.Array(codes)); err != nil || len(ways) == 0 {
		return nil, err
	}
	var ids []int64
	for _, w := range ways {
		ids = append(ids, w.RecipeID)
	}
	versions, err := t.versions(versionColumns+` where v.recipe_id = any($1) order by v.recipe_id, v.version`, pq.Array(ids))
	of := map[int64][]recipe.Recipe{}
	for _, v := range versions {
		of[v.RecipeID] = append(of[v.RecipeID], v.Recipe)
	}
	by := map[string]opening.Colourway{}
	for _, w := range ways {
		by[w.Code] = opening.Colourway{ID: w.ID, StandardID: w.StandardID, Versions: of[w.RecipeID]}
	}
	return by, err
}

// OpeningSheet is one sheet of an import, as the books remember it.
type OpeningSheet struct {
	Kind   opening.Kind
	Name   string
	SHA256 []byte
}

// OpenedBefore finds a sheet that was imported before, with the day of that;
// ok is false where none was.
func (t *Tx) OpenedBefore(sheets []OpeningSheet) (s OpeningSheet, on string, ok bool, err error) {
	hashes := make([][]byte, len(sheets))
	for i, sh := range sheets {
		hashes[i] = sh.SHA256
	}
	var rows []struct {
		Kind   string `db:"kind"`
		Name   string `db:"name"`
		SHA256 []byte `db:"sha256"`
		On     string `db:"on_day"`
	}
	err = t.list(&rows, `
		select s.kind, s.name, s.sha256, to_char(i.recorded_at, 'YYYY-MM-DD') as on_day
		from opening_sheet s join opening_import i on i.id = s.import_id where s.sha256 = any($1) order by s.import_id, s.kind`, pq.Array(hashes))
	for _, sh := range sheets {
		for _, r := range rows {
			if r.Kind == string(sh.Kind) && string(r.SHA256) == string(sh.SHA256) {
				return sh, r.On, true, nil
			}
		}
	}
	return s, "", false, err
}
