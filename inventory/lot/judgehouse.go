package lot

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fastness"
)

// houseRows holds the lot against each row in force, and apart from them
// against rows that are not but that somebody overrode.
func (c Case) houseRows() (inForce, idle []JudgedRow, err error) {
	rows := slices.Clone(c.House)
	for i, r := range rows {
		if on := r; !r.Active && c.latest(r.Key) != nil {
			if on.Active = true; on.Validate() == nil {
				rows[i] = on
			}
		}
	}
	j, err := fastness.Judge(c.asLot(), rows, c.evidence(), c.nods())
	if err != nil {
		return nil, nil, err
	}
	for _, f := range j.Findings {
		row := c.houseRow(f)
		at := slices.IndexFunc(c.House, func(r fastness.Row) bool { return r.Key == f.Row.Key })
		if c.House[at].Active {
			inForce = append(inForce, row)
			continue
		}
		row.Text += "; not asked any more"
		idle = append(idle, row)
	}
	for _, o := range j.Idle {
		last := c.latest(o.Row)
		if o.Row == RowColour || o.Row == RowSet || !o.At.Equal(last.RecordedAt) {
			continue
		}
		idle = append(idle, JudgedRow{Key: o.Row, State: fastness.NotTested, Override: last,
			Text: fmt.Sprintf("%s: not asked any more; %s had overridden it: %s", o.Row, last.Who, last.Why)})
	}
	return inForce, idle, nil
}

func (c Case) asLot() fastness.Lot {
	return fastness.Lot{Code: c.Lot.Code, Harvests: c.Harvests, Recipe: c.Recipe}
}

// evidence turns the tests into what fastness judges by. A test for a harvest
// speaks of every dyestuff parcel that the tested cloth had in it; where that
// cloth held one that this lot does not, it says nothing here, since nobody
// knows which of them the grade came from.
func (c Case) evidence() []fastness.Test {
	var all []fastness.Test
	for _, t := range c.Tests {
		if t.Subject.Scope != fastness.EachHarvest {
			all = append(all, t.Test)
			continue
		}
		foreign := slices.ContainsFunc(t.Harvests, func(h string) bool { return !slices.Contains(c.Harvests, h) })
		for _, h := range t.Harvests {
			if !foreign {
				t.Subject.Code = h
				all = append(all, t.Test)
			}
		}
	}
	return all
}

// nods are the overrides by the time they were recorded, so that one which is
// dated back still covers what was known when it was written down.
func (c Case) nods() []fastness.Override {
	var all []fastness.Override
	for _, o := range c.Overrides {
		all = append(all, fastness.Override{Row: o.Row, Who: o.Who, Why: o.Why, At: o.RecordedAt})
	}
	return all
}

func (c Case) houseRow(f fastness.Finding) JudgedRow {
	scale := f.Row.Scale
	r := JudgedRow{Key: f.Row.Key, Title: f.Row.Kind, State: f.State, Asked: scale.Text(f.Row.Minimum), Override: c.latest(f.Row.Key), Lapsed: f.Lapsed}
	if k, err := fastness.KindOf(f.Row.Kind); err == nil {
		r.Title = k.Title
	}
	r.Scope, r.Source, r.Edition = f.Row.Scope, f.Row.Source, f.Row.Edition
	if f.Row.Scope != fastness.EachLot {
		r.Asked += " of each " + string(f.Row.Scope)
	}
	if f.Row.Source != fastness.StudioOwn {
		r.Asked += " by " + f.Row.Source
		if f.Row.Edition != "" {
			r.Asked += ", edition " + f.Row.Edition
		}
	}
	what, more := f.Row.Kind, ""
	if f.Deciding.Grade > 0 {
		r.Found = scale.Text(f.Deciding.Grade)
		if f.Deciding.Measured {
			r.Found += " (measured)"
		}
		r.Found += c.notOwn(f.Deciding.Subject)
		r.Evidence = c.testOf(f.Deciding)
		what += " " + r.Found
	}
	if len(f.Missing) > 0 {
		more = "still open: " + strings.Join(f.Missing, " and ")
	}
	r.say(what, bareState(f), more)
	r.Apart, r.Specimens = apart(f), specimens(f)
	for _, behind := range slices.Concat(r.Apart, r.Specimens) { // behind the state and whoever overrode it
		r.Text += "; " + behind
	}
	return r
}

// apart are the disagreements between assessor and instrument behind a row. A
// test for a harvest may stand there once for each harvest.
func apart(f fastness.Finding) (said []string) {
	for _, a := range f.Apart {
		if say := a.String(); !slices.Contains(said, say) {
			said = append(said, say)
		}
	}
	return said
}

// specimens are the words for what was tested more than once.
func specimens(f fastness.Finding) (said []string) {
	for _, s := range f.Specimens() {
		said = append(said, s.String())
	}
	return said
}

// bareState is how the row would stand without its override.
func bareState(f fastness.Finding) fastness.State {
	switch {
	case f.State != fastness.Overridden:
		return f.State
	case f.Deciding.Grade > 0 && f.Deciding.Grade < f.Row.Minimum:
		return fastness.Failed
	}
	return fastness.NotTested
}

// notOwn labels a grade that is not this very lot's (law 5).
func (c Case) notOwn(s fastness.Subject) string {
	if s == (fastness.Subject{Scope: fastness.EachLot, Code: c.Lot.Code}) {
		return ""
	}
	return " (" + s.String() + ", not this lot)"
}

func (c Case) testOf(g fastness.Graded) string {
	say := fmt.Sprintf("test %s of %s", g.Test, g.Subject)
	for _, t := range c.Tests {
		if t.ID == g.Test && g.Subject.Scope != fastness.EachLot {
			return say + ", on cloth of lot " + t.Lot
		}
	}
	return say
}
