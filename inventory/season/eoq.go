package season

import (
	"cmp"
	"math"
	"strconv"

	"dyelot/inventory/fault"
)

// EOQ is the order that makes carriage and shelf cost least together, for a
// steady use: demand units a year, orderCost for each order, holding for one
// unit kept a year. Cost is what both come to a year, without the goods.
//
//	quantity = √(2 · orderCost · demand / holding)
//	cost     = √(2 · orderCost · demand · holding)
//
// Source: Harris 1913; Snyder & Shen, 2nd ed., § 3.2. All three are above zero.
// Errors: fault.Invalid naming order_cost, holding_cost or demand.
func EOQ(orderCost, holding, demand float64) (quantity, cost float64, err error) {
	err = cmp.Or(
		positive("order_cost", orderCost),
		positive("holding_cost", holding),
		positive("demand", demand),
	)
	if err != nil {
		return 0, 0, err
	}
	return math.Sqrt(2 * orderCost * demand / holding), math.Sqrt(2 * orderCost * demand * holding), nil
}

// Break is one line of a price list: from this many on, every unit costs Price.
type Break struct {
	From  float64 // 0 or more
	Price float64 // for one unit, above zero
}

// Offer is what buying at one line of a price list comes to.
type Offer struct {
	Break
	Quantity float64 // best order that this price is given for
	Total    float64 // a year: goods, orders and shelf
}

// PriceBreaks compares the lines of a price list whose price holds for all
// units of an order: demand units a year, orderCost an order, and holdingShare,
// the part of a unit's price that keeping it a year costs. Breaks rise in From
// and do not rise in Price. A line whose own best order already earns the next
// line's price is left out, since nobody would pay it. Best is the index of the
// offer that costs least, the smaller order where two cost the same.
//
// Source: Heizer & Render, Operations Management, quantity discount model.
// Errors: fault.Invalid naming demand, order_cost, holding_share or
// breaks[i].from, breaks[i].price.
func PriceBreaks(demand, orderCost, holdingShare float64, breaks []Break) (offers []Offer, best int, err error) {
	err = cmp.Or(
		positive("demand", demand),
		positive("order_cost", orderCost),
		positive("holding_share", holdingShare),
		priceList(breaks),
	)
	if err != nil {
		return nil, 0, err
	}
	for i, b := range breaks {
		hold := holdingShare * b.Price
		q := max(b.From, math.Sqrt(2*demand*orderCost/hold))
		if i+1 < len(breaks) && q >= breaks[i+1].From {
			continue
		}
		o := Offer{b, q, demand*b.Price + demand/q*orderCost + q/2*hold}
		if len(offers) > 0 && o.Total < offers[best].Total {
			best = len(offers)
		}
		offers = append(offers, o)
	}
	return offers, best, nil
}

func priceList(breaks []Break) error {
	if len(breaks) == 0 {
		return fault.BadField("breaks", "a price list has at least one line")
	}
	for i, b := range breaks {
		at := "breaks[" + strconv.Itoa(i) + "]"
		if err := cmp.Or(notNegative(at+".from", b.From), positive(at+".price", b.Price)); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		if before := breaks[i-1]; b.From <= before.From {
			return fault.BadField(at+".from", "%v does not lie above the line before, %v", b.From, before.From)
		} else if b.Price > before.Price {
			return fault.BadField(at+".price", "%v is dearer than the line before, %v", b.Price, before.Price)
		}
	}
	return nil
}
