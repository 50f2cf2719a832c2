package api_test

import (
	"database/sql"
	"errors"
	"testing"

	"github.com/lib/pq"

	pb "dyelot/proto/dyelot/v1"
)

// The database says no by itself, whoever writes the statement: what was agreed,
// signed, sampled and seen is history (law 6), and a customer's garments have no
// price and no other origin.
func TestLaw6CommissionsAreHistoryInTheDatabaseToo(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	w := a.signed(a.agreed(2, "1"))
	theirs := a.brought(w, 1)
	fine(a.Orders.CheckArrival(a.Ctx, &pb.CheckArrivalRequest{RequestId: a.ID(), ParcelCode: theirs, Check: &pb.ArrivalCheck{Thread: "cotton"}}))(a.House)
	db := byHand(t, a)
	for table, column := range map[string]string{"commission": "note", "commission_piece": "pieces", "commission_sign_off": "by_role", "parcel_sample": "note", "arrival_check": "thread"} {
		for _, statement := range []string{"update " + table + " set " + column + " = " + column, "delete from " + table, "truncate " + table + " cascade"} {
			brokeBy(t, db, statement, "history_is_append_only")
		}
	}
	for statement, constraint := range map[string]string{
		`insert into parcel (item_id, origin, commission_id, arrived_at, recorded_by, recorded_at) select item_id, 'delivery', 1, now(), recorded_by, now() from parcel limit 1`:                                                            "parcel_customers_have_a_commission",
		`insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at) select item_id, 'customer', now(), recorded_by, now() from parcel limit 1`:                                                                              "parcel_customers_have_a_commission",
		`insert into parcel (item_id, origin, commission_id, cost_micro, currency, arrived_at, recorded_by, recorded_at) select item_id, 'customer', 1, 5, 'EUR', now(), recorded_by, now() from parcel limit 1`:                            "parcel_customers_are_never_valued",
		`insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at) select item_id, 'found', now(), recorded_by, now() from parcel limit 1`:                                                                                 "parcel_origin_known",
		`insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) values ('lent', now(), now(), 1, 'x')`:                                                                                                                 "movement_kind_known",
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) values ('taken-in', now(), now(), 1, 'x') returning id, kind) insert into posting select m.id, m.kind, 1, 1, 'supplier', 'shelf', 1 from m`: "posting_places_fit_the_kind",
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) values ('given-back', now(), now(), 1, 'x') returning id, kind) insert into posting select m.id, m.kind, 1, 1, 'shelf', 'loss', 1 from m`:   "posting_places_fit_the_kind",
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) values ('delivery', now(), now(), 1, 'x') returning id, kind) insert into posting select m.id, m.kind, 1, 1, 'customer', 'shelf', 1 from m`: "posting_places_fit_the_kind",
		`insert into commission_sign_off (commission_id, signed_on, by_role, recorded_at, recorded_by) values (1, now(), 'conductor', now(), 1)`:                                                                                            "commission_sign_off_one_swatch",
		`insert into commission_sign_off (commission_id, standard_id, signed_on, by_role, recorded_at, recorded_by) values (1, 1, now(), 'A Name', now(), 1)`:                                                                               "commission_sign_off_role_is_a_word",
	} {
		brokeBy(t, db, statement, constraint)
	}
}

// verify finds a customer's garment that somebody sold behind the rules' back.
func TestVerifyFindsACustomersGarmentThatWasSold(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(1, "1"))
	lot, tags := a.dyed(fine(a.plan(w, a.brought(w, 1), 1))(a.House), 62, -2, 38)
	a.pass(lot)
	db := byHand(t, a)
	for _, step := range []struct{ place, finding string }{{"sold", tags[0]}, {"shelf", ""}} {
		if _, err := db.ExecContext(t.Context(), `update garment set place = $1`, step.place); err != nil {
			t.Fatal(err)
		}
		found := ""
		for _, f := range fine(a.Studio.VerifyBooks(a.Ctx, &pb.VerifyBooksRequest{}))(a.House).GetFindings() {
			if f.GetCheck() == "customers-own" {
				found = f.GetSubject()
			}
		}
		if found != step.finding {
			t.Errorf("%s: found %q, want %q", step.place, found, step.finding)
		}
	}
}

func byHand(t *testing.T, a *atelier) *sql.DB {
	t.Helper()
	db, err := sql.Open("postgres", a.DSN)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func brokeBy(t *testing.T, db *sql.DB, statement, constraint string) {
	t.Helper()
	_, err := db.ExecContext(t.Context(), statement)
	var e *pq.Error
	if !errors.As(err, &e) || e.Constraint != constraint {
		t.Errorf("%s: got %v, want a refusal by %s", statement, err, constraint)
	}
}
