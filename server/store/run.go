package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// AddRun writes a run and returns its id.
func (t *Tx) AddRun(r lot.Run) (int64, error) {
	var id int64
	err := t.get(&id, `
		insert into run (colourway_id, version_id, standard_id, matched_set, due_on, note, planned_by, planned_at, commission_id)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id`,
		r.ColourwayID, r.VersionID, r.StandardID, r.MatchedSet, orNull(r.DueOn), r.Note, t.By.ID, r.PlannedAt, nullIfZero(r.CommissionID))
	return id, err
}

type runRow struct {
	ID            int64      `db:"id"`
	ColourwayID   int64      `db:"colourway_id"`
	VersionID     int64      `db:"version_id"`
	StandardID    int64      `db:"standard_id"`
	MatchedSet    bool       `db:"matched_set"`
	CommissionID  int64      `db:"commission_id"`
	DueOn         *time.Time `db:"due_on"`
	Note          string     `db:"note"`
	PlannedBy     string     `db:"planned_by"`
	PlannedAt     time.Time  `db:"planned_at"`
	CancelledAt   *time.Time `db:"cancelled_at"`
	CancelReason  string     `db:"cancel_reason"`
	ColourwayCode string     `db:"colourway_code"`
	ColourwayName string     `db:"colourway_name"`
	RecipeCode    string     `db:"recipe_code"`
	RecipeVersion int        `db:"recipe_version"`
	StandardCode  string     `db:"standard_code"`
	Fibre         string     `db:"fibre"`
	Collection    string     `db:"collection_code"`
}

const runColumns = `
	select run.id, run.colourway_id, run.version_id, run.standard_id, run.matched_set, coalesce(run.commission_id, 0) as commission_id, run.due_on, run.note,
	       p.name as planned_by, run.planned_at, run.cancelled_at, run.cancel_reason,
	       c.code as colourway_code, c.name as colourway_name, r.code as recipe_code, v.version as recipe_version,
	       s.code as standard_code, v.fibre,
	       coalesce((select n.code from run_collection rc join collection n on n.id = rc.collection_id where rc.run_id = run.id), '') as collection_code
	from run
	join principal p on p.id = run.planned_by
	join colourway c on c.id = run.colourway_id
	join recipe_version v on v.id = run.version_id
	join recipe r on r.id = v.recipe_id
	join shade_standard s on s.id = run.standard_id`

func (r runRow) run() lot.Run {
	return lot.Run{
		ID: r.ID, ColourwayID: r.ColourwayID, VersionID: r.VersionID, StandardID: r.StandardID, MatchedSet: r.MatchedSet, CommissionID: r.CommissionID,
		DueOn: orZero(r.DueOn), Note: r.Note, PlannedBy: r.PlannedBy, PlannedAt: r.PlannedAt,
		CancelledAt: orZero(r.CancelledAt), CancelReason: r.CancelReason,
		ColourwayCode: r.ColourwayCode, ColourwayName: r.ColourwayName,
		RecipeCode: r.RecipeCode, RecipeVersion: r.RecipeVersion, StandardCode: r.StandardCode, Fibre: r.Fibre, CollectionCode: r.Collection,
	}
}

// Run finds one.
func (t *Tx) Run(id int64) (lot.Run, error) {
	var r runRow
	err := t.get(&r, runColumns+` where run.id = $1`, id)
	return r.run(), missing(err, "run", Code('R', id))
}

// Runs lists them after an id; ended ones only when asked for.
func (t *Tx) Runs(after int64, limit int, ended bool) ([]lot.Run, error) {
	var rows []runRow
	err := t.list(&rows, runColumns+`
		where run.id > $1 and ($3 or run.cancelled_at is null and exists (
			select from lot l where l.run_id = run.id and l.state not in ('closed', 'scrapped', 're-dye', 'part-done', 'cancelled')))
		order by run.id limit $2`, after, limit, ended)
	runs := make([]lot.Run, len(rows))
	for i, r := range rows {
		runs[i] = r.run()
	}
	return runs, err
}

// RunsOfLots loads the runs that some lots belong to, by id.
func (t *Tx) RunsOfLots(lots []lot.Lot) (map[int64]lot.Run, error) {
	ids := make([]int64, len(lots))
	for i, l := range lots {
		ids[i] = l.RunID
	}
	var rows []runRow
	err := t.list(&rows, runColumns+` where run.id = any($1)`, pq.Array(ids))
	runs := map[int64]lot.Run{}
	for _, r := range rows {
		runs[r.ID] = r.run()
	}
	return runs, err
}

// CancelRun marks a run whose lots are all planned still; the caller has
// checked that and moves the lots.
func (t *Tx) CancelRun(id int64, reason string) error {
	return t.exec(`update run set cancelled_at = $2, cancel_reason = $3 where id = $1`, id, t.Now, reason)
}

// AddLots writes lots of a run, with their first events, and returns their ids
// in order.
func (t *Tx) AddLots(runID int64, lots []lot.Lot) ([]int64, error) {
	var pot, garments, witness, witnessParcel, bath []int64
	for _, l := range lots {
		pot, garments, witness = append(pot, l.Pot.ID), append(garments, l.GarmentMass.N), append(witness, l.WitnessMass.N)
		witnessParcel, bath = append(witnessParcel, l.WitnessParcel), append(bath, l.Bath.N)
	}
	var ids []int64
	err := t.list(&ids, `
		with fresh as (
			insert into lot (run_id, vessel_id, state, garment_ug, witness_ug, witness_parcel_id, bath_ul)
			select $1, pot, 'planned', garments, witness, nullif(parcel, 0), bath
			from unnest(CAST($2 AS bigint[]), CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]), CAST($6 AS bigint[]))
			     with ordinality as u (pot, garments, witness, parcel, bath, n) order by n
			returning id),
		said as (insert into lot_event (lot_id, state, at, recorded_by) select id, 'planned', $7, $8 from fresh)
		select id from fresh order by id`,
		runID, pq.Array(pot), pq.Array(garments), pq.Array(witness), pq.Array(witnessParcel), pq.Array(bath), t.Now, t.By.ID)
	return ids, err
}

type lotRow struct {
	ID            int64      `db:"id"`
	RunID         int64      `db:"run_id"`
	State         string     `db:"state"`
	GarmentUG     int64      `db:"garment_ug"`
	WitnessUG     int64      `db:"witness_ug"`
	WitnessParcel int64      `db:"witness_parcel_id"`
	BathUL        int64      `db:"bath_ul"`
	IssuedAt      *time.Time `db:"issued_at"`
	vesselPart
}

// vesselPart is a vessel joined in.
type vesselPart struct {
	VesselID   int64          `db:"vessel_id"`
	VesselCode string         `db:"vessel_code"`
	VesselUL   int64          `db:"volume_ul"`
	VesselFill int64          `db:"fill_percent"`
	VesselUses pq.StringArray `db:"uses"`
}

func (v vesselPart) pot() lot.Pot {
	return Vessel{ID: v.VesselID, Code: v.VesselCode, Volume: quantity.Amount{N: v.VesselUL, Unit: quantity.Volume}, Fill: quantity.Percent(v.VesselFill), Uses: v.VesselUses}.Pot()
}

// Pot is the vessel as a place for a bath. Absent where there is none.
func (v Vessel) Pot() lot.Pot {
	return lot.Pot{ID: v.ID, Code: v.Code, Brim: v.Volume, Fill: v.Fill, IsIron: len(v.Uses) == 1 && v.Uses[0] == "iron"}
}

const lotColumns = `
	select l.id, l.run_id, l.state, l.garment_ug, l.witness_ug, coalesce(l.witness_parcel_id, 0) as witness_parcel_id, l.bath_ul, l.issued_at,
	       v.id as vessel_id, v.code as vessel_code, v.volume_ul, v.fill_percent, v.uses
	from lot l join vessel v on v.id = l.vessel_id`

func (r lotRow) lot() lot.Lot {
	return lot.Lot{
		ID: r.ID, RunID: r.RunID, Code: Code('L', r.ID), State: lot.State(r.State), Pot: r.pot(),
		GarmentMass: quantity.Amount{N: r.GarmentUG, Unit: quantity.Mass}, WitnessMass: quantity.Amount{N: r.WitnessUG, Unit: quantity.Mass},
		WitnessParcel: r.WitnessParcel, Bath: quantity.Amount{N: r.BathUL, Unit: quantity.Volume}, IssuedAt: orZero(r.IssuedAt),
	}
}

func (t *Tx) lots(query string, args ...any) ([]lot.Lot, error) {
	var rows []lotRow
	err := t.list(&rows, query, args...)
	ls := make([]lot.Lot, len(rows))
	for i, r := range rows {
		ls[i] = r.lot()
	}
	return ls, err
}

// LotsOfRuns lists the lots of some runs, by id.
func (t *Tx) LotsOfRuns(runIDs ...int64) ([]lot.Lot, error) {
	return t.lots(lotColumns+` where l.run_id = any($1) order by l.id`, pq.Array(runIDs))
}

// Lots lists lots after an id, of one state or, when it is empty, of all.
func (t *Tx) Lots(after int64, limit int, state string) ([]lot.Lot, error) {
	return t.lots(lotColumns+` where l.id > $1 and ($3 = '' or l.state = $3) order by l.id limit $2`, after, limit, state)
}

// Lot finds one.
func (t *Tx) Lot(id int64) (lot.Lot, error) {
	ls, err := t.lots(lotColumns+` where l.id = $1`, id)
	return oneLot(ls, id, err)
}

// LockLots locks lots in ascending id, before any balance, and loads them.
// fault.NotFound names the first that does not exist.
func (t *Tx) LockLots(ids []int64) ([]lot.Lot, error) {
	ls, err := t.lots(lotColumns+` where l.id = any($1) order by l.id for update of l`, pq.Array(ids))
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		found := false
		for _, l := range ls {
			found = found || l.ID == id
		}
		if !found {
			return oneLotMissing(id)
		}
	}
	return ls, nil
}

func oneLotMissing(id int64) ([]lot.Lot, error) {
	_, err := oneLot(nil, id, nil)
	return nil, err
}

// SetLotStates moves lots on, each with its event.
func (t *Tx) SetLotStates(states map[int64]lot.State) error {
	var ids []int64
	var to []string
	for id, s := range states {
		ids, to = append(ids, id), append(to, string(s))
	}
	return t.exec(`
		with moved as (
			update lot l set state = u.state
			from unnest(CAST($1 AS bigint[]), CAST($2 AS text[])) as u (id, state)
			where l.id = u.id and l.state <> u.state returning l.id, l.state)
		insert into lot_event (lot_id, state, at, recorded_by) select id, state, $3, $4 from moved order by id`,
		pq.Array(ids), pq.Array(to), t.Now, t.By.ID)
}

// SetIssued notes when a lot's blanks left the shelf.
func (t *Tx) SetIssued(lotID int64, at time.Time) error {
	return t.exec(`update lot set issued_at = $2 where id = $1`, lotID, at)
}

func orNull(d time.Time) *time.Time {
	if d.IsZero() {
		return nil
	}
	return &d
}
