package store

import (
	"fmt"
	"time"

	"dyelot/inventory/logbook"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// LogEntry is a line of the small books as it stands there.
type LogEntry struct {
	ID int64
	logbook.Entry
	HappenedAt time.Time
	RecordedAt time.Time
	By         string
	Note       string
	Withdrawn  lot.Withdrawal
}

// AddLogEntry writes a line and returns its id.
func (t *Tx) AddLogEntry(e LogEntry) (int64, error) {
	var hardness, iron, check, read, step, ph, readPH *int64
	what, stage, done := "", "", ""
	if w := e.Water; w != nil {
		hardness, iron = (*int64)(w.Hardness), (*int64)(w.Iron)
	}
	if s := e.Scale; s != nil {
		check, read, step = &s.Mass.N, &s.Read.N, &s.Step.N
	}
	if b := e.Buffer; b != nil {
		ph, readPH = (*int64)(&b.PH), (*int64)(&b.Read)
	}
	if m := e.Mishap; m != nil {
		what, stage, done = m.What, m.Stage, m.Done
	}
	var id int64
	err := t.get(&id, `
		insert into log_entry (book, subject, happened_at, by_name, note, hardness, iron, check_ug, read_ug, resolution_ug, buffer_ph, read_ph, what, stage, done,
		                       recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) returning id`,
		string(e.Book), e.Subject, e.HappenedAt, e.By, e.Note, hardness, iron, check, read, step, ph, readPH, what, stage, done, t.Now, t.By.ID)
	return id, err
}

type logRow struct {
	ID         int64     `db:"id"`
	Book       string    `db:"book"`
	Subject    string    `db:"subject"`
	HappenedAt time.Time `db:"happened_at"`
	RecordedAt time.Time `db:"recorded_at"`
	By         string    `db:"by_name"`
	Note       string    `db:"note"`
	Hardness   *int64    `db:"hardness"`
	Iron       *int64    `db:"iron"`
	Check      int64     `db:"check_ug"`
	Read       int64     `db:"read_ug"`
	Step       int64     `db:"resolution_ug"`
	PH         int64     `db:"buffer_ph"`
	ReadPH     int64     `db:"read_ph"`
	What       string    `db:"what"`
	Stage      string    `db:"stage"`
	Done       string    `db:"done"`
	withdrawnRow
}

const logColumns = `
	select e.id, e.book, e.subject, e.happened_at, e.recorded_at, e.by_name, e.note, e.hardness, e.iron, coalesce(e.check_ug, 0) as check_ug,
	       coalesce(e.read_ug, 0) as read_ug, coalesce(e.resolution_ug, 0) as resolution_ug, coalesce(e.buffer_ph, 0) as buffer_ph, coalesce(e.read_ph, 0) as read_ph,
	       e.what, e.stage, e.done, ` + withdrawnColumns + `
	from log_entry e left join evidence_withdrawn w on w.log_entry_id = e.id`

func (r logRow) entry() LogEntry {
	e := LogEntry{ID: r.ID, HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt, By: r.By, Note: r.Note, Withdrawn: r.withdrawal(),
		Entry: logbook.Entry{Book: logbook.Book(r.Book), Subject: r.Subject}}
	mass := func(n int64) quantity.Amount { return quantity.Amount{N: n, Unit: quantity.Mass} }
	switch e.Book {
	case logbook.OfWater:
		e.Water = &logbook.Water{Hardness: (*logbook.Hardness)(r.Hardness), Iron: (*logbook.IronContent)(r.Iron)}
	case logbook.OfScale:
		e.Scale = &logbook.Scale{Mass: mass(r.Check), Read: mass(r.Read), Step: mass(r.Step)}
	case logbook.OfBuffer:
		e.Buffer = &logbook.Buffer{PH: recipe.PH(r.PH), Read: recipe.PH(r.ReadPH)}
	default:
		e.Mishap = &logbook.Mishap{What: r.What, Stage: r.Stage, Done: r.Done}
	}
	return e
}

// LogEntry finds one. fault.NotFound.
func (t *Tx) LogEntry(id int64) (LogEntry, error) {
	var r logRow
	err := t.get(&r, logColumns+` where e.id = $1`, id)
	return r.entry(), missing(err, "entry", Code('J', id))
}

// LogEntries lists lines of a book and a subject, each all where it is empty,
// the newest written first, below an id where that is not zero.
func (t *Tx) LogEntries(book, subject string, below int64, limit int) ([]LogEntry, error) {
	var rows []logRow
	err := t.list(&rows, logColumns+`
		where ($1 = '' or e.book = $1) and ($2 = '' or e.subject = $2) and ($3 = 0 or e.id < $3) order by e.id desc limit $4`, book, subject, below, limit)
	es := make([]LogEntry, len(rows))
	for i, r := range rows {
		es[i] = r.entry()
	}
	return es, err
}

// LastStep is the step that a scale was last said to show; absent where nobody
// said.
func (t *Tx) LastStep(scale string) (quantity.Amount, error) {
	var n int64
	err := t.get(&n, `
		select coalesce((select resolution_ug from log_entry where book = 'scale' and subject = $1 order by id desc limit 1), 0)`, scale)
	if n == 0 {
		return quantity.Amount{}, err
	}
	return quantity.Amount{N: n, Unit: quantity.Mass}, err
}

// SetLogInterval says how often from now on.
func (t *Tx) SetLogInterval(i logbook.Interval) error {
	return t.exec(`insert into log_interval (book, subject, days, set_at, set_by) values ($1, $2, $3, $4, $5)`, string(i.Book), i.Subject, i.Days, t.Now, t.By.ID)
}

// Due lists what is checked again and again, by book and subject: what was
// checked once, and what an interval was set for.
func (t *Tx) Due() ([]logbook.Due, error) {
	var rows []struct {
		Book    string     `db:"book"`
		Subject string     `db:"subject"`
		Days    *int       `db:"days"`
		Last    *time.Time `db:"last_on"`
	}
	err := t.list(&rows, `
		with asked as (
			select distinct on (book, subject) book, subject, days from log_interval order by book, subject, id desc),
		done as (
			select e.book, e.subject, max(CAST(e.happened_at at time zone studio.time_zone AS date)) as last_on
			from log_entry e cross join studio
			where e.book in ('water', 'scale', 'buffer') and not exists (select from evidence_withdrawn w where w.log_entry_id = e.id)
			group by e.book, e.subject)
		select k.book, k.subject, coalesce(own.days, every.days) as days, done.last_on
		from (select book, subject from done union select book, subject from asked where subject <> '') k
		left join done on done.book = k.book and done.subject = k.subject
		left join asked own on own.book = k.book and own.subject = k.subject
		left join asked every on every.book = k.book and every.subject = ''
		order by k.book, k.subject`)
	due := make([]logbook.Due, len(rows))
	for i, r := range rows {
		book := logbook.Book(r.Book)
		due[i] = logbook.Due{Interval: logbook.Interval{Book: book, Subject: r.Subject, Days: book.UsualDays()}, Last: orZero(r.Last)}
		if r.Days != nil {
			due[i].Days = *r.Days
		}
	}
	return due, err
}

// logTasks are the checks that are due, or were never done.
func (t *Tx) logTasks() ([]Task, error) {
	due, err := t.Due()
	if err != nil || len(due) == 0 {
		return nil, err
	}
	today, err := t.Today()
	var tasks []Task
	for _, d := range due {
		if d.Waits(today) {
			tasks = append(tasks, Task{"check-due", d.Subject, fmt.Sprintf("%s: dyelot log %s", d.Text(), d.Book), d.Next()})
		}
	}
	return tasks, err
}
