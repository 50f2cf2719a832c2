package api

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/cost"
	"dyelot/inventory/days"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// sheets reckons what each lot of the run cost. What falls to lots of other
// runs is left out here and stands in theirs.
func (c *costBook) sheets() map[int64]cost.Sheet {
	lines := map[int64][]cost.Line{}
	for _, charge := range slices.Concat(c.materials(), c.potDays()) {
		for lotID, l := range charge.Shares(c.rule) {
			lines[lotID] = append(lines[lotID], l)
		}
	}
	for _, t := range c.tests {
		p := c.rates.Test(t.Method, t.On)
		lines[t.LotID] = append(lines[t.LotID], testLine(t.Method, p))
	}
	c.addLabour(lines)
	all := map[int64]cost.Sheet{}
	for _, l := range c.lots {
		pieces, cloth := c.clothOf(l)
		usual, say := c.rates.Usual(c.kindsOf(l.ID), c.day(c.run.PlannedAt))
		all[l.ID] = cost.Spread(append(cloth, lines[l.ID]...), pieces, usual, say, c.currency)
	}
	return all
}

func testLine(method string, p cost.Priced) cost.Line {
	return cost.Line{Kind: cost.Test, Key: method, Name: "test " + method, Quantity: cost.Tests(1), Money: p.Money, Unknown: p.Unknown, Notes: p.Notes}
}

// day is the studio's day of a moment.
func (c *costBook) day(at time.Time) time.Time { return dayIn(c.zone, at) }

// kindsOf are the kinds of a lot's planned stages.
func (c *costBook) kindsOf(lotID int64) []string {
	var kinds []string
	for _, b := range c.baths {
		if serves(b, lotID) {
			kinds = append(kinds, b.Kind.Key)
		}
	}
	return kinds
}

// clothOf are a lot's garments, each with what its blank cost, and the lines of
// blanks and witness cloth. A garment that was dyed before brings no blank: what
// it cost until then stands with its first lot.
func (c *costBook) clothOf(l lot.Lot) ([]cost.Piece, []cost.Line) {
	issued := map[int64]cost.Line{} // by parcel
	var lines []cost.Line
	for _, f := range c.fed {
		if f.LotID != l.ID {
			continue
		}
		item, p := c.prices.items[f.Parcel], c.prices.Takings[f.Ref]
		kind := cost.Witness
		if item.Kind == stock.Blank {
			kind = cost.Blank
			issued[f.Parcel] = costLine(kind, item, f.N, p).And(issued[f.Parcel])
		}
		lines = append(lines, costLine(kind, item, f.N, p))
	}
	var pieces []cost.Piece
	fresh := map[int64][]int{}
	before := map[string]int64{}
	for _, g := range c.issued {
		if g.IssuedTo != l.ID {
			continue
		}
		at := c.pieces[g.ID]
		pieces = append(pieces, cost.Piece{Tag: at.Tag, Item: at.ItemCode, Dry: at.Dry, Fate: fateOf(at, l)})
		if g.Before {
			before[at.ItemCode]++
		} else {
			fresh[at.ParcelID] = append(fresh[at.ParcelID], len(pieces)-1)
		}
	}
	for parcel, which := range fresh {
		equal := make([]int64, len(which))
		for i := range equal {
			equal[i] = 1
		}
		for i, n := range quantity.Share(issued[parcel].Money.Micro, equal, 1) {
			pieces[which[i]].Blank = cost.Priced{Money: quantity.Money{Micro: n, Currency: c.currency}}
		}
	}
	for _, code := range sortedKeys(before) {
		lines = append(lines, cost.Line{Kind: cost.Blank, Key: code, Name: code, Quantity: cost.Stock(quantity.Pieces(before[code])), Money: quantity.Money{Currency: c.currency},
			Notes: []string{fmt.Sprintf("%d dyed before: what they cost until then stands with their earlier lot", before[code])}})
	}
	return pieces, lines
}

func sortedKeys[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// fateOf is what became of a garment of a lot.
func fateOf(g lot.Garment, l lot.Lot) cost.Fate {
	if g.LotID != l.ID && l.State != lot.Planned {
		return cost.Again
	}
	switch v := g.Verdict(l); {
	case g.Place == lot.PlaceScrapped || v == string(lot.Scrapped):
		return cost.Lost
	case v == string(lot.Imperfect):
		return cost.Imperfect
	case v == string(lot.ReDye):
		return cost.Again
	}
	return cost.Good
}

// addLabour shares the minutes of each record among its lots by fibre mass. Of a
// lot that had minutes written for it as a whole those count; else, of a record
// for which nobody wrote any, the plan's attended minutes do, and are marked.
func (c *costBook) addLabour(lines map[int64][]cost.Line) {
	whole := map[int64]bool{}
	written := map[int64]bool{}
	for _, w := range c.worked {
		if w.LotID != 0 {
			whole[w.LotID] = true
			lines[w.LotID] = append(lines[w.LotID], c.labour(w.Minutes, w.On, ""))
		}
		if w.RecordID != 0 {
			written[w.RecordID] = true
		}
	}
	for _, r := range c.records {
		served := servedBy(r)
		for _, w := range c.worked {
			if w.RecordID == r.ID {
				share(lines, cost.Charge{Line: c.labour(w.Minutes, w.On, ""), Uses: served}, nil)
			}
		}
		if r.Undone || r.Skipped || r.AdditionTo != 0 || written[r.ID] || r.Corrects != 0 && written[r.Corrects] {
			continue
		}
		if minutes := c.plannedMinutes(r); minutes > 0 {
			planned := cost.Charge{Line: c.labour(minutes, c.day(r.HappenedAt), fmt.Sprintf("%d %s: %d min planned, not recorded", r.Position, r.Kind.Name, minutes)), Uses: served}
			share(lines, planned, whole)
		}
	}
}

// share lays a charge on its lots, but for some.
func share(lines map[int64][]cost.Line, charge cost.Charge, without map[int64]bool) {
	for lotID, l := range charge.Shares(cost.FirstUse) {
		if !without[lotID] {
			lines[lotID] = append(lines[lotID], l)
		}
	}
}

func servedBy(r lot.Standing) [][]cost.Served {
	var all []cost.Served
	for _, l := range r.Lots {
		all = append(all, cost.Served{LotID: l.LotID, Fibre: l.Fibre})
	}
	return [][]cost.Served{all}
}

func (c *costBook) labour(minutes int64, on time.Time, note string) cost.Line {
	p := c.rates.Labour(minutes*1000, on)
	l := cost.Line{Kind: cost.Labour, Key: "labour", Name: "labour", Quantity: cost.Minutes(minutes), Money: p.Money, Unknown: p.Unknown}
	if note != "" {
		l.Notes = []string{note}
	}
	return l
}

// plannedMinutes is how long the plan says that somebody is at a record's stage.
func (c *costBook) plannedMinutes(r lot.Standing) int64 {
	for _, b := range c.baths {
		if b.Position == r.Position && len(r.Lots) > 0 && serves(b, r.Lots[0].LotID) {
			return handsOn(b)
		}
	}
	return 0
}

// handsOn is how many minutes somebody is at a planned bath, as the week's plan
// reckons them; of a kind that nobody gave minutes, none.
func handsOn(b lot.Bath) int64 {
	row, err := days.RowOf(b.Kind.Key)
	if err != nil {
		return 0
	}
	return int64(row.Hands(b.Celsius, b.Minutes))
}

// soFar is true of a lot that may still cost more.
func soFar(l lot.Lot) bool {
	return !slices.Contains([]lot.State{lot.Passed, lot.Imperfect, lot.Scrapped, lot.Closed, lot.ReDye, lot.PartDone, lot.Cancelled}, l.State)
}

// titleOf is the first answer: "L1: 12.40 EUR a garment, 0.85 EUR more than
// planned: mostly labour". Of a lot that is not done the plan is told beside it,
// and no difference yet.
func titleOf(l lot.Lot, s cost.Sheet, e cost.Estimate, c cost.Comparison, compared bool) string {
	plan := cost.Show(e.PerGood)
	if len(e.Unknown) > 0 {
		plan = "at least " + plan
	}
	switch {
	case l.State == lot.Cancelled:
		return l.Code + ": cancelled, it cost nothing"
	case l.IssuedAt.IsZero() && s.Total.Micro == 0:
		return l.Code + ": not begun; planned to cost " + plan + " a garment"
	case soFar(l):
		return l.Code + ": " + s.Title() + " so far, of " + plan + " planned"
	case !compared:
		return l.Code + ": " + s.Title()
	}
	title := l.Code + ": " + s.Title() + ", " + c.Title()
	if len(c.LeftOut) > 0 {
		title += " (without " + few(c.LeftOut) + ")"
	}
	return title
}

// few names two of several, and says how many more there are.
func few(names []string) string {
	if len(names) > 3 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:2], ", "), len(names)-2)
	}
	return strings.Join(names, ", ")
}
