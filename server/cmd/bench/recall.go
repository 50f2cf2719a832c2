package main

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/trace"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/store"
)

const (
	// recallLots of which every second one was mordanted from the bad bag: ten
	// garments each, so 10 000 of 20 000 are recalled.
	recallLots, garmentsALot = 2000, 10
	// lotsAnOrder: 40 garments go out under one order.
	lotsAnOrder = 4
	// recallRounds of a fifth of a second need no more to be steady.
	recallRounds = 7
)

// recall is the time to COPY OUT the garments of a recall of 10 000, with what
// is listed of each, over the time to list them through the service. The COPY is
// told which garments they are; the service finds them from the bag. Both end
// when the last row is here.
func (b *bench) recall(ctx context.Context, dsn string) error {
	s, err := openService(ctx, dsn)
	if err != nil {
		return err
	}
	defer s.close()
	bag, first, err := s.loadRecall(ctx)
	if err != nil {
		return fmt.Errorf("load a recall: %w", err)
	}
	if err := s.booksWhole(ctx); err != nil {
		return err
	}
	listed, last := fmt.Sprintf(copyListed, first, first+recallLots*garmentsALot), fmt.Sprintf(copyGarments, first, first+recallLots*garmentsALot)
	var ratios, ours, theirs, bare []float64
	for round := range recallRounds + 1 {
		mine, took, err := s.listRecall(ctx, bag)
		if err != nil {
			return err
		}
		theirsAt, rows, err := copyOut(ctx, dsn, listed)
		if err != nil {
			return err
		}
		bareAt, _, err := copyOut(ctx, dsn, last)
		if err != nil {
			return err
		}
		if !slices.Equal(mine, rows) {
			return fmt.Errorf("the recall lists %d garments and the copy %d, and they are not the same", len(mine), len(rows))
		}
		if round == 0 {
			continue // the first of each fills the caches
		}
		ours, theirs, bare = append(ours, took), append(theirs, theirsAt), append(bare, bareAt)
		ratios = append(ratios, theirsAt/took)
	}
	b.report("recall_vs_copy", ratios, "ms", theirs, ours)
	fmt.Printf("%-22s %d garments; the table's own columns alone are copied in %.4g ms\n", "", recallLots*garmentsALot/2, median(bare))
	return nil
}

const (
	// recalledIDs are every second lot's garments.
	recalledIDs  = `g.id >= %d and g.id < %d and g.lot_id %% 2 = 0`
	copyGarments = `copy (select * from garment g where ` + recalledIDs + `) to stdout`
	copyListed   = `copy (
		select g.tag, g.lot_id, i.code, i.style, i.size, g.place, g.order_ref, p.commission_id, e.happened_at
		from garment g join parcel p on p.id = g.parcel_id join item i on i.id = p.item_id
		left join lateral (select happened_at from garment_event e where e.garment_id = g.id and e.kind = 'sold' order by e.id desc limit 1) e on true
		where ` + recalledIDs + ` order by g.order_ref, g.place, g.id) to stdout`
)

var copyTook = regexp.MustCompile(`(?m)^Time: ([0-9.]+) ms`)

// copyOut runs a COPY through psql, which tells how long it took without its own
// start, and returns a word of each row: its tag.
func copyOut(ctx context.Context, dsn, statement string) (ms float64, tags []string, err error) {
	psql := exec.CommandContext(ctx, "psql", "--no-psqlrc", "--quiet", "--dbname", dsn)
	psql.Stdin = strings.NewReader("\\timing on\n" + strings.Join(strings.Fields(statement), " ") + ";\n")
	var out, complaint bytes.Buffer
	psql.Stdout, psql.Stderr = &out, &complaint
	if err := psql.Run(); err != nil {
		return 0, nil, fmt.Errorf("psql: %w: %s", err, complaint.String())
	}
	took := copyTook.FindStringSubmatch(out.String())
	if took == nil {
		return 0, nil, fmt.Errorf("psql told no time: %.200s", complaint.String())
	}
	for line := range strings.Lines(out.String()) {
		if tag, _, row := strings.Cut(line, "\t"); row {
			tags = append(tags, tag)
		}
	}
	ms, err = strconv.ParseFloat(took[1], 64)
	return ms, tags, err
}

// listRecall previews the recall and keeps the tags.
func (s *service) listRecall(ctx context.Context, bag string) (tags []string, ms float64, err error) {
	began := time.Now()
	stream, err := pb.NewRecallServiceClient(s.conn).PreviewRecall(s.ctx, &pb.PreviewRecallRequest{Node: &pb.RecallNode{Code: bag}})
	var rows []*pb.RecallGarment
	for err == nil {
		var part *pb.PreviewRecallResponse
		if part, err = stream.Recv(); err == nil {
			rows = append(rows, part.GetGarments()...)
		}
	}
	ms = time.Since(began).Seconds() * 1000
	if !errors.Is(err, io.EOF) {
		return nil, 0, err
	}
	for _, g := range rows {
		tags = append(tags, g.GetTag())
	}
	return tags, ms, nil
}

func (s *service) booksWhole(ctx context.Context) error {
	return s.store.Read(ctx, func(tx *store.Tx) error {
		v, err := tx.Verify()
		if len(v.Findings) > 0 {
			return fmt.Errorf("the books that were loaded do not hold: %+v", v.Findings[0])
		}
		return err
	})
}

// recallGround is one run on a bag of alum of its own; it returns the ids that
// the rows point at, and the first free ones.
const recallGround = `
	with pot as (insert into vessel (code, name, volume_ul, fill_percent, uses, added_at) values ('recall-pot', 'pot', 400000000, 800000, '{dye,mordant}', now()) returning id),
	salt as (insert into item (code, name, kind, unit, substance, resolution, created_at) values ('recall-alum', 'alum', 'mordant', 'g', 'alum', 100000, now()) returning id),
	cloth as (
		insert into item (code, name, kind, unit, style, size, piece_mass_ug, resolution, created_at)
		values ('recall-scarf', 'scarf', 'blank', 'pc', 'scarf', 'one', 92000000, 1, now()) returning id),
	bags as (
		insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at)
		select id, 'delivery', now(), 1, now() from (select id from salt union all select id from salt union all select id from cloth) s returning id, item_id),
	standard as (
		insert into shade_standard (code, name, l, a, b, illuminant, observer, tolerance, set_tolerance, dated_on, recorded_by, recorded_at)
		values ('recall', 'recall', 62, -2, 38, 'D65', 10, 1500, 1000, '2026-01-10', 1, now()) returning id),
	book as (insert into recipe (code) values ('recall') returning id),
	version as (
		insert into recipe_version (recipe_id, version, name, fibre, liquor_ratio, written_by, written_at)
		select id, 1, 'recall', 'wool', 40000, 1, now() from book returning id),
	way as (
		insert into colourway (code, name, standard_id, recipe_id, created_at) select 'recall', 'recall', standard.id, book.id, now() from standard, book returning id),
	batch as (
		insert into run (colourway_id, version_id, standard_id, matched_set, planned_by, planned_at)
		select way.id, version.id, standard.id, false, 1, now() from way, version, standard returning id)
	select batch.id, pot.id, (select min(b.id) from bags b where b.item_id = salt.id), (select max(b.id) from bags b where b.item_id = salt.id), (select max(b.id) from bags b where b.item_id = cloth.id),
	       (select coalesce(max(id), 0) from lot), (select coalesce(max(id), 0) from garment), (select coalesce(max(id), 0) from movement),
	       (select coalesce(max(id), 0) from stage_record), (select coalesce(max(id), 0) from bath), (select greatest(max(serial), 32768) from garment)
	from batch, pot, salt, cloth`

// recallIDs are what recallGround returns.
type recallIDs struct{ run, pot, bad, good, cloth, lot, garment, movement, record, bath, serial int64 }

// loadRecall writes 2 000 lots of ten garments through COPY, as the service would
// have: delivered, issued, mordanted, passed and sold, each movement with its
// postings, each garment with its events. It returns the bad bag and the first
// garment.
func (s *service) loadRecall(ctx context.Context) (bag string, first int64, err error) {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return "", 0, err
	}
	defer func() { _ = tx.Rollback() }() // after a commit it does nothing
	var n recallIDs
	if err := tx.QueryRowContext(ctx, recallGround).Scan(&n.run, &n.pot, &n.bad, &n.good, &n.cloth, &n.lot, &n.garment, &n.movement, &n.record, &n.bath, &n.serial); err != nil {
		return "", 0, err
	}
	rows, err := recallRows(n)
	if err != nil {
		return "", 0, err
	}
	for _, table := range rows {
		if err := copyIn(ctx, tx, table); err != nil {
			return "", 0, fmt.Errorf("%s: %w", table.name, err)
		}
	}
	for _, t := range []string{"lot", "garment", "movement", "stage_record", "bath"} {
		if _, err := tx.ExecContext(ctx, `select setval(pg_get_serial_sequence('`+t+`', 'id'), (select max(id) from `+t+`))`); err != nil {
			return "", 0, err
		}
	}
	if _, err := tx.ExecContext(ctx, `select setval('garment_serial', (select max(serial) from garment))`); err != nil {
		return "", 0, err
	}
	if err := tx.Commit(); err != nil {
		return "", 0, err
	}
	_, err = s.db.ExecContext(ctx, "vacuum analyze")
	return store.Code('P', n.bad), n.garment + 1, err
}

// copied are the rows of one table.
type copied struct {
	name    string
	columns []string
	rows    [][]any
}

func (c *copied) add(row ...any) { c.rows = append(c.rows, row) }

func copyIn(ctx context.Context, tx *sql.Tx, c *copied) error {
	st, err := tx.PrepareContext(ctx, "copy "+c.name+" ("+strings.Join(c.columns, ", ")+") from stdin")
	if err != nil {
		return err
	}
	for _, row := range c.rows {
		if _, err := st.ExecContext(ctx, row...); err != nil {
			return err
		}
	}
	if _, err := st.ExecContext(ctx); err != nil {
		return err
	}
	return st.Close()
}

// recallRows are every row, table by table, in an order that keeps the keys.
func recallRows(n recallIDs) ([]*copied, error) {
	const each, dose, dry = garmentsALot, 110_000_000, 92_000_000
	now := time.Now().UTC()
	lots := &copied{name: "lot", columns: []string{"id", "run_id", "vessel_id", "state", "garment_ug", "witness_ug", "bath_ul", "issued_at"}}
	states := &copied{name: "lot_event", columns: []string{"lot_id", "state", "at", "recorded_by"}}
	verdicts := &copied{name: "verdict", columns: []string{"lot_id", "outcome", "reason", "by_name", "happened_at", "recorded_at", "recorded_by"}}
	garments := &copied{name: "garment", columns: []string{"id", "serial", "tag", "lot_id", "parcel_id", "dry_ug", "place", "order_ref"}}
	events := &copied{name: "garment_event", columns: []string{"garment_id", "kind", "lot_id", "happened_at", "recorded_at", "recorded_by", "by_name", "order_ref"}}
	baths := &copied{name: "bath", columns: []string{"id", "vessel_id", "kind", "opened_at"}}
	records := &copied{name: "stage_record", columns: []string{"id", "run_id", "position", "kind", "bath_id", "vessel_id", "by_name", "happened_at", "recorded_at", "recorded_by"}}
	served := &copied{name: "record_lot", columns: []string{"record_id", "lot_id", "fibre_ug"}}
	movements := &copied{name: "movement", columns: []string{"id", "kind", "happened_at", "recorded_at", "recorded_by", "by_name", "record_id", "lot_id"}}
	postings := &copied{name: "posting", columns: []string{"movement_id", "kind", "line", "parcel_id", "from_place", "to_place", "amount"}}
	move := func(kind string, record, lot any, parcel int64, from, to string, amount int64) {
		n.movement++
		movements.add(n.movement, kind, now, now, 1, "dyer-1", record, lot)
		postings.add(n.movement, kind, 1, parcel, from, to, amount)
	}
	move("delivery", nil, nil, n.bad, "supplier", "shelf", recallLots*dose)
	move("delivery", nil, nil, n.good, "supplier", "shelf", recallLots*dose)
	move("delivery", nil, nil, n.cloth, "supplier", "shelf", recallLots*each)
	for i := range int64(recallLots) {
		l := n.lot + 1 + i
		lots.add(l, n.run, n.pot, "passed", each*dry, 0, 36_800_000, now)
		states.add(l, "passed", now, 1)
		verdicts.add(l, "passed", "in tolerance", "owner", now, now, 1)
		n.bath, n.record = n.bath+1, n.record+1
		baths.add(n.bath, n.pot, "mordant", now)
		records.add(n.record, n.run, 1, "mordant", n.bath, n.pot, "dyer-1", now, now, 1)
		served.add(n.record, l, each*dry)
		bag := n.good
		if l%2 == 0 {
			bag = n.bad
		}
		move("use", n.record, nil, bag, "shelf", "process", dose)
		move("use", nil, l, n.cloth, "shelf", "process", each)
		order := fmt.Sprintf("order-%05d", i/lotsAnOrder)
		for range each {
			n.garment++
			var err error
			if n.serial, err = trace.NextSerial(n.serial); err != nil {
				return nil, err
			}
			tag, err := trace.Tag(n.serial)
			if err != nil {
				return nil, err
			}
			garments.add(n.garment, n.serial, tag, l, n.cloth, dry, "sold", order)
			for _, kind := range []string{"planned", "issued", "passed", "sold"} {
				ref := ""
				if kind == "sold" {
					ref = order
				}
				events.add(n.garment, kind, l, now, now, 1, "owner", ref)
			}
		}
	}
	return []*copied{lots, states, verdicts, garments, events, baths, records, served, movements, postings}, nil
}
