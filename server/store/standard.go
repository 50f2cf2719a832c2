package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
)

// labRow is a colour with its light and eye, as several tables hold it.
type labRow struct {
	L          float64 `db:"l"`
	A          float64 `db:"a"`
	B          float64 `db:"b"`
	Illuminant string  `db:"illuminant"`
	Observer   int     `db:"observer"`
}

func (r labRow) colour() (c colour.Lab, v colour.View, err error) {
	if v.Illuminant, err = colour.NewIlluminant("illuminant", r.Illuminant); err != nil {
		return c, v, err
	}
	v.Observer, err = colour.NewObserver("observer", r.Observer)
	return colour.Lab{L: r.L, A: r.A, B: r.B}, v, err
}

type standardRow struct {
	ID   int64  `db:"id"`
	Code string `db:"code"`
	Name string `db:"name"`
	labRow
	Tolerance    int64      `db:"tolerance"`
	SetTolerance int64      `db:"set_tolerance"`
	DatedOn      time.Time  `db:"dated_on"`
	RenewOn      *time.Time `db:"renew_on"`
	Note         string     `db:"note"`
}

const standardColumns = `select id, code, name, l, a, b, illuminant, observer, tolerance, set_tolerance, dated_on, renew_on, note from shade_standard`

func (r standardRow) standard() (lot.Standard, error) {
	c, v, err := r.colour()
	return lot.Standard{ID: r.ID, Code: r.Code, Name: r.Name, Colour: c, View: v, Tolerance: lot.Tolerance(r.Tolerance), SetTolerance: lot.Tolerance(r.SetTolerance),
		DatedOn: r.DatedOn, RenewOn: orZero(r.RenewOn), Note: r.Note}, err
}

// AddStandard writes a shade standard, whose code must be new (fault.Exists).
func (t *Tx) AddStandard(s lot.Standard) error {
	return t.exec(`
		insert into shade_standard (code, name, l, a, b, illuminant, observer, tolerance, set_tolerance, dated_on, renew_on, note, recorded_by, recorded_at)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		s.Code, s.Name, s.Colour.L, s.Colour.A, s.Colour.B, s.View.Illuminant.String(), s.View.Observer.Degrees(),
		int64(s.Tolerance), int64(s.SetTolerance), s.DatedOn, orNull(s.RenewOn), s.Note, t.By.ID, t.Now)
}

// StandardByCode finds one; fault.NotFound.
func (t *Tx) StandardByCode(code string) (lot.Standard, error) {
	var r standardRow
	if err := t.get(&r, standardColumns+` where code = $1`, code); err != nil {
		return lot.Standard{}, missing(err, "standard", code)
	}
	return r.standard()
}

// StandardByID is one that a run or a colourway points at.
func (t *Tx) StandardByID(id int64) (lot.Standard, error) {
	var r standardRow
	if err := t.get(&r, standardColumns+` where id = $1`, id); err != nil {
		return lot.Standard{}, err
	}
	return r.standard()
}

// StandardsByID are some standards, by id.
func (t *Tx) StandardsByID(ids []int64) (map[int64]lot.Standard, error) {
	var rows []standardRow
	if err := t.list(&rows, standardColumns+` where id = any($1)`, pq.Array(ids)); err != nil {
		return nil, err
	}
	by := map[int64]lot.Standard{}
	for _, r := range rows {
		s, err := r.standard()
		if err != nil {
			return nil, err
		}
		by[r.ID] = s
	}
	return by, nil
}

// Standards lists every standard by code.
func (t *Tx) Standards() ([]lot.Standard, error) {
	var rows []standardRow
	if err := t.list(&rows, standardColumns+` order by code`); err != nil {
		return nil, err
	}
	all := make([]lot.Standard, len(rows))
	for i, r := range rows {
		var err error
		if all[i], err = r.standard(); err != nil {
			return nil, err
		}
	}
	return all, nil
}
