package store

import (
	"strings"
	"testing"
)

// As for the shelf: with scans of whole tables forbidden, each query on what
// grows with the years goes by the index that is there for it.
func TestEachQueryOfShadesUsesItsIndex(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	for _, q := range []struct{ index, types, values, query string }{
		{"shade_sort_lot_lot_idx", "bigint[], text[]", `'{1}', '{dye}'`, shadeGroups},
		{"shade_group_garment_pkey", "bigint[], text[]", `'{1}', '{dye}'`, shadeGroups},
		{"shade_sort_lot_lot_idx", "bigint[]", `'{1}'`, newestShadeSort},
		{"garment_lot_idx", "bigint[]", `'{1}'`, garmentsEverOf},
		{"garment_event_issued_idx", "bigint[]", `'{1}'`, garmentsEverOf},
		{"run_newest_of_colourway_idx", "bigint", `1`, lotsOfColourway},
		{"run_standard_idx", "bigint", `1`, lotsOfStandard},
		{"record_lot_", "bigint[], text[]", `'{1}', '{dye}'`, dyedLots},
		{"reading_spot_pkey", "bigint[]", `'{1}'`, spotsOfReadings},
	} {
		t.Run(q.index, func(t *testing.T) {
			s.do(func(tx *Tx) error {
				for _, step := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare asked (` + q.types + `) as ` + q.query} {
					if err := tx.exec(step); err != nil {
						return err
					}
				}
				var plan []string
				err := tx.list(&plan, `explain execute asked (`+q.values+`)`)
				if !strings.Contains(strings.Join(plan, "\n"), q.index) {
					t.Errorf("the plan does not use it:\n%s", strings.Join(plan, "\n"))
				}
				if err == nil {
					err = tx.exec(`deallocate asked`)
				}
				return err
			})
		})
	}
}
