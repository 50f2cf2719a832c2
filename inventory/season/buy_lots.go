package season

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Wanted is what must be bought of one item until a day.
type Wanted struct {
	On     time.Time
	Amount quantity.Amount // above zero
}

// TimedOffer is an offer in force with the days that its supplier really takes.
type TimedOffer struct {
	SupplierOffer
	Days int // from order to shelf, 0 or more
}

// PackOrder is one order of a plan.
type PackOrder struct {
	Offer   int // index
	Packs   int64
	OrderBy time.Time // the last day on which it comes in time
	Arrives time.Time
	Goods   quantity.Money
	Keeping quantity.Money // on the shelf until it is used
}

// PackPlan is the cheapest way to buy what a season wants.
type PackPlan struct {
	Orders   []PackOrder    // by the day they are ordered
	Goods    quantity.Money // all packs
	Carriage quantity.Money
	Keeping  quantity.Money
	Cost     quantity.Money  // goods, carriage and keeping
	Left     quantity.Amount // bought beyond what is wanted, since packs are whole
	Optimal  bool            // no cheaper plan exists under these offers
}

// LotSizePacks is Wagner & Whitin's lot sizing (LotSize) for offers as a studio
// gets them: whole packs, least orders, all-units price breaks, carriage an
// order, several suppliers with lead times of their own, offers that end.
// Keeping an amount for a year costs the share holding of its least price, from
// the day it arrives to the day it is used; what is left over is charged to the
// last day.
//
// It is an exact dynamic programme over what was bought so far, in whole packs.
// Buying while the shelf still covers the day is never cheaper, since the same
// order a day later is kept for less and may be joined with the next (the
// zero-inventory rule of Wagner & Whitin, Management Science 5 (1958) 89–96,
// which holds for packs in this form); and an order larger than all that is
// still wanted goes no further than the minimum or the last price break. Past
// budget steps it looks at orders for whole runs of days, breaks and minimums
// alone, and says that it is not proved best.
//
// A day that no offer reaches is moved to the first that one does. Errors:
// fault.Invalid on wanted, offers or holding_percent; MIXED_CURRENCY.
func LotSizePacks(wanted []Wanted, offers []TimedOffer, today time.Time, holding quantity.Percent) (PackPlan, error) {
	plain := make([]SupplierOffer, len(offers))
	for i, o := range offers {
		plain[i] = o.SupplierOffer
	}
	currency, err := OneCurrency(plain)
	switch {
	case err != nil:
		return PackPlan{}, err
	case len(offers) == 0:
		return PackPlan{}, fault.BadField("offers", "at least one is needed")
	case len(wanted) == 0:
		return PackPlan{}, fault.BadField("wanted", "nothing is wanted")
	}
	if err := CheckHolding(holding); err != nil {
		return PackPlan{}, err
	}
	s, err := newPackSearch(wanted, offers, today, holding)
	if err != nil {
		return PackPlan{}, err
	}
	optimal := true
	best, done := s.run(everySize, packBudget, math.MaxInt)
	if !done {
		optimal = false
		best, _ = s.run(tellingSizes, math.MaxInt, widest)
	}
	plan := s.plan(best, currency)
	plan.Optimal = optimal
	return plan, nil
}

// UsualHolding is what keeping stock is taken to cost a year where nobody says:
// a fifth of its price, as textbooks do (Heizer & Render's example).
var UsualHolding = quantity.WholePercent(20)

// CheckHolding refuses (fault.Invalid, field holding_percent) a share outside 0
// to 1000 % a year.
func CheckHolding(h quantity.Percent) error {
	if h < 0 || h > quantity.WholePercent(1000) {
		return fault.BadField("holding_percent", "%s a year: 0 to 1000 %% are believed", h)
	}
	return nil
}

const (
	// budget of orders looked at: about a quarter of a second.
	packBudget = 500_000
	// widest: so many part plans are kept for each day, once not all can be.
	widest = 400
	year   = 365
)

// packSearch is the programme: days are counted from today, amounts in the
// item's smallest step.
type packSearch struct {
	offers  []TimedOffer
	today   time.Time
	holding quantity.Percent
	day     []int   // of each wish, rising
	upTo    []int64 // all that is wanted until then
	reach   [][]int // [wish][offer]: the day an order for it arrives; outOfReach: it cannot
	price   int64   // keeping is reckoned at this price …
	pack    int64   // … for this amount: the least of all offers
}

const outOfReach = math.MinInt

func newPackSearch(wanted []Wanted, offers []TimedOffer, today time.Time, holding quantity.Percent) (*packSearch, error) {
	s := &packSearch{offers: offers, today: today, holding: holding}
	soonest := math.MaxInt
	for i, o := range offers {
		if last := o.Prices[len(o.Prices)-1].Price.Micro; i == 0 || lessThan(last, o.Pack.N, s.price, s.pack) {
			s.price, s.pack = last, o.Pack.N
		}
		if first := s.first(i); first != outOfReach {
			soonest = min(soonest, first+offers[i].Days)
		}
	}
	if soonest == math.MaxInt {
		return nil, fault.BadField("offers", "none of them is in force on %s or later", today.Format(time.DateOnly))
	}
	sorted := slices.Clone(wanted)
	slices.SortStableFunc(sorted, func(a, b Wanted) int { return a.On.Compare(b.On) })
	total := int64(0)
	for _, w := range sorted {
		if w.Amount.N <= 0 || w.Amount.Unit != offers[0].Pack.Unit {
			return nil, fault.BadField("wanted", "%s: an amount above zero in the unit of the packs is needed", w.Amount)
		}
		total += w.Amount.N
		on := max(s.since(w.On), soonest)
		if n := len(s.day); n > 0 && s.day[n-1] == on {
			s.upTo[n-1] = total
			continue
		}
		s.day, s.upTo = append(s.day, on), append(s.upTo, total)
	}
	for i, o := range offers {
		if packs := ceilDiv(total, o.Pack.N); packs > mostPacks {
			return nil, fault.BadField("offers", "%s would take %d packs of %s: at most %d are ordered", quantity.Amount{N: total, Unit: o.Pack.Unit}, packs, offers[i].Pack, mostPacks)
		}
	}
	for _, on := range s.day {
		reach := make([]int, len(offers))
		for i := range offers {
			reach[i] = s.arrival(i, on)
		}
		s.reach = append(s.reach, reach)
	}
	return s, nil
}

func (s *packSearch) since(d time.Time) int { return int(d.Sub(s.today) / (24 * time.Hour)) }

// first is the earliest day on which an offer may be taken.
func (s *packSearch) first(i int) int {
	o := s.offers[i]
	first := max(0, s.since(o.From))
	if o.From.IsZero() {
		first = 0
	}
	if !o.Until.IsZero() && s.since(o.Until) < first {
		return outOfReach
	}
	return first
}

// arrival is the latest day, not after on, on which an order can arrive.
func (s *packSearch) arrival(i, on int) int {
	o := s.offers[i]
	place := on - o.Days
	if !o.Until.IsZero() {
		place = min(place, s.since(o.Until))
	}
	if first := s.first(i); first == outOfReach || place < first {
		return outOfReach
	}
	return place + o.Days
}

// partPlan covers so much at such a cost. Plans are compared by cost, then by
// fewest orders.
type partPlan struct {
	bought, cost int64
	orders       int
	before       *partPlan
	offer        int
	packs        int64
	wish         int
	keeping      int64
}

func (p *partPlan) cheaper(o *partPlan) bool {
	return o == nil || p.cost < o.cost || (p.cost == o.cost && p.orders < o.orders)
}

// run goes through the wishes in turn, and keeps so many part plans of each;
// done is false where the budget ran out.
func (s *packSearch) run(sizes func(*packSearch, int64, int, int) []int64, budget, width int) (best *partPlan, done bool) {
	layer := map[int64]*partPlan{0: {}}
	for wish, need := range s.upTo {
		for i, arrives := range s.reach[wish] {
			if arrives == outOfReach {
				continue
			}
			short := make([]*partPlan, 0, len(layer))
			for _, p := range layer {
				if p.bought < need {
					short = append(short, p)
				}
			}
			slices.SortFunc(short, func(a, b *partPlan) int { return cmp.Compare(a.bought, b.bought) })
			for _, p := range short {
				for _, packs := range sizes(s, p.bought, wish, i) {
					if budget--; budget < 0 {
						return nil, false
					}
					if next := s.order(p, i, wish, packs); next.cheaper(layer[next.bought]) {
						layer[next.bought] = next
					}
				}
			}
		}
		for bought := range layer {
			if bought < need {
				delete(layer, bought)
			}
		}
		s.narrow(layer, width)
	}
	for _, p := range layer {
		if best == nil || p.cheaper(best) || (!best.cheaper(p) && p.bought < best.bought) {
			best = p
		}
	}
	return best, true
}

func (s *packSearch) order(p *partPlan, i, wish int, packs int64) *partPlan {
	o := s.offers[i]
	amount := packs * o.Pack.N
	keeping := s.keeping(p.bought, amount, s.reach[wish][i])
	return &partPlan{p.bought + amount, p.cost + o.Goods(packs).Micro + o.Carriage.Micro + keeping, p.orders + 1, p, i, packs, wish, keeping}
}

// everySize are all orders that some best plan may hold.
func everySize(s *packSearch, bought int64, _, i int) []int64 {
	o := s.offers[i]
	most := max(ceilDiv(s.upTo[len(s.upTo)-1]-bought, o.Pack.N), o.Minimum, o.lastBreak())
	sizes := make([]int64, 0, most-o.Minimum+1)
	for n := o.Minimum; n <= most && len(sizes) <= packBudget; n++ {
		sizes = append(sizes, n)
	}
	return sizes
}

// tellingSizes are orders for whole runs of wishes, breaks and the minimum.
func tellingSizes(s *packSearch, bought int64, wish, i int) []int64 {
	o := s.offers[i]
	sizes := []int64{o.Minimum}
	for _, need := range s.upTo[wish:] {
		sizes = append(sizes, max(ceilDiv(need-bought, o.Pack.N), o.Minimum))
	}
	for _, p := range o.Prices {
		sizes = append(sizes, max(p.From, o.Minimum))
	}
	slices.Sort(sizes)
	return slices.Compact(sizes)
}

// narrow keeps the part plans that are cheapest once what each still lacks is
// counted at the least price.
func (s *packSearch) narrow(layer map[int64]*partPlan, width int) {
	if len(layer) <= width {
		return
	}
	least, total := float64(s.price)/float64(s.pack), s.upTo[len(s.upTo)-1]
	rank := func(p *partPlan) float64 { return float64(p.cost) + least*float64(max(total-p.bought, 0)) }
	all := make([]*partPlan, 0, len(layer))
	for _, p := range layer {
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b *partPlan) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.bought, b.bought))
	})
	for _, p := range all[width:] {
		delete(layer, p.bought)
	}
}

// keeping is what it costs to keep an order until each part of it is used:
// price · share · Σ amount · days / (pack · 365), rounded once, half to even. The
// oldest is used first; over all orders that makes no difference.
func (s *packSearch) keeping(bought, amount int64, arrives int) int64 {
	if s.holding == 0 {
		return 0
	}
	var hi, lo uint64 // Σ amount · days
	at := bought
	for t, need := range s.upTo {
		if need <= at && t < len(s.upTo)-1 {
			continue
		}
		part := min(need, bought+amount) - at
		if t == len(s.upTo)-1 {
			part = bought + amount - at
		}
		h, l := bits.Mul64(uint64(part), uint64(s.day[t]-arrives))
		var carry uint64
		lo, carry = bits.Add64(lo, l, 0)
		hi += h + carry
		if at += part; at == bought+amount {
			break
		}
	}
	if hi == 0 && lo <= math.MaxInt64 {
		// price · share stays below 10¹² · 10⁷, beyond an int64, so in two steps of exact arithmetic.
		return mulDiv3(int64(lo), s.price, int64(s.holding), s.pack, year*1_000_000)
	}
	return math.MaxInt64 / 4 // kept for thousands of years: never the best
}
