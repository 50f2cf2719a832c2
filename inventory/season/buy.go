package season

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	goods "dyelot/inventory/stock"
)

// Buying is all that decides how an item is bought.
type Buying struct {
	Item    goods.Item // with its sums
	Needs   []goods.Need
	Coming  []goods.Coming
	Offers  []SupplierOffer  // newest of each supplier; those not in force are not looked at
	Days    map[string][]int // of deliveries of the item, by SupplierKey
	Holding quantity.Percent // what keeping costs a year
	Today   time.Time
}

// SupplierKey is a supplier's name however it is written.
func SupplierKey(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// BuyLine is one line of the reorder list, whole.
type BuyLine struct {
	goods.Order
	DaysLate int // since it should have been ordered
	Lead     LeadTime
	// First is the order to place; absent (nil) where nothing need be ordered or
	// no offer says what it costs.
	First       *PackOrder
	Offers      []TimedOffer // that were compared; First and Plan point into it
	Plan        PackPlan
	Others      []Rival
	Arrives     time.Time
	NotCompared string   // why no supplier was chosen
	Method      []string // a line each
}

// Rival is what another offer would cost for what First covers.
type Rival struct {
	Supplier string
	Packs    int64
	Cost     quantity.Money
	Arrives  time.Time // when it could be here
	InTime   bool
	Text     string
}

// Buy says what to order of an item, how much, until when and from whom.
// Without an offer in force it is goods.Reorder, by the item's own terms; with
// offers the cheapest plan that still arrives in time (LotSizePacks), whose
// first order is the line. Lead times are the real ones where three deliveries
// are known (LeadOf). Errors: fault.Invalid on holding_percent.
func Buy(b Buying) (BuyLine, error) {
	if err := CheckHolding(b.Holding); err != nil {
		return BuyLine{}, err
	}
	offers := b.inForce()
	if len(offers) == 0 {
		return b.byTerms(""), nil
	}
	plain := make([]SupplierOffer, len(offers))
	for i, o := range offers {
		plain[i] = o.SupplierOffer
	}
	if _, err := OneCurrency(plain); err != nil {
		f, _ := fault.Of(err)
		return b.byTerms(f.Say), nil
	}
	return b.byOffers(offers)
}

// inForce are the offers that may be taken now or later, with real lead times,
// by supplier.
func (b Buying) inForce() []TimedOffer {
	var timed []TimedOffer
	for _, o := range b.Offers {
		if o.Until.IsZero() || !o.Until.Before(b.Today) {
			timed = append(timed, TimedOffer{o, LeadOf(o.LeadDays, b.Days[SupplierKey(o.Supplier)]).Used})
		}
	}
	slices.SortStableFunc(timed, func(a, b TimedOffer) int { return cmp.Compare(SupplierKey(a.Supplier), SupplierKey(b.Supplier)) })
	return timed
}

func (b Buying) byTerms(notCompared string) BuyLine {
	lead := LeadOf(b.Item.Terms.LeadDays, b.Days[SupplierKey(b.Item.Terms.Supplier)])
	it := b.Item
	it.Terms.LeadDays = lead.Used
	line := BuyLine{Order: goods.Reorder(it, b.Needs, b.Today, b.Coming...), Lead: lead, NotCompared: notCompared}
	if line.Order.Order.N == 0 {
		return line
	}
	line.DaysLate = max(goods.Days(line.OrderBy, b.Today), 0)
	line.Arrives = later(line.OrderBy, b.Today).AddDate(0, 0, lead.Used)
	line.Method = []string{"lead time: " + lead.Text()}
	switch {
	case notCompared != "":
		line.Method = append(line.Method, "prices: "+notCompared)
	default:
		line.Method = append(line.Method, fmt.Sprintf("prices: no offer is in force; dyelot offer set %s …", it.Code))
	}
	return line
}

func (b Buying) byOffers(offers []TimedOffer) (BuyLine, error) {
	it := b.Item
	soonest := offers[0].soonest(b.Today)
	for _, o := range offers {
		soonest = earlier(soonest, o.soonest(b.Today))
	}
	it.Terms.LeadDays = goods.Days(b.Today, soonest)
	line := BuyLine{Order: goods.Reorder(it, b.Needs, b.Today, b.Coming...), Offers: offers}
	line.Item.Terms = b.Item.Terms
	if line.Order.Order.N == 0 {
		return line, nil
	}
	wanted := make([]Wanted, len(line.Net))
	undated := line.Net[0].On.IsZero()
	for i, n := range line.Net {
		if wanted[i] = (Wanted{n.On, n.Amount}); n.On.IsZero() {
			wanted[i].On = b.anyDay(offers, line.Net)
		}
	}
	var err error
	if line.Plan, err = LotSizePacks(wanted, offers, b.Today, b.Holding); err != nil {
		return line, err
	}
	first := line.Plan.Orders[0]
	o := offers[first.Offer]
	line.First = &first
	line.Order.Order, line.Arrives = o.Amount(first.Packs), first.Arrives
	line.Lead = LeadOf(o.LeadDays, b.Days[SupplierKey(o.Supplier)])
	line.OrderBy = first.OrderBy
	// The plan moves a day that nobody reaches; the list shows the one it was.
	if on := line.Net[0].On; !undated && on.Before(first.Arrives) {
		line.OrderBy = on.AddDate(0, 0, -o.Days)
	}
	if undated {
		line.OrderBy = b.Today
	}
	line.Late, line.DaysLate = line.OrderBy.Before(b.Today), max(goods.Days(line.OrderBy, b.Today), 0)
	line.Others = b.rivals(line, wanted[0].On)
	line.Why, line.Method = b.why(line), b.method(line)
	return line, nil
}

// anyDay is when needs without a day are taken to be due: after all others, and
// when every offer is in time.
func (b Buying) anyDay(offers []TimedOffer, net []goods.Net) time.Time {
	on := b.Today
	for _, o := range offers {
		on = later(on, o.soonest(b.Today))
	}
	for _, n := range net {
		on = later(on, n.On)
	}
	return on
}

// soonest is the first day on which an order can be on the shelf.
func (o TimedOffer) soonest(today time.Time) time.Time {
	return later(today, o.From).AddDate(0, 0, o.Days)
}

// rivals are the other offers, each for what the first order covers, the
// cheapest first.
func (b Buying) rivals(line BuyLine, on time.Time) []Rival {
	covers := line.Order.Order
	if left := line.Plan.Left; len(line.Plan.Orders) == 1 {
		covers = covers.Sub(left)
	}
	chosen := line.Offers[line.First.Offer]
	cost := chosen.Goods(line.First.Packs).Micro + chosen.Carriage.Micro
	var rivals []Rival
	for i, o := range line.Offers {
		if i == line.First.Offer {
			continue
		}
		packs := o.PacksFor(covers)
		r := Rival{Supplier: o.Supplier, Packs: packs, Cost: quantity.Money{Micro: o.Goods(packs).Micro + o.Carriage.Micro, Currency: o.Currency()}, Arrives: o.soonest(b.Today)}
		r.InTime = !r.Arrives.After(on)
		gap := quantity.Money{Micro: r.Cost.Micro - cost, Currency: r.Cost.Currency}
		r.Text = fmt.Sprintf("%s from %s would cost %s", o.Amount(packs), o.Supplier, r.Cost)
		switch {
		case gap.Micro > 0:
			r.Text += fmt.Sprintf(", %s more", gap)
		case gap.Micro < 0:
			gap.Micro = -gap.Micro
			r.Text += fmt.Sprintf(", %s less", gap)
		}
		if !r.InTime {
			r.Text += fmt.Sprintf(", and be here on %s: too late", Weekday(r.Arrives))
		}
		rivals = append(rivals, r)
	}
	slices.SortStableFunc(rivals, func(a, b Rival) int {
		if a.InTime != b.InTime {
			if a.InTime {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Cost.Micro, b.Cost.Micro)
	})
	return rivals
}

// why is goods.Reorder's sentence with what is really bought in its end.
func (b Buying) why(line BuyLine) string {
	figures, _, _ := strings.Cut(line.Why, ": ")
	if i := strings.LastIndex(line.Why, " missing"); i >= 0 {
		figures = line.Why[:strings.LastIndex(line.Why[:i], ": ")]
	}
	o, first := line.Offers[line.First.Offer], line.First
	say := fmt.Sprintf("%s: %s missing", figures, line.Missing())
	if line.Order.Order != line.Missing() || first.Packs > 1 {
		say += fmt.Sprintf(", %s in packs of %s", line.Order.Order, o.Pack)
	}
	if n := len(line.Plan.Orders); n > 1 {
		say += fmt.Sprintf(" now, in %d orders over the season", n)
	}
	say += fmt.Sprintf("; it takes %s from %s", inDays(o.Days), o.Supplier)
	if line.Late {
		say += fmt.Sprintf(", so it comes too late for %s unless that day moves", line.Net[0].On.Format(time.DateOnly))
	}
	return say
}

// method is how the line was found, a line each.
func (b Buying) method(line BuyLine) []string {
	o := line.Offers[line.First.Offer]
	say := []string{"lead time: " + line.Lead.Text()}
	sizes := make([]string, len(line.Plan.Orders))
	for i, p := range line.Plan.Orders {
		sizes[i] = fmt.Sprintf("%s from %s by %s", line.Offers[p.Offer].Amount(p.Packs), line.Offers[p.Offer].Supplier, Weekday(p.OrderBy))
	}
	proof := "no cheaper plan exists under these offers"
	if !line.Plan.Optimal {
		proof = "the best found; too many packs to prove that none is cheaper"
	}
	say = append(say, fmt.Sprintf("order sizes: %s; goods %s, carriage %s, keeping %s at %s a year (Wagner–Whitin in packs; %s)",
		strings.Join(sizes, ", then "), line.Plan.Goods, line.Plan.Carriage, line.Plan.Keeping, b.Holding, proof))
	if line.Plan.Left.N > 0 {
		say = append(say, fmt.Sprintf("left over: %s, since it is sold in packs of %s", line.Plan.Left, o.Pack))
	}
	price := "prices: " + o.Supplier + " " + o.PriceList()
	if o.Carriage.Micro > 0 {
		price += fmt.Sprintf(", carriage %s an order", o.Carriage)
	}
	say = append(say, price)
	for _, r := range line.Others {
		say = append(say, "other: "+r.Text)
	}
	for _, h := range line.Hurry {
		say = append(say, "on the way: "+h.Text())
	}
	return say
}

// Cost of the order to place, with its carriage; no currency where no offer
// says.
func (l BuyLine) Cost() quantity.Money {
	if l.First == nil {
		return quantity.Money{}
	}
	o := l.Offers[l.First.Offer]
	return quantity.Money{Micro: l.First.Goods.Micro + o.Carriage.Micro, Currency: o.Currency()}
}

// From is who to order of; empty where nobody is known.
func (l BuyLine) From() string {
	if l.First == nil {
		return l.Item.Terms.Supplier
	}
	return l.Offers[l.First.Offer].Supplier
}

// Weekday writes a day as it is said: "Thu 14 May".
func Weekday(d time.Time) string { return d.Format("Mon 2 Jan") }

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
