package store

import (
	"strings"
	"testing"
)

// What is asked of ten years of garments goes by index, in the plan for values
// that it does not know.
func TestCausesAndActionsGoByIndex(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	for index, q := range map[string]struct{ types, query, values string }{
		"garment_event_kind_idx":    {"timestamptz, text[]", returns + ` and b.happened_at >= $1 and cardinality($2) = 0 order by b.garment_id, b.id desc`, `now(), '{}'`},
		"garment_event_garment_idx": {"bigint[]", returns + ` and b.garment_id = any($1) order by b.garment_id, b.id desc`, `'{1}'`},
		"stage_record_happened_idx": {"timestamptz, timestamptz", `select rl.lot_id from stage_record r join record_lot rl on rl.record_id = r.id where r.happened_at between $1 and $2`, `now(), now()`},
		"action_return_garment_idx": {"bigint[]", `select action_id from action_return where garment_id = any($1)`, `'{1}'`},
		"action_parcel_parcel_idx":  {"bigint[]", `select action_id from action_parcel where parcel_id = any($1)`, `'{1}'`},
		"action_due_idx":            {"date", actionColumns + ` where d.action_id is null and a.due_on <= $1 order by a.due_on, a.id`, `'2026-01-01'`},
		"parcel_supplier_lot_idx":   {"text", `select id from parcel where lower(supplier_lot) = lower($1) and supplier_lot <> '' order by id`, `'a'`},
	} {
		t.Run(index, func(t *testing.T) {
			s.do(func(tx *Tx) error {
				for _, step := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare caused (` + q.types + `) as ` + q.query} {
					if err := tx.exec(step); err != nil {
						return err
					}
				}
				var plan []string
				err := tx.list(&plan, `explain execute caused (`+q.values+`)`)
				if !strings.Contains(strings.Join(plan, "\n"), index) {
					t.Errorf("the plan does not use it:\n%s", strings.Join(plan, "\n"))
				}
				if err == nil {
					err = tx.exec(`deallocate caused`)
				}
				return err
			})
		})
	}
}
