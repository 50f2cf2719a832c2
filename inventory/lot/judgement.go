package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

// Case is all that is known of a lot when it is judged.
type Case struct {
	Lot       Measured
	Sisters   []Measured // the other lots of its run, or of all runs of its commission
	Matched   bool       // those lots must match each other too
	Set       string     // whose set it is: a commission's code, or empty
	Standard  Standard
	House     []fastness.Row // every row, in force or not
	Tests     []Test         // of this lot, of its dyestuff parcels, of its recipe version
	Harvests  []string       // codes of the dyestuff parcels that went into the lot
	Recipe    string         // "weld-olive 3"
	Overrides []RowOverride  // of this lot's rows, and of the set by any of its lots
}

// Test is one fastness test and the lot whose witness cloth was tested. Of a
// test that is evidence for a harvest, Harvests are that lot's dyestuff parcels.
type Test struct {
	fastness.Test
	Lot      string
	Harvests []string
}

// RowOverride is a named person taking one row on, with a reason.
type RowOverride struct {
	Row        string // a house row's key, RowColour or RowSet
	Who, Why   string
	HappenedAt time.Time
	RecordedAt time.Time // what was known by then is what the override covers
}

// The rows that every lot has beside those of the house standard.
const (
	RowColour = "colour"
	RowSet    = "set"
)

// JudgedRow is how the lot stands against one row, and all that it rests on.
type JudgedRow struct {
	Key      string
	Title    string
	State    fastness.State
	Asked    string
	Found    string // empty where nothing was found
	Evidence string // the test or the readings that decide
	Override *RowOverride
	Lapsed   bool // the override was given before something worse was known
	// Scope, Source and Edition are a house row's: who asks for it, and of what.
	Scope           fastness.Scope
	Source, Edition string
	Specimens       []string // where one component was tested more than once: each, worst, lower median, and what that says
	Apart           []string // where assessor and instrument disagree by more than half a grade
	Text            string   // the whole row in words
}

// blocks is true of a row that forbids passing.
func (r JudgedRow) blocks() bool {
	return r.State == fastness.Failed || r.State == fastness.NotTested
}

// short is the row in a refusal: "failed 2-3", "not yet tested".
func (r JudgedRow) short() string {
	if r.State == fastness.NotTested || r.Found == "" {
		return string(r.State)
	}
	return string(r.State) + " " + r.Found
}

// Judgement is a lot held against its standard, its set and the house.
type Judgement struct {
	Code     string
	State    State
	Rows     []JudgedRow // colour first, then the house rows in force
	Blocking []string
	MayPass  bool
	Matched  bool
	// Set and Pairs are of the matched set that the lot still belongs to. A set
	// whose lots do not match keeps no single lot from passing, only all of them
	// from leaving as a set.
	Set   *JudgedRow
	Pairs []Pair
	// Idle are rows that are not in force and that somebody overrode all the
	// same: they let nothing through and no view loses them.
	Idle []JudgedRow
}

// Judge holds a lot against everything that it must meet (law 5 of the house):
// its colour against the standard, and each row of the house standard in force.
// It passes when every row is passed, or overridden by a named person.
//
// An error names the house row or the test that cannot be judged.
func Judge(c Case) (Judgement, error) {
	j := Judgement{Code: c.Lot.Code, State: c.Lot.State, Matched: c.Matched, Rows: []JudgedRow{c.colourRow()}}
	house, idle, err := c.houseRows()
	if err != nil {
		return j, err
	}
	j.Rows, j.Idle = append(j.Rows, house...), idle
	for _, r := range j.Rows {
		if r.blocks() {
			j.Blocking = append(j.Blocking, r.Key)
		}
	}
	j.MayPass = len(j.Blocking) == 0
	if c.Matched && !c.Lot.leftItsSet() {
		j.Set, j.Pairs = c.setRow()
	}
	return j, nil
}

// Refusal is nil where the lot may pass, and otherwise fault.Refused,
// HOUSE_STANDARD, with each row in the way.
func (j Judgement) Refusal() error {
	if j.MayPass {
		return nil
	}
	var texts []string
	no := fault.Refuse("HOUSE_STANDARD", "").With("lot", j.Code).With("blocking", strings.Join(j.Blocking, ", "))
	for _, r := range j.Rows {
		if r.blocks() {
			texts = append(texts, r.Text)
			no = no.With(r.Key, r.short())
		}
	}
	no.Say = fmt.Sprintf("lot %s does not pass: %s", j.Code, strings.Join(texts, "; "))
	return no
}

// SetStands is nil where the lot may leave: it is in no matched set, or its set
// matches, or a named person took the difference on. Otherwise fault.Refused,
// SET_APART, with the pairs that are apart.
func (j Judgement) SetStands() error {
	if j.Set == nil || !j.Set.blocks() {
		return nil
	}
	no := fault.Refuse("SET_APART", "lot %s does not leave: %s", j.Code, j.Set.Text).With("lot", j.Code).With("asked", j.Set.Asked).With("set", j.Set.short())
	for _, p := range j.Pairs {
		if !p.Within {
			no = no.With(p.Lot+" to "+p.Other, p.Shown)
		}
	}
	return no
}

// RowOf finds a row that can be overridden, by its key; of a house row the
// studio's own also answers to its kind, so that "light" finds "own-light".
// fault.Invalid, field "row", lists the keys.
func (j Judgement) RowOf(key string) (JudgedRow, error) {
	rows := slices.Clone(j.Rows)
	if j.Set != nil {
		rows = append(rows, *j.Set)
	}
	var known []string
	for _, r := range rows {
		if r.Key == key || r.Key == ownRow+key {
			return r, nil
		}
		known = append(known, r.Key)
	}
	return JudgedRow{}, fault.BadField("row", "%.60q is no row that lot %s is held against: use one of %s", key, j.Code, strings.Join(known, ", "))
}

// ownRow begins the keys of the rows that a studio asks of itself.
const ownRow = "own-"

// Overridable refuses a row that has passed: there is nothing to take on.
func (j Judgement) Overridable(r JudgedRow) error {
	switch {
	case j.State == Closed || j.State == Scrapped || j.State == Cancelled:
		return fault.Refuse("LOT_STATE", "lot %s is %s: no row of it is overridden any more", j.Code, j.State.Words()).With("state", string(j.State)).With("lot", j.Code)
	case r.State == fastness.Passed:
		return fault.Refuse("ROW_PASSED", "lot %s has passed %s: there is nothing to override", j.Code, r.Key).With("row", r.Key)
	}
	return nil
}

// latest is the override of a row that was recorded last.
func (c Case) latest(row string) *RowOverride {
	var last *RowOverride
	for i, o := range c.Overrides {
		if o.Row == row && (last == nil || !o.RecordedAt.Before(last.RecordedAt)) {
			last = &c.Overrides[i]
		}
	}
	return last
}

// overridden applies the latest override to a row that has not passed.
func (r *JudgedRow) overridden(by *RowOverride, covers func(RowOverride) bool) {
	r.Override = by
	if by == nil || r.State == fastness.Passed {
		return
	}
	if covers(*by) {
		r.State = fastness.Overridden
	} else {
		r.Lapsed = true
	}
}

// say writes Text: "light 2-3, asked 3: failed 2-3, overridden by owner: the
// choir was told". bare is the row's state without its override.
func (r *JudgedRow) say(what string, bare fastness.State, more string) {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, asked %s: %s", what, r.Asked, bare)
	if r.Found != "" && bare != fastness.NotTested {
		b.WriteString(" " + r.Found)
	}
	if more != "" {
		b.WriteString(", " + more)
	}
	switch o := r.Override; {
	case o == nil:
	case r.Lapsed:
		fmt.Fprintf(&b, "; %s overrode it before this was known: %s", o.Who, o.Why)
	case r.State == fastness.Overridden:
		fmt.Fprintf(&b, ", overridden by %s: %s", o.Who, o.Why)
	default:
		fmt.Fprintf(&b, "; %s had overridden it: %s", o.Who, o.Why)
	}
	r.Text = b.String()
}
