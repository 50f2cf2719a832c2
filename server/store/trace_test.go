package store

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/lib/pq"
	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
)

// ids are the numbers of the nodes of one letter.
func ids(nodes []trace.Node, letter byte) []int64 {
	var found []int64
	for _, n := range nodes {
		if n.Letter == letter {
			found = append(found, n.ID)
		}
	}
	return found
}

// Law 4 on the real database, over random histories: what a garment is traced
// up to, what a parcel is traced down to, and what happened, are one and the
// same; and what lots got of a bath sums to what the ledger took. Baths are used
// again, records undone, makings taken back, garments dyed over.
func TestLaw4TraceIsDualInTheBooks(t *testing.T) {
	t.Parallel()
	a, start := openArchive(t), time.Now()
	rapid.Check(t, func(t *rapid.T) {
		if time.Since(start) > 15*time.Second {
			return // on a busy machine fewer histories are tried; a failure is still made small
		}
		a.inPast(t, func(p *past) {
			p.random()
			graph := p.happened()
			if c := graph.Cycle(); c != nil {
				t.Fatalf("cycle %v", c)
			}
			down := map[trace.Node][]int64{}
			for _, q := range p.parcels {
				down[trace.ParcelNode(q.ID)] = p.below(graph, q.ID)
			}
			garments, err := p.tx.GarmentsOfLots(p.lots...)
			p.must(err)
			for _, g := range garments {
				p.above(graph, g, down)
			}
			p.shares()
			p.kin(down)
			v, err := p.tx.Verify()
			p.must(err)
			for _, f := range v.Findings {
				if f.Check != "lot-mass" { // these lots get their garments when they are issued
					t.Fatalf("the books do not hold: %+v", f)
				}
			}
		})
	})
}

// below holds a parcel's way down against what happened, and returns its
// garments.
func (p *past) below(graph *trace.Graph, parcel int64) []int64 {
	node := trace.ParcelNode(parcel)
	made, lots, err := p.tx.Below(parcel)
	p.must(err)
	if want := ids(graph.Below(node), 'P'); !slices.Equal(made, want) {
		p.Fatalf("made of %s: %v, and it was %v", node, made, want)
	}
	want := ids(graph.Below(node), 'L')
	for _, c := range p.cloth {
		if c.Blanks && (c.Parcel == parcel || slices.Contains(made, c.Parcel)) {
			want = append(want, c.Lot)
		}
	}
	slices.Sort(want)
	if want = slices.Compact(want); !slices.Equal(lots, want) {
		p.Fatalf("lots with %s: %v, and it was %v", node, lots, want)
	}
	garments, err := p.tx.GarmentsBelow(parcel)
	p.must(err)
	var got []int64
	for _, g := range garments {
		got = append(got, g.ID)
	}
	if want := ids(graph.Below(node), 'G'); !slices.Equal(got, want) {
		p.Fatalf("garments with %s: %v, and it was %v", node, got, want)
	}
	return got
}

// above holds a garment's way up against what happened and against the ways
// down of every parcel.
func (p *past) above(graph *trace.Graph, g lot.Garment, down map[trace.Node][]int64) {
	lots, err := p.tx.LotsOfGarment(g.ID)
	p.must(err)
	h, err := p.tx.Above(lots...)
	p.must(err)
	sources, err := h.Of(g.ParcelID).Sources()
	p.must(err)
	up := map[int64]bool{}
	for _, s := range sources {
		up[s.Parcel] = true
	}
	for _, q := range p.parcels {
		node := trace.ParcelNode(q.ID)
		happened := slices.Contains(graph.Above(trace.GarmentNode(g.ID)), node)
		if b := slices.Contains(down[node], g.ID); up[q.ID] != b || b != happened {
			p.Fatalf("%s in garment %d: up %t, down %t, and it happened: %t", node, g.ID, up[q.ID], b, happened)
		}
		delete(up, q.ID)
	}
	if len(up) > 0 {
		p.Fatalf("garment %d is traced to parcels %v of another history", g.ID, up)
	}
}

// shares holds what all lots got of each bath against what the ledger took.
func (p *past) shares() {
	h, err := p.tx.Above(p.lots...)
	p.must(err)
	shared := map[trace.Node]int64{}
	for _, g := range h.Given {
		if g.Through.Letter == 'S' {
			shared[g.Through] += g.Share.N
		}
	}
	for _, x := range p.poured {
		want := x.took()
		if x.undone {
			want = 0
		}
		if got := shared[trace.RecordNode(x.record)]; got != want {
			p.Fatalf("S%d took %d and its lots got %d", x.record, want, got)
		}
	}
}

// kin holds the kin of the first lot against the ways down of all that is in it,
// and against whoever was in its baths.
func (p *past) kin(down map[trace.Node][]int64) {
	of := KinOf{Lot: p.lots[0], Limit: 1000}
	for _, x := range p.poured {
		if !x.undone && slices.Contains(x.lots, p.lots[0]) {
			of.Records = append(of.Records, x.record)
		}
	}
	h, err := p.tx.Above(p.lots[0])
	p.must(err)
	sources, err := h.Sources()
	p.must(err)
	want := map[int64]bool{}
	for _, s := range sources {
		of.Parcels = append(of.Parcels, s.Parcel)
		for _, id := range down[trace.ParcelNode(s.Parcel)] {
			want[id] = true
		}
	}
	for _, id := range p.bathedWith(of.Records) {
		want[id] = true
	}
	sisters, err := p.tx.GarmentsOfLots(p.lots[0])
	p.must(err)
	for _, g := range sisters {
		delete(want, g.ID)
	}
	kin, total, err := p.tx.Kin(of)
	p.must(err)
	if total != len(kin) || total != len(want) {
		p.Fatalf("%d kin are counted, %d listed, and %d have the same in them", total, len(kin), len(want))
	}
	for _, k := range kin {
		if !want[k.Garment.ID] {
			p.Fatalf("garment %d is kin and shares nothing", k.Garment.ID)
		}
	}
	of.Limit = 1
	if few, all, err := p.tx.Kin(of); err != nil || all != total || len(few) > 0 && few[0] != kin[0] {
		p.Fatalf("the nearest of %d alone: %v of %d, %v", total, few, all, err)
	}
}

// bathedWith are the garments of all lots that were in some records.
func (p *past) bathedWith(records []int64) []int64 {
	var ids []int64
	p.must(p.tx.list(&ids, `
		select e.garment_id from record_lot rl join garment_event e on e.lot_id = rl.lot_id and e.kind = 'issued'
		where rl.record_id = any($1)`, pq.Array(records)))
	return ids
}

// A trace reads what it needs by index, however many years lie in the books:
// the plan must be good for values that it does not know.
func TestTraceIsPlannedByIndex(t *testing.T) {
	t.Parallel()
	a := openArchive(t)
	a.years(t)
	for name, q := range map[string]struct{ types, text, args string }{
		"above":             {"bigint[]", above, "'{7}'"},
		"below":             {"bigint[], bigint", partsBelow, "'{7}', 7"},
		"garments below":    {"bigint[]", garmentsBelow, "'{7}'"},
		"kin":               {"bigint[], bigint[], bigint, int", nearest, "'{7}', '{9}', 3, 200"},
		"garments of lot":   {"bigint, int, text, bigint, text", garmentsOfLot, "0, 100, '', 7, ''"},
		"garments of order": {"bigint, int, text, text", garmentsOfOrder, "0, 100, '', 'order-1'"},
	} {
		plan := a.plan(t, q.types, q.text, q.args)
		for _, table := range []string{"posting", "movement", "stage_record", "record_lot", "garment_event", "garment"} {
			if regexp.MustCompile(`Seq Scan on ` + table + `\b`).MatchString(plan) {
				t.Errorf("%s reads all of %s:\n%s", name, table, plan)
			}
		}
	}
}

// plan explains a statement for values that the planner does not know.
func (a *archive) plan(t *testing.T, types, text, args string) string {
	t.Helper()
	conn, err := a.db.Connx(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	for _, s := range []string{`set plan_cache_mode = force_generic_plan`, `prepare traced (` + types + `) as ` + text} {
		if _, err := conn.ExecContext(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	var lines []string
	if err := conn.SelectContext(t.Context(), &lines, `explain execute traced (`+args+`)`); err != nil {
		t.Fatal(err)
	}
	if _, err := conn.ExecContext(t.Context(), `deallocate traced`); err != nil {
		t.Fatal(err)
	}
	return strings.Join(lines, "\n")
}

// years fills the books: 250 parcels, of which every tenth was made from the one
// before, 500 lots of five garments, and for each lot eight records that took
// something.
func (a *archive) years(t *testing.T) {
	t.Helper()
	for _, s := range []string{
		`insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at) select 1, 'delivery', now(), 1, now() from generate_series(1, 250)`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name) select 'delivery', now(), now(), 1, 'dyer-1' from generate_series(1, 250) returning id, kind)
		 insert into posting select id, kind, 1, row_number() over (order by id), 'supplier', 'shelf', 1000000000 from m`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, made_parcel_id) select 'making', now(), now(), 1, 'dyer-1', 10 * n from generate_series(1, 25) n returning id, kind, made_parcel_id)
		 insert into posting select id, kind, 1, made_parcel_id - 1, 'shelf', 'making', 1000 from m`,
		`insert into lot (run_id, vessel_id, state, garment_ug, witness_ug, bath_ul, issued_at) select 1, 1, 'passed', 500000000, 0, 20000000, now() from generate_series(1, 500)`,
		`insert into garment (serial, tag, lot_id, parcel_id, dry_ug, place, order_ref) select n, CAST(n AS text), (n + 4) / 5, 1 + (n - 1) / 100 * 10, 100000000, 'sold', 'order-' || n / 20 from generate_series(1, 2500) n`,
		`insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name) select g.id, k, g.lot_id, now(), now(), 1, 'dyer-1' from garment g, unnest(CAST('{planned,issued,passed,sold}' AS text[])) k`,
		`insert into bath (kind, opened_at) select 'mordant', now() from generate_series(1, 4000)`,
		`insert into stage_record (run_id, position, kind, bath_id, by_name, happened_at, recorded_at, recorded_by) select 1, 1, 'mordant', n, 'dyer-1', now(), now(), 1 from generate_series(1, 4000) n`,
		`insert into record_lot (record_id, lot_id, fibre_ug) select n, (n + 7) / 8, 500000000 from generate_series(1, 4000) n`,
		`with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, record_id) select 'use', now(), now(), 1, 'dyer-1', n from generate_series(1, 4000) n returning id, kind, record_id)
		 insert into posting select id, kind, 1, 1 + record_id / 16 % 250, 'shelf', 'process', 1000 from m`,
		`analyze`,
	} {
		if _, err := a.db.ExecContext(t.Context(), s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}
