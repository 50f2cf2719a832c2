package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/colour"
)

// SpectrumOfReading is the mean reflectance of a reading's spots that count; nil
// where one of them has none, or another scale.
func (t *Tx) SpectrumOfReading(id int64) (*colour.Curve, string, error) {
	var rows []struct {
		FirstNM     *int            `db:"first_nm"`
		StepNM      *int            `db:"step_nm"`
		Reflectance pq.Float64Array `db:"reflectance"`
		Specular    string          `db:"specular"`
	}
	err := t.list(&rows, `
		select p.first_nm, p.step_nm, p.reflectance, r.specular
		from reading_spot p join reading r on r.id = p.reading_id where p.reading_id = $1 and p.left_out = '' order by p.line`, id)
	if err != nil || len(rows) == 0 || rows[0].FirstNM == nil {
		return nil, "", err
	}
	mean := colour.Curve{FirstNM: *rows[0].FirstNM, StepNM: *rows[0].StepNM, Reflectance: make([]float64, len(rows[0].Reflectance))}
	for _, r := range rows {
		if r.FirstNM == nil || *r.FirstNM != mean.FirstNM || *r.StepNM != mean.StepNM || len(r.Reflectance) != len(mean.Reflectance) {
			return nil, "", nil
		}
		for i, v := range r.Reflectance {
			mean.Reflectance[i] += v / float64(len(rows))
		}
	}
	return &mean, rows[0].Specular, nil
}
