package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/swatch"
)

// Swatch is a page of the swatch book as it stands there.
type Swatch struct {
	ID int64
	swatch.Page
	ParcelID      int64 // the harvest or bag it was dyed from; zero: not known here
	VersionID     int64 // of the recipe; zero: none of the books
	LotID         int64 // whose witness cloth it is; zero: of none
	RecipeCode    string
	RecipeVersion int
	Grades        []swatch.Grade // in the order they were recorded
	Struck        lot.Withdrawal
}

// Code is "T12".
func (s Swatch) Code() string { return Code('T', s.ID) }

type swatchRow struct {
	ID            int64           `db:"id"`
	Name          string          `db:"name"`
	Fibre         string          `db:"fibre"`
	Plant         string          `db:"plant"`
	Part          string          `db:"part"`
	Family        string          `db:"dye_family"`
	Place         string          `db:"place"`
	PickedOn      *time.Time      `db:"picked_on"`
	ParcelID      int64           `db:"parcel_id"`
	VersionID     int64           `db:"version_id"`
	LotID         int64           `db:"lot_id"`
	RecipeCode    string          `db:"recipe_code"`
	RecipeVersion int             `db:"recipe_version"`
	RecipeWords   string          `db:"recipe_words"`
	WOF           int64           `db:"percent_wof"`
	DyedOn        time.Time       `db:"dyed_on"`
	Where         string          `db:"page"`
	L             *float64        `db:"l"`
	A             *float64        `db:"a"`
	B             *float64        `db:"b"`
	Illuminant    *string         `db:"illuminant"`
	Observer      *int            `db:"observer"`
	FirstNM       *int            `db:"first_nm"`
	StepNM        *int            `db:"step_nm"`
	Reflectance   pq.Float64Array `db:"reflectance"`
	Ground        pq.Float64Array `db:"ground"`
	Specular      string          `db:"specular"`
	Instrument    string          `db:"instrument"`
	FileName      string          `db:"file_name"`
	FileSHA256    []byte          `db:"file_sha256"`
	ReadOn        *time.Time      `db:"read_on"`
	By            string          `db:"by_name"`
	Note          string          `db:"note"`
	StruckBy      string          `db:"struck_by"`
	StruckWhy     string          `db:"struck_why"`
	StruckAt      *time.Time      `db:"struck_at"`
}

const swatchColumns = `
	select s.id, s.name, s.fibre, s.plant, s.part, s.dye_family, s.place, s.picked_on, coalesce(s.parcel_id, 0) as parcel_id, coalesce(s.version_id, 0) as version_id,
	       coalesce(s.lot_id, 0) as lot_id, coalesce(r.code, '') as recipe_code, coalesce(v.version, 0) as recipe_version, s.recipe_words,
	       coalesce(s.percent_wof, 0) as percent_wof, s.dyed_on, s.page, s.l, s.a, s.b, s.illuminant, s.observer, s.first_nm, s.step_nm, s.reflectance, s.ground,
	       s.specular, s.instrument, s.file_name, s.file_sha256, s.read_on, s.by_name, s.note,
	       coalesce(x.by_name, '') as struck_by, coalesce(x.reason, '') as struck_why, x.at as struck_at
	from swatch s
	left join recipe_version v on v.id = s.version_id left join recipe r on r.id = v.recipe_id
	left join swatch_struck x on x.swatch_id = s.id`

func (r swatchRow) swatch() (Swatch, error) {
	s := Swatch{ID: r.ID, ParcelID: r.ParcelID, VersionID: r.VersionID, LotID: r.LotID, RecipeCode: r.RecipeCode, RecipeVersion: r.RecipeVersion,
		Struck: lot.Withdrawal{By: r.StruckBy, Reason: r.StruckWhy, At: orZero(r.StruckAt)},
		Page: swatch.Page{Name: r.Name, Fibre: r.Fibre, Plant: r.Plant, Part: r.Part, Family: r.Family, Place: r.Place, Picked: orZero(r.PickedOn),
			Recipe: r.RecipeWords, WOF: quantity.Percent(r.WOF), Dyed: r.DyedOn, Where: r.Where, By: r.By, Note: r.Note}}
	if r.L == nil {
		return s, nil
	}
	c, v, err := labRow{*r.L, *r.A, *r.B, *r.Illuminant, *r.Observer}.colour()
	m := &swatch.Measured{Lab: c, View: v, Instrument: r.Instrument, Read: orZero(r.ReadOn), Specular: r.Specular, FileName: r.FileName, FileSHA256: r.FileSHA256}
	if r.FirstNM != nil {
		m.Spectrum = &colour.Curve{FirstNM: *r.FirstNM, StepNM: *r.StepNM, Reflectance: r.Reflectance}
	}
	if r.Ground != nil {
		m.Ground = &colour.Curve{FirstNM: *r.FirstNM, StepNM: *r.StepNM, Reflectance: r.Ground}
	}
	s.Measured = m
	return s, err
}

// Swatch finds a page, struck or not. fault.NotFound.
func (t *Tx) Swatch(id int64) (Swatch, error) {
	all, err := t.SwatchesByID([]int64{id})
	if err == nil && len(all) == 0 {
		err = fault.Missing("swatch", Code('T', id))
	}
	if err != nil {
		return Swatch{}, err
	}
	return all[0], nil
}

// SwatchesByID loads those of some pages that exist, by id.
func (t *Tx) SwatchesByID(ids []int64) ([]Swatch, error) {
	return t.swatches(swatchColumns+` where s.id = any($1) order by s.id`, pq.Array(ids))
}

// swatches loads pages whole, in three statements however many there are.
func (t *Tx) swatches(query string, args ...any) ([]Swatch, error) {
	var rows []swatchRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	all, at, ids := make([]Swatch, len(rows)), map[int64]*Swatch{}, make([]int64, len(rows))
	for i, r := range rows {
		var err error
		if all[i], err = r.swatch(); err != nil {
			return nil, err
		}
		at[r.ID], ids[i] = &all[i], r.ID
	}
	if err := t.loadSwatchBaths(at, ids); err != nil {
		return nil, err
	}
	return all, t.loadSwatchGrades(at, ids)
}

func (t *Tx) loadSwatchBaths(at map[int64]*Swatch, ids []int64) error {
	var rows []struct {
		Swatch    int64  `db:"swatch_id"`
		Kind      string `db:"kind"`
		Substance string `db:"substance"`
		Metal     string `db:"metal"`
		WOF       int64  `db:"percent_wof"`
	}
	err := t.list(&rows, `
		select swatch_id, kind, substance, metal, coalesce(percent_wof, 0) as percent_wof
		from swatch_bath where swatch_id = any($1) order by swatch_id, line`, pq.Array(ids))
	for _, r := range rows {
		at[r.Swatch].Baths = append(at[r.Swatch].Baths, swatch.Bath{Kind: r.Kind, Substance: r.Substance, Metal: r.Metal, WOF: quantity.Percent(r.WOF)})
	}
	return err
}

func (t *Tx) loadSwatchGrades(at map[int64]*Swatch, ids []int64) error {
	grades, err := t.swatchGrades(` where swatch_id = any($1) order by id`, pq.Array(ids))
	for _, g := range grades {
		at[g.id].Grades = append(at[g.id].Grades, g.Grade)
	}
	return err
}

// swatchMark tells whether the book has changed: ids rise in the order of the
// commits (see AddSwatches), and what is struck is only ever more.
const swatchMark = `
	select coalesce((select max(id) from swatch), 0) as last, (select count(*) from swatch_struck) as struck`

// SwatchMark is the newest page's id, and how many are struck: one cheap look.
func (t *Tx) SwatchMark() (last, struck int64, err error) {
	var r struct {
		Last   int64 `db:"last"`
		Struck int64 `db:"struck"`
	}
	err = t.get(&r, swatchMark)
	return r.Last, r.Struck, err
}

// SwatchColour is a page's colour as it was measured, with the spectrum where
// that is needed to see it in another light.
type SwatchColour struct {
	ID       int64
	Measured swatch.Measured
}

// SwatchColours lists the colours of some pages after an id, by id; spectra only
// of those that were read in another view than this one.
func (t *Tx) SwatchColours(after int64, v colour.View, limit int) ([]SwatchColour, error) {
	var rows []struct {
		ID int64 `db:"id"`
		labRow
		FirstNM     int             `db:"first_nm"`
		StepNM      int             `db:"step_nm"`
		Reflectance pq.Float64Array `db:"reflectance"`
	}
	err := t.list(&rows, `
		select id, l, a, b, illuminant, observer, coalesce(first_nm, 0) as first_nm, coalesce(step_nm, 0) as step_nm,
		       case when illuminant <> $2 or observer <> $3 then reflectance end as reflectance
		from swatch where id > $1 and l is not null order by id limit $4`, after, v.Illuminant.String(), v.Observer.Degrees(), limit)
	if err != nil {
		return nil, err
	}
	all := make([]SwatchColour, len(rows))
	for i, r := range rows {
		all[i].ID = r.ID
		m := &all[i].Measured
		if m.Lab, m.View, err = r.colour(); err != nil {
			return nil, err
		}
		if r.Reflectance != nil {
			m.Spectrum = &colour.Curve{FirstNM: r.FirstNM, StepNM: r.StepNM, Reflectance: r.Reflectance}
		}
	}
	return all, nil
}

// StruckSwatches lists the ids of the pages that are struck.
func (t *Tx) StruckSwatches() ([]int64, error) {
	var ids []int64
	return ids, t.list(&ids, `select swatch_id from swatch_struck`)
}
