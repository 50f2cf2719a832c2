package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
)

// WindowTest is one as the books keep it.
type WindowTest struct {
	ID    int64
	LotID int64
	fastness.Window
	Scope            fastness.Scope
	Specimen, Place  string
	Faces, By, Note  string
	Looked           []WindowLook // every look, also those that a later one of the day stands for
	GivenUp, EndNote string
	TestID           int64 // 0: none
}

// WindowLook is one look as it was written.
type WindowLook struct {
	fastness.Look
	By, Note   string
	Measured   *MeasuredPair
	Superseded bool
}

// AddWindow writes a window test and returns its id.
func (t *Tx) AddWindow(w WindowTest) (int64, error) {
	beside := w.Beside
	if beside == nil {
		beside = []int{} // null is no list
	}
	var id int64
	err := t.get(&id, `
		insert into window_test (lot_id, scope, specimen, place, faces, lux, hours_per_day, uv_filtered, blue_wools, put_out_on, look_on, by_name, note, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, CAST($11 AS date[]), $12, $13, $14, $15) returning id`,
		w.LotID, string(w.Scope), w.Specimen, w.Place, w.Faces, someFloat(w.Lux), someFloat(w.HoursPerDay), !w.UV, pq.Array(beside), w.PutOut, pq.Array(dateWords(w.Again)),
		w.By, w.Note, t.Now, t.By.ID)
	return id, err
}

func someFloat(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

func dateWords(days []time.Time) []string {
	words := make([]string, len(days))
	for i, d := range days {
		words[i] = d.Format(time.DateOnly)
	}
	return words
}

// AddLook writes a look at a window.
func (t *Tx) AddLook(windowID int64, l WindowLook) error {
	grade := ""
	if l.Grade > 0 {
		grade = fastness.GreyChange.Text(l.Grade)
	}
	changed := l.Changed
	if changed == nil {
		changed = []int{} // null is no list
	}
	var id int64
	err := t.get(&id, `
		insert into window_look (window_id, looked_on, grade, changed, by_name, note, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8) returning id`,
		windowID, l.On, grade, pq.Array(changed), l.By, l.Note, t.Now, t.By.ID)
	if err != nil || l.Measured == nil {
		return err
	}
	return t.addMeasured(measuredOf{LookID: id}, []MeasuredPair{*l.Measured})
}

// EndWindow takes a window test in; a second time is fault.Refused.
func (t *Tx) EndWindow(w WindowTest, by string) error {
	return t.exec(`
		insert into window_end (window_id, taken_in_on, given_up, by_name, note, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		w.ID, w.In, w.GivenUp, by, w.EndNote, t.Now, t.By.ID)
}

// LotOfWindow finds whose window test that is. fault.NotFound.
func (t *Tx) LotOfWindow(id int64) (lotID int64, err error) {
	err = t.get(&lotID, `select lot_id from window_test where id = $1`, id)
	return lotID, missing(err, "window", Code('X', id))
}

type windowRow struct {
	ID        int64          `db:"id"`
	LotID     int64          `db:"lot_id"`
	Scope     string         `db:"scope"`
	Specimen  string         `db:"specimen"`
	Place     string         `db:"place"`
	Faces     string         `db:"faces"`
	Lux       float64        `db:"lux"`
	Hours     float64        `db:"hours_per_day"`
	Filtered  bool           `db:"uv_filtered"`
	BlueWools pq.Int64Array  `db:"blue_wools"`
	PutOutOn  time.Time      `db:"put_out_on"`
	LookOn    pq.StringArray `db:"look_on"`
	By        string         `db:"by_name"`
	Note      string         `db:"note"`
	In        *time.Time     `db:"taken_in_on"`
	GivenUp   string         `db:"given_up"`
	EndNote   string         `db:"end_note"`
	TestID    int64          `db:"test_id"`
}

const windowColumns = `
	select x.id, x.lot_id, x.scope, x.specimen, x.place, x.faces, coalesce(x.lux, 0) as lux, coalesce(x.hours_per_day, 0) as hours_per_day, x.uv_filtered,
	       x.blue_wools, x.put_out_on, CAST(x.look_on AS text[]) as look_on, x.by_name, x.note,
	       e.taken_in_on, coalesce(e.given_up, '') as given_up, coalesce(e.note, '') as end_note, coalesce(f.id, 0) as test_id
	from window_test x left join window_end e on e.window_id = x.id left join fastness_test f on f.window_id = x.id`

func (r windowRow) window() (WindowTest, error) {
	w := WindowTest{ID: r.ID, LotID: r.LotID, Scope: fastness.Scope(r.Scope), Specimen: r.Specimen, Place: r.Place, Faces: r.Faces, By: r.By, Note: r.Note,
		GivenUp: r.GivenUp, EndNote: r.EndNote, TestID: r.TestID,
		Window: fastness.Window{Code: Code('X', r.ID), PutOut: r.PutOutOn, Beside: wools(r.BlueWools), Lux: r.Lux, HoursPerDay: r.Hours, UV: !r.Filtered, In: orZero(r.In)}}
	for _, d := range r.LookOn {
		day, err := time.Parse(time.DateOnly, d)
		if err != nil {
			return w, err
		}
		w.Again = append(w.Again, day)
	}
	return w, nil
}

func wools(stored pq.Int64Array) []int {
	var all []int
	for _, n := range stored {
		all = append(all, int(n))
	}
	return all
}

// Window finds one with its looks. fault.NotFound.
func (t *Tx) Window(id int64) (WindowTest, error) {
	var r windowRow
	if err := t.get(&r, windowColumns+` where x.id = $1`, id); err != nil {
		return WindowTest{}, missing(err, "window", Code('X', id))
	}
	all, err := t.withLooks([]windowRow{r})
	if err != nil {
		return WindowTest{}, err
	}
	return all[0], nil
}

// Windows lists window tests, of a lot where it is not zero, those taken in too
// where all is true, the newest first, below an id where that is not zero.
func (t *Tx) Windows(all bool, lotID, below int64, limit int) ([]WindowTest, error) {
	var rows []windowRow
	if err := t.list(&rows, windowColumns+`
		where ($1 or e.window_id is null) and ($2 = 0 or x.lot_id = $2) and ($3 = 0 or x.id < $3) order by x.id desc limit $4`, all, lotID, below, limit); err != nil {
		return nil, err
	}
	return t.withLooks(rows)
}

func (t *Tx) withLooks(rows []windowRow) ([]WindowTest, error) {
	ids, at := make([]int64, len(rows)), make(map[int64]int, len(rows))
	all := make([]WindowTest, len(rows))
	for i, r := range rows {
		var err error
		if all[i], err = r.window(); err != nil {
			return nil, err
		}
		ids[i], at[r.ID] = r.ID, i
	}
	var looks []lookRow
	if err := t.list(&looks, lookColumns, pq.Array(ids)); err != nil {
		return nil, err
	}
	pairs, err := t.measuredOfLooks(looks)
	if err != nil {
		return nil, err
	}
	for _, r := range looks {
		l, err := r.look()
		if err != nil {
			return nil, err
		}
		if p, there := pairs[r.ID]; there {
			l.Measured = &p
		}
		w := &all[at[r.WindowID]]
		if w.Looked = append(w.Looked, l); !l.Superseded {
			w.Looks = append(w.Looks, l.Look)
		}
	}
	return all, nil
}

// lookColumns of the looks at some windows, by day and then as they were written;
// superseded where a later one of the day was written.
const lookColumns = `
	select k.id, k.window_id, k.looked_on, k.grade, k.changed, k.by_name, k.note,
	       lead(k.looked_on) over (partition by k.window_id order by k.looked_on, k.id) is not distinct from k.looked_on as superseded
	from window_look k where k.window_id = any($1) order by k.window_id, k.looked_on, k.id`

type lookRow struct {
	ID         int64         `db:"id"`
	WindowID   int64         `db:"window_id"`
	LookedOn   time.Time     `db:"looked_on"`
	Grade      string        `db:"grade"`
	Changed    pq.Int64Array `db:"changed"`
	By         string        `db:"by_name"`
	Note       string        `db:"note"`
	Superseded bool          `db:"superseded"`
}

func (r lookRow) look() (l WindowLook, err error) {
	l = WindowLook{Look: fastness.Look{On: r.LookedOn, Changed: wools(r.Changed)}, By: r.By, Note: r.Note, Superseded: r.Superseded}
	if r.Grade != "" {
		l.Grade, err = fastness.Parse(r.Grade, fastness.GreyChange)
	}
	return l, err
}

func (t *Tx) measuredOfLooks(looks []lookRow) (map[int64]MeasuredPair, error) {
	ids := make([]int64, len(looks))
	for i, l := range looks {
		ids[i] = l.ID
	}
	var rows []measuredRow
	if err := t.list(&rows, `select look_id as of_id, `+measuredColumns+` where look_id = any($1)`, pq.Array(ids)); err != nil {
		return nil, err
	}
	pairs := map[int64]MeasuredPair{}
	for _, r := range rows {
		p, err := r.pair()
		if err != nil {
			return nil, err
		}
		pairs[r.Of] = p
	}
	return pairs, nil
}

// mostTasks: what waits at more windows than this is no list for a morning.
const mostTasks = 500

// windowTasks are the looks that are due, and what every set look was made at.
func (t *Tx) windowTasks() ([]Task, error) {
	windows, err := t.Windows(false, 0, 0, mostTasks)
	if err != nil || len(windows) == 0 {
		return nil, err
	}
	today, err := t.Today()
	if err != nil {
		return nil, err
	}
	var tasks []Task
	for i := len(windows) - 1; i >= 0; i-- {
		w := windows[i]
		text, by, due := w.Due(today)
		if !due {
			continue
		}
		key, command := "window-look", "look"
		if w.NextLook().IsZero() {
			key, command = "window-in", "in"
		}
		tasks = append(tasks, Task{key, w.Code, fmt.Sprintf("%s, %s: %s: dyelot window %s %s", Code('L', w.LotID), w.Place, text, command, w.Code), by})
	}
	return tasks, nil
}
