package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"
)

// Verified is what a look over the whole of the books found.
type Verified struct {
	Findings []Finding        // empty: the books are whole
	Counts   map[string]int64 // rows looked at, by table
	Digest   string           // SHA-256 of every balance, in parcel order
}

// Finding is one thing that does not hold.
type Finding struct {
	Check   string `db:"check"`
	Subject string `db:"subject"`
	Text    string `db:"text"`
}

// checks are queries that return nothing in whole books. Each names the law.
var checks = []string{
	// Law 1: a stored balance equals its rebuild.
	`select 'balance-rebuild' as check, 'P' || p.id as subject,
	        'on hand is kept as ' || b.on_hand || ' and the movements say ' || coalesce(m.on_hand, 0) as text
	 from parcel p join balance b on b.parcel_id = p.id
	 left join (select parcel_id, sum(case when to_place = 'shelf' then amount else -amount end) as on_hand from posting group by parcel_id) m on m.parcel_id = p.id
	 where b.on_hand <> coalesce(m.on_hand, 0) order by p.id`,
	`select 'balance-missing' as check, 'P' || p.id as subject, 'the parcel has no balance' as text
	 from parcel p where not exists (select from balance b where b.parcel_id = p.id) order by p.id`,
	// Law 2: what is promised is the sum of the promises.
	`select 'promise-rebuild' as check, 'P' || b.parcel_id as subject,
	        'promised is kept as ' || b.reserved || ' and the promises say ' || coalesce(p.outstanding, 0) as text
	 from balance b
	 left join (select p.parcel_id, sum(e.delta) as outstanding from promise p join promise_entry e on e.promise_id = p.id group by p.parcel_id) p on p.parcel_id = b.parcel_id
	 where b.reserved <> coalesce(p.outstanding, 0) order by b.parcel_id`,
	`select 'promise-entries' as check, 'H' || p.id as subject, 'the entries of the promise do not sum to what is outstanding' as text
	 from promise p left join (select promise_id, sum(delta) as outstanding from promise_entry group by promise_id) e on e.promise_id = p.id
	 where p.outstanding <> coalesce(e.outstanding, 0) order by p.id`,
	// Law 3: an undone record's amounts are back, a standing one's are not.
	`select 'record-is-ledger' as check, 'S' || r.id as subject, 'the record was undone and its movement was not reversed' as text
	 from record_undone u join stage_record r on r.id = u.record_id join movement m on m.record_id = r.id
	 where not exists (select from movement b where b.reverses_id = m.id) order by r.id`,
	`select 'record-is-ledger' as check, 'S' || m.record_id as subject, 'the movement was reversed and its record stands' as text
	 from movement m join movement b on b.reverses_id = m.id
	 where m.record_id is not null and not exists (select from record_undone u where u.record_id = m.record_id) order by m.record_id`,
	`select 'reversal-mirror' as check, 'M' || r.id as subject, 'the reversal is not the mirror of its movement' as text
	 from movement r where r.reverses_id is not null and exists (
	     (select parcel_id, from_place, to_place, sum(amount) from posting where movement_id = r.id group by 1, 2, 3
	      except select parcel_id, to_place, from_place, sum(amount) from posting where movement_id = r.reverses_id group by 1, 2, 3)
	     union all
	     (select parcel_id, to_place, from_place, sum(amount) from posting where movement_id = r.reverses_id group by 1, 2, 3
	      except select parcel_id, from_place, to_place, sum(amount) from posting where movement_id = r.id group by 1, 2, 3)) order by r.id`,
	`select 'entry-is-ledger' as check, 'E' || u.entry_id as subject, 'the entry was taken back and its movement was not reversed' as text
	 from bath_entry_undone u join movement m on m.entry_id = u.entry_id
	 where not exists (select from movement b where b.reverses_id = m.id) order by u.entry_id`,
	`select 'entry-is-ledger' as check, 'E' || m.entry_id as subject, 'the movement was reversed and its entry stands' as text
	 from movement m join movement b on b.reverses_id = m.id
	 where m.entry_id is not null and not exists (select from bath_entry_undone u where u.entry_id = m.entry_id) order by m.entry_id`,
	`select 'movement-empty' as check, 'M' || m.id as subject, 'the movement moves nothing' as text
	 from movement m where not exists (select from posting p where p.movement_id = m.id) order by m.id`,
	// Law 4: no parcel is made from itself, at any depth; lots weigh what their garments weigh.
	`with recursive made as (
	     select m.made_parcel_id as child, p.parcel_id as parent from movement m join posting p on p.movement_id = m.id
	     where m.kind = 'making' and p.to_place = 'making'),
	 up (start, parent) as (
	     select child, parent from made union select u.start, m.parent from up u join made m on m.child = u.parent)
	 select distinct 'trace-cycle' as check, 'P' || start as subject, 'the parcel is among its own ancestors' as text from up where start = parent`,
	`select 'lot-mass' as check, 'L' || l.id as subject, 'the lot is kept as ' || l.garment_ug || ' µg and its garments weigh ' || coalesce(sum(g.dry_ug), 0) as text
	 from lot l left join garment_event e on e.lot_id = l.id and e.kind = 'planned' left join garment g on g.id = e.garment_id
	 group by l.id, l.garment_ug having l.garment_ug <> coalesce(sum(g.dry_ug), 0) order by l.id`,
	// A bath's uses are one after another, of one kind, and none after it was spent; an addition is in its record's bath and use.
	`select 'bath-use' as check, 'S' || r.id as subject, 'it is use ' || r.bath_use || ' of B' || r.bath_id || ', as S' || o.id || ' is' as text
	 from stage_record r join stage_record o on o.bath_id = r.bath_id and o.bath_use = r.bath_use and o.id < r.id
	 where r.addition_to is null and o.addition_to is null
	 and not exists (select from record_undone u where u.record_id in (r.id, o.id)) order by r.id`,
	`select 'bath-use' as check, 'S' || r.id as subject, r.kind || ' was in B' || r.bath_id || ', a bath for ' || b.kind as text
	 from stage_record r join bath b on b.id = r.bath_id where r.kind <> b.kind order by r.id`,
	`select 'bath-use' as check, 'S' || r.id as subject, 'it used B' || r.bath_id || ' after that was spent' as text
	 from stage_record r join bath_entry e on e.bath_id = r.bath_id and e.kind = 'spent' and e.after_use < r.bath_use
	 where not exists (select from record_undone u where u.record_id = r.id)
	 and not exists (select from bath_entry_undone u where u.entry_id = e.id) order by r.id`,
	`select 'addition' as check, 'S' || a.id as subject, 'it is not in the bath and use of S' || r.id || ', which it adds to, or that was undone' as text
	 from stage_record a join stage_record r on r.id = a.addition_to
	 where not exists (select from record_undone u where u.record_id = a.id)
	 and (a.bath_id is distinct from r.bath_id or a.bath_use <> r.bath_use or a.position <> r.position or a.run_id <> r.run_id or r.addition_to is not null
	      or exists (select from record_undone u where u.record_id = r.id)) order by a.id`,
	// A garment is of the lot that it was issued with last, and goes only into one
	// that is still planned.
	`select 'garment-lot' as check, g.tag as subject, 'the garment is of lot L' || g.lot_id || ' and was issued last with L' || e.lot_id as text
	 from garment g join lateral (select lot_id from garment_event where garment_id = g.id and kind = 'issued' order by id desc limit 1) e on true
	 where e.lot_id <> g.lot_id order by g.id`,
	`select 'garment-next' as check, g.tag as subject, 'the garment is planned into L' || l.id || ', which is ' || l.state as text
	 from garment g join lot l on l.id = g.next_lot_id
	 where l.state <> 'planned' or not exists (select from garment_event e where e.garment_id = g.id and e.lot_id = l.id and e.kind = 'planned') order by g.id`,
	`select 'garment-place' as check, g.tag as subject, 'the garment waits part-done and its lot is ' || l.state as text
	 from garment g join lot l on l.id = g.lot_id
	 where g.place = 'part-done' and not exists (select from part_done p where p.lot_id = l.id) order by g.id`,
	// Law 5: a passed lot was passed by a verdict.
	`select 'verdict-missing' as check, 'L' || l.id as subject, 'the lot is ' || l.state || ' without a verdict that says so' as text
	 from lot l where l.state in ('passed', 'imperfect', 're-dye', 'scrapped', 'closed')
	 and not exists (select from verdict v where v.lot_id = l.id and v.outcome = l.state) order by l.id`,
	// Law 6: what a record corrects was taken back, and was the same stage.
	`select 'correction' as check, 'S' || r.id as subject, 'the record corrects S' || c.id || ', which stands or is another stage' as text
	 from stage_record r join stage_record c on c.id = r.corrects_id
	 where r.run_id <> c.run_id or r.position <> c.position or not exists (select from record_undone u where u.record_id = c.id) order by r.id`,
	// A count moved no more than what it differed by, the same way, in its own parcel.
	`select 'count-is-ledger' as check, 'P' || c.parcel_id as subject,
	        'the count found ' || c.counted || ', the book held ' || c.book || ', and its movement M' || c.movement_id || ' moved ' || coalesce(p.moved, 0) as text
	 from shelf_count c
	 left join lateral (select sum(case when to_place = 'shelf' then amount else -amount end) as moved
	                    from posting where movement_id = c.movement_id and parcel_id = c.parcel_id and kind = 'count') p on true
	 where c.movement_id is not null and not coalesce(p.moved between least(c.counted - c.book, 0) and greatest(c.counted - c.book, 0), false)
	 order by c.id`,
	// What is a customer's is never sold, sent to a supplier, made into something else or promised to another run.
	`select 'customers-own' as check, g.tag as subject, 'it belongs to the customer of W' || p.commission_id || ' and is sold' as text
	 from garment g join parcel p on p.id = g.parcel_id where p.commission_id is not null and (g.place = 'sold' or g.order_ref <> '') order by g.id`,
	`select distinct 'customers-own' as check, 'P' || p.id as subject, 'it belongs to the customer of W' || p.commission_id || ' and went to ' || o.to_place as text
	 from parcel p join posting o on o.parcel_id = p.id where p.commission_id is not null and o.to_place in ('supplier', 'making')`,
	`select 'customers-own' as check, 'L' || l.id as subject, 'it holds a garment of the customer of W' || p.commission_id || ' and is dyed for another' as text
	 from garment g join parcel p on p.id = g.parcel_id join lot l on l.id = g.lot_id join run on run.id = l.run_id
	 where p.commission_id is not null and run.commission_id is distinct from p.commission_id group by l.id, p.commission_id order by l.id`,
	`select 'lot-event' as check, 'L' || l.id as subject, 'the lot is ' || l.state || ' and its last event says ' || coalesce(e.state, 'nothing') as text
	 from lot l left join lateral (select state from lot_event where lot_id = l.id order by id desc limit 1) e on true
	 where e.state is distinct from l.state order by l.id`,
	// A measurement rests on a spot that counts, and its mean of L*a*b* alone is the reading.
	`select 'measurement' as check, 'C' || r.id as subject, 'every spot of it is left out' as text
	 from reading r join reading_spot s on s.reading_id = r.id group by r.id having bool_and(s.left_out <> '') order by r.id`,
	`select 'measurement' as check, 'C' || r.id as subject, 'it is not the mean of its spots' as text
	 from reading r join reading_spot s on s.reading_id = r.id and s.left_out = ''
	 group by r.id having bool_and(s.reflectance is null) and (abs(avg(s.l) - r.l) > 1e-6 or abs(avg(s.a) - r.a) > 1e-6 or abs(avg(s.b) - r.b) > 1e-6) order by r.id`,
	// A strength that test dips set is among the parcel's own, and names them.
	`select 'dips-set' as check, 'D' || d.id as subject, 'it set a strength of ' || d.set_percent || ' that P' || d.parcel_id || ' does not have' as text
	 from dip_series d where d.set_percent is not null
	 and not exists (select from parcel_strength s where s.parcel_id = d.parcel_id and s.percent = d.set_percent and s.basis like 'test dips D' || d.id || ' %')
	 order by d.id`,
	// A run of a collection is nobody's commission.
	`select 'collection-run' as check, 'R' || c.run_id as subject, 'the run is for a collection and for W' || run.commission_id || ' at once' as text
	 from run_collection c join run on run.id = c.run_id where run.commission_id is not null order by c.run_id`,
	// Minutes that were taken off had been written.
	`select 'labour-below-zero' as check, case when lot_id is not null then 'L' || lot_id when record_id is not null then 'S' || record_id else 'P' || parcel_id end as subject,
	        'more minutes were taken off than were written: ' || sum(minutes) as text
	 from cost_labour group by lot_id, record_id, parcel_id having sum(minutes) < 0 order by 2`,
	// What an import says it brought in is there, and a lot of it was passed by name.
	`select 'opening-whole' as check, 'import ' || i.id as subject,
	        'the import counts ' || i.parcels || ' parcels and ' || i.lots || ' lots, and ' || p.n || ' and ' || l.n || ' are there' as text
	 from opening_import i
	 cross join lateral (select count(*) as n from opening_parcel where import_id = i.id) p
	 cross join lateral (select count(*) as n from opening_lot where import_id = i.id) l
	 where i.parcels <> p.n or i.lots <> l.n order by i.id`,
	// A window test ended once, after its last look, with a fastness test of its lot or a reason why there is none.
	`select 'window-end' as check, 'X' || x.id as subject, 'it was taken in with neither a test of its lot nor a reason, or with both' as text
	 from window_test x join window_end e on e.window_id = x.id left join fastness_test f on f.window_id = x.id
	 where (e.given_up <> '') = (f.id is not null) or f.lot_id <> x.lot_id or f.method <> 'studio-window' order by x.id`,
	`select 'window-end' as check, 'X' || f.window_id as subject, 'the test F' || f.id || ' is its result, and it is still out' as text
	 from fastness_test f where f.window_id is not null and not exists (select from window_end e where e.window_id = f.window_id) order by f.id`,
	`select distinct 'window-look' as check, 'X' || k.window_id as subject, 'it was looked at before it was put out, or after it was taken in' as text
	 from window_look k join window_test x on x.id = k.window_id left join window_end e on e.window_id = x.id
	 where k.looked_on < x.put_out_on or k.looked_on > e.taken_in_on or not k.changed <@ x.blue_wools`,
	// What a swatch holds of a lot is of that lot's own fibre and recipe.
	`select 'swatch-lot' as check, 'T' || s.id as subject, 'the page is of L' || s.lot_id || ' and names another version of the recipe' as text
	 from swatch s join lot l on l.id = s.lot_id join run on run.id = l.run_id where s.version_id is distinct from run.version_id order by s.id`,
	`select 'opening-passed' as check, 'L' || o.lot_id as subject, 'the lot came by an opening import and nobody passed it by name' as text
	 from opening_lot o where not exists (select from verdict v where v.lot_id = o.lot_id and v.outcome = 'passed' and v.by_name <> '') order by o.lot_id`,
	// An action that blocks did so in the same act, and what it is because of came back.
	`select 'action-blocks' as check, 'A' || a.id as subject, 'it blocks P' || p.parcel_id || ', which was not blocked then' as text
	 from action a join action_parcel p on p.action_id = a.id
	 where not coalesce((select not k.lifted from parcel_block k where k.parcel_id = p.parcel_id and k.recorded_at <= a.recorded_at order by k.id desc limit 1), false)
	 or not a.blocks order by a.id, p.parcel_id`,
	`select 'action-blocks' as check, 'A' || a.id as subject, 'it blocks, and names no parcel' as text
	 from action a where a.blocks and not exists (select from action_parcel p where p.action_id = a.id) order by a.id`,
	`select 'action-return' as check, 'A' || r.action_id as subject, 'it is because of ' || g.tag || ', which never came back' as text
	 from action_return r join garment g on g.id = r.garment_id
	 where not exists (select from garment_event e where e.garment_id = g.id and e.kind = 'returned') order by r.action_id, g.id`,
	// What a recall scrapped stays scrapped; its list was found when it was opened; what went out in spite of it has a name.
	`select 'recall' as check, 'K' || a.recall_id as subject, g.tag || ' was destroyed for it, and is ' || g.place as text
	 from recall_account a join garment g on g.id = a.garment_id where a.how = 'destroyed' and a.moved and g.place <> 'scrapped' order by a.id`,
	`select 'recall' as check, 'K' || r.id as subject, 'it was opened without a garment on its list' as text
	 from recall r where not exists (select from recall_garment l where l.recall_id = r.id and not l.since_then) order by r.id`,
	// A kept sort by shade has a garment in each of its groups.
	`select 'shade-groups' as check, s.sorted_of as subject, 'the sort by shade counts ' || s.groups || ' groups, and ' || count(distinct m.group_no) || ' hold garments' as text
	 from shade_sort s left join shade_group_garment m on m.sort_id = s.id
	 group by s.id having count(distinct m.group_no) <> s.groups or max(m.group_no) <> s.groups order by s.id`,
	// A receipt of a purchase order is what its delivery brought, of the line's item; shares stay within the line's cost.
	`select 'receipt-is-ledger' as check, 'Q' || r.order_id as subject, 'line ' || r.line || ' counts a delivery that is not its item and amount: P' || r.parcel_id as text
	 from purchase_receipt r join purchase_line l on l.order_id = r.order_id and l.line = r.line join parcel p on p.id = r.parcel_id
	 where p.item_id <> l.item_id or not exists (select from posting g where g.movement_id = r.movement_id and g.parcel_id = r.parcel_id and g.kind = 'delivery' and g.amount = r.amount) order by r.order_id`,
	`select 'receipt-share' as check, 'Q' || l.order_id as subject, 'the deliveries of line ' || l.line || ' cover more than its cost' as text
	 from purchase_line l join purchase_receipt r on r.order_id = l.order_id and r.line = l.line
	 where not exists (select from movement b where b.reverses_id = r.movement_id)
	 group by l.order_id, l.line, l.cost_micro having sum(r.cost_micro) > coalesce(l.cost_micro, 0) order by l.order_id`,
}

// counted are the tables whose rows a restore must bring back.
const counted = `
	select 'items' as name, count(*) as n from item union all
	select 'parcels', count(*) from parcel union all
	select 'movements', count(*) from movement union all
	select 'postings', count(*) from posting union all
	select 'promises', count(*) from promise union all
	select 'recipe versions', count(*) from recipe_version union all
	select 'runs', count(*) from run union all
	select 'lots', count(*) from lot union all
	select 'garments', count(*) from garment union all
	select 'stage records', count(*) from stage_record union all
	select 'bath entries', count(*) from bath_entry union all
	select 'readings', count(*) from reading union all
	select 'spots', count(*) from reading_spot union all
	select 'judgements by eye', count(*) from eye_judgement union all
	select 'fastness tests', count(*) from fastness_test union all
	select 'window tests', count(*) from window_test union all
	select 'verdicts', count(*) from verdict union all
	select 'actions', count(*) from action union all
	select 'counts', count(*) from shelf_count union all
	select 'log entries', count(*) from log_entry union all
	select 'collections', count(*) from collection union all
	select 'shade sorts', count(*) from shade_sort union all
	select 'test dips', count(*) from dip union all
	select 'swatches', count(*) from swatch union all
	select 'recalls', count(*) from recall union all
	select 'audit entries', count(*) from audit_entry`

// Verify looks over everything. It reads each table once or twice, and locks
// nothing.
func (t *Tx) Verify() (Verified, error) {
	v := Verified{Counts: map[string]int64{}}
	if err := t.exec(`set local statement_timeout = '10min'`); err != nil {
		return v, err
	}
	for _, q := range checks {
		var found []Finding
		if err := t.list(&found, q); err != nil {
			return v, err
		}
		v.Findings = append(v.Findings, found...)
	}
	var rows []struct {
		Name string `db:"name"`
		N    int64  `db:"n"`
	}
	if err := t.list(&rows, counted); err != nil {
		return v, err
	}
	for _, r := range rows {
		v.Counts[r.Name] = r.N
	}
	var err error
	v.Digest, err = t.balancesDigest()
	return v, err
}

func (t *Tx) balancesDigest() (string, error) {
	rows, err := t.tx.QueryContext(t.ctx, `select parcel_id, on_hand, reserved from balance order by parcel_id`)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	h := sha256.New()
	for rows.Next() {
		var id, onHand, reserved int64
		if err := rows.Scan(&id, &onHand, &reserved); err != nil {
			return "", err
		}
		fmt.Fprintf(h, "P%d %d %d\n", id, onHand, reserved)
	}
	return hex.EncodeToString(h.Sum(nil)), rows.Err()
}

// AuditEntry is one changing call that was answered.
type AuditEntry struct {
	ID        int64     `db:"id"`
	At        time.Time `db:"at"`
	Principal string    `db:"principal"`
	Act       string    `db:"act"`
	RequestID string    `db:"request_id"`
	Body      string    `db:"body"`
}

// AuditEntries lists them in order, after an id.
func (t *Tx) AuditEntries(after int64, limit int) ([]AuditEntry, error) {
	var rows []AuditEntry
	err := t.list(&rows, `
		select a.id, a.at, p.name as principal, a.act, a.request_id, a.body
		from audit_entry a join principal p on p.id = a.principal_id
		where a.id > $1 order by a.id limit $2`, after, limit)
	return rows, err
}
