package api_test

import (
	"testing"
	"time"

	"github.com/jmoiron/sqlx"

	pb "dyelot/proto/dyelot/v1"
)

// soldYears fills the books with 10 000 garments in 1000 lots of ten: 250 bags of
// alum, of which every tenth was made from the one before, and eight baths a lot.
// Of bag 1007's 40 garments twelve came back, and 28 others.
func soldYears(t *testing.T, db *sqlx.DB) {
	t.Helper()
	for _, q := range []string{
		`insert into parcel (id, item_id, origin, arrived_at, recorded_by, recorded_at) overriding system value select 1000 + n, 1, 'delivery', now(), 1, now() from generate_series(1, 250) n`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) select 'delivery', now(), now(), 1, 'dyer-1' from generate_series(1, 250) returning id, kind)
		 insert into posting select id, kind, 1, 1000 + row_number() over (order by id), 'supplier', 'shelf', 1000000000 from m`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, made_parcel_id) select 'making', now(), now(), 1, 'dyer-1', 1000 + 10 * n from generate_series(1, 25) n returning id, kind, made_parcel_id)
		 insert into posting select id, kind, 1, made_parcel_id - 1, 'shelf', 'making', 1000 from m`,
		`insert into lot (id, run_id, vessel_id, state, garment_ug, witness_ug, bath_ul, issued_at) overriding system value select 1000 + n, 1, 1, 'passed', 1000000000, 20000000, 20000000, now() from generate_series(1, 1000) n`,
		`insert into lot_event (lot_id, state, at, recorded_by) select 1000 + n, 'passed', now(), 1 from generate_series(1, 1000) n`,
		`insert into verdict (lot_id, outcome, reason, by_name, happened_at, recorded_at, recorded_by) select 1000 + n, 'passed', '', 'owner', now(), now(), 1 from generate_series(1, 1000) n`,
		`insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place, order_ref) select 100000 + n, 'N' || n, 1000 + (n + 9) / 10, (select id from parcel where piece_mass_ug is null and item_id = (select id from item where code = 'tunic') limit 1), 100000000, 'sold', 'o-' || n / 20 from generate_series(1, 10000) n`,
		`insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name)
		 select g.id, k.kind, g.lot_id, now() - interval '20 days' + k.n * interval '1 day', now(), 1, 'dyer-1' from garment g, unnest(CAST('{planned,issued,passed,sold}' AS text[])) with ordinality as k (kind, n) where g.tag like 'N%' order by k.n`,
		`insert into bath (id, kind, opened_at) overriding system value select 1000 + n, 'mordant', now() from generate_series(1, 8000) n`,
		`insert into stage_record (id, run_id, position, kind, bath_id, by_name, happened_at, recorded_at, recorded_by) overriding system value
		 select 1000 + n, 1, 1, 'mordant', 1000 + n, 'dyer-' || n % 3, now() - n % 300 * interval '1 day', now(), 1 from generate_series(1, 8000) n`,
		`insert into record_lot (record_id, lot_id, fibre_ug) select 1000 + n, 1000 + (n + 7) / 8, 1000000000 from generate_series(1, 8000) n`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, record_id) select 'use', now(), now(), 1, 'dyer-1', 1000 + n from generate_series(1, 8000) n returning id, kind, record_id)
		 insert into posting select id, kind, 1, 1001 + (record_id - 1001) / 8 % 250, 'shelf', 'process', 1000 from m`,
		`insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		 select id, 'returned', lot_id, now(), now(), 1, 'shop-1', 'spots' from garment where tag like 'N%' and ((lot_id - 1001) % 250 = 6 and id % 10 < 3 or id % 350 = 17)`,
		`update garment g set place = 'returned', order_ref = '' where exists (select from garment_event e where e.garment_id = g.id and e.kind = 'returned')`,
		`analyze`,
	} {
		if _, err := db.ExecContext(t.Context(), q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

// Ten thousand garments are asked about in as many statements as two, and the
// bag that a hundredth of them share comes out on top.
func TestTheCauseAmongTenThousandGarments(t *testing.T) {
	t.Parallel()
	s := sickBagStudio(t)
	for bag := range 2 {
		s.plan(bag, nil, 1)
		s.dye("", s.lots[bag])
	}
	s.sellAll()
	tag := s.tags[s.lots[0]][0]
	_, err := s.takeBackSpotted(tag)
	if err != nil {
		t.Fatal(err)
	}
	asked := func() (*pb.FindCauseResponse, int64) {
		before := s.Store.Statements()
		return s.cause(&pb.FindCauseRequest{}), s.Store.Statements() - before
	}
	_, few := asked()
	db, err := sqlx.ConnectContext(t.Context(), "postgres", s.DSN)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	soldYears(t, db)
	start := time.Now()
	r, many := asked()
	t.Logf("%d garments, %d returns, %d exposures looked at: %s, %d statements", r.GetGarments(), r.GetReturned(), r.GetLookedAt(), time.Since(start).Round(time.Millisecond), many)
	if many != few {
		t.Errorf("%d statements for two garments, and %d for 10 002", few, many)
	}
	top := r.GetSuspects()[0]
	if r.GetGarments() != 10_002 || namesOfFactors(top.GetFactors())[0] != "parcel P1007" || top.GetExposed() != 40 || top.GetExposedReturned() < 12 || !top.GetWorthALook() {
		t.Errorf("%v", top)
	}
}

func (s *sickBag) takeBackSpotted(tag string) (*pb.TakeBackGarmentResponse, error) {
	return s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: "spots"})
}
