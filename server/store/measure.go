package store

import (
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// File is what an instrument wrote, by its name, which sample of it, and the
// SHA-256 of its bytes; zero where nothing was read from a file.
type File struct {
	Name   string `db:"file_name"`
	Sample string `db:"file_sample"`
	SHA256 []byte `db:"file_sha256"`
}

// Hex is the hash as people compare it; empty where there is none.
func (f File) Hex() string { return hex.EncodeToString(f.SHA256) }

// hash is the hash as the database holds it: absent, not empty.
func (f File) hash() []byte {
	if len(f.SHA256) == 0 {
		return nil
	}
	return f.SHA256
}

// Measurement is a reading with the spots that it is the mean of.
type Measurement struct {
	lot.Reading
	GarmentID int64 // zero: of the lot's witness cloth
	Spots     []colour.Spot
	File      File
}

// AddMeasurements writes readings with their spots, each table in one statement,
// and returns their ids in order.
func (t *Tx) AddMeasurements(ms []Measurement) ([]int64, error) {
	var lots, garments []int64
	var l, a, b []float64
	var lights, by, with, notes, gloss, files, samples, hashes []string
	var eyes []int64
	var wet, rested []bool
	var at []string
	for _, m := range ms {
		lots, garments, wet, rested = append(lots, m.LotID), append(garments, m.GarmentID), append(wet, m.Wet), append(rested, m.Rested)
		l, a, b = append(l, m.Colour.L), append(a, m.Colour.A), append(b, m.Colour.B)
		lights, eyes = append(lights, m.View.Illuminant.String()), append(eyes, int64(m.View.Observer.Degrees()))
		by, with, notes, at = append(by, m.By), append(with, m.Instrument), append(notes, m.Note), append(at, m.HappenedAt.Format("2006-01-02T15:04:05.999999Z07:00"))
		gloss, files, samples, hashes = append(gloss, string(m.Specular)), append(files, m.File.Name), append(samples, m.File.Sample), append(hashes, m.File.Hex())
	}
	var ids []int64
	if err := t.list(&ids, `
		insert into reading (lot_id, garment_id, l, a, b, illuminant, observer, wet, rested, by_name, instrument, note, happened_at, specular, file_name, file_sample, file_sha256, recorded_at, recorded_by)
		select lot, nullif(garment, 0), l, a, b, light, eye, wet, rested, by_name, instrument, note, CAST(happened_at AS timestamptz), specular, file_name, file_sample,
		       case when hash <> '' then decode(hash, 'hex') end, $18, $19
		from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[]), CAST($3 AS float8[]), CAST($4 AS float8[]), CAST($5 AS float8[]), CAST($6 AS text[]), CAST($7 AS smallint[]),
		            CAST($8 AS boolean[]), CAST($9 AS boolean[]), CAST($10 AS text[]), CAST($11 AS text[]), CAST($12 AS text[]), CAST($13 AS text[]),
		            CAST($14 AS text[]), CAST($15 AS text[]), CAST($16 AS text[]), CAST($17 AS text[])) with ordinality
		     as u (lot, garment, l, a, b, light, eye, wet, rested, by_name, instrument, note, happened_at, specular, file_name, file_sample, hash, n)
		order by n returning id`,
		pq.Array(lots), pq.Array(garments), pq.Array(l), pq.Array(a), pq.Array(b), pq.Array(lights), pq.Array(eyes), pq.Array(wet), pq.Array(rested),
		pq.Array(by), pq.Array(with), pq.Array(notes), pq.Array(at), pq.Array(gloss), pq.Array(files), pq.Array(samples), pq.Array(hashes), t.Now, t.By.ID); err != nil {
		return nil, err
	}
	slices.Sort(ids) // they were given in the order of the select
	return ids, t.addSpots(ids, ms)
}

func (t *Tx) addSpots(ids []int64, ms []Measurement) error {
	var reading, line, first, step []int64
	var place, curve, left []string
	var l, a, b []float64
	for i, m := range ms {
		for n, s := range m.Spots {
			reading, line, place, left = append(reading, ids[i]), append(line, int64(n+1)), append(place, s.Place), append(left, s.LeftOut)
			l, a, b = append(l, s.Lab.L), append(a, s.Lab.A), append(b, s.Lab.B)
			c := colour.Curve{}
			if s.Curve != nil {
				c = *s.Curve
			}
			first, step, curve = append(first, int64(c.FirstNM)), append(step, int64(c.StepNM)), append(curve, arrayText(c.Reflectance))
		}
	}
	return t.exec(`
		insert into reading_spot (reading_id, line, place, l, a, b, first_nm, step_nm, reflectance, left_out)
		select reading, line, place, l, a, b, nullif(first_nm, 0), nullif(step_nm, 0), CAST(nullif(curve, '') AS float8[]), left_out
		from unnest(CAST($1 AS bigint[]), CAST($2 AS smallint[]), CAST($3 AS text[]), CAST($4 AS float8[]), CAST($5 AS float8[]), CAST($6 AS float8[]),
		            CAST($7 AS smallint[]), CAST($8 AS smallint[]), CAST($9 AS text[]), CAST($10 AS text[]))
		     as u (reading, line, place, l, a, b, first_nm, step_nm, curve, left_out)`,
		pq.Array(reading), pq.Array(line), pq.Array(place), pq.Array(l), pq.Array(a), pq.Array(b), pq.Array(first), pq.Array(step), pq.Array(curve), pq.Array(left))
}

// arrayText is one array as PostgreSQL reads it: arrays of arrays must all be of
// one length, and instruments differ. Empty for none.
func arrayText(x []float64) string {
	if len(x) == 0 {
		return ""
	}
	s := make([]string, len(x))
	for i, v := range x {
		s[i] = strconv.FormatFloat(v, 'g', -1, 64)
	}
	return "{" + strings.Join(s, ",") + "}"
}

// curveRow is a spectrum as several tables hold it.
type curveRow struct {
	FirstNM     *int            `db:"first_nm"`
	StepNM      *int            `db:"step_nm"`
	Reflectance pq.Float64Array `db:"reflectance"`
}

func (r curveRow) curve(gloss string) *colour.Curve {
	if r.FirstNM == nil {
		return nil
	}
	return &colour.Curve{FirstNM: *r.FirstNM, StepNM: *r.StepNM, Reflectance: r.Reflectance, Specular: colour.Specular(gloss)}
}

// SpotsOf lists the spots of some readings, by reading, each in the order they
// were read.
func (t *Tx) SpotsOf(readings []lot.Reading) (map[int64][]colour.Spot, error) {
	ids := make([]int64, len(readings))
	gloss := map[int64]string{}
	for i, r := range readings {
		ids[i], gloss[r.ID] = r.ID, string(r.Specular)
	}
	var rows []struct {
		Reading int64 `db:"reading_id"`
		labOnly
		curveRow
		Place   string `db:"place"`
		LeftOut string `db:"left_out"`
	}
	err := t.list(&rows, spotsOfReadings, pq.Array(ids))
	spots := map[int64][]colour.Spot{}
	for _, r := range rows {
		spots[r.Reading] = append(spots[r.Reading], colour.Spot{Place: r.Place, Curve: r.curve(gloss[r.Reading]), Lab: colour.Lab(r.labOnly), LeftOut: r.LeftOut})
	}
	return spots, err
}

const spotsOfReadings = `
	select reading_id, place, l, a, b, first_nm, step_nm, reflectance, left_out
	from reading_spot where reading_id = any($1) order by reading_id, line`

type labOnly struct {
	L float64 `db:"l"`
	A float64 `db:"a"`
	B float64 `db:"b"`
}

// FromFile is a reading that came out of a file.
type FromFile struct {
	ID      int64  `db:"id"`
	LotID   int64  `db:"lot_id"`
	Garment int64  `db:"garment_id"`
	Hash    string `db:"hash"`
}

// ReadingsFromFiles are the readings of some lots that stand and came out of some
// files, by their hashes in hexadecimal.
func (t *Tx) ReadingsFromFiles(lotIDs []int64, hashes []string) (found []FromFile, err error) {
	err = t.list(&found, `
		select r.id, r.lot_id, coalesce(r.garment_id, 0) as garment_id, encode(r.file_sha256, 'hex') as hash
		from reading r where r.lot_id = any($1) and encode(r.file_sha256, 'hex') = any($2)
		and not exists (select from evidence_withdrawn w where w.reading_id = r.id) order by r.id`, pq.Array(lotIDs), pq.Array(hashes))
	return found, err
}

// Measurement is one reading with its spots and its file. fault.NotFound.
func (t *Tx) Measurement(id int64) (m Measurement, err error) {
	lotID, err := t.LotOfReading(id)
	if err != nil {
		return m, err
	}
	all, err := t.readingsOfLots([]int64{lotID})
	if err != nil {
		return m, err
	}
	i := slices.IndexFunc(all[lotID], func(r lot.Reading) bool { return r.ID == id })
	if i < 0 {
		return m, fault.Missing("reading", Code('C', id))
	}
	m.Reading = all[lotID][i]
	spots, err := t.SpotsOf([]lot.Reading{m.Reading})
	if err != nil {
		return m, err
	}
	m.Spots = spots[id]
	var row struct {
		File
		Garment int64 `db:"garment_id"`
	}
	err = t.get(&row, `select file_name, file_sample, file_sha256, coalesce(garment_id, 0) as garment_id from reading where id = $1`, id)
	m.File, m.GarmentID = row.File, row.Garment
	return m, err
}
