package store

import (
	"cmp"
	"database/sql"
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/quantity"
)

// Dip is one piece of cloth of a series, and where its spectrum came from.
type Dip struct {
	WOF        quantity.Percent
	Read       colour.Curve
	Specular   string
	FileName   string
	FileSample string
	FileSHA256 []byte
}

// DipSeries are the test dips of a parcel beside those of a reference.
type DipSeries struct {
	ID       int64
	ParcelID int64
	// ItemCode and ItemName are of the parcel; they are read, never written.
	ItemCode, ItemName string
	// ReferenceID is a parcel; 0 where Reference says in words what it was.
	ReferenceID int64
	Reference   string
	// ReferenceStrength is what that parcel stood at then; 0 where nobody knew.
	ReferenceStrength quantity.Percent
	Fibre, Mordant    string
	Ground            colour.Curve
	GroundSpecular    string
	Sample, Against   []Dip
	// Set is what was written for the parcel in the same act; 0 where nothing was.
	Set        quantity.Percent
	Note       string
	By         string
	HappenedAt time.Time
	RecordedAt time.Time
}

// Code is "D7".
func (s DipSeries) Code() string { return Code('D', s.ID) }

// AddDipSeries writes a series with its dips in two statements and returns its
// id.
func (t *Tx) AddDipSeries(s DipSeries) (int64, error) {
	var id int64
	err := t.get(&id, `
		insert into dip_series (parcel_id, reference_parcel_id, reference_words, reference_percent, fibre, mordant, first_nm, step_nm, ground, specular,
		                        set_percent, note, by_name, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16) returning id`,
		s.ParcelID, nullIfZero(s.ReferenceID), s.Reference, nullIfZero(int64(s.ReferenceStrength)), s.Fibre, s.Mordant,
		s.Ground.FirstNM, s.Ground.StepNM, pq.Array(s.Ground.Reflectance), s.GroundSpecular,
		nullIfZero(int64(s.Set)), s.Note, s.By, s.HappenedAt, t.Now, t.By.ID)
	if err != nil {
		return 0, err
	}
	return id, t.addTestDips(id, s)
}

// addTestDips writes every dip in one statement. Spectra differ in length, which an
// array of arrays may not, so each travels as the text of one.
func (t *Tx) addTestDips(id int64, s DipSeries) error {
	var (
		reference                   []bool
		line, wof, first, step      []int64
		curves, specular            []string
		files, samples, fingerprint []string
	)
	for side, dips := range [][]Dip{s.Sample, s.Against} {
		for i, d := range dips {
			reference, line, wof = append(reference, side == 1), append(line, int64(i+1)), append(wof, int64(d.WOF))
			first, step = append(first, int64(d.Read.FirstNM)), append(step, int64(d.Read.StepNM))
			curves, specular = append(curves, arrayText(d.Read.Reflectance)), append(specular, d.Specular)
			files, samples, fingerprint = append(files, d.FileName), append(samples, d.FileSample), append(fingerprint, fmt.Sprintf("%x", d.FileSHA256))
		}
	}
	return t.exec(`
		insert into dip (series_id, reference, line, percent_wof, first_nm, step_nm, reflectance, specular, file_name, file_sample, file_sha256)
		select $1, d.reference, d.line, d.wof, d.first_nm, d.step_nm, CAST(d.curve AS double precision[]), d.specular, d.file_name, d.file_sample,
		       decode(nullif(d.sha256, ''), 'hex')
		from unnest(CAST($2 AS boolean[]), CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]), CAST($6 AS bigint[]), CAST($7 AS text[]), CAST($8 AS text[]),
		            CAST($9 AS text[]), CAST($10 AS text[]), CAST($11 AS text[]))
		     as d (reference, line, wof, first_nm, step_nm, curve, specular, file_name, file_sample, sha256)`,
		id, pq.Array(reference), pq.Array(line), pq.Array(wof), pq.Array(first), pq.Array(step), pq.Array(curves), pq.Array(specular),
		pq.Array(files), pq.Array(samples), pq.Array(fingerprint))
}

type seriesRow struct {
	ID                int64           `db:"id"`
	ParcelID          int64           `db:"parcel_id"`
	ItemCode          string          `db:"item_code"`
	ItemName          string          `db:"item_name"`
	ReferenceID       int64           `db:"reference_id"`
	Reference         string          `db:"reference_words"`
	ReferenceStrength int64           `db:"reference_percent"`
	Fibre             string          `db:"fibre"`
	Mordant           string          `db:"mordant"`
	FirstNM           int             `db:"first_nm"`
	StepNM            int             `db:"step_nm"`
	Ground            pq.Float64Array `db:"ground"`
	Specular          string          `db:"specular"`
	Set               int64           `db:"set_percent"`
	Note              string          `db:"note"`
	By                string          `db:"by_name"`
	HappenedAt        time.Time       `db:"happened_at"`
	RecordedAt        time.Time       `db:"recorded_at"`
}

const seriesColumns = `
	select s.id, s.parcel_id, i.code as item_code, i.name as item_name, coalesce(s.reference_parcel_id, 0) as reference_id, s.reference_words,
	       coalesce(s.reference_percent, 0) as reference_percent, s.fibre, s.mordant, s.first_nm, s.step_nm, s.ground, s.specular,
	       coalesce(s.set_percent, 0) as set_percent, s.note, s.by_name, s.happened_at, s.recorded_at
	from dip_series s join parcel p on p.id = s.parcel_id join item i on i.id = p.item_id`

func (r seriesRow) series() DipSeries {
	return DipSeries{ID: r.ID, ParcelID: r.ParcelID, ItemCode: r.ItemCode, ItemName: cmp.Or(r.ItemName, r.ItemCode), ReferenceID: r.ReferenceID, Reference: r.Reference,
		ReferenceStrength: quantity.Percent(r.ReferenceStrength), Fibre: r.Fibre, Mordant: r.Mordant,
		Ground: colour.Curve{FirstNM: r.FirstNM, StepNM: r.StepNM, Reflectance: r.Ground}, GroundSpecular: r.Specular,
		Set: quantity.Percent(r.Set), Note: r.Note, By: r.By, HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt}
}

// DipSeriesByID finds one. fault.NotFound.
func (t *Tx) DipSeriesByID(id int64) (DipSeries, error) {
	all, err := t.dipSeries(seriesColumns+` where s.id = $1`, id)
	if err != nil || len(all) == 0 {
		return DipSeries{}, missing(cmp.Or(err, sql.ErrNoRows), "test dip series", Code('D', id))
	}
	return all[0], nil
}

const (
	// seriesOfParcel and seriesOfAll list the newest first, below an id.
	seriesOfParcel = seriesColumns + ` where s.parcel_id = $1 and s.id < $2 order by s.id desc limit $3`
	seriesOfAll    = seriesColumns + ` where s.id < $1 order by s.id desc limit $2`
)

// DipSeriesList lists those of a parcel, or of all where it is 0, the newest
// first, below an id where that is not 0.
func (t *Tx) DipSeriesList(parcelID, below int64, limit int) ([]DipSeries, error) {
	if below == 0 {
		below = 1<<63 - 1
	}
	if parcelID == 0 {
		return t.dipSeries(seriesOfAll, below, limit)
	}
	return t.dipSeries(seriesOfParcel, parcelID, below, limit)
}

func (t *Tx) dipSeries(query string, args ...any) ([]DipSeries, error) {
	var rows []seriesRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	all, ids, at := make([]DipSeries, len(rows)), make([]int64, len(rows)), map[int64]int{}
	for i, r := range rows {
		all[i], ids[i], at[r.ID] = r.series(), r.ID, i
	}
	var dips []struct {
		SeriesID   int64           `db:"series_id"`
		Reference  bool            `db:"reference"`
		WOF        int64           `db:"percent_wof"`
		FirstNM    int             `db:"first_nm"`
		StepNM     int             `db:"step_nm"`
		Read       pq.Float64Array `db:"reflectance"`
		Specular   string          `db:"specular"`
		FileName   string          `db:"file_name"`
		FileSample string          `db:"file_sample"`
		FileSHA256 []byte          `db:"file_sha256"`
	}
	err := t.list(&dips, `
		select series_id, reference, percent_wof, first_nm, step_nm, reflectance, specular, file_name, file_sample, file_sha256
		from dip where series_id = any($1) order by series_id, reference, line`, pq.Array(ids))
	for _, d := range dips {
		s := &all[at[d.SeriesID]]
		of := &s.Sample
		if d.Reference {
			of = &s.Against
		}
		*of = append(*of, Dip{WOF: quantity.Percent(d.WOF), Read: colour.Curve{FirstNM: d.FirstNM, StepNM: d.StepNM, Reflectance: d.Read}, Specular: d.Specular,
			FileName: d.FileName, FileSample: d.FileSample, FileSHA256: d.FileSHA256})
	}
	return all, err
}
