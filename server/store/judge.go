package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// Case is all that the books know of a lot when it is judged, and what a view
// of it shows beside the judgement.
type Case struct {
	lot.Case
	Run      lot.Run
	Readings []lot.Reading
	Tests    []FastnessTest
	Verdicts []Verdict
}

// CaseOf loads a lot's case in a fixed number of statements. fault.NotFound.
//
// The house rows are those in force: now, or for a lot that has been passed,
// sold as imperfect or sent away, when that was decided. Stricter rows of a
// later year do not undo what was passed by the rows of its own.
func (t *Tx) CaseOf(lotID int64) (Case, error) {
	c := Case{}
	l, err := t.Lot(lotID)
	if err != nil {
		return c, err
	}
	if c.Run, err = t.Run(l.RunID); err != nil {
		return c, err
	}
	if c.Standard, err = t.StandardByID(c.Run.StandardID); err != nil {
		return c, err
	}
	if err := t.measureLots(&c, l); err != nil {
		return c, err
	}
	if c.Verdicts, err = t.verdictsOf(lotID); err != nil {
		return c, err
	}
	if c.House, err = t.HouseRows(decidedAt(l.State, c.Verdicts)); err != nil {
		return c, err
	}
	return c, t.loadTests(&c, lotID)
}

func (t *Tx) measureLots(c *Case, l lot.Lot) error {
	lots := []lot.Lot{l}
	if c.Matched = c.Run.MatchedSet; c.Matched {
		var err error
		if lots, err = t.lotsOfSet(c, l.RunID); err != nil {
			return err
		}
	}
	ids := make([]int64, len(lots))
	for i, m := range lots {
		ids[i] = m.ID
	}
	readings, err := t.readingsOfLots(ids)
	if err != nil {
		return err
	}
	baths, err := t.lastBaths(ids)
	if err != nil {
		return err
	}
	for _, m := range lots {
		measured := lot.Measured{ID: m.ID, Code: m.Code, State: m.State, Readings: readings[m.ID], LastBath: baths[m.ID]}
		if m.ID == l.ID {
			c.Lot, c.Readings = measured, readings[m.ID]
		} else {
			c.Sisters = append(c.Sisters, measured)
		}
	}
	c.Overrides, err = t.overridesOf(l.ID, ids)
	return err
}

// lotsOfSet are the lots that must match each other: a run's, or all those of
// its commission, by the tolerance that was agreed for it.
func (t *Tx) lotsOfSet(c *Case, runID int64) ([]lot.Lot, error) {
	if c.Run.CommissionID == 0 || !c.Run.CancelledAt.IsZero() {
		return t.LotsOfRuns(runID)
	}
	w, err := t.Commission(c.Run.CommissionID)
	if err != nil {
		return nil, err
	}
	c.Set, c.Standard.SetTolerance = w.Code(), w.SetTolerance
	return t.LotsOfCommission(w.ID)
}

func (t *Tx) loadTests(c *Case, lotID int64) error {
	used, err := t.DyestuffsOf([]int64{lotID})
	if err != nil {
		return err
	}
	c.Harvests, c.Recipe = codes('P', used[lotID]), fmt.Sprintf("%s %d", c.Run.RecipeCode, c.Run.RecipeVersion)
	if c.Tests, err = t.testsFor(lotID, c.Run.VersionID, used[lotID]); err != nil {
		return err
	}
	c.Case.Tests, err = t.asEvidence(c.Tests)
	return err
}

// decidedAt is when a lot's fate was decided; zero while it is open.
func decidedAt(s lot.State, verdicts []Verdict) (at time.Time) {
	switch s {
	case lot.Passed, lot.Imperfect, lot.ReDye, lot.Scrapped, lot.Closed:
		for _, v := range verdicts {
			if len(v.Tags) == 0 && v.Outcome != string(lot.Hold) && v.Outcome != string(lot.Close) {
				at = v.RecordedAt
			}
		}
	}
	return at
}

// overridesOf lists the overrides of a lot's rows, and those of the set by any
// lot of it, in the order they were recorded.
func (t *Tx) overridesOf(lotID int64, set []int64) ([]lot.RowOverride, error) {
	var rows []struct {
		Row        string    `db:"row_key"`
		Who        string    `db:"by_name"`
		Why        string    `db:"reason"`
		HappenedAt time.Time `db:"happened_at"`
		RecordedAt time.Time `db:"recorded_at"`
	}
	err := t.list(&rows, `
		select row_key, by_name, reason, happened_at, recorded_at from row_override
		where lot_id = $1 or (row_key = $3 and lot_id = any($2)) order by id`, lotID, pq.Array(set), lot.RowSet)
	overrides := make([]lot.RowOverride, len(rows))
	for i, r := range rows {
		overrides[i] = lot.RowOverride(r)
	}
	return overrides, err
}

// AddOverride writes that a named person took a row of a lot on.
func (t *Tx) AddOverride(lotID int64, o lot.RowOverride) error {
	return t.exec(`
		insert into row_override (lot_id, row_key, reason, by_name, happened_at, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		lotID, o.Row, o.Why, o.Who, o.HappenedAt, t.Now, t.By.ID)
}
