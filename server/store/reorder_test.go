package store

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// plannedRun writes, by hand, run R1 due 2026-05-30 of one lot L1 of ten tunics
// from P1 and 18 g of witness cloth from P2, whose mordant bath at position 2
// wants 162 g of item 3.
const plannedRun = `
	insert into vessel (code, name, volume_ul, fill_percent, uses, added_at) values ('pot', 'pot', 40000000, 800000, '{pot}', now());
	insert into shade_standard (code, name, l, a, b, illuminant, observer, tolerance, set_tolerance, dated_on, recorded_by, recorded_at)
	values ('gold', 'gold', 62, -2, 38, 'D65', 10, 1500, 1000, '2026-01-01', 1, now());
	insert into recipe (code) values ('gold-silk');
	insert into recipe_version (recipe_id, version, name, fibre, liquor_ratio, written_by, written_at) values (1, 1, 'gold', 'silk', 40000, 1, now());
	insert into colourway (code, name, standard_id, recipe_id, created_at) values ('gold', 'gold', 1, 1, now());
	insert into run (colourway_id, version_id, standard_id, matched_set, due_on, planned_by, planned_at) values (1, 1, 1, true, '2026-05-30', 1, now());
	insert into lot (run_id, vessel_id, state, garment_ug, witness_ug, witness_parcel_id, bath_ul) values (1, 1, 'planned', 1050000000, 18000000, 2, 42000000);
	insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place) select n, n, 1, 1, 105000000, 'planned' from generate_series(1, 10) n;
	insert into planned_stage (run_id, position, kind, shared, fibre_ug, bath_ul, celsius, minutes) values (1, 2, 'mordant', true, 1068000000, 42000000, 60, 60);
	insert into planned_stage_lot (stage_id, lot_id, fibre_ug) values (1, 1, 1068000000);
	insert into planned_dose (stage_id, line, item_id, basis, value, amount) values (1, 1, 3, 'percent_wof', 150000, 162000000);`

func TestWhatOpenRunsLack(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	cloth := []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}
	tunic := s.item(stock.Item{Code: "tunic", Kind: stock.Blank, PieceMass: grams(105), Fibres: cloth})
	witness := s.item(stock.Item{Code: "witness", Kind: stock.WitnessCloth, Fibres: cloth})
	alum := s.item(alumItem())
	s.bag(tunic, quantity.Pieces(10))
	s.bag(witness, grams(50))
	bag, _ := s.bag(alum, grams(155))
	s.run(plannedRun)
	due := date("2026-05-30")
	pieces, strip, dose := stock.Need{ItemID: tunic.ID, RunID: 1, DueOn: due, Short: quantity.Pieces(10)}, stock.Need{ItemID: witness.ID, RunID: 1, DueOn: due, Short: grams(18)}, stock.Need{ItemID: alum.ID, RunID: 1, DueOn: due, Short: grams(162)}

	s.lacks("nothing is promised", pieces, strip, dose)
	s.do(func(tx *Tx) error {
		_, err := tx.MakePromises([]stock.Promise{{ParcelID: 1, LotID: 1, Outstanding: quantity.Pieces(10)}, {ParcelID: 2, LotID: 1, Outstanding: grams(18)}, {ParcelID: bag, DoseID: 1, Outstanding: grams(150)}})
		return err
	})
	dose.Short = grams(12)
	s.lacks("the bag covers 150 g", dose)
	s.do(func(tx *Tx) error {
		promises, err := tx.OutstandingPromises([]int64{1, bag})
		if len(promises) != 2 || promises[0].Of() != "L1" || promises[1].Of() != "L1" || promises[1].DoseID != 1 {
			t.Errorf("%+v", promises)
		}
		if err != nil {
			return err
		}
		eaten, _ := stock.Eat(quantity.Pieces(8), promises[:1])
		return tx.AddPromiseEntries(eaten)
	})
	pieces.Short = quantity.Pieces(2)
	s.lacks("two tunics were eaten", pieces, dose)

	s.run(`update lot set state = 'in-work', issued_at = now();
	       insert into stage_record (run_id, position, kind, by_name, happened_at, recorded_at, recorded_by) values (1, 2, 'mordant', 'dyer-1', now(), now(), 1);
	       insert into record_lot (record_id, lot_id, fibre_ug) values (1, 1, 1068000000);
	       insert into promise_entry (promise_id, delta, why, at) values (3, -150000000, 'used', now())`)
	s.lacks("issued and mordanted")
	s.run(`insert into record_undone (record_id, at, undone_by, reason) values (1, now(), 1, 'wrong lot');
	       insert into promise_entry (promise_id, delta, why, at) values (3, 150000000, 'restored', now())`)
	s.lacks("undone: the promise is back", dose)
	s.run(`update run set cancelled_at = now()`)
	s.lacks("cancelled")
}

func (s *shelf) run(statements string) {
	s.t.Helper()
	if _, err := s.db.ExecContext(s.t.Context(), statements); err != nil {
		s.t.Fatal(err)
	}
}

func (s *shelf) lacks(when string, want ...stock.Need) {
	s.t.Helper()
	s.do(func(tx *Tx) error {
		got, err := tx.OpenNeeds()
		if diff := cmp.Diff(append([]stock.Need{}, want...), got); diff != "" {
			s.t.Errorf("%s: %s", when, diff)
		}
		return err
	})
}
