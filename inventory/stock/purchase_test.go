package stock_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func eur(micro int64) quantity.Money { return quantity.Money{Micro: micro, Currency: "EUR"} }

func ordered(amounts ...int64) stock.Purchase {
	p := stock.Purchase{ID: 5, Supplier: "harbour salts", OrderedOn: today, PromisedOn: day("2026-05-21")}
	for i, n := range amounts {
		p.Lines = append(p.Lines, stock.PurchaseLine{Line: i + 1, Item: alum, Ordered: g(n), Cost: eur(12_400_000)})
	}
	return p
}

// came books deliveries on a line.
func came(l stock.PurchaseLine, amounts ...int64) stock.PurchaseLine {
	for _, n := range amounts {
		l.Receipts = append(l.Receipts, stock.Receipt{Amount: g(n), Share: l.ShareOf(g(n)).Micro})
	}
	return l
}

func TestALineSaysWhatCame(t *testing.T) {
	t.Parallel()
	line := ordered(500).Lines[0]
	closed := came(line, 300)
	closed.Closed = "sold out"
	after := came(closed, 250)
	for name, c := range map[string]struct {
		line       stock.PurchaseLine
		state      stock.LineState
		left, over int64
		text       string
	}{
		"nothing yet": {line, stock.LineOpen, 500, 0, "500 g to come"},
		"short":       {came(line, 300), stock.LinePart, 200, 0, "300 g of 500 g came, 200 g still to come"},
		"in two":      {came(line, 300, 200), stock.LineReceived, 0, 0, "all 500 g came"},
		"over":        {came(line, 300, 250), stock.LineReceived, 0, 50, "550 g came, 50 g more than was ordered"},
		"closed":      {closed, stock.LineClosed, 0, 0, "300 g of 500 g came, no more will: sold out"},
		"after all":   {after, stock.LineReceived, 0, 50, "550 g came, 50 g more than was ordered, though the line had been closed: sold out"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if c.line.State() != c.state || c.line.Left() != g(c.left) || c.line.Over() != g(c.over) || c.line.Text() != c.text {
				t.Errorf("%s, %s left, %s over: %s", c.line.State(), c.line.Left(), c.line.Over(), c.line.Text())
			}
		})
	}
}

// The worked shares of the doc comment, by hand.
func TestSharesOfALine(t *testing.T) {
	t.Parallel()
	line := came(ordered(500).Lines[0], 300, 200, 40)
	for i, want := range []int64{7_440_000, 4_960_000, 0} {
		if got := line.Receipts[i].Share; got != want {
			t.Errorf("delivery %d covers %d, want %d", i, got, want)
		}
	}
}

func TestWhichLineIsMeant(t *testing.T) {
	t.Parallel()
	p := ordered(500, 200)
	if l, err := p.LineFor(alum, 0); err != nil || l.Line != 1 {
		t.Error(l.Line, err)
	}
	p.Lines[0] = came(p.Lines[0], 500)
	if l, err := p.LineFor(alum, 0); err != nil || l.Line != 2 {
		t.Error(l.Line, err)
	}
	if l, err := p.LineFor(alum, 1); err != nil || l.Line != 1 {
		t.Error("a full line is booked on when it is asked for:", l.Line, err)
	}
	if l, err := p.MayClose(0); err != nil || l.Line != 2 {
		t.Error(l.Line, err)
	}
	_, err := p.LineFor(weld, 0)
	refused(t, err, "NOT_ON_ORDER")
	_, err = p.LineFor(alum, 3)
	field(t, err, "order_line")
	_, err = p.MayClose(1)
	refused(t, err, "NOTHING_TO_COME")
	_, err = p.MayClose(9)
	field(t, err, "line")
	_, err = ordered(1, 1).MayClose(0)
	field(t, err, "line")
}

func TestOrdersThatAreNone(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*stock.Purchase){
		"supplier":      func(p *stock.Purchase) { p.Supplier = "" },
		"lines":         func(p *stock.Purchase) { p.Lines = nil },
		"ordered_on":    func(p *stock.Purchase) { p.OrderedOn = day("2026-05-15") },
		"promised_on":   func(p *stock.Purchase) { p.PromisedOn = day("2026-05-13") },
		"lines[1].cost": func(p *stock.Purchase) { p.Lines[1].Cost.Currency = "NOK" },
	} {
		p := ordered(500, 500)
		change(&p)
		field(t, p.Check(today), name)
	}
	if err := ordered(500).Check(today); err != nil {
		t.Error(err)
	}
}

// A line's life as a machine: deliveries, reversals and a close in any order.
// What is left, what is over and what came always balance; the states are as
// the table has them; the shares of a line whose deliveries were never taken
// back sum to its cost once it is whole, and never go beyond it.
func TestALinesLife(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := stock.PurchaseLine{Line: 1, Item: alum, Ordered: g(rapid.Int64Range(1, 1000).Draw(t, "ordered")), Cost: eur(rapid.Int64Range(0, 1e9).Draw(t, "cost"))}
		takenBack := false
		t.Repeat(map[string]func(*rapid.T){
			"receive": func(t *rapid.T) {
				a := g(rapid.Int64Range(1, 600).Draw(t, "amount"))
				l.Receipts = append(l.Receipts, stock.Receipt{Amount: a, Share: l.ShareOf(a).Micro})
			},
			"reverse": func(t *rapid.T) {
				if n := len(l.Receipts); n > 0 {
					l.Receipts[rapid.IntRange(0, n-1).Draw(t, "which")].Reversed, takenBack = true, true
				}
			},
			"close": func(*rapid.T) {
				if _, err := (stock.Purchase{Lines: []stock.PurchaseLine{l}}).MayClose(1); err == nil {
					l.Closed = "sold out"
				}
			},
			"": func(t *rapid.T) {
				came, shares := int64(0), int64(0)
				for _, r := range l.Receipts {
					if !r.Reversed {
						came, shares = came+r.Amount.N, shares+r.Share
					}
				}
				if l.Received().N != came || shares > l.Cost.Micro || (came >= l.Ordered.N && !takenBack && shares != l.Cost.Micro) {
					t.Fatalf("%d came, covering %d of %d", came, shares, l.Cost.Micro)
				}
				if l.Closed == "" && came+l.Left().N-l.Over().N != l.Ordered.N {
					t.Fatalf("%d came, %s left, %s over, %s ordered", came, l.Left(), l.Over(), l.Ordered)
				}
				want := stock.LineOpen
				switch {
				case came >= l.Ordered.N:
					want = stock.LineReceived
				case l.Closed != "":
					want = stock.LineClosed
				case came > 0:
					want = stock.LinePart
				}
				if l.State() != want || (l.Left().N > 0) != (want == stock.LineOpen || want == stock.LinePart) {
					t.Fatalf("state %s with %s left", l.State(), l.Left())
				}
			},
		})
	})
}
