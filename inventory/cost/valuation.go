package cost

import (
	"strconv"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Layer is an amount on the shelf and what all of it has cost.
type Layer struct {
	Amount quantity.Amount // above zero, or the absent amount for an empty heap
	Cost   quantity.Money  // zero or more
}

// FirstIn values a use by first in, first out: layers are the receipts that
// have something left, oldest first, and stay as they are; left is what remains
// of them. Where a layer is used in part, its cost is divided by amount,
// half-even to a millionth, and the rest stays with the rest. Errors:
// fault.Invalid naming layers[i].amount, layers[i].cost or used;
// fault.Refused STOCK_SHORT where the layers do not hold so much.
func FirstIn(layers []Layer, used quantity.Amount) (cost quantity.Money, left []Layer, err error) {
	if err := checkUse(layers, used); err != nil {
		return quantity.Money{}, nil, err
	}
	if len(layers) > 0 {
		cost.Currency = layers[0].Cost.Currency
	}
	open := used
	for _, l := range layers {
		n := min(open.N, l.Amount.N)
		taken, rest := l.take(n)
		cost.Micro += taken.Micro
		open.N -= n
		if rest.Amount.N > 0 {
			left = append(left, rest)
		}
	}
	if open.N > 0 {
		return quantity.Money{}, nil, short(used, used.Sub(open))
	}
	return cost, left, nil
}

// MovingAverage values a use at the average price of the heap; left is what
// remains of it, at the same price but for the rounding of the cost, half-even
// to a millionth. The last of a heap takes all that is left of its cost, and
// leaves the zero Layer. Errors: fault.Invalid naming heap.amount, heap.cost or
// used; fault.Refused STOCK_SHORT where the heap does not hold so much.
func MovingAverage(heap Layer, used quantity.Amount) (cost quantity.Money, left Layer, err error) {
	var layers []Layer // a heap is one layer
	if heap != (Layer{}) {
		if err := heap.check("heap"); err != nil {
			return quantity.Money{}, Layer{}, err
		}
		layers = append(layers, heap)
	}
	cost, layers, err = FirstIn(layers, used)
	if len(layers) > 0 {
		left = layers[0]
	}
	return cost, left, err
}

// Receive throws a receipt onto the heap. The zero Layer is the empty heap.
// Errors: fault.Invalid naming heap or received, and where two units or two
// currencies meet, or the sum passes quantity.Max.
func (heap Layer) Receive(received Layer) (Layer, error) {
	if err := received.check("received"); err != nil {
		return Layer{}, err
	}
	if heap == (Layer{}) {
		return received, nil
	}
	if err := heap.check("heap"); err != nil {
		return Layer{}, err
	}
	if err := fits("received.amount", received.Amount, heap.Amount); err != nil {
		return Layer{}, err
	}
	paid, err := heap.Cost.Add(received.Cost)
	if err != nil {
		return Layer{}, fault.In("received.cost", err)
	}
	sum := Layer{heap.Amount.Add(received.Amount), paid}
	if sum.Amount.N > quantity.Max || paid.Micro > quantity.Max {
		return Layer{}, fault.BadField("received", "the heap would pass %s or %s, more than is kept here",
			quantity.Amount{N: quantity.Max, Unit: sum.Amount.Unit}, quantity.Money{Micro: quantity.Max, Currency: paid.Currency})
	}
	return sum, nil
}

// take divides a layer into the cost of n smallest steps and what is left.
func (l Layer) take(n int64) (cost quantity.Money, rest Layer) {
	cost = l.Cost.Part(n, l.Amount.N)
	rest = l
	rest.Amount.N -= n
	rest.Cost.Micro -= cost.Micro
	return cost, rest
}

func checkUse(layers []Layer, used quantity.Amount) error {
	for i, l := range layers {
		at := "layers[" + strconv.Itoa(i) + "]"
		if err := l.check(at); err != nil {
			return err
		}
		if err := fits(at+".amount", l.Amount, layers[0].Amount); err != nil {
			return err
		}
		if first := layers[0].Cost.Currency; l.Cost.Currency != first {
			return fault.BadField(at+".cost", "%s and %s do not add without a rate", first, l.Cost.Currency)
		}
	}
	if len(layers) > 0 {
		return fits("used", used, layers[0].Amount)
	}
	return fits("used", used, used)
}

// check refuses an amount or a cost that no receipt has.
func (l Layer) check(at string) error {
	if err := fits(at+".amount", l.Amount, l.Amount); err != nil {
		return err
	}
	switch {
	case l.Amount.N == 0:
		return fault.BadField(at+".amount", "nothing has no price: leave it out")
	case l.Cost.Micro < 0 || l.Cost.Micro > quantity.Max:
		return fault.BadField(at+".cost", "%s does not lie from 0 to the most that is kept here", l.Cost)
	case l.Cost.Currency == "":
		return fault.BadField(at+".cost", "a sum needs its currency")
	}
	return nil
}

// fits refuses what is negative, beyond quantity.Max, or counts something else.
func fits(field string, a, like quantity.Amount) error {
	switch {
	case a.Unit == 0:
		return fault.BadField(field, "an amount is needed here")
	case a.Unit != like.Unit:
		return fault.BadField(field, "%s is %s, and the rest is %s", a, a.Unit, like.Unit)
	case a.N < 0 || a.N > quantity.Max:
		return fault.BadField(field, "%s does not lie from 0 to the most that is kept here", a)
	}
	return nil
}

func short(used, there quantity.Amount) error {
	return fault.Refuse("STOCK_SHORT", "%s cannot be valued, %s are there", used, there).
		With("asked", used.String()).With("there", there.String())
}
