package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Reorder is the reorder list without the method.
func (s *Sheet) Reorder(r *dyelotv1.GetReorderListResponse) { s.ReorderList(r, false) }

// ReorderList says first what matters, then what to order, and under each line
// why, and what goes wrong otherwise; with the method it adds how each was
// found.
func (s *Sheet) ReorderList(r *dyelotv1.GetReorderListResponse, method bool) {
	if r.GetHeadline() != "" {
		s.Title("%s", r.GetHeadline())
		s.Gap()
	}
	s.Title("To order or gather, %s", r.GetToday())
	if len(r.GetLines()) == 0 {
		s.Line("Nothing.")
		return
	}
	for _, l := range r.GetLines() {
		s.Gap()
		s.reorderLine(l)
		if method {
			s.reorderMethod(l.GetBuy())
		}
	}
	s.Gap()
	s.Para(0, shelfBasis)
}

func (s *Sheet) reorderLine(l *dyelotv1.ReorderLine) {
	name, buy := named(l.GetItemName(), l.GetItemCode()), l.GetBuy()
	if !some(l.GetOrder()) {
		s.Title("%s: no need to order", name)
	} else {
		head := fmt.Sprintf("Order %s of %s", amount(l.GetOrder()), name)
		head += prefixed(" from ", l.GetSupplier()) + prefixed(", by ", l.GetOrderBy())
		if n := buy.GetDaysLate(); n > 0 {
			head += fmt.Sprintf(", late by %s", days(n))
		}
		st := bold
		if l.GetLate() {
			head, st = "LATE  "+head, loud
		}
		s.hang(st, "", head)
	}
	if buy.GetCost() != nil {
		s.Para(2, "%s", buyCost(buy))
	}
	s.Para(2, "%s on hand, %s promised, %s free; open runs need %s more; kept at least %s", amount(l.GetOnHand()), amount(l.GetPromised()),
		amount(l.GetFree()), amount(l.GetNeeded()), amount(l.GetMinimum()))
	for _, c := range buy.GetComing() {
		s.Para(2, "on the way: %s from %s, %s, expected %s", amount(c.GetAmount()), c.GetSupplier(), c.GetOrderCode(), c.GetExpectedOn())
	}
	if l.GetLeadDays() > 0 {
		s.Line("  %s from order to shelf", days(l.GetLeadDays()))
	}
	if l.GetWhy() != "" {
		s.hang(plain, "  why: ", l.GetWhy())
	}
	if l.GetOtherwise() != "" {
		s.hang(plain, "  otherwise: ", l.GetOtherwise())
	}
	for _, h := range buy.GetHurry() {
		s.hang(plain, "  ask: ", h)
	}
	if buy.GetNotCompared() != "" {
		s.hang(plain, "  prices: ", buy.GetNotCompared())
	}
}

func buyCost(b *dyelotv1.Buy) string {
	packs := fmt.Sprintf("%d packs", b.GetPacks())
	if b.GetPacks() == 1 {
		packs = "1 pack"
	}
	say := fmt.Sprintf("%s for %s of %s", money(b.GetCost()), packs, amount(b.GetPack()))
	if b.GetCarriage().GetValue() != "0" && b.GetCarriage() != nil {
		say += fmt.Sprintf(", %s of it carriage", money(b.GetCarriage()))
	}
	return say + prefixed("; on the shelf on ", b.GetArrivesOn())
}

// reorderMethod is how the line was found, a line each.
func (s *Sheet) reorderMethod(b *dyelotv1.Buy) {
	for _, line := range b.GetMethod() {
		s.hang(plain, "  - ", line)
	}
}

func days(n int32) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

var reorderColumns = []string{"item", "name", "unit", "order", "packs", "pack", "order_by", "days_late", "supplier", "cost", "currency", "on_shelf_on",
	"on_hand", "promised", "free", "needed", "minimum", "on_the_way", "why", "otherwise"}

// ReorderCSV writes the list as a table for a spreadsheet: RFC 4180, figures
// exact to the smallest step.
func ReorderCSV(w io.Writer, r *dyelotv1.GetReorderListResponse) error {
	out := csv.NewWriter(w)
	if err := out.Write(reorderColumns); err != nil {
		return err
	}
	for _, l := range r.GetLines() {
		b := l.GetBuy()
		packs := ""
		if b.GetPacks() > 0 {
			packs = strconv.FormatInt(b.GetPacks(), 10)
		}
		err := out.Write([]string{inert(l.GetItemCode()), inert(l.GetItemName()), inert(l.GetOrder().GetUnit()), l.GetOrder().GetValue(), packs, b.GetPack().GetValue(), l.GetOrderBy(),
			strconv.Itoa(int(b.GetDaysLate())), inert(l.GetSupplier()), b.GetCost().GetValue(), inert(b.GetCost().GetCurrency()), b.GetArrivesOn(), l.GetOnHand().GetValue(), l.GetPromised().GetValue(),
			l.GetFree().GetValue(), l.GetNeeded().GetValue(), l.GetMinimum().GetValue(), b.GetOnTheWay().GetValue(), inert(l.GetWhy()), inert(l.GetOtherwise())})
		if err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
