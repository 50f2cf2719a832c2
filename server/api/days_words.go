package api

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/days"
)

// said is a time as people say it: "Wed 15:00", with its date beyond a week.
func (w *week) said(m days.Minute) string {
	at := w.time(m)
	if m < -6*days.Day || m >= 7*days.Day {
		return at.Format("Mon 2 Jan 15:04")
	}
	return at.Format("Mon 15:04")
}

// why says what holds a stage until its start.
func (w *week) why(i int, r days.Reason) string {
	at := w.result.Placed[i]
	before := ""
	if r.Task >= 0 {
		before = w.draft.Problem.Tasks[r.Task].Name
	}
	until := w.said(r.Until)
	switch r.Kind {
	case "begun":
		return "begun " + w.said(at.Start)
	case "pinned":
		return "pinned to " + w.said(at.Start)
	case "release":
		return "as soon as may be"
	case "after":
		return fmt.Sprintf("after %s, done %s", before, until)
	case "rest":
		return fmt.Sprintf("after %s it rests until %s", before, until)
	case "vessel":
		code := w.draft.Problem.Vessels[at.Vessel].Code
		if before == "" {
			return fmt.Sprintf("%s is free from %s", code, until)
		}
		return fmt.Sprintf("%s is taken by %s until %s", code, before, until)
	case "hours":
		return behind(before, fmt.Sprintf("it does not fit into the working day before %s", until))
	case "hands":
		return behind(before, "all hands are busy until "+until)
	case "burner":
		return behind(before, "every burner is taken until "+until)
	case "rack":
		return behind(before, "the racks are full until "+until)
	case "kept":
		if was := w.before[i]; was.End != 0 && was.Start == at.Start {
			return "its place in the plan of this morning"
		}
		return "so late that what follows it is not kept waiting"
	}
	return "nothing holds it"
}

func behind(before, text string) string {
	if before == "" {
		return text
	}
	return "after " + before + "; " + text
}

// waits says what a stage does without hands, and what must follow by when.
func (w *week) waits(i int) string {
	t, at := &w.draft.Problem.Tasks[i], w.result.Placed[i]
	row, err := days.RowOf(t.Kind)
	if err != nil {
		return ""
	}
	var parts []string
	alone := at.Lift - (at.Start + at.Clean + t.Begin + t.Heat)
	if t.Fixed != nil && t.Fixed.Begun {
		alone = at.Lift - at.Start
	}
	if alone >= 60 {
		verb := row.Alone
		if verb == "" {
			verb = "stands"
		}
		parts = append(parts, verb+" until "+w.said(at.Lift))
	}
	var by days.Minute = days.Never
	for _, next := range w.draft.Problem.Tasks {
		for _, a := range next.After {
			if a.Task == i && a.Most <= days.Day { // what keeps for days is no hurry
				by = min(by, at.End+a.Most)
			}
		}
	}
	if by < days.Never && row.Why != "" {
		parts = append(parts, fmt.Sprintf("%s: the next by %s", row.Why, w.said(by)))
	}
	return strings.Join(parts, "; ")
}

// encodeClashes says what pinned and begun stages leave no room for.
func (w *week) encodeClashes() []string {
	var said []string
	for _, c := range w.result.Clashes {
		task, before := w.draft.Problem.Tasks[c.Task].Name, w.draft.Problem.Tasks[c.Before].Name
		text := fmt.Sprintf("%s begins %s, and %s is not done until %s", task, w.said(w.result.Placed[c.Task].Start), before, w.said(w.result.Placed[c.Before].End))
		if c.Over > 0 {
			text = fmt.Sprintf("%s begins %s, %s later than %s may wait", task, w.said(w.result.Placed[c.Task].Start), span(c.Over), before)
		}
		if !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	return said
}

func span(m days.Minute) string {
	if m < 120 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h", m/60)
}
