package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
)

// Kept is a spectrum that is kept for comparing with: a standard's, or that of
// undyed cloth.
type Kept struct {
	Curve      colour.Curve
	Instrument string
	File       File
}

type keptRow struct {
	ID       int64  `db:"id"`
	Specular string `db:"specular"`
	curveRow
	Instrument string `db:"instrument"`
	File
}

func (r keptRow) kept() Kept {
	return Kept{Curve: *r.curve(r.Specular), Instrument: r.Instrument, File: r.File}
}

// AddStandardSpectrum writes the spectrum of a standard that was just added.
func (t *Tx) AddStandardSpectrum(code string, k Kept) error {
	return t.exec(`
		insert into standard_spectrum (standard_id, first_nm, step_nm, reflectance, specular, instrument, file_name, file_sample, file_sha256, recorded_at, recorded_by)
		select id, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11 from shade_standard where code = $1`,
		code, k.Curve.FirstNM, k.Curve.StepNM, pq.Array(k.Curve.Reflectance), string(k.Curve.Specular), k.Instrument, k.File.Name, k.File.Sample, k.File.hash(), t.Now, t.By.ID)
}

// StandardSpectra are the spectra of some standards, by id; a standard without
// one is not in the answer.
func (t *Tx) StandardSpectra(ids []int64) (map[int64]Kept, error) {
	return t.kept(`
		select standard_id as id, first_nm, step_nm, reflectance, specular, instrument, file_name, file_sample, file_sha256
		from standard_spectrum where standard_id = any($1)`, pq.Array(ids))
}

func (t *Tx) kept(query string, args ...any) (map[int64]Kept, error) {
	var rows []keptRow
	err := t.list(&rows, query, args...)
	kept := map[int64]Kept{}
	for _, r := range rows {
		kept[r.ID] = r.kept()
	}
	return kept, err
}

// Ground is undyed cloth of an item as it was read.
type Ground struct {
	ItemID     int64
	By         string
	HappenedAt time.Time
	Kept
}

// AddGround writes how an item's undyed cloth was read. It is in force from now.
func (t *Tx) AddGround(g Ground) error {
	return t.exec(`
		insert into ground_reading (item_id, first_nm, step_nm, reflectance, specular, instrument, file_name, file_sample, file_sha256, by_name, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
		g.ItemID, g.Curve.FirstNM, g.Curve.StepNM, pq.Array(g.Curve.Reflectance), string(g.Curve.Specular), g.Instrument, g.File.Name, g.File.Sample, g.File.hash(), g.By, g.HappenedAt, t.Now, t.By.ID)
}

// GroundsOf are the newest readings of the undyed cloth of some items, by item.
func (t *Tx) GroundsOf(itemIDs []int64) (map[int64]Kept, error) {
	return t.kept(newestGrounds, pq.Array(itemIDs))
}

// newestGrounds goes down the index once an item.
const newestGrounds = `
	select i.id, g.first_nm, g.step_nm, g.reflectance, g.specular, g.instrument, g.file_name, g.file_sample, g.file_sha256
	from unnest(CAST($1 AS bigint[])) as i (id)
	cross join lateral (select first_nm, step_nm, reflectance, specular, instrument, file_name, file_sample, file_sha256
	                    from ground_reading where item_id = i.id order by id desc limit 1) g`
