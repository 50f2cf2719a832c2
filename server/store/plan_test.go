package store

import (
	"strings"
	"testing"
)

// An index is there for a query: with scans of whole tables forbidden, the plan
// of each must name it, or the query has drifted away from it.
func TestEachQueryOfTheShelfUsesItsIndex(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	for index, query := range map[string]string{
		"posting_field_idx":                  parcelColumns + ` from balance b` + parcelJoins + ` where b.parcel_id = any($1)`,
		"parcel_strength_parcel_idx":         parcelColumns + ` from balance b` + parcelJoins + ` where b.parcel_id = any($1)`,
		"parcel_block_parcel_idx":            parcelColumns + ` from balance b` + parcelJoins + ` where b.parcel_id = any($1)`,
		"parcel_item_idx":                    parcelColumns + ` from balance b` + parcelJoins + ` where p.item_id = any($1) and b.on_hand > 0 order by p.id`,
		"posting_parcel_idx":                 movementColumns + ` where m.id in (select movement_id from posting where parcel_id = any($1)) order by m.id`,
		"movement_reversed_once":             movementColumns + ` where m.id = any($1)`,
		"movement_record_idx":                movementColumns + ` where m.record_id = any($1)`,
		"promise_parcel_idx":                 promiseColumns + ` where r.parcel_id = any($1) and r.outstanding > 0 order by r.id`,
		"promise_lot_idx":                    promiseColumns + ` where r.lot_id = any($1) order by r.id`,
		"commission_sign_off_commission_idx": `select id from commission_sign_off f where f.commission_id = any($1) order by f.id`,
		"run_commission_idx":                 setPieces,
		"parcel_sample_parcel_idx":           unsampledBlends,
		"arrival_check_parcel_idx":           arrivalChecks,
		"collection_line_newest_idx":         inForce,
		"run_collection_collection_idx":      tiedRuns,
		"movement_entry_idx":                 movementColumns + ` where m.entry_id = any($1)`,
		"bath_entry_bath_idx":                entryColumns + ` where e.bath_id = any($1) order by e.happened_at, e.id`,
		"reading_spot_pkey":                  spotsOfReadings,
		"ground_reading_item_idx":            newestGrounds,
		"eye_judgement_lot_idx":              eyesOfLots,
		"window_look_window_idx":             lookColumns,
		"measured_grade_component_once":      `select test_id as of_id, ` + measuredColumns + ` where test_id = any($1) order by id`,
		"measured_grade_look_once":           `select look_id as of_id, ` + measuredColumns + ` where look_id = any($1)`,
		"fastness_test_window_once":          windowColumns + ` where x.id = any($1)`,
		"supplier_offer_item_idx":            inForceOffers,
		"purchase_receipt_line_idx":          purchaseReceipts,
		"stage_record_bath_idx":              liquorColumns + ` where b.id = any($1)`,
		"cost_labour_lot_idx":                `select id from cost_labour where lot_id = any($1)`,
		"cost_labour_record_idx":             `select id from cost_labour where record_id = any($1)`,
		"cost_labour_parcel_idx":             `select id from cost_labour where parcel_id = any($1)`,
		"stage_record_vessel_idx":            `select id from stage_record r where r.vessel_id = any($1) order by r.vessel_id, r.happened_at`,
		"run_of_version_idx":                 `select id from run where version_id = any($1)`,
	} {
		t.Run(index, func(t *testing.T) {
			s.do(func(tx *Tx) error {
				for _, step := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare asked (bigint[]) as ` + query} {
					if err := tx.exec(step); err != nil {
						return err
					}
				}
				var plan []string
				err := tx.list(&plan, `explain execute asked ('{1}')`)
				if !strings.Contains(strings.Join(plan, "\n"), index) {
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
