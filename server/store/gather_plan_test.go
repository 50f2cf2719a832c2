package store

import (
	"strings"
	"testing"
)

// The harvest log and the notes of what was missed go by their indexes: there are
// many more deliveries than harvests.
func TestTheHarvestLogUsesItsIndexes(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	for _, c := range []struct{ query, types, values, index string }{
		{harvestLog, ``, ``, "parcel_picked_idx"},
		{missedNotes, ``, ``, "missed_gathering_plant_idx"},
		{toMatch, `(text[])`, `('{tarn}')`, "colourway_code_key"},
	} {
		s.do(func(tx *Tx) error {
			for _, step := range []string{`set local enable_seqscan = off`, `set local enable_sort = off`, `set local plan_cache_mode = force_generic_plan`, `prepare asked ` + c.types + ` as ` + c.query} {
				if err := tx.exec(step); err != nil {
					t.Errorf("%s: %v", c.index, err)
					return err
				}
			}
			var plan []string
			err := tx.list(&plan, `explain execute asked `+c.values)
			if !strings.Contains(strings.Join(plan, "\n"), c.index) {
				t.Errorf("the plan does not use %s:\n%s", c.index, strings.Join(plan, "\n"))
			}
			if err == nil {
				err = tx.exec(`deallocate asked`)
			}
			return err
		})
	}
}
