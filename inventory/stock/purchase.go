package stock

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Purchase is what was ordered of one supplier at once.
type Purchase struct {
	ID         int64
	Supplier   string
	OrderedOn  time.Time
	PromisedOn time.Time
	By         string
	Note       string
	RecordedAt time.Time
	Lines      []PurchaseLine
}

// PurchaseLine is one item of it. What came and what is left are derived from
// its receipts, and never written.
type PurchaseLine struct {
	Line     int // from 1
	Item     Item
	Ordered  quantity.Amount
	Cost     quantity.Money // of the whole line; no currency: unknown
	Closed   string         // why nothing more will come; empty: it is open
	ClosedBy string
	Receipts []Receipt
}

// Receipt is one delivery on a line. It stands while its movement does.
type Receipt struct {
	ParcelID   int64
	MovementID int64
	Amount     quantity.Amount
	Share      int64 // of the line's cost, in millionths
	ArrivedOn  time.Time
	Reversed   bool
}

// LineState is where a line of a purchase order stands.
type LineState string

// The states. They follow from what came: nothing, less than was ordered, all
// of it or more; a closed line that did not come whole stays closed.
const (
	LineOpen     LineState = "open"
	LinePart     LineState = "part"
	LineReceived LineState = "received"
	LineClosed   LineState = "closed"
)

// Code is "Q5".
func (p Purchase) Code() string { return "Q" + strconv.FormatInt(p.ID, 10) }

// Open is true while something is still to come.
func (p Purchase) Open() bool {
	return slices.ContainsFunc(p.Lines, func(l PurchaseLine) bool { return l.Left().N > 0 })
}

// DaysLate are the days since the promised one, while something is to come.
func (p Purchase) DaysLate(today time.Time) int {
	if !p.Open() {
		return 0
	}
	return max(Days(p.PromisedOn, today), 0)
}

// Days counts whole days from one to another.
func Days(from, to time.Time) int { return int(to.Sub(from) / (24 * time.Hour)) }

// Cost of all lines; no currency where one line's is unknown.
func (p Purchase) Cost() quantity.Money {
	var sum quantity.Money
	for _, l := range p.Lines {
		var err error
		if sum, err = sum.Add(l.Cost); err != nil || l.Cost.Currency == "" {
			return quantity.Money{}
		}
	}
	return sum
}

// Received is what came and was not taken back.
func (l PurchaseLine) Received() quantity.Amount {
	came := quantity.Amount{Unit: l.Ordered.Unit}
	for _, r := range l.Receipts {
		if !r.Reversed {
			came = came.Add(r.Amount)
		}
	}
	return came
}

// Left is what is still to come; nothing of a closed line.
func (l PurchaseLine) Left() quantity.Amount {
	left := l.Ordered.Sub(l.Received())
	if left.N < 0 || l.Closed != "" {
		left.N = 0
	}
	return left
}

// Over is what came beyond what was ordered.
func (l PurchaseLine) Over() quantity.Amount {
	over := l.Received().Sub(l.Ordered)
	over.N = max(over.N, 0)
	return over
}

// State is where the line stands.
func (l PurchaseLine) State() LineState {
	switch came := l.Received(); {
	case came.N >= l.Ordered.N:
		return LineReceived
	case l.Closed != "":
		return LineClosed
	case came.N > 0:
		return LinePart
	}
	return LineOpen
}

// Text is the line in a sentence: "300 g of 500 g came, 200 g are still to
// come".
func (l PurchaseLine) Text() string {
	came, over := l.Received(), l.Over()
	switch l.State() {
	case LineOpen:
		return fmt.Sprintf("%s to come", l.Ordered)
	case LinePart:
		return fmt.Sprintf("%s of %s came, %s still to come", came, l.Ordered, l.Left())
	case LineClosed:
		return fmt.Sprintf("%s of %s came, no more will: %s", came, l.Ordered, l.Closed)
	}
	say := fmt.Sprintf("all %s came", l.Ordered)
	if over.N > 0 {
		say = fmt.Sprintf("%s came, %s more than was ordered", came, over)
	}
	if l.Closed != "" {
		say += ", though the line had been closed: " + l.Closed
	}
	return say
}

// ShareOf is the part of the line's cost that a delivery of so much covers, in
// millionths: by amount, and the whole rest for the one that completes the
// line, so that shares sum to the cost. What comes beyond the order covers
// nothing more: whoever is billed for it writes the cost at the delivery.
//
// 300 g of 500 g that cost 12.40 cover 7.44, the last 200 g cover 4.96.
func (l PurchaseLine) ShareOf(a quantity.Amount) quantity.Money {
	if l.Cost.Currency == "" {
		return quantity.Money{}
	}
	left, covered := l.Ordered.Sub(l.Received()), int64(0)
	for _, r := range l.Receipts {
		if !r.Reversed {
			covered += r.Share
		}
	}
	share := quantity.Money{Currency: l.Cost.Currency}
	switch {
	case left.N <= 0:
	case a.N >= left.N:
		share.Micro = l.Cost.Micro - covered
	default:
		share.Micro = min(l.Cost.Part(a.N, l.Ordered.N).Micro, l.Cost.Micro-covered)
	}
	return share
}

// LineFor finds the line that a delivery of an item belongs to: the one asked
// for by its number, else the first with something to come, else the first of
// that item. What came is a fact and is booked even on a line that is full or
// closed.
//
// Refused: NOT_ON_ORDER, and fault.Invalid on order_line.
func (p Purchase) LineFor(it Item, number int) (PurchaseLine, error) {
	var of []PurchaseLine
	for _, l := range p.Lines {
		if l.Item.ID == it.ID && (number == 0 || l.Line == number) {
			of = append(of, l)
		}
	}
	switch i := slices.IndexFunc(of, func(l PurchaseLine) bool { return l.Left().N > 0 }); {
	case i >= 0:
		return of[i], nil
	case len(of) > 0:
		return of[0], nil
	case number != 0:
		return PurchaseLine{}, fault.BadField("order_line", "%s has no line %d of %s", p.Code(), number, it.Code)
	}
	var items []string
	for _, l := range p.Lines {
		items = append(items, l.Item.Code)
	}
	return PurchaseLine{}, fault.Refuse("NOT_ON_ORDER", "%s is not on %s, which orders %s: leave the order out", it.Code, p.Code(), strings.Join(items, ", ")).With("order", p.Code())
}

// MayClose finds the line to close: the one asked for, or the only one with
// something to come.
//
// Refused: NOTHING_TO_COME; fault.Invalid on line where there are several or
// none of that number.
func (p Purchase) MayClose(number int) (PurchaseLine, error) {
	var open []PurchaseLine
	for _, l := range p.Lines {
		if l.Line == number && l.Left().N == 0 {
			return l, fault.Refuse("NOTHING_TO_COME", "line %d of %s has nothing to come: %s", number, p.Code(), l.Text()).With("order", p.Code())
		}
		if l.Left().N > 0 && (number == 0 || l.Line == number) {
			open = append(open, l)
		}
	}
	switch {
	case len(open) == 1:
		return open[0], nil
	case len(open) > 1:
		return PurchaseLine{}, fault.BadField("line", "%s has %d lines with something to come: say which", p.Code(), len(open))
	case number != 0:
		return PurchaseLine{}, fault.BadField("line", "%s has no line %d", p.Code(), number)
	}
	return PurchaseLine{}, fault.Refuse("NOTHING_TO_COME", "%s has nothing to come", p.Code()).With("order", p.Code())
}

// Check refuses (fault.Invalid, naming the field) an order of nobody, of
// nothing, promised before it was ordered, or in two currencies.
func (p Purchase) Check(today time.Time) error {
	switch {
	case p.Supplier == "":
		return fault.BadField("supplier", "is needed: who was it ordered from")
	case len(p.Lines) == 0:
		return fault.BadField("lines", "an order has at least one line")
	case len(p.Lines) > mostLines:
		return fault.BadField("lines", "%d lines are more than %d: write another order", len(p.Lines), mostLines)
	case p.OrderedOn.After(today):
		return fault.BadField("ordered_on", "%s is in the future: today is %s", p.OrderedOn.Format(time.DateOnly), today.Format(time.DateOnly))
	case p.PromisedOn.Before(p.OrderedOn):
		return fault.BadField("promised_on", "%s is before it is ordered, on %s", p.PromisedOn.Format(time.DateOnly), p.OrderedOn.Format(time.DateOnly))
	case Days(p.OrderedOn, p.PromisedOn) > longestLead:
		return fault.BadField("promised_on", "%s is more than %d days after it is ordered", p.PromisedOn.Format(time.DateOnly), longestLead)
	}
	currency := ""
	for i, l := range p.Lines {
		if currency == "" {
			currency = l.Cost.Currency
		}
		if l.Cost.Currency != "" && l.Cost.Currency != currency {
			return fault.BadField(fmt.Sprintf("lines[%d].cost", i), "%s and %s do not stand on one order: write two", currency, l.Cost.Currency)
		}
	}
	return nil
}

// mostLines of one order: a longer one is a price list.
const mostLines = 200
