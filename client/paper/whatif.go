package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// WhatIf sets the ways side by side, then says what differs.
func (s *Sheet) WhatIf(r *dyelotv1.CompareWhatIfResponse) {
	s.Title("%s on %s, nothing is saved", r.GetColourwayCode(), r.GetBlankItemCode())
	var rows [][]string
	for i, v := range r.GetVariants() {
		rows = append(rows, []string{letter(i), v.GetName(), fmt.Sprint(v.GetPieces()), potsOf(v.GetPots()), fmt.Sprint(v.GetPotDays()), estimated(v)})
	}
	s.Table([]string{"", "way", ">pieces", "lots", ">pot-days", ">a garment"}, rows)
	for i, v := range r.GetVariants() {
		s.Gap()
		s.way(letter(i), v)
	}
	s.Gap()
	s.Para(0, "A pot-day is one bath in one vessel. What lots wore like is what to expect, and no grade of a lot to come.")
}

// potsOf: "2 × pot-40, pot-30".
func potsOf(pots []string) string {
	n := map[string]int{}
	var order []string
	for _, p := range pots {
		if n[p]++; n[p] == 1 {
			order = append(order, p)
		}
	}
	for i, p := range order {
		if n[p] > 1 {
			order[i] = fmt.Sprintf("%d × %s", n[p], p)
		}
	}
	return strings.Join(order, ", ")
}

func letter(i int) string { return string(rune('a' + i)) }

// estimated is what a garment is reckoned to cost.
func estimated(v *dyelotv1.WhatIfVariant) string {
	return atLeast(v.GetEstimate().GetUnknown()) + sum(v.GetEstimate().GetPerGarment())
}

func (s *Sheet) way(letter string, v *dyelotv1.WhatIfVariant) {
	s.Title("%s  %s: recipe %s version %d", letter, v.GetName(), v.GetRecipeCode(), v.GetRecipeVersion())
	for _, d := range v.GetDiffers() {
		s.hang(plain, "   ", d)
	}
	var needs []string
	for _, n := range v.GetNeeds() {
		needs = append(needs, amount(n.GetAmount())+" of "+n.GetItemCode())
	}
	s.hang(plain, "   needs ", strings.Join(needs, ", "))
	for _, n := range v.GetNeeds() {
		if some(n.GetShort()) {
			s.hang(loud, "   SHORT  ", amount(n.GetShort())+" of "+n.GetItemCode())
		}
	}
	if unknown := v.GetEstimate().GetUnknown(); len(unknown) > 0 {
		s.hang(plain, "   not known: ", strings.Join(unknown, ", "))
	}
	s.warn(3, v.GetWarnings())
	for _, e := range v.GetExpect() {
		s.hang(plain, "   ", e)
	}
}
