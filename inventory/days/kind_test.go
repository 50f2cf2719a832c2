package days_test

import (
	"testing"
	"time"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// Every kind of stage has its row, in the order of lot.Kinds, marked with its
// source, and fits a working day of nine hours.
func TestEveryKindHasARow(t *testing.T) {
	t.Parallel()
	rows := days.Rows()
	if len(rows) != len(lot.Kinds()) {
		t.Fatalf("%d rows for %d kinds", len(rows), len(lot.Kinds()))
	}
	for k, kind := range lot.Kinds() {
		r, err := days.RowOf(kind.Key)
		if err != nil || rows[k].Key != kind.Key || r.Source != "common practice" {
			t.Errorf("%s: %v, %+v", kind.Key, err, r)
		}
		task := r.Task(0, 0, 12)
		if task.Begin <= 0 || task.Begin+task.Heat > 9*60 || task.LongestSoak < task.Soak || r.Burner && !kind.Bath || r.Rack != (task.Rack == 12) {
			t.Errorf("%s: %+v", kind.Key, task)
		}
		if r.Most < days.Never && r.Why == "" || r.Most == 0 {
			t.Errorf("%s: a longest wait of %d, and no reason", kind.Key, r.Most)
		}
	}
	if _, err := days.RowOf("boil"); err == nil {
		t.Error("boil is no kind")
	}
}

// trade.md: wool is mordanted cold for 24 to 72 h (common practice), which stands
// by itself; wool cools overnight in its pot; judging asks for 24 h of rest.
func TestWhatStandsByItselfNeedsNoBurner(t *testing.T) {
	t.Parallel()
	mordant, _ := days.RowOf("mordant")
	if cold := mordant.Task(20, 48*60, 3); cold.Burner || cold.Heat != 0 || cold.Soak != 48*60 {
		t.Errorf("%+v", cold)
	}
	if hot := mordant.Task(80, 60, 3); !hot.Burner || hot.Heat != 60 || hot.Soak != 0 || mordant.GoesOn(80, 60) != 0 {
		t.Errorf("%+v", hot)
	}
	dye, _ := days.RowOf("dye")
	if d := dye.Task(75, 60, 3); d.Soak != 12*60 || dye.GoesOn(75, 60) != 12*60 {
		t.Errorf("%+v", d)
	}
	cure, _ := days.RowOf("cure")
	look, _ := days.RowOf("look-over")
	if least, most := days.Rests(cure, look); least != 24*60 || most != days.Never || cure.GoesOn(0, 7*24*60) != 7*24*60 {
		t.Errorf("%d to %d", least, most)
	}
}

func TestHoursMakeACalendar(t *testing.T) {
	t.Parallel()
	h := days.UsualHours()
	monday := time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)
	h.Off = []time.Time{monday.AddDate(0, 0, 2)}
	c := h.Calendar(monday, 8)
	if len(c) != 5 || c[0] != (days.Shift{From: 480, To: 1020, People: 1}) || c[2].From != 3*days.Day+480 || c[4].From != 7*days.Day+480 {
		t.Errorf("%v", c)
	}
	for field, change := range map[string]func(*days.Hours){
		"people":      func(h *days.Hours) { h.People = -1 },
		"weekdays":    func(h *days.Hours) { h.Weekdays = nil },
		"from":        func(h *days.Hours) { h.From = -5 },
		"to":          func(h *days.Hours) { h.To = h.From },
		"burners":     func(h *days.Hours) { h.Burners = -1 },
		"rack_pieces": func(h *days.Hours) { h.RackPieces = -1 },
		"days_off":    func(h *days.Hours) { h.Off = make([]time.Time, 500) },
	} {
		bad := days.UsualHours()
		change(&bad)
		if f, ok := fault.Of(bad.Validate()); !ok || f.Field != field {
			t.Errorf("%s: %v", field, f)
		}
	}
	if err := h.Validate(); err != nil {
		t.Error(err)
	}
}

// What no plan can hold is refused by its field.
func TestNonsenseIsRefusedByItsField(t *testing.T) {
	t.Parallel()
	good := func() *days.Problem {
		return &days.Problem{Hours: days.Calendar{{From: 0, To: 100, People: 1}}, Vessels: []days.Vessel{{Code: "pot"}, {Code: "iron", Iron: true}},
			Tasks: []days.Task{{Name: "a", Begin: 10, LongestSoak: days.Never, Vessels: []int{0}}, {Name: "b", Begin: 10, LongestSoak: days.Never, After: []days.Wait{{Task: 0, Most: days.Never}}}}}
	}
	for field, change := range map[string]func(*days.Problem){
		"tasks[0].begin":        func(p *days.Problem) { p.Tasks[0].Begin = -1 },
		"tasks[1].begin":        func(p *days.Problem) { p.Tasks[1].Begin = 101 },
		"tasks[0].soak":         func(p *days.Problem) { p.Tasks[0].Soak = -1 },
		"tasks[0].longest_soak": func(p *days.Problem) { p.Tasks[0].Soak, p.Tasks[0].LongestSoak = 5, 4 },
		"tasks[0].vessels":      func(p *days.Problem) { p.Tasks[0].Vessels = []int{2} },
		"tasks[0].hands":        func(p *days.Problem) { p.Tasks[0].Hands = 2 },
		"tasks[0].rack":         func(p *days.Problem) { p.Rack, p.Tasks[0].Rack = 3, 4 },
		"tasks[1].after":        func(p *days.Problem) { p.Tasks[1].After[0].Most = -1 },
		"tasks":                 func(p *days.Problem) { p.Tasks[0].After = []days.Wait{{Task: 1, Most: days.Never}} },
		"hours[0]":              func(p *days.Problem) { p.Hours[0].People = 0 },
		"burners":               func(p *days.Problem) { p.Burners = -1 },
	} {
		p := good()
		change(p)
		_, err := days.Make(p, days.Limit{})
		if f, ok := fault.Of(err); !ok || f.Field != field {
			t.Errorf("%s: %v", field, err)
		}
	}
	p := good()
	p.Tasks[0].Shade, p.Tasks[0].Vessels = days.Shade{Colour: true}, []int{1}
	if _, err := days.Make(p, days.Limit{}); err == nil {
		t.Error("a yellow in an iron pot")
	}
	p = good()
	for range 20 {
		p.Tasks = append(p.Tasks, days.Task{Begin: 10, LongestSoak: days.Never})
	}
	if f, _ := fault.Of(func() error { _, err := days.Make(p, days.Limit{}); return err }()); f == nil || f.Reason != "NO_ROOM" {
		t.Errorf("220 minutes in a day of 100: %v", f)
	}
}
