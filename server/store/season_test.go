package store

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

// Ad hoc use by hand: the alum came in May 2026 and it is 9 September. 30 g went
// into a pot in June, 20 g in July of which 5 g were taken back in August (which
// is as if they had not been used), 40 g in August for a run of a collection,
// and 7 g this month, which is not over. So June, July and August are 30, 15, 0.
func TestUseBesideThePlanByMonth(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	cloth := []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}
	tunic := s.item(stock.Item{Code: "tunic", Kind: stock.Blank, PieceMass: grams(105), Fibres: cloth})
	witness := s.item(stock.Item{Code: "witness", Kind: stock.WitnessCloth, Fibres: cloth})
	alum := s.item(alumItem())
	s.bag(tunic, quantity.Pieces(10))
	s.bag(witness, grams(50))
	bag, _ := s.bag(alum, grams(500))
	s.run(plannedRun)
	s.run(`insert into run (colourway_id, version_id, standard_id, matched_set, planned_by, planned_at) values (1, 1, 1, false, 1, now());
		insert into collection (code, name, recorded_at, recorded_by) values ('spring-27', 'spring', now(), 1);
		insert into run_collection (run_id, collection_id) values (2, 1);
		insert into stage_record (run_id, position, kind, by_name, happened_at, recorded_at, recorded_by)
		select case when n = 3 then 2 else 1 end, n, 'mordant', 'dyer-1', now(), now(), 1 from generate_series(1, 5) n`)
	use := func(record int, when string, ug int64) {
		s.run(`insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, record_id) values ('use', '` + when + `', now(), 1, 'dyer-1', ` + string(rune('0'+record)) + `)`)
		if _, err := s.db.ExecContext(t.Context(), `insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount)
			select max(id), 'use', 1, CAST($1 AS bigint), 'shelf', 'process', CAST($2 AS bigint) from movement`, bag, ug); err != nil {
			t.Fatal(err)
		}
	}
	s.run(`alter table parcel disable trigger parcel_is_history; update parcel set arrived_at = '2026-05-20'`)
	use(1, "2026-06-15", 30_000_000)
	use(2, "2026-07-02", 15_000_000)
	use(4, "2026-07-03", 5_000_000)
	s.run(`insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, reason, reverses_id, reverses_kind)
		select 'reversal', '2026-08-04', now(), 1, 'dyer-1', 'wrong bag', max(id), 'use' from movement;
		insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount)
		select max(m.id), 'reversal', 1, p.parcel_id, 'process', 'shelf', p.amount from movement m join posting p on p.movement_id = m.reverses_id where m.kind = 'reversal' group by p.parcel_id, p.amount`)
	use(3, "2026-08-10", 40_000_000)
	use(5, "2026-09-01", 7_000_000)
	s.do(func(tx *Tx) error {
		tx.Now = time.Date(2026, 9, 9, 12, 0, 0, 0, time.UTC)
		got, err := tx.UseBeyondPlan([]int64{alum.ID})
		if diff := cmp.Diff(map[int64][]float64{alum.ID: {30e6, 15e6, 0}}, got); diff != "" {
			t.Error(diff)
		}
		return err
	})
}

// Lots by hand: L1 of ten passed, of which one garment was imperfect; L2 of two
// was scrapped: 3 of 12 garments of 2 lots. A lot without a verdict is none.
func TestLossesOfTheLastLots(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	cloth := []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}
	s.bag(s.item(stock.Item{Code: "tunic", Kind: stock.Blank, PieceMass: grams(105), Fibres: cloth}), quantity.Pieces(20))
	witness := s.item(stock.Item{Code: "witness", Kind: stock.WitnessCloth, Fibres: cloth})
	s.bag(witness, grams(50))
	s.item(alumItem())
	s.losses(season.Losses{})
	s.run(plannedRun)
	s.run(`insert into lot (run_id, vessel_id, state, garment_ug, witness_ug, bath_ul) select 1, 1, 'scrapped', 210000000, 0, 9000000 from generate_series(1, 2);
		insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place) select 10 + n, 'x' || n, 2, 1, 105000000, 'scrapped' from generate_series(1, 2) n;
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name) select id, 'issued', lot_id, now(), now(), 1, 'dyer-1' from garment;
		update garment set outcome = 'imperfect' where id = 3;
		insert into verdict (lot_id, garment_id, outcome, reason, by_name, happened_at, recorded_at, recorded_by)
		values (1, null, 'passed', '', 'owner', now(), now(), 1), (1, 3, 'imperfect', 'a stain', 'owner', now(), now(), 1), (2, null, 'scrapped', 'felted', 'owner', now(), now(), 1), (1, null, 'closed', '', 'owner', now(), now(), 1)`)
	s.losses(season.Losses{Garments: 12, Lost: 3, Lots: 2})
	s.do(func(tx *Tx) error {
		last, err := tx.LastWitnesses()
		if diff := cmp.Diff([]LastWitness{{Fibre: "silk", LotID: 1, ItemID: witness.ID, UG: 18_000_000}}, last); diff != "" {
			t.Error(diff)
		}
		return err
	})
}

func (s *shelf) losses(want season.Losses) {
	s.t.Helper()
	s.do(func(tx *Tx) error {
		got, err := tx.Losses()
		if got != want {
			s.t.Errorf("%+v, want %+v", got, want)
		}
		return err
	})
}
