package fastness

import (
	"fmt"
	"strings"

	"dyelot/inventory/fault"
)

// State is how a lot stands against one row.
type State string

// The states. Only Passed and Overridden let a lot through.
const (
	NotTested  State = "not yet tested"
	Passed     State = "passed"
	Failed     State = "failed"
	Overridden State = "overridden"
)

// Finding is how a lot stands against one row, and all that it rests on.
type Finding struct {
	Row      Row
	State    State
	Deciding Graded     // the worst grade that counts; zero where there is none
	Graded   []Graded   // every grade that counts, the worst first
	Missing  []string   // what still waits for a test: "harvest W24", "alkaline, lot L7"
	SetAside []SetAside // tests of this kind that do not count, each with its reason
	Apart    []Apart    // grades that count and that the instrument does not agree with
	// Overrides are all that were given for this row, the latest last, whether or
	// not one is needed. Every view shows them.
	Overrides []Override
	// Lapsed is true where the latest override was given before a worse failing
	// grade was known, and so does not cover it.
	Lapsed bool
}

// decide sets State from what was gathered. One failing part fails the row, even
// while another part still waits.
func (f *Finding) decide() {
	if len(f.Graded) > 0 {
		f.Deciding = f.Graded[0]
	}
	f.State = f.bare()
	if len(f.Overrides) == 0 || f.State == Passed {
		return
	}
	if f.Lapsed = !f.covers(f.Overrides[len(f.Overrides)-1]); !f.Lapsed {
		f.State = Overridden
	}
}

// bare is the state without any override.
func (f Finding) bare() State {
	switch {
	case f.Deciding.Grade > 0 && f.Deciding.Grade < f.Row.Minimum:
		return Failed
	case len(f.Missing) > 0 || len(f.Graded) == 0:
		return NotTested
	}
	return Passed
}

// covers reports whether the override was given in sight of the worst failing
// grade, or of one as bad.
func (f Finding) covers(o Override) bool {
	if f.Deciding.Grade == 0 || f.Deciding.Grade >= f.Row.Minimum {
		return true // nothing failed; what is overridden is the missing test
	}
	for _, g := range f.Graded {
		if g.Grade == f.Deciding.Grade && !g.Known.After(o.At) {
			return true
		}
	}
	return false
}

// LowerMedian is the lower median of the grades that count, zero where there is
// none. It is shown beside the worst and decides nothing.
func (f Finding) LowerMedian() Grade {
	var all []Grade
	for _, g := range f.Graded {
		all = append(all, g.Grade)
	}
	median, err := LowerMedian(all)
	if err != nil {
		return 0 // no grade, no median
	}
	return median
}

// Verdict is the short reading: "passed 3", "failed 2-3", "failed 2-3,
// overridden", "not yet tested" or "not yet tested, overridden".
func (f Finding) Verdict() string {
	say := string(f.bare())
	if f.Deciding.Grade > 0 && f.bare() != NotTested {
		say += " " + f.Row.Scale.Text(f.Deciding.Grade)
	}
	if f.State == Overridden {
		say += ", overridden"
	}
	return say
}

// String is the full reading, with the test that decided, what is still missing,
// and who overrode it and why: "failed 2-3, overridden (at least 3; test F12 of
// lot L8; owner: the customer was told)".
func (f Finding) String() string {
	why := []string{"at least " + f.Row.Scale.Text(f.Row.Minimum)}
	if f.Deciding.Grade > 0 {
		by := fmt.Sprintf("test %s of %s", f.Deciding.Test, f.Deciding.Subject)
		if f.Deciding.Measured {
			by += ", measured"
		}
		why = append(why, by)
	}
	if len(f.Missing) > 0 {
		why = append(why, "not tested: "+strings.Join(f.Missing, " and "))
	}
	for _, o := range f.Overrides {
		why = append(why, o.Who+": "+o.Why)
	}
	if f.Lapsed {
		why = append(why, "overridden before this grade was known")
	}
	return f.Verdict() + " (" + strings.Join(why, "; ") + ")"
}

// Judgement is one lot held against the whole house standard.
type Judgement struct {
	Lot      Lot
	Findings []Finding // one for each row in force, in the order of the rows
	MayPass  bool      // whether every row in force is passed or overridden
	Blocks   []string  // keys of the rows that are not
	// Idle are overrides of rows that are not in force; they let nothing through
	// and are kept so that no view loses them.
	Idle []Override
}

// Refusal is nil where the lot may pass, and otherwise a HOUSE_STANDARD fault
// that names each row in the way.
func (j Judgement) Refusal() error {
	if j.MayPass {
		return nil
	}
	var blocks []string
	for _, f := range j.Findings {
		if f.State == Failed || f.State == NotTested {
			blocks = append(blocks, f.Row.Key+" "+f.String())
		}
	}
	no := fault.Refuse("HOUSE_STANDARD", "lot %s does not meet the house standard: %s", j.Lot.Code, strings.Join(blocks, ", ")).
		With("lot", j.Lot.Code)
	for _, f := range j.Findings {
		if f.State == Failed || f.State == NotTested {
			no = no.With(f.Row.Key, f.Verdict())
		}
	}
	return no
}
