package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// AddBaths writes the planned baths of a run with their lots and doses, in
// three statements, and fills in their ids. BathLot.LotID are stored lots.
func (t *Tx) AddBaths(runID int64, baths []lot.Bath) error {
	var position, vessel, fibre, volume, celsius, minutes []int64
	var kind, note []string
	var shared []bool
	var phLow, phHigh []*int
	for _, b := range baths {
		position, vessel, fibre, volume = append(position, int64(b.Position)), append(vessel, b.Vessel.ID), append(fibre, b.Fibre().N), append(volume, b.Volume.N)
		celsius, minutes = append(celsius, int64(b.Celsius)), append(minutes, int64(b.Minutes))
		kind, note, shared = append(kind, b.Kind.Key), append(note, b.Note), append(shared, b.Shared)
		phLow, phHigh = append(phLow, b.PHLow), append(phHigh, b.PHHigh)
	}
	var ids []int64
	err := t.list(&ids, `
		with fresh as (
			insert into planned_stage (run_id, position, kind, shared, vessel_id, fibre_ug, bath_ul, celsius, minutes, ph_low, ph_high, note)
			select $1, position, kind, shared, nullif(vessel, 0), fibre, volume, celsius, minutes, ph_low, ph_high, note
			from unnest(CAST($2 AS int[]), CAST($3 AS text[]), CAST($4 AS boolean[]), CAST($5 AS bigint[]), CAST($6 AS bigint[]), CAST($7 AS bigint[]),
			            CAST($8 AS int[]), CAST($9 AS int[]), CAST($10 AS int[]), CAST($11 AS int[]), CAST($12 AS text[]))
			     with ordinality as u (position, kind, shared, vessel, fibre, volume, celsius, minutes, ph_low, ph_high, note, n) order by n
			returning id)
		select id from fresh order by id`,
		runID, pq.Array(position), pq.Array(kind), pq.Array(shared), pq.Array(vessel), pq.Array(fibre), pq.Array(volume),
		pq.Array(celsius), pq.Array(minutes), pq.Array(phLow), pq.Array(phHigh), pq.Array(note))
	if err != nil {
		return err
	}
	for i := range baths {
		baths[i].ID = ids[i]
	}
	if err := t.addBathLots(baths); err != nil {
		return err
	}
	return t.addDoses(baths)
}

func (t *Tx) addBathLots(baths []lot.Bath) error {
	var stage, lots, fibre []int64
	for _, b := range baths {
		for _, l := range b.Lots {
			stage, lots, fibre = append(stage, b.ID), append(lots, l.LotID), append(fibre, l.Fibre.N)
		}
	}
	return t.exec(`
		insert into planned_stage_lot (stage_id, lot_id, fibre_ug)
		select stage, lot, fibre from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[]), CAST($3 AS bigint[])) as u (stage, lot, fibre)`,
		pq.Array(stage), pq.Array(lots), pq.Array(fibre))
}

func (t *Tx) addDoses(baths []lot.Bath) error {
	var stage, line, item, value, amount []int64
	var basis []string
	for _, b := range baths {
		for i, d := range b.Doses {
			stage, line, item = append(stage, b.ID), append(line, int64(i+1)), append(item, d.Item.ID)
			basis, value, amount = append(basis, string(d.Ask.Basis)), append(value, d.Ask.Steps()), append(amount, d.Amount.N)
		}
	}
	var ids []int64
	err := t.list(&ids, `
		with fresh as (
			insert into planned_dose (stage_id, line, item_id, basis, value, amount)
			select stage, line, item, basis, value, amount
			from unnest(CAST($1 AS bigint[]), CAST($2 AS smallint[]), CAST($3 AS bigint[]), CAST($4 AS text[]), CAST($5 AS bigint[]), CAST($6 AS bigint[]))
			     with ordinality as u (stage, line, item, basis, value, amount, n) order by n
			returning id)
		select id from fresh order by id`,
		pq.Array(stage), pq.Array(line), pq.Array(item), pq.Array(basis), pq.Array(value), pq.Array(amount))
	if err != nil {
		return err
	}
	n := 0
	for i := range baths {
		for j := range baths[i].Doses {
			baths[i].Doses[j].ID = ids[n]
			n++
		}
	}
	return nil
}

// SetDoseAmount writes what a dose came to when it was picked anew.
func (t *Tx) SetDoseAmount(doseID int64, amount quantity.Amount) error {
	return t.exec(`update planned_dose set amount = $2 where id = $1`, doseID, amount.N)
}

type bathRow struct {
	ID       int64  `db:"id"`
	Position int    `db:"position"`
	Kind     string `db:"kind"`
	Shared   bool   `db:"shared"`
	BathUL   int64  `db:"bath_ul"`
	Celsius  int    `db:"celsius"`
	Minutes  int    `db:"minutes"`
	PHLow    *int   `db:"ph_low"`
	PHHigh   *int   `db:"ph_high"`
	Note     string `db:"note"`
	vesselPart
}

// Baths loads the planned baths of a run, or at one position when it is not
// zero, whole: lots, doses with their items, promises behind them and what is
// short. Four statements, however many baths.
func (t *Tx) Baths(runID int64, position int) ([]lot.Bath, error) {
	var rows []bathRow
	err := t.list(&rows, `
		select s.id, s.position, s.kind, s.shared, s.bath_ul, s.celsius, s.minutes, s.ph_low, s.ph_high, s.note,
		       coalesce(v.id, 0) as vessel_id, coalesce(v.code, '') as vessel_code, coalesce(v.volume_ul, 0) as volume_ul,
		       coalesce(v.fill_percent, 0) as fill_percent, coalesce(v.uses, '{}') as uses
		from planned_stage s left join vessel v on v.id = s.vessel_id
		where s.run_id = $1 and ($2 = 0 or s.position = $2) order by s.position, s.id`, runID, position)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	baths := make([]lot.Bath, len(rows))
	at := map[int64]*lot.Bath{}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		kind, err := lot.KindOf(r.Kind)
		if err != nil {
			return nil, err
		}
		baths[i] = lot.Bath{ID: r.ID, Position: r.Position, Kind: kind, Shared: r.Shared, Celsius: r.Celsius, Minutes: r.Minutes,
			PHLow: r.PHLow, PHHigh: r.PHHigh, Note: r.Note, Volume: quantity.Amount{N: r.BathUL, Unit: quantity.Volume}}
		if r.VesselID != 0 {
			baths[i].Vessel = r.pot()
		}
		at[r.ID], ids[i] = &baths[i], r.ID
	}
	if err := t.loadBathLots(at, ids); err != nil {
		return nil, err
	}
	return baths, t.loadDoses(at, ids)
}

func (t *Tx) loadBathLots(at map[int64]*lot.Bath, ids []int64) error {
	var rows []struct {
		Stage int64 `db:"stage_id"`
		Lot   int64 `db:"lot_id"`
		Fibre int64 `db:"fibre_ug"`
	}
	err := t.list(&rows, `select stage_id, lot_id, fibre_ug from planned_stage_lot where stage_id = any($1) order by stage_id, lot_id`, pq.Array(ids))
	for _, r := range rows {
		at[r.Stage].Lots = append(at[r.Stage].Lots, lot.BathLot{LotID: r.Lot, Fibre: quantity.Amount{N: r.Fibre, Unit: quantity.Mass}})
	}
	return err
}

func (t *Tx) loadDoses(at map[int64]*lot.Bath, ids []int64) error {
	var rows []struct {
		ID     int64  `db:"id"`
		Stage  int64  `db:"stage_id"`
		Item   int64  `db:"item_id"`
		Basis  string `db:"basis"`
		Value  int64  `db:"value"`
		Amount int64  `db:"amount"`
		Short  int64  `db:"short"`
	}
	err := t.list(&rows, `
		select d.id, d.stage_id, d.item_id, d.basis, d.value, d.amount,
		       d.amount - coalesce((select sum(e.delta) from promise p join promise_entry e on e.promise_id = p.id
		                            where p.dose_id = d.id and e.why in ('made', 'eaten', 'released')), 0) as short
		from planned_dose d where d.stage_id = any($1) order by d.stage_id, d.line`, pq.Array(ids))
	if err != nil || len(rows) == 0 {
		return err
	}
	var itemIDs, doseIDs []int64
	for _, r := range rows {
		itemIDs, doseIDs = append(itemIDs, r.Item), append(doseIDs, r.ID)
	}
	items, err := t.ItemsByID(itemIDs)
	if err != nil {
		return err
	}
	promises, err := t.promisesOfDoses(doseIDs)
	if err != nil {
		return err
	}
	for _, r := range rows {
		unit := items[r.Item].Unit
		d := lot.Dose{ID: r.ID, Item: items[r.Item], Ask: recipe.AskFrom(recipe.Basis(r.Basis), r.Value),
			Amount: quantity.Amount{N: r.Amount, Unit: unit}, Short: quantity.Amount{N: max(r.Short, 0), Unit: unit}}
		for _, p := range promises[r.ID] {
			if p.Kept > 0 {
				d.Picks = append(d.Picks, lot.Pick{ParcelID: p.Parcel, Code: Code('P', p.Parcel), Amount: quantity.Amount{N: p.Kept, Unit: unit}})
			}
			d.Promises = append(d.Promises, stock.Promise{ID: p.ID, ParcelID: p.Parcel, DoseID: r.ID, Outstanding: quantity.Amount{N: p.Outstanding, Unit: unit}})
		}
		at[r.Stage].Doses = append(at[r.Stage].Doses, d)
	}
	return nil
}

// dosePromise is a promise behind a dose: what it was made for and still stands
// for, used or not, and what is outstanding.
type dosePromise struct {
	ID          int64 `db:"id"`
	Dose        int64 `db:"dose_id"`
	Parcel      int64 `db:"parcel_id"`
	Kept        int64 `db:"kept"`
	Outstanding int64 `db:"outstanding"`
}

func (t *Tx) promisesOfDoses(doseIDs []int64) (map[int64][]dosePromise, error) {
	var rows []dosePromise
	err := t.list(&rows, `
		select p.id, p.dose_id, p.parcel_id, p.outstanding,
		       coalesce(sum(e.delta) filter (where e.why in ('made', 'eaten', 'released')), 0) as kept
		from promise p left join promise_entry e on e.promise_id = p.id
		where p.dose_id = any($1) group by p.id order by p.id`, pq.Array(doseIDs))
	of := map[int64][]dosePromise{}
	for _, r := range rows {
		of[r.Dose] = append(of[r.Dose], r)
	}
	return of, err
}

// SpentPromises are the promises of some doses from which more was used or
// freed than is outstanding; Outstanding carries what each lacks of what it was
// made for.
func (t *Tx) SpentPromises(doseIDs []int64) ([]stock.Promise, error) {
	rows, err := t.promisesOfDoses(doseIDs)
	if err != nil {
		return nil, err
	}
	var spent []stock.Promise
	for _, dose := range doseIDs {
		for _, p := range rows[dose] {
			if lacks := p.Kept - p.Outstanding; lacks > 0 {
				spent = append(spent, stock.Promise{ID: p.ID, ParcelID: p.Parcel, DoseID: dose, Outstanding: quantity.Amount{N: lacks}})
			}
		}
	}
	return spent, nil
}
