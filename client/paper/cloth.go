package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Cloth lists stacks of part-done cloth: since when each lies there, what is on
// it already, and the shade that it is meant for.
func (s *Sheet) Cloth(r *dyelotv1.ListClothResponse) {
	if len(r.GetCloth()) == 0 {
		s.Line("No part-done cloth is on the shelf.")
		return
	}
	for i, c := range r.GetCloth() {
		if i > 0 {
			s.Gap()
		}
		s.cloth(c)
	}
}

// Shelved confirms that a lot was put on the shelf.
func (s *Sheet) Shelved(r *dyelotv1.ShelveLotResponse) {
	s.cloth(r.GetCloth())
	s.Para(0, "next, when the plant is there: dyelot run plan COLOURWAY --lot %s --pots POT", r.GetCloth().GetLotCode())
}

func (s *Sheet) cloth(c *dyelotv1.Cloth) {
	n := len(c.GetGarments())
	s.Title("Stack of lot %s, meant for %s", c.GetLotCode(), c.GetShade())
	what := fmt.Sprintf("%d %s of %s, %s air-dry", n, plural(n, "garment"), otherwise(c.GetFibre(), "cloth"), amount(c.GetDryMass()))
	if n == 0 {
		what = "nothing is left of it"
	}
	s.Para(2, "%s; on the shelf since %s, put there by %s", what, s.when(c.GetHappenedAt()), or(c.GetBy()))
	s.had(c.GetEarlier()...)
	if c.GetNote() != "" {
		s.hang(plain, "  note: ", c.GetNote())
	}
	if n > 0 {
		s.hang(plain, "  tags: ", tagsOf(c.GetGarments()))
	}
	s.planned("  ", c.GetGarments())
}

// planned says which garments wait for another lot already.
func (s *Sheet) planned(indent string, gs []*dyelotv1.Garment) {
	var order []string
	by := map[string][]string{}
	for _, g := range gs {
		if next := g.GetNextLotCode(); next != "" {
			if by[next] == nil {
				order = append(order, next)
			}
			by[next] = append(by[next], g.GetTag())
		}
	}
	for _, next := range order {
		s.hang(mind, indent+"planned into "+next+": ", fewOf(by[next]))
	}
}

// had lists baths that cloth had before.
func (s *Sheet) had(es ...*dyelotv1.Earlier) {
	for _, e := range es {
		s.hang(plain, "  had ", e.GetText())
	}
}

// before says what a lot's garments had in lots before, and which stages of the
// recipe they do not have again.
func (s *Sheet) before(l *dyelotv1.Lot) {
	told := ""
	for _, e := range l.GetEarlier() {
		if e.GetLotCode() != told {
			told = e.GetLotCode()
			s.Para(0, "From lot %s: %s", told, fewOf(e.GetTags()))
		}
		s.had(e)
	}
	for _, x := range l.GetLeftOut() {
		s.hang(mind, "  not again: ", fmt.Sprintf("%d %s: %s", x.GetPosition(), otherwise(x.GetKindName(), x.GetKind()), x.GetReason()))
	}
}

// ironSoFar says what garments were offered over their lives.
func (s *Sheet) ironSoFar(st style, indent string, o *dyelotv1.OfferedIron) {
	text := o.GetOffered() + " of copperas on air-dry fibre, over all its baths"
	if some(o.GetCopperas()) {
		known := ""
		if o.GetUnknown() {
			known = " known of"
		}
		text += fmt.Sprintf(" (%s%s, holding %s or %s of iron)", milligrams(o.GetCopperas()), known, milligrams(o.GetIron()), percent(o.GetIronPercent()))
	}
	s.hang(st, indent+"iron so far: ", fewOf(o.GetTags())+": "+text)
}

// Mended confirms what was noted.
func (s *Sheet) Mended(r *dyelotv1.MendGarmentResponse) {
	g := r.GetGarment()
	s.Line("%s of lot %s is mended; it is %s", g.GetTag(), g.GetLotCode(), g.GetPlace())
	if g.GetPlace() == "returned" {
		s.Para(0, "next: dyelot verdict give %s passed --only %s", g.GetLotCode(), g.GetTag())
	}
}
