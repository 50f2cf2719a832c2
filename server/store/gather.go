package store

import (
	"cmp"
	"slices"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

// gathered are the kinds of item that a plant may be kept as.
var gathered = []string{string(stock.Dyestuff), string(stock.Auxiliary), string(stock.Mordant)}

// harvestLog is every own harvest, by the day it was picked; one that was
// blocked while it was still damp was a slip of the pen or is compost, and tells
// nothing of the plant.
const harvestLog = `
	select p.id, p.item_id, i.code as item_code, i.name as item_name, i.plant, coalesce(nullif(p.part, ''), i.part) as part, p.place, p.picked_on,
	       coalesce(p.fresh_ug, 0) as fresh_ug, coalesce(h.dry, 0) as dry_ug, coalesce(s.percent, 0) as strength
	from parcel p join item i on i.id = p.item_id
	left join lateral (select sum(case when from_place = 'field' then amount else -amount end) as dry from posting
	                   where parcel_id = p.id and (from_place = 'field' or to_place = 'field')) h on true
	left join lateral (select percent from parcel_strength where parcel_id = p.id order by measured_on desc, id desc limit 1) s on true
	left join lateral (select lifted from parcel_block where parcel_id = p.id order by id desc limit 1) k on true
	where p.origin = 'harvest' and p.commission_id is null and (coalesce(h.dry, 0) > 0 or k.lifted is distinct from false)
	order by p.picked_on, p.id`

// Harvests lists the studio's own harvest log, the oldest first, plants and parts
// in the words of the table of weeks.
func (t *Tx) Harvests() ([]season.Harvested, error) {
	var rows []struct {
		ID       int64     `db:"id"`
		Item     int64     `db:"item_id"`
		ItemCode string    `db:"item_code"`
		ItemName string    `db:"item_name"`
		Plant    string    `db:"plant"`
		Part     string    `db:"part"`
		Place    string    `db:"place"`
		Picked   time.Time `db:"picked_on"`
		Fresh    int64     `db:"fresh_ug"`
		Dry      int64     `db:"dry_ug"`
		Strength int64     `db:"strength"`
	}
	err := t.list(&rows, harvestLog)
	all := make([]season.Harvested, len(rows))
	for i, r := range rows {
		plant, part := season.PlantOf(cmp.Or(r.Plant, r.ItemName, r.ItemCode), r.Part)
		all[i] = season.Harvested{Parcel: Code('P', r.ID), ItemID: r.Item, Item: r.ItemCode, Plant: plant, Part: part, Place: r.Place, Picked: r.Picked,
			Fresh: massOrNone(r.Fresh), Dry: massOrNone(r.Dry), Strength: quantity.Percent(r.Strength)}
	}
	return all, err
}

// plantLacks goes on from openDoses: what open runs lack of what may be a plant,
// dose by dose, with the fibre that it is for.
const plantLacks = openDoses + `
	select o.item_id, o.run_id, c.code as colourway, run.due_on, o.short, o.amount, d.basis, d.value, s.fibre_ug, i.resolution
	from open_dose o join planned_dose d on d.id = o.id join planned_stage s on s.id = d.stage_id
	join item i on i.id = o.item_id join run on run.id = o.run_id join colourway c on c.id = run.colourway_id
	where o.short > 0 and i.unit = 'g' and i.kind = any($1) order by o.item_id, o.run_id, o.id`

// lacksOfRuns are by item, a run once.
func (t *Tx) lacksOfRuns() (map[int64][]season.Lack, error) {
	var rows []struct {
		Item       int64      `db:"item_id"`
		Run        int64      `db:"run_id"`
		Colourway  string     `db:"colourway"`
		Due        *time.Time `db:"due_on"`
		Short      int64      `db:"short"`
		Amount     int64      `db:"amount"`
		Basis      string     `db:"basis"`
		Value      int64      `db:"value"`
		Fibre      int64      `db:"fibre_ug"`
		Resolution int64      `db:"resolution"`
	}
	err := t.list(&rows, plantLacks, pq.Array(gathered))
	of := map[int64][]season.Lack{}
	for _, r := range rows {
		mass := func(n int64) quantity.Amount { return quantity.Amount{N: n, Unit: quantity.Mass} }
		l := season.Lack{Dry: mass(r.Short), On: orZero(r.Due), For: Code('R', r.Run), Colourway: r.Colourway, Fibre: mass(r.Fibre)}
		if r.Basis == "percent_wof" {
			l.Dry = season.AtReference(l.Dry, mass(r.Amount), l.Fibre, quantity.Percent(r.Value), r.Resolution)
		}
		if n := len(of[r.Item]); n > 0 && of[r.Item][n-1].For == l.For {
			last := &of[r.Item][n-1]
			last.Dry, last.Fibre = last.Dry.Add(l.Dry), last.Fibre.Add(l.Fibre)
			continue
		}
		of[r.Item] = append(of[r.Item], l)
	}
	return of, err
}

// Plants is what the books say of everything that is gathered or grown.
type Plants struct {
	Today    time.Time
	Lacks    map[int64][]season.Lack // what something open lacks, by item
	Stands   map[int64]season.Stand  // each item of a plant as it stands, its lacks apart
	Supplies []season.Supply         // what could be dyed with, by plant and part
	Harvests []season.Harvested
	Notes    []MissedNote // the newest of each plant, part and year
}

// Plants loads it all, in as many statements however many plants there are. Lacks
// are those of open runs; own weeks are widened by so many days at each end.
func (t *Tx) Plants(widen int) (p Plants, err error) {
	if p.Today, err = t.Today(); err != nil {
		return p, err
	}
	if p.Lacks, err = t.lacksOfRuns(); err != nil {
		return p, err
	}
	if p.Harvests, err = t.Harvests(); err != nil {
		return p, err
	}
	if p.Notes, err = t.MissedNotes(); err != nil {
		return p, err
	}
	items, err := t.plantItems()
	if err != nil {
		return p, err
	}
	ids := make([]int64, len(items))
	for i, it := range items {
		ids[i] = it.ID
	}
	parcels, err := t.ParcelsOfItems(ids)
	p.fill(items, parcels, widen)
	return p, err
}

// plantItems are the facts of every item that may be a plant.
func (t *Tx) plantItems() ([]stock.Item, error) {
	var rows []itemRow
	err := t.list(&rows, `select `+itemColumns+` from item i where i.unit = 'g' and i.kind = any($1) order by i.code`, pq.Array(gathered))
	items := make([]stock.Item, len(rows))
	for i, r := range rows {
		items[i] = r.item()
	}
	return items, err
}

type plantPart struct{ plant, part string }

// fill sorts what was loaded by item, and by plant and part. A salt is in none of
// it: it is neither of the table, nor harvested, nor said to be of a plant.
func (p *Plants) fill(items []stock.Item, parcels []stock.Parcel, widen int) {
	p.Stands = map[int64]season.Stand{}
	harvested := map[int64]bool{}
	for _, h := range p.Harvests {
		harvested[h.ItemID] = true
	}
	held := map[int64][]stock.Parcel{}
	for _, b := range parcels {
		if !b.Customers() && b.Usable(p.Today) == nil && b.Free().N > 0 {
			held[b.Item.ID] = append(held[b.Item.ID], b)
		}
	}
	supply := map[plantPart]int{}
	for _, it := range items {
		at := plantPart{}
		at.plant, at.part = season.PlantOf(cmp.Or(it.Plant, it.Name, it.Code), it.Part)
		rows := season.GatheringsOf(at.plant, at.part)
		if it.Plant == "" && len(rows) == 0 && !harvested[it.ID] && it.Kind != stock.Dyestuff {
			continue
		}
		if at.part == "" && len(rows) == 1 { // the one part that the table knows
			at.part = rows[0].Part
		}
		i, seen := supply[at]
		if !seen {
			i = len(p.Supplies)
			supply[at] = i
			p.Supplies = append(p.Supplies, season.Supply{Plant: at.plant, Part: at.part, Own: p.Own(at.plant, at.part), Widen: widen, Free: quantity.Amount{Unit: quantity.Mass}})
		}
		s := &p.Supplies[i]
		if it.Terms.Supplier != "" {
			s.Supplier, s.LeadDays = it.Terms.Supplier, it.Terms.LeadDays
		}
		shelf := quantity.Amount{Unit: quantity.Mass}
		for _, b := range held[it.ID] {
			shelf = shelf.Add(b.Free().Percent(b.StrengthOr100()))
			s.Parcels = append(s.Parcels, b.Code())
		}
		s.Free = s.Free.Add(shelf)
		p.Stands[it.ID] = season.Stand{Item: it.Code, Name: it.Name, Plant: at.plant, Part: at.part, Supplier: it.Terms.Supplier, Own: s.Own, Shelf: shelf, Widen: widen}
	}
}

// Own are the harvests of a plant and part, or of each part where none is said;
// those whose part nobody named are of any.
func (p Plants) Own(plant, part string) (own []season.Harvested) {
	for _, h := range p.Harvests {
		if h.Plant == plant && (part == "" || h.Part == "" || h.Part == part) {
			own = append(own, h)
		}
	}
	return own
}

// Lines is the list of what to gather, the most pressing first.
func (p Plants) Lines() []season.GatherLine {
	var lines []season.GatherLine
	for id, lacks := range p.Lacks {
		if s, grows := p.Stands[id]; grows {
			s.Lacks = lacks
			lines = append(lines, season.ToGather(s, p.Today)...)
		}
	}
	season.GatherOrder(lines)
	return lines
}

// Noted is the note by which a person gave a line up, missed or in season still.
func (p Plants) Noted(l season.GatherLine) (MissedNote, bool) {
	if l.State != season.GatherMissed && l.State != season.GatherNow {
		return MissedNote{}, false
	}
	i := slices.IndexFunc(p.Notes, func(n MissedNote) bool {
		return n.Plant == l.Plant && n.Part == l.Part && n.Year == l.Span.Year()
	})
	if i < 0 {
		return MissedNote{}, false
	}
	return p.Notes[i], true
}
