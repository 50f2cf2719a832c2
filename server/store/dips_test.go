package store

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/quantity"
)

func someDips(parcel int64) DipSeries {
	bands := func(r float64) colour.Curve {
		return colour.Curve{FirstNM: 400, StepNM: 20, Reflectance: slices.Repeat([]float64{r, 1. / 3}, 8)}
	}
	return DipSeries{ParcelID: parcel, Reference: "jar 3", Fibre: "wool", Mordant: "alum 12 %", Ground: bands(0.7), GroundSpecular: "excluded", By: "bench-1", HappenedAt: date("2026-07-01"),
		Sample:  []Dip{{WOF: quantity.WholePercent(1), Read: bands(0.5)}, {WOF: quantity.WholePercent(2), Read: bands(0.4), Specular: "included", FileName: "dips.csv", FileSample: "P1 2%", FileSHA256: make([]byte, 32)}},
		Against: []Dip{{WOF: quantity.Percent(15_000), Read: colour.Curve{FirstNM: 380, StepNM: 10, Reflectance: slices.Repeat([]float64{0.1234567890123456}, 41)}}}}
}

// What was read comes back to the last bit, whatever its bands, and is history.
func TestDipsReadBackAsTheyWereKept(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p, _ := s.bag(s.item(weldItem()), grams(100))
	want := someDips(p)
	s.do(func(tx *Tx) (err error) {
		want.ID, err = tx.AddDipSeries(want)
		want.RecordedAt = tx.Now
		return err
	})
	s.do(func(tx *Tx) error {
		got, err := tx.DipSeriesByID(want.ID)
		want.ItemCode, want.ItemName = got.ItemCode, got.ItemName
		if diff := cmp.Diff(want, got); diff != "" || got.ItemCode != "weld" {
			t.Errorf("%s", diff)
		}
		return err
	})
	for _, table := range []string{"dip_series", "dip"} {
		for _, statement := range []string{"update " + table + " set specular = ''", "delete from " + table, "truncate " + table + " cascade"} {
			_, err := s.db.ExecContext(t.Context(), statement)
			var e *pq.Error
			if !errors.As(err, &e) || e.Constraint != "history_is_append_only" {
				t.Errorf("%s: %v", statement, err)
			}
		}
	}
	s.whole()
}

// A strength that dips say they set, and that the parcel does not have, is found
// by a look over the books.
func TestAStrengthThatDipsDidNotSetIsFound(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p, _ := s.bag(s.item(weldItem()), grams(100))
	series := someDips(p)
	series.Set = quantity.WholePercent(90)
	s.do(func(tx *Tx) error {
		id, err := tx.AddDipSeries(series)
		if err != nil {
			return err
		}
		v, err := tx.Verify()
		if len(v.Findings) != 1 || v.Findings[0].Check != "dips-set" || v.Findings[0].Subject != "D1" {
			t.Errorf("%v", v.Findings)
		}
		return errors.Join(err, tx.SetStrength(p, series.Set, "test dips "+Code('D', id)+" against jar 3", tx.Now))
	})
	s.whole()
}

// A swatch book of a million pages is asked by plant and fibre, and dips by
// their parcel; with scans forbidden the plans must name the indexes. Pages of
// 200 plants on one fibre, since an empty book may be read by any index.
func TestDepthIsAskedByItsIndexes(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	s.do(func(tx *Tx) error {
		return errors.Join(tx.exec(`
			insert into swatch (fibre, plant, dyed_on, by_name, recorded_at, recorded_by)
			select 'wool', 'plant ' || n % 200, CAST('2026-06-01' AS date), 'bench-1', now(), $1 from generate_series(1, 20000) n`, tx.By.ID),
			tx.exec(`analyze swatch`))
	})
	for index, asked := range map[string][2]string{
		"swatch_plant_idx":      {`text, text, text, int) as ` + trialsOf, `'weld', 'wool', '', 10`},
		"swatch_bath_pkey":      {`bigint[]) as ` + bathsOfTrials, `'{1}'`},
		"swatch_struck_pkey":    {`text, text, text, int) as ` + trialsOf, `'weld', 'wool', '', 10`},
		"dip_series_parcel_idx": {`bigint, bigint, int) as ` + seriesOfParcel, `1, 9, 10`},
	} {
		t.Run(index, func(t *testing.T) {
			s.do(func(tx *Tx) error {
				for _, step := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare asked (` + asked[0]} {
					if err := tx.exec(step); err != nil {
						return err
					}
				}
				var plan []string
				err := tx.list(&plan, `explain execute asked (`+asked[1]+`)`)
				if !strings.Contains(strings.Join(plan, "\n"), index) {
					t.Errorf("the plan does not use it:\n%s", strings.Join(plan, "\n"))
				}
				return errors.Join(err, tx.exec(`deallocate asked`))
			})
		})
	}
}
