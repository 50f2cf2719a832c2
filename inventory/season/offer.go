package season

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	goods "dyelot/inventory/stock"
)

// SupplierOffer is what one supplier asks for one item: whole packs, at least
// so many at once, at an all-units price: from a break on, every pack of the
// order costs that line's price.
type SupplierOffer struct {
	Supplier string
	Pack     quantity.Amount // above zero, in the item's unit
	Minimum  int64           // packs, 1 or more
	Prices   []PackPrice     // rising in From, not rising in price, one currency
	Carriage quantity.Money  // what one order costs to send, whatever it holds; no currency: nothing
	LeadDays int             // promised
	// The days on which an order may be placed; zero: open.
	From, Until time.Time
	Note        string
}

// PackPrice is one line of a price list.
type PackPrice struct {
	From  int64          // packs, 1 or more
	Price quantity.Money // of one pack, above zero
}

// The largest that is believed, so that no sum leaves an int64.
const (
	dearestPack = 1_000_000_000_000 // a million of the currency
	mostPacks   = 100_000           // of one order
	longestLead = 730               // days
	mostBreaks  = 20
)

// Check brings an offer into order (a minimum of one pack, the breaks sorted,
// the first of them from the minimum down) and refuses nonsense (fault.Invalid,
// naming the field): another unit than the item's, a pack of nothing, a
// negative lead time, a price of nothing, one that rises with the amount, two
// currencies, days the wrong way round.
func (o SupplierOffer) Check(it goods.Item) (SupplierOffer, error) {
	if o.Minimum == 0 {
		o.Minimum = 1
	}
	switch {
	case o.Supplier == "":
		return o, fault.BadField("supplier", "is needed: whose offer is it")
	case o.Pack.Unit != it.Unit || o.Pack.N <= 0:
		return o, fault.BadField("pack", "%s: %s is sold in packs above zero, counted in %s", o.Pack, it.Code, it.Unit.Name())
	case o.Minimum < 0 || o.Minimum > mostPacks:
		return o, fault.BadField("minimum_packs", "%d packs: 1 to %d are believed", o.Minimum, mostPacks)
	case o.LeadDays < 0 || o.LeadDays > longestLead:
		return o, fault.BadField("lead_days", "%d days: 0 to %d are believed", o.LeadDays, longestLead)
	case !o.Until.IsZero() && o.Until.Before(o.From):
		return o, fault.BadField("valid_until", "%s is before it begins, on %s", o.Until.Format(time.DateOnly), o.From.Format(time.DateOnly))
	case o.Carriage.Micro < 0 || o.Carriage.Micro > dearestPack:
		return o, fault.BadField("carriage", "%s: 0 to a million are believed", o.Carriage)
	}
	return o.checkPrices()
}

func (o SupplierOffer) checkPrices() (SupplierOffer, error) {
	if len(o.Prices) == 0 || len(o.Prices) > mostBreaks {
		return o, fault.BadField("prices", "%d lines: a price list has 1 to %d", len(o.Prices), mostBreaks)
	}
	currency := o.Prices[0].Price.Currency
	if o.Carriage.Micro > 0 && o.Carriage.Currency != currency {
		return o, fault.BadField("carriage", "%s and %s do not add without a rate", o.Carriage.Currency, currency)
	}
	o.Carriage.Currency = currency
	for i, p := range o.Prices {
		at := "prices[" + strconv.Itoa(i) + "]"
		switch {
		case p.From < 1 || p.From > mostPacks:
			return o, fault.BadField(at+".from_packs", "%d packs: 1 to %d are believed", p.From, mostPacks)
		case p.Price.Micro <= 0 || p.Price.Micro > dearestPack:
			return o, fault.BadField(at+".price", "%s: above 0 and at most a million are believed", p.Price)
		case p.Price.Currency != currency:
			return o, fault.BadField(at+".price", "%s and %s on one price list: an offer is in one currency", currency, p.Price.Currency)
		}
	}
	o.Prices = slices.Clone(o.Prices)
	slices.SortStableFunc(o.Prices, func(a, b PackPrice) int { return int(a.From - b.From) })
	for i := 1; i < len(o.Prices); i++ {
		before, p := o.Prices[i-1], o.Prices[i]
		at := "prices[" + strconv.Itoa(i) + "]"
		if p.From == before.From {
			return o, fault.BadField(at+".from_packs", "%d packs have two prices", p.From)
		}
		if p.Price.Micro > before.Price.Micro {
			return o, fault.BadField(at+".price", "%s from %d packs is dearer than %s from %d", p.Price, p.From, before.Price, before.From)
		}
	}
	if first := o.Prices[0].From; first > o.Minimum {
		return o, fault.BadField("prices[0].from_packs", "no price is given below %d packs, and %d may be bought: give that price, or a least order of %d packs", first, o.Minimum, first)
	}
	return o, nil
}

// InForce is true on a day on which an order may be placed.
func (o SupplierOffer) InForce(on time.Time) bool {
	return !on.Before(o.From) && (o.Until.IsZero() || !on.After(o.Until))
}

// Currency of its prices.
func (o SupplierOffer) Currency() string { return o.Prices[0].Price.Currency }

// PacksFor is how many packs an order of at least so much takes: whole ones,
// and no fewer than the minimum.
func (o SupplierOffer) PacksFor(a quantity.Amount) int64 {
	return max(ceilDiv(a.N, o.Pack.N), o.Minimum)
}

// Amount of so many packs.
func (o SupplierOffer) Amount(packs int64) quantity.Amount {
	return quantity.Amount{N: packs * o.Pack.N, Unit: o.Pack.Unit}
}

// PriceAt is the price of one pack in an order of so many.
func (o SupplierOffer) PriceAt(packs int64) quantity.Money {
	price := o.Prices[0].Price
	for _, p := range o.Prices {
		if packs >= p.From {
			price = p.Price
		}
	}
	return price
}

// Goods is what an order of so many packs costs without carriage.
//
// Source of the rule: all-units discount, Heizer & Render, Operations
// Management, quantity discount model.
func (o SupplierOffer) Goods(packs int64) quantity.Money {
	p := o.PriceAt(packs)
	return quantity.Money{Micro: p.Micro * packs, Currency: p.Currency}
}

// lastBreak is the least order that earns the lowest price.
func (o SupplierOffer) lastBreak() int64 { return o.Prices[len(o.Prices)-1].From }

// OneCurrency is the currency of offers that are to be compared.
// Refused: MIXED_CURRENCY.
func OneCurrency(offers []SupplierOffer) (string, error) {
	for _, o := range offers {
		if a, b := offers[0], o; a.Currency() != b.Currency() {
			return "", fault.Refuse("MIXED_CURRENCY", "%s asks %s and %s asks %s: two currencies are not compared without a rate, so name the supplier",
				a.Supplier, a.Currency(), b.Supplier, b.Currency()).With("one", a.Currency()).With("other", b.Currency())
		}
	}
	if len(offers) == 0 {
		return "", nil
	}
	return offers[0].Currency(), nil
}

// PriceList says it in words: "500 g 6.80 EUR, from 4 packs 6.10 EUR".
func (o SupplierOffer) PriceList() string {
	say := fmt.Sprintf("%s %s", o.Pack, o.Prices[0].Price)
	for _, p := range o.Prices[1:] {
		say += fmt.Sprintf(", from %d packs %s", p.From, p.Price)
	}
	return say
}

func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}
