package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// What the proposal of a dose looks at: swatches of a plant on a fibre, and the
// spectra of standards, lots and undyed cloth. It writes nothing.

type bandsRow struct {
	FirstNM *int            `db:"first_nm"`
	StepNM  *int            `db:"step_nm"`
	Read    pq.Float64Array `db:"reflectance"`
}

func (r bandsRow) bands() *colour.Curve {
	if r.FirstNM == nil || r.StepNM == nil {
		return nil
	}
	return &colour.Curve{FirstNM: *r.FirstNM, StepNM: *r.StepNM, Reflectance: r.Read}
}

// DepthOfStandard is the spectrum that a standard was kept with. fault.NotFound;
// fault.Refused NO_SPECTRUM where it is only a colour.
func (t *Tx) DepthOfStandard(code string) (colour.Curve, error) {
	var r bandsRow
	err := t.get(&r, `
		select k.first_nm, k.step_nm, k.reflectance
		from shade_standard s left join standard_spectrum k on k.standard_id = s.id where s.code = $1`, code)
	if err != nil {
		return colour.Curve{}, missing(err, "standard", code)
	}
	if b := r.bands(); b != nil {
		return *b, nil
	}
	return colour.Curve{}, fault.Refuse("NO_SPECTRUM", "standard %s is kept as a colour alone: depth is read from a spectrum", code).With("standard", code)
}

// DepthOfLot is the mean spectrum of the newest reading of a lot that was taken
// dry as spectra and stands, and that reading's code. fault.Refused NO_SPECTRUM
// where there is none.
func (t *Tx) DepthOfLot(lotID int64) (colour.Curve, string, error) {
	var rows []struct {
		ReadingID int64 `db:"reading_id"`
		bandsRow
	}
	err := t.list(&rows, `
		select s.reading_id, s.first_nm, s.step_nm, s.reflectance
		from reading_spot s
		where s.left_out = '' and s.reflectance is not null and s.reading_id = (
		    select r.id from reading r
		    where r.lot_id = $1 and not r.wet
		    and exists (select from reading_spot o where o.reading_id = r.id and o.left_out = '' and o.reflectance is not null)
		    and not exists (select from evidence_withdrawn w where w.reading_id = r.id)
		    order by r.happened_at desc, r.id desc limit 1)
		order by s.line`, lotID)
	if err != nil {
		return colour.Curve{}, "", err
	}
	if len(rows) == 0 {
		return colour.Curve{}, "", fault.Refuse("NO_SPECTRUM", "lot %s has no dry reading with a spectrum: depth is read from one", Code('L', lotID)).With("lot", Code('L', lotID))
	}
	spots := make([]colour.Curve, len(rows))
	for i, r := range rows {
		spots[i] = *r.bands()
	}
	return depth.Mean(spots), Code('C', rows[0].ReadingID), nil
}

// DepthOfUndyed is the newest reading of an item's undyed cloth. fault.Refused
// NO_GROUND where there is none.
func (t *Tx) DepthOfUndyed(itemID int64, code string) (colour.Curve, error) {
	var rows []bandsRow
	err := t.list(&rows, `select first_nm, step_nm, reflectance from ground_reading where item_id = $1 order by id desc limit 1`, itemID)
	if err == nil && len(rows) == 0 {
		err = fault.Refuse("NO_GROUND", "the undyed cloth of %s was never read", code).With("item", code)
	}
	if err != nil {
		return colour.Curve{}, err
	}
	return *rows[0].bands(), nil
}

// trialsOf lists pages with a dose and a spectrum, the newest first; struck ones
// are no pages any more.
const trialsOf = `
	select w.id, w.name, w.part, w.dyed_on, coalesce(w.percent_wof, 0) as percent_wof, coalesce(w.parcel_id, 0) as parcel_id, coalesce(k.percent, 0) as strength,
	       w.first_nm, w.step_nm, w.reflectance, w.ground
	from swatch w
	left join lateral (select percent from parcel_strength where parcel_id = w.parcel_id order by measured_on desc, id desc limit 1) k on true
	where w.plant = $1 and w.fibre = $2 and ($3 = '' or w.part = $3)
	and not exists (select from swatch_struck s where s.swatch_id = w.id)
	order by w.id desc limit $4`

const bathsOfTrials = `select swatch_id, substance, metal, coalesce(percent_wof, 0) as percent_wof from swatch_bath where swatch_id = any($1) order by swatch_id, line`

// TrialsOf lists the pages of the swatch book of a plant, and of one part of it
// where part is not empty, on a fibre: the newest, at most so many.
func (t *Tx) TrialsOf(plant, part, fibre string, limit int) ([]depth.Trial, error) {
	var rows []struct {
		ID       int64     `db:"id"`
		Name     string    `db:"name"`
		Part     string    `db:"part"`
		DyedOn   time.Time `db:"dyed_on"`
		WOF      int64     `db:"percent_wof"`
		ParcelID int64     `db:"parcel_id"`
		Strength int64     `db:"strength"`
		bandsRow
		Ground pq.Float64Array `db:"ground"`
	}
	if err := t.list(&rows, trialsOf, plant, fibre, part, limit); err != nil || len(rows) == 0 {
		return nil, err
	}
	trials, ids, at := make([]depth.Trial, len(rows)), make([]int64, len(rows)), map[int64]int{}
	for i, r := range rows {
		trials[i] = depth.Trial{Code: Code('T', r.ID), Name: r.Name, Part: r.Part, DyedOn: r.DyedOn, WOF: quantity.Percent(r.WOF),
			Strength: quantity.Percent(r.Strength), Read: r.bands()}
		if r.ParcelID != 0 {
			trials[i].Parcel = Code('P', r.ParcelID)
		}
		if r.Ground != nil && trials[i].Read != nil {
			trials[i].Ground = &colour.Curve{FirstNM: *r.FirstNM, StepNM: *r.StepNM, Reflectance: r.Ground}
		}
		ids[i], at[r.ID] = r.ID, i
	}
	var baths []struct {
		SwatchID  int64  `db:"swatch_id"`
		Substance string `db:"substance"`
		Metal     string `db:"metal"`
		WOF       int64  `db:"percent_wof"`
	}
	err := t.list(&baths, bathsOfTrials, pq.Array(ids))
	for _, b := range baths {
		of := &trials[at[b.SwatchID]]
		of.Baths = append(of.Baths, depth.Bath{Substance: b.Substance, Metal: b.Metal, WOF: quantity.Percent(b.WOF)})
	}
	return trials, err
}
