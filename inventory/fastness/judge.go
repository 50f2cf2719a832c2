package fastness

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Lot is what a judgement must know of a lot: its own code, the harvests its
// dyestuffs came from, and the version of the recipe it was dyed by.
type Lot struct {
	Code     string
	Harvests []string
	Recipe   string
}

// Override is a named person letting one row of one lot through, with a reason.
type Override struct {
	Row string // the row's key
	Who string
	Why string
	At  time.Time
}

// Judge holds one lot against the house standard. rows may hold inactive ones,
// which are passed over; tests may be of anything, and only those of this lot, or
// of its harvests or recipe where the row's scope says so, count; overrides are
// the lot's own.
//
// Where several tests answer one row, the worst grade of all that were not
// withdrawn decides, whatever their order. All garments of a lot came out of one
// pot, so a second strip that did well does not undo a first that did badly, and
// testing until one passes is not a test. A test made wrongly is withdrawn, with
// a reason that stays readable.
//
// A staining row counts as tested once one strip is graded, for a home wash may
// carry a single white cloth; the finding lists which strips there were. A kind of
// several parts, such as acid and alkaline sweat, needs a grade in each.
//
// An override covers what was known when it was given. If a failing grade worse
// than that is recorded later, the row fails again until somebody decides anew.
//
// A house standard with no row in force lets every lot through: then nothing was
// asked of it.
//
// INVALID_FIELD faults name the row, test or override that cannot be judged:
// "rows[0].kind", "tests[2].method", "overrides[1].who", "lot".
func Judge(lot Lot, rows []Row, tests []Test, overrides []Override) (Judgement, error) {
	if err := checkJudge(lot, rows, tests, overrides); err != nil {
		return Judgement{}, err
	}
	j := Judgement{Lot: lot, MayPass: true}
	judged := map[string]bool{}
	for _, row := range rows {
		if !row.Active {
			continue
		}
		judged[row.Key] = true
		f := find(lot, row, tests)
		f.Overrides = overridesOf(row.Key, overrides)
		f.decide()
		if f.State == NotTested || f.State == Failed {
			j.MayPass = false
			j.Blocks = append(j.Blocks, row.Key)
		}
		j.Findings = append(j.Findings, f)
	}
	for _, o := range overrides {
		if !judged[o.Row] {
			j.Idle = append(j.Idle, o)
		}
	}
	return j, nil
}

func checkJudge(lot Lot, rows []Row, tests []Test, overrides []Override) error {
	if strings.TrimSpace(lot.Code) == "" {
		return fault.BadField("lot", "say which lot is judged")
	}
	seen := map[string]bool{}
	for i, r := range rows {
		if !r.Active {
			continue
		}
		if err := r.Validate(); err != nil {
			return fault.In(fmt.Sprintf("rows[%d]", i), err)
		}
		if seen[r.Key] {
			return fault.BadField(fmt.Sprintf("rows[%d].key", i), "%q stands twice in the house standard", r.Key)
		}
		seen[r.Key] = true
	}
	for i, t := range tests {
		if _, err := t.checkGrades(); err != nil {
			return fault.In(fmt.Sprintf("tests[%d]", i), err)
		}
	}
	for i, o := range overrides {
		if err := o.Validate(); err != nil {
			return fault.In(fmt.Sprintf("overrides[%d]", i), err)
		}
	}
	return nil
}

// Validate refuses an override that does not say which row, who, why and when.
func (o Override) Validate() error {
	for _, f := range []struct{ field, value, ask string }{
		{"row", o.Row, "say which row of the house standard is overridden"},
		{"who", o.Who, "an override carries the name of whoever takes it on"},
		{"why", o.Why, "an override carries its reason"},
	} {
		if strings.TrimSpace(f.value) == "" {
			return fault.BadField(f.field, "%s", f.ask)
		}
	}
	if o.At.IsZero() {
		return fault.BadField("at", "say when the override was given")
	}
	return nil
}

func overridesOf(row string, overrides []Override) []Override {
	var of []Override
	for _, o := range overrides {
		if o.Row == row {
			of = append(of, o)
		}
	}
	slices.SortStableFunc(of, func(a, b Override) int { return a.At.Compare(b.At) })
	return of
}
