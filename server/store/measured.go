package store

import (
	"encoding/json"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
)

// MeasuredPair is two colours of one component with the grade that was computed
// from them, and the spectra they are from where there were some.
type MeasuredPair struct {
	fastness.Measured
	View       colour.View
	Instrument string
	Spectra    PairSpectra
}

// PairSpectra are the reflectances, 0 to 1, before and after, at the same
// wavelengths; zero where only the colours are known.
type PairSpectra struct {
	FirstNM, StepNM int
	Before, After   []float64
	Specular        string
}

// measuredOf is what a pair was measured of: a test or a look, one of the two.
type measuredOf struct{ TestID, LookID int64 }

// measuredLine is a row of measured_grade on its way in.
type measuredLine struct {
	Component  string    `json:"component"`
	Formula    string    `json:"formula"`
	Figure     float64   `json:"figure"`
	Grade      string    `json:"grade"`
	BeforeL    float64   `json:"before_l"`
	BeforeA    float64   `json:"before_a"`
	BeforeB    float64   `json:"before_b"`
	AfterL     float64   `json:"after_l"`
	AfterA     float64   `json:"after_a"`
	AfterB     float64   `json:"after_b"`
	Illuminant string    `json:"illuminant"`
	Observer   int       `json:"observer"`
	Instrument string    `json:"instrument"`
	FirstNM    *int64    `json:"first_nm"`
	StepNM     *int64    `json:"step_nm"`
	Before     []float64 `json:"before_reflectance"`
	After      []float64 `json:"after_reflectance"`
	Specular   string    `json:"specular"`
}

func (t *Tx) addMeasured(of measuredOf, pairs []MeasuredPair) error {
	if len(pairs) == 0 {
		return nil
	}
	lines := make([]measuredLine, len(pairs))
	for i, p := range pairs {
		lines[i] = measuredLine{
			Component: p.Component, Formula: p.Formula(), Figure: p.Figure, Grade: p.Scale.Text(p.Grade),
			BeforeL: p.Before[0], BeforeA: p.Before[1], BeforeB: p.Before[2], AfterL: p.After[0], AfterA: p.After[1], AfterB: p.After[2],
			Illuminant: p.View.Illuminant.String(), Observer: p.View.Observer.Degrees(), Instrument: p.Instrument,
			FirstNM: nullIfZero(int64(p.Spectra.FirstNM)), StepNM: nullIfZero(int64(p.Spectra.StepNM)), Before: p.Spectra.Before, After: p.Spectra.After, Specular: p.Spectra.Specular,
		}
	}
	text, err := json.Marshal(lines)
	if err != nil {
		return err
	}
	return t.exec(`
		insert into measured_grade (test_id, look_id, component, formula, figure, grade, before_l, before_a, before_b, after_l, after_a, after_b,
		                            illuminant, observer, instrument, first_nm, step_nm, before_reflectance, after_reflectance, specular)
		select $1, $2, component, formula, figure, grade, before_l, before_a, before_b, after_l, after_a, after_b,
		       illuminant, observer, instrument, first_nm, step_nm, before_reflectance, after_reflectance, specular
		from jsonb_to_recordset(CAST($3 AS jsonb)) as u (component text, formula text, figure double precision, grade text,
		     before_l double precision, before_a double precision, before_b double precision, after_l double precision, after_a double precision, after_b double precision,
		     illuminant text, observer smallint, instrument text, first_nm smallint, step_nm smallint,
		     before_reflectance double precision[], after_reflectance double precision[], specular text)`,
		nullIfZero(of.TestID), nullIfZero(of.LookID), string(text))
}

type measuredRow struct {
	Of         int64           `db:"of_id"`
	Component  string          `db:"component"`
	Formula    string          `db:"formula"`
	Figure     float64         `db:"figure"`
	Grade      string          `db:"grade"`
	BeforeL    float64         `db:"before_l"`
	BeforeA    float64         `db:"before_a"`
	BeforeB    float64         `db:"before_b"`
	AfterL     float64         `db:"after_l"`
	AfterA     float64         `db:"after_a"`
	AfterB     float64         `db:"after_b"`
	Illuminant string          `db:"illuminant"`
	Observer   int             `db:"observer"`
	Instrument string          `db:"instrument"`
	FirstNM    int             `db:"first_nm"`
	StepNM     int             `db:"step_nm"`
	Before     pq.Float64Array `db:"before_reflectance"`
	After      pq.Float64Array `db:"after_reflectance"`
	Specular   string          `db:"specular"`
}

const measuredColumns = `component, formula, figure, grade, before_l, before_a, before_b, after_l, after_a, after_b,
	illuminant, observer, instrument, coalesce(first_nm, 0) as first_nm, coalesce(step_nm, 0) as step_nm, before_reflectance, after_reflectance, specular
	from measured_grade`

// pair is the row as it was computed then: a later formula does not change it.
func (r measuredRow) pair() (MeasuredPair, error) {
	before, view, err := labRow{r.BeforeL, r.BeforeA, r.BeforeB, r.Illuminant, r.Observer}.colour()
	if err != nil {
		return MeasuredPair{}, err
	}
	p := MeasuredPair{View: view, Instrument: r.Instrument,
		Spectra: PairSpectra{FirstNM: r.FirstNM, StepNM: r.StepNM, Before: r.Before, After: r.After, Specular: r.Specular}}
	p.Component, p.Figure, p.Scale = r.Component, r.Figure, fastness.GreyChange
	p.Before, p.After = fastness.Lab{before.L, before.A, before.B}, fastness.Lab{r.AfterL, r.AfterA, r.AfterB}
	if r.Formula == (fastness.Measured{Scale: fastness.GreyStaining}).Formula() {
		p.Scale = fastness.GreyStaining
	} else {
		p.Directions = fastness.DirectionsOf(p.Before, p.After)
	}
	p.Grade, err = fastness.Parse(r.Grade, p.Scale)
	return p, err
}

func (t *Tx) measuredInto(tests []FastnessTest, ids []int64) error {
	var rows []measuredRow
	if err := t.list(&rows, `select test_id as of_id, `+measuredColumns+` where test_id = any($1) order by id`, pq.Array(ids)); err != nil {
		return err
	}
	at := make(map[int64]int, len(ids))
	for i, id := range ids {
		at[id] = i
	}
	for _, r := range rows {
		p, err := r.pair()
		if err != nil {
			return err
		}
		f := &tests[at[r.Of]]
		if f.Pairs = append(f.Pairs, p); f.Measured == nil {
			f.Measured = map[string]fastness.Measured{}
		}
		f.Measured[p.Component] = p.Measured
	}
	return nil
}
