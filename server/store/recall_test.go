package store

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/recall"
	"dyelot/inventory/trace"
)

// Law 4 for recalls, on the real database over random histories with shared tubs,
// later uses, brews, feeds, over-dyes and what was taken back: the recall of a
// node is every garment whose way up holds the node, and no other. What happened
// was linked by hand. A kept list stays as it was found, whatever goes on.
func TestLaw4ARecallIsEveryGarmentWithTheNodeAboveIt(t *testing.T) {
	t.Parallel()
	a, begun := openArchive(t), time.Now()
	rapid.Check(t, func(t *rapid.T) {
		if time.Since(begun) > 15*time.Second {
			return // on a busy machine fewer histories are tried
		}
		a.inPast(t, func(p *past) {
			p.random()
			p.recalls(p.happened())
			p.kept()
		})
	})
}

// recalls holds the recall of every node of a history against what happened.
func (p *past) recalls(graph *trace.Graph) {
	lots, err := p.tx.GarmentsOfLots(p.lots...)
	p.must(err)
	holding := func(nodes ...trace.Node) []int64 {
		ids := []int64{}
		for _, g := range lots {
			above := graph.Above(trace.GarmentNode(g.ID))
			if slices.ContainsFunc(nodes, func(n trace.Node) bool { return n == trace.GarmentNode(g.ID) || slices.Contains(above, n) }) {
				ids = append(ids, g.ID)
			}
		}
		slices.Sort(ids)
		return ids
	}
	hold := func(n recall.Node, nodes ...trace.Node) {
		got, err := p.tx.Downstream(n)
		p.must(err)
		if want := holding(nodes...); !slices.Equal(append([]int64{}, got...), want) {
			p.Fatalf("the recall of %v leads to garments %v, and %v have it above them", n, got, want)
		}
		rows, err := p.tx.PreviewRecall(n)
		p.must(err)
		var listed []int64
		for _, r := range rows {
			listed = append(listed, r.ID)
		}
		slices.Sort(listed)
		if !slices.Equal(listed, got) {
			p.Fatalf("the list of %v has garments %v, want %v", n, listed, got)
		}
	}
	for _, q := range p.parcels {
		hold(recall.Node{Kind: recall.Parcel, ID: q.ID}, trace.ParcelNode(q.ID))
	}
	for _, f := range p.fed {
		if !f.undone {
			hold(recall.Node{Kind: recall.Entry, ID: f.entry}, trace.EntryNode(f.entry))
		}
	}
	for _, id := range p.lots {
		hold(recall.Node{Kind: recall.Lot, ID: id}, trace.LotNode(id))
	}
	for _, g := range lots {
		hold(recall.Node{Kind: recall.OneGarment, ID: g.ID}, trace.GarmentNode(g.ID))
	}
	for bath, uses := range p.uses {
		for use := range uses + 1 { // 0 is the bath as a whole
			var records []trace.Node
			n := int64(0)
			for _, x := range p.poured {
				if x.bath != bath {
					continue
				}
				if n++; n == use && !x.undone {
					hold(recall.Node{Kind: recall.Record, ID: x.record}, trace.RecordNode(x.record))
				}
				if n >= use && !x.undone {
					records = append(records, trace.RecordNode(x.record))
				}
			}
			hold(recall.Node{Kind: recall.Bath, ID: bath, Use: int(use)}, records...)
		}
	}
	var all []trace.Node
	for _, id := range p.lots {
		all = append(all, trace.LotNode(id))
	}
	hold(recall.Node{Kind: recall.Run, ID: p.run}, all...)
	hold(recall.Node{Kind: recall.Recipe, ID: 1}, all...)
}

// kept opens a recall, lets more happen, and looks at its list again; a garment
// is held exactly while it is downstream or on the list.
func (p *past) kept() {
	q := p.parcels[rapid.IntRange(0, len(p.parcels)-1).Draw(p.T, "recalled")]
	r := Recall{Node: recall.Node{Kind: recall.Parcel, ID: q.ID, Title: q.Code()}, Reason: "patchy", By: "owner", OpenedAt: p.tx.Now}
	found, err := p.tx.PreviewRecall(r.Node)
	p.must(err)
	if len(found) == 0 {
		return
	}
	r.ID, err = p.tx.OpenRecall(r, found)
	p.must(err)
	for range rapid.IntRange(1, 6).Draw(p.T, "later") {
		[]func(){p.pour, p.undo, p.overDye, func() { p.issue(1) }, func() { p.issue(2) }}[rapid.IntRange(0, 4).Draw(p.T, "later act")]()
	}
	below, err := p.tx.Downstream(r.Node)
	p.must(err)
	rows, err := p.tx.RecallRows(r)
	p.must(err)
	var listed, since, held []int64
	for _, x := range rows {
		if x.SinceThen {
			since = append(since, x.ID)
		} else {
			listed = append(listed, x.ID)
		}
		held = append(held, x.ID)
	}
	var was, want []int64
	for _, x := range found {
		was = append(was, x.ID)
	}
	for _, id := range below {
		if !slices.Contains(was, id) {
			want = append(want, id)
		}
	}
	for _, ids := range [][]int64{was, listed, since, held} {
		slices.Sort(ids)
	}
	if d := cmp.Diff(was, listed); d != "" {
		p.Fatalf("the kept list moved: %s", d)
	}
	if d := cmp.Diff(want, since); d != "" {
		p.Fatalf("since then: %s", d)
	}
	garments, err := p.tx.GarmentsOfLots(p.lots...)
	p.must(err)
	var every []int64
	for _, g := range garments {
		every = append(every, g.ID)
	}
	holds, err := p.tx.HeldByRecalls(every)
	p.must(err)
	var got []int64
	for _, h := range holds {
		got = append(got, h.Garment)
	}
	slices.Sort(got)
	if d := cmp.Diff(held, got); d != "" {
		p.Fatalf("held from sale: %s", d)
	}
}

// A recall reads what it needs by index, however many years lie in the books.
func TestRecallIsPlannedByIndex(t *testing.T) {
	t.Parallel()
	a := openArchive(t)
	a.years(t)
	const five, none = "bigint[], bigint[], bigint[], bigint[], bigint[]", "'{7}', '{9}', '{}', '{3}', '{}'"
	for name, q := range map[string]struct{ types, text, args string }{
		"downstream": {five, garmentsDownstream, none},
		"preview":    {five, recallPreview, none},
		"rows":       {five + ", bigint", recallRows, none + ", 1"},
		"since then": {five + ", bigint[], bigint", heldSince, none + ", '{5,6}', 1"},
		"held":       {"bigint[], bigint[]", heldListed, "'{5}', '{1}'"},
		"of garment": {"bigint", recallsOfGarment, "5"},
		"scrapped":   {"bigint[]", scrapped, "'{5}'"},
	} {
		plan := a.plan(t, q.types, q.text, q.args)
		for _, table := range []string{"posting", "movement", "stage_record", "record_lot", "garment_event", "garment"} {
			if regexp.MustCompile(`Seq Scan on ` + table + `\b`).MatchString(plan) {
				t.Errorf("%s reads all of %s:\n%s", name, table, plan)
			}
		}
	}
}

func TestTheWaysIntoARecallUseTheirIndexes(t *testing.T) {
	t.Parallel()
	a := openArchive(t)
	for index, q := range map[string]struct{ types, text, args string }{
		"parcel_item_idx":    {"bigint, text, text", suppliersLot, "1, 'NS-118', ''"},
		"parcel_picked_idx":  {"date, text, bigint", harvestsOf, "'2026-06-20', 'lane', 0"},
		"run_of_version_idx": {"bigint", `select l.id from run join lot l on l.run_id = run.id where run.version_id = $1 order by l.id`, "1"},
	} {
		if plan := a.planWithoutScans(t, q.types, q.text, q.args); !strings.Contains(plan, index) {
			t.Errorf("the plan does not use %s:\n%s", index, plan)
		}
	}
}

// planWithoutScans is a plan where reading whole tables is forbidden: small tables
// would be read whole.
func (a *archive) planWithoutScans(t *testing.T, types, text, args string) string {
	t.Helper()
	var lines []string
	a.do(func(tx *Tx) error {
		for _, s := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare recalled (` + types + `) as ` + text} {
			if err := tx.exec(s); err != nil {
				return err
			}
		}
		if err := tx.list(&lines, `explain execute recalled (`+args+`)`); err != nil {
			return err
		}
		return tx.exec(`deallocate recalled`)
	})
	return strings.Join(lines, "\n")
}
