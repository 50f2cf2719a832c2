package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// shelfBasis is said once under every table of stock.
const shelfBasis = "As weighed on the shelf: cloth air-dry, plants dry, salts as sold, liquors by volume. Free is on hand less promised."

// Items lists what the studio keeps.
func (s *Sheet) Items(r *dyelotv1.ListItemsResponse) {
	if len(r.GetItems()) == 0 {
		s.Line("No item yet. Add one with: dyelot item add mordant alum --substance \"potassium alum\"")
		return
	}
	var rows [][]string
	for _, i := range r.GetItems() {
		rows = append(rows, []string{i.GetCode(), i.GetName(), i.GetKind(), amount(i.GetOnHand()), amount(i.GetPromised()), amount(i.GetFree())})
	}
	s.Table([]string{"item", "name", "kind", ">on hand", ">promised", ">free"}, rows)
	s.Para(0, shelfBasis)
}

// ItemAdded confirms one item.
func (s *Sheet) ItemAdded(r *dyelotv1.CreateItemResponse) {
	i := r.GetItem()
	s.Line("%s added: %s, %s counted in %s", i.GetCode(), i.GetName(), i.GetKind(), i.GetUnit())
	if some(i.GetPieceMass()) {
		s.Line("  one piece weighs %s air-dry", amount(i.GetPieceMass()))
	}
	if some(i.GetResolution()) {
		s.Line("  doses are rounded to %s", amount(i.GetResolution()))
	}
	s.terms(i.GetReorder())
	s.warn(2, i.GetWarnings())
}

// TermsSet shows how an item is reordered now.
func (s *Sheet) TermsSet(r *dyelotv1.SetReorderTermsResponse) {
	s.Line("%s (%s)", r.GetItem().GetName(), r.GetItem().GetCode())
	s.terms(r.GetItem().GetReorder())
}

func (s *Sheet) terms(t *dyelotv1.ReorderTerms) {
	var parts []string
	if some(t.GetMinimum()) {
		parts = append(parts, "kept at least "+amount(t.GetMinimum()))
	}
	if some(t.GetPack()) {
		parts = append(parts, "sold in packs of "+amount(t.GetPack()))
	}
	if t.GetSupplier() != "" {
		parts = append(parts, "from "+t.GetSupplier())
	}
	if n := t.GetLeadDays(); n > 0 {
		parts = append(parts, fmt.Sprintf("%d %s from order to shelf", n, plural(int(n), "day")))
	}
	if len(parts) > 0 {
		s.Para(2, "%s", strings.Join(parts, "; "))
	}
}

// Stock is the stock table: one line a parcel, with what is peculiar about it.
func (s *Sheet) Stock(r *dyelotv1.ListParcelsResponse) {
	if len(r.GetParcels()) == 0 {
		s.Line("Nothing on the shelf.")
		return
	}
	var rows [][]string
	for _, p := range r.GetParcels() {
		rows = append(rows, []string{p.GetCode(), p.GetItemCode(), amount(p.GetOnHand()), amount(p.GetPromised()), amount(p.GetFree()), s.peculiar(p)})
	}
	s.Table([]string{"parcel", "item", ">on hand", ">promised", ">free", "to know"}, rows)
	s.Para(0, shelfBasis)
}

// peculiar is what to know before reaching for a parcel.
func (s *Sheet) peculiar(p *dyelotv1.Parcel) string {
	return joined("; ", blocked(p), prefixed("the customer's of ", p.GetCustomersCommissionCode()), damp(p), strength(p), until(p.GetUsableUntil()))
}

func blocked(p *dyelotv1.Parcel) string {
	if p.GetBlockedReason() == "" {
		return ""
	}
	return "BLOCKED: " + p.GetBlockedReason()
}

func damp(p *dyelotv1.Parcel) string {
	if !p.GetDamp() {
		return ""
	}
	return "damp, " + amount(p.GetHarvest().GetFreshMass()) + " fresh: not booked yet"
}

// strength says how strong a parcel is, and that nobody knows where nobody does.
func strength(p *dyelotv1.Parcel) string {
	switch {
	case p.GetStrengthUnknown():
		return "strength unknown"
	case p.GetGramsPerLitre() != "":
		return p.GetGramsPerLitre() + " g/L"
	case p.GetStrengthPercent() != "":
		return "strength " + percent(p.GetStrengthPercent())
	}
	return ""
}

func until(day string) string {
	if day == "" {
		return ""
	}
	return "use by " + day
}

// Parcel shows one parcel whole.
func (s *Sheet) Parcel(r *dyelotv1.GetParcelResponse) {
	p := r.GetParcel()
	s.Title("%s: %s", p.GetCode(), named(p.GetItemName(), p.GetItemCode()))
	s.Para(0, "%s on hand, %s promised, %s free", amount(p.GetOnHand()), amount(p.GetPromised()), amount(p.GetFree()))
	s.origin(p)
	if w := s.peculiar(p); w != "" {
		s.Para(0, "%s", w)
	}
	if p.GetNote() != "" {
		s.Para(0, "note: %s", p.GetNote())
	}
	s.promises(r.GetPromises())
	if len(r.GetMovements()) > 0 {
		s.Gap()
		s.movements(r.GetMovements())
	}
	s.Para(0, shelfBasis)
}

func (s *Sheet) promises(promises []*dyelotv1.PromiseNote) {
	if len(promises) == 0 {
		return
	}
	s.Gap()
	var rows [][]string
	for _, h := range promises {
		rows = append(rows, []string{h.GetCode(), amount(h.GetAmount()), h.GetPurpose()})
	}
	s.Table([]string{"promised to", ">amount", "for"}, rows)
}

// origin says where a parcel came from.
func (s *Sheet) origin(p *dyelotv1.Parcel) {
	switch h := p.GetHarvest(); p.GetOrigin() {
	case "harvest":
		s.Para(0, "harvest: %s", joined(", ", h.GetPart(), h.GetRipeness(), h.GetPlace(), "picked "+or(h.GetPickedOn()), "by leave of "+or(h.GetPermission())))
		s.Para(0, "%s fresh, %s dry%s", amount(h.GetFreshMass()), amount(h.GetDryMass()), ratio(h))
	case "making":
		var from []string
		for _, t := range p.GetMadeFrom() {
			from = append(from, amount(t.GetAmount())+" of "+t.GetParcelCode())
		}
		s.Para(0, "made %s%s", s.day(p.GetArrivedAt()), prefixed(" from ", strings.Join(from, ", ")))
	case "customer":
		s.Para(0, "brought by the customer of %s, %s", p.GetCustomersCommissionCode(), s.day(p.GetArrivedAt()))
	default:
		s.Para(0, "%s", joined(", ", "arrived "+s.day(p.GetArrivedAt()), prefixed("from ", p.GetSupplier()), prefixed("their lot ", p.GetSupplierLot()), cost(p)))
	}
	if some(p.GetPieceMass()) {
		s.Line("one piece weighs %s air-dry", amount(p.GetPieceMass()))
	}
}

func ratio(h *dyelotv1.Harvest) string {
	if h.GetFreshToDry() == "" {
		return ""
	}
	return fmt.Sprintf(" (%s : 1)", h.GetFreshToDry())
}

func cost(p *dyelotv1.Parcel) string {
	if p.GetCost().GetValue() == "" {
		return ""
	}
	return "cost " + money(p.GetCost())
}

func prefixed(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}
