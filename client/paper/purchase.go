package paper

import (
	"fmt"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// OfferSet confirms an offer.
func (s *Sheet) OfferSet(r *dyelotv1.SetOfferResponse) {
	o := r.GetOffer()
	s.Title("%s: %s", named(o.GetItemName(), o.GetItemCode()), o.GetSupplier())
	s.offer(o)
	if was := r.GetReplaced(); was != nil {
		s.Para(0, "it takes the place of: %s", offerPrices(was))
	}
	s.Para(0, "see what that does to the reorder list with: dyelot reorder --item %s --why", o.GetItemCode())
}

// OfferWithdrawn confirms that one ended.
func (s *Sheet) OfferWithdrawn(r *dyelotv1.WithdrawOfferResponse) {
	o := r.GetOffer()
	s.Title("%s: the offer of %s is withdrawn", named(o.GetItemName(), o.GetItemCode()), o.GetSupplier())
	s.Para(0, "%s", o.GetWithdrawnReason())
}

// Offers lists what suppliers ask.
func (s *Sheet) Offers(r *dyelotv1.ListOffersResponse) {
	if len(r.GetOffers()) == 0 {
		s.Line("No offers. Write one with: dyelot offer set ITEM SUPPLIER --pack 500g --price 6.80 --lead-days 10")
		return
	}
	for i, o := range r.GetOffers() {
		if i > 0 {
			s.Gap()
		}
		head := fmt.Sprintf("%s: %s", named(o.GetItemName(), o.GetItemCode()), o.GetSupplier())
		switch {
		case o.GetWithdrawn():
			head += ", withdrawn: " + o.GetWithdrawnReason()
		case !o.GetInForce():
			head += ", not in force today"
		}
		s.Title("%s", head)
		s.offer(o)
	}
}

func (s *Sheet) offer(o *dyelotv1.Offer) {
	s.Para(2, "%s; %s a %s at best", offerPrices(o), money(o.GetPerUnit()), o.GetPer())
	if o.GetMinimumPacks() > 1 {
		s.Para(2, "at least %d packs at once", o.GetMinimumPacks())
	}
	if o.GetLead().GetText() != "" {
		s.Para(2, "%s", o.GetLead().GetText())
	}
	if valid := prefixed("from ", o.GetValidFrom()) + prefixed(" until ", o.GetValidUntil()); valid != "" {
		s.Para(2, "may be ordered %s", strings.TrimSpace(valid))
	}
	if o.GetNote() != "" {
		s.Para(2, "%s", o.GetNote())
	}
}

func offerPrices(o *dyelotv1.Offer) string {
	var list []string
	for i, p := range o.GetPrices() {
		if i == 0 {
			list = append(list, fmt.Sprintf("packs of %s at %s", amount(o.GetPack()), money(p.GetPrice())))
			continue
		}
		list = append(list, fmt.Sprintf("from %d packs %s", p.GetFromPacks(), money(p.GetPrice())))
	}
	if o.GetCarriage() != nil {
		list = append(list, fmt.Sprintf("carriage %s an order", money(o.GetCarriage())))
	}
	return strings.Join(list, ", ")
}

// Ordered confirms orders.
func (s *Sheet) Ordered(r *dyelotv1.OrderPurchaseResponse) {
	for i, p := range r.GetPurchases() {
		if i > 0 {
			s.Gap()
		}
		s.Purchase(p)
	}
}

// Purchase is an order as it stands.
func (s *Sheet) Purchase(p *dyelotv1.Purchase) {
	s.Title("%s: ordered from %s on %s%s", p.GetCode(), p.GetSupplier(), p.GetOrderedOn(), prefixed(" by ", p.GetBy()))
	switch {
	case p.GetDaysLate() > 0:
		s.hang(loud, "", fmt.Sprintf("LATE  promised for %s, %s ago", p.GetPromisedOn(), days(p.GetDaysLate())))
	case p.GetExpectedOn() != "" && p.GetExpectedOn() != p.GetPromisedOn():
		s.Para(0, "promised for %s, expected on %s: that is how late they are", p.GetPromisedOn(), p.GetExpectedOn())
	default:
		s.Para(0, "promised for %s", p.GetPromisedOn())
	}
	if p.GetNote() != "" {
		s.Para(0, "%s", p.GetNote())
	}
	s.purchaseLines(p)
	if p.GetCost() != nil {
		s.Line("%s for the goods", money(p.GetCost()))
	}
	for _, l := range p.GetLines() {
		if some(l.GetLeft()) {
			s.Para(0, "when it comes: dyelot stock receive %s %s --order %s", l.GetItemCode(), amountWord(l.GetLeft()), p.GetCode())
			return
		}
	}
}

func (s *Sheet) purchaseLines(p *dyelotv1.Purchase) {
	for _, l := range p.GetLines() {
		s.hang(plain, fmt.Sprintf("  %d  ", l.GetLine()), fmt.Sprintf("%s: %s%s", named(l.GetItemName(), l.GetItemCode()), l.GetText(), prefixed(", ", moneyIfAny(l.GetCost()))))
		for _, r := range l.GetReceipts() {
			say := fmt.Sprintf("%s as %s on %s, after %s", amount(r.GetAmount()), r.GetParcelCode(), r.GetArrivedOn(), days(r.GetDays()))
			if r.GetReversed() {
				say += ", taken back"
			}
			s.hang(plain, "     ", say)
		}
	}
}

func moneyIfAny(m *dyelotv1.Money) string {
	if m == nil {
		return ""
	}
	return money(m)
}

// amountWord is an amount as it is typed: "500g".
func amountWord(a *dyelotv1.Amount) string { return a.GetValue() + a.GetUnit() }

// Purchases lists orders.
func (s *Sheet) Purchases(r *dyelotv1.ListPurchasesResponse) {
	if len(r.GetPurchases()) == 0 {
		s.Line("No such orders.")
		return
	}
	var rows [][]string
	for _, p := range r.GetPurchases() {
		var lines []string
		for _, l := range p.GetLines() {
			lines = append(lines, l.GetItemCode()+" "+l.GetText())
		}
		when := p.GetPromisedOn()
		if n := p.GetDaysLate(); n > 0 {
			when += " LATE by " + days(n)
		}
		rows = append(rows, []string{p.GetCode(), p.GetSupplier(), p.GetOrderedOn(), when, strings.Join(lines, "; ")})
	}
	s.Table([]string{"order", "from", "ordered", "promised", "what came"}, rows)
}

// LineClosed confirms that what is left will not come.
func (s *Sheet) LineClosed(r *dyelotv1.ClosePurchaseLineResponse) {
	s.Title("%s: line %s is closed", r.GetPurchase().GetCode(), strconv.Itoa(int(r.GetLine())))
	s.purchaseLines(r.GetPurchase())
	s.Para(0, "what is still needed stands in: dyelot reorder")
}

// BlanksPlanned is how many blanks to buy for a season.
func (s *Sheet) BlanksPlanned(r *dyelotv1.PlanBlanksResponse) {
	name := named(r.GetItemName(), r.GetItemCode())
	if some(r.GetBuy()) {
		s.Title("Buy %s of %s%s%s", amount(r.GetBuy()), name, prefixed(" from ", r.GetSupplier()), prefixed(", ", moneyIfAny(r.GetCost())))
	} else {
		s.Title("Buy none of %s: there are enough", name)
	}
	s.Para(2, "%s for the season; nine seasons out of ten take %s to %s", amount(r.GetQuantity()), r.GetLow().GetValue(), amount(r.GetHigh()))
	s.Para(2, "%s on hand, %s on the way", amount(r.GetOnHand()), amount(r.GetOnTheWay()))
	for _, m := range r.GetMethod() {
		s.hang(plain, "  - ", m)
	}
}
