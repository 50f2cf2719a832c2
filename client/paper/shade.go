package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// ShadesKept confirms a sort that is kept.
func (s *Sheet) ShadesKept(r *dyelotv1.KeepShadesResponse) {
	k := r.GetSorted().GetKept()
	s.hang(good, "", fmt.Sprintf("Kept by %s: garment list and trace name these groups from now on.", or(k.GetBy())))
	s.Gap()
	s.shades(r.GetSorted())
}

// ShadesSorted shows a run in groups: which garments may hang side by side, the
// set picked from one, and what is in no group.
func (s *Sheet) ShadesSorted(r *dyelotv1.SortShadesResponse) {
	s.shades(r)
	s.keptShades(r)
}

func (s *Sheet) shades(r *dyelotv1.SortShadesResponse) {
	measured := 0
	for _, g := range r.GetGroups() {
		measured += len(g.GetGarments())
	}
	n := len(r.GetGroups())
	s.Title("%s by shade: %d %s in %d %s", r.GetOf(), measured, plural(measured, "garment"), n, plural(n, "group"))
	s.Para(0, "No two of a group differ by more than %s (%s; CIEDE2000, %s).", r.GetTolerance(), r.GetToleranceFrom(), r.GetView())
	s.warn(0, r.GetWarnings())
	for _, g := range r.GetGroups() {
		s.Gap()
		s.shadeGroup(g)
	}
	if measured > 0 {
		s.Gap()
	}
	switch {
	case measured == 0:
		s.hang(mind, "", "No garment has a reading of its own that counts.")
	case measured > 1:
		s.Para(0, "Of %d pairs %d are beyond %s.", r.GetPairs(), r.GetPairsBeyond(), r.GetTolerance())
	}
	if r.GetProof() != "" {
		st, lead := plain, "Fewest: "
		if !r.GetProved() {
			st, lead = mind, "Mind: "
		}
		s.hang(st, lead, r.GetProof())
	}
	s.shadeSet(r.GetSet(), r.GetTolerance())
	s.leftOut("NOT MEASURED", "read each with: dyelot reading add TAG --lab L,a,b --rested", r.GetUnmeasured())
	s.leftOut("Apart", "", r.GetApart())
}

func (s *Sheet) shadeGroup(g *dyelotv1.ShadeGroup) {
	n := len(g.GetGarments())
	spread := ""
	if n > 1 {
		spread = ", at most " + g.GetSpread() + " apart"
	}
	s.Title("Group %d: %d %s%s; mean %s", g.GetNumber(), n, plural(n, "garment"), spread, meanLab(g.GetMean()))
	var rows [][]string
	for _, m := range g.GetGarments() {
		worst := nothing
		if m.GetWorstTag() != "" {
			worst = m.GetWorstDifference() + " to " + m.GetWorstTag()
		}
		c := m.GetColour()
		rows = append(rows, []string{m.GetTag(), m.GetLotCode(), joined(" ", otherwise(m.GetStyle(), m.GetItemCode()), m.GetSize()),
			tenths(c.GetL()), tenths(c.GetA()), tenths(c.GetB()), worst, strings.Join(m.GetReadingCodes(), ", ")})
	}
	s.Table([]string{"tag", "lot", "style", ">L*", ">a*", ">b*", "farthest in its group", "readings"}, rows)
}

func tenths(v float64) string {
	text := fmt.Sprintf("%.1f", v)
	if text == "-0.0" {
		return "0.0"
	}
	return text
}

func meanLab(c *dyelotv1.Lab) string {
	return fmt.Sprintf("L* %s, a* %s, b* %s", tenths(c.GetL()), tenths(c.GetA()), tenths(c.GetB()))
}

// shadeSet is the set picked from one group, or why none can serve.
func (s *Sheet) shadeSet(set *dyelotv1.ShadeSet, tolerance string) {
	if set == nil {
		return
	}
	var asked []string
	for _, p := range set.GetPieces() {
		asked = append(asked, fmt.Sprintf("%d %s", p.GetCount(), p.GetWhat()))
	}
	what := strings.Join(asked, " and ")
	s.Gap()
	if set.GetGroup() == 0 {
		s.hang(loud, "", "NO SET of "+what+" from one group:")
		for _, l := range set.GetLacks() {
			s.hang(plain, "  ", fmt.Sprintf("group %d %s", l.GetGroup(), l.GetText()))
		}
		switch {
		case len(set.GetLacks()) == 0:
			s.Para(2, "there is no group yet")
		case set.GetAcross():
			s.hang(good, "", "These of several groups match all the same, and may hang as a group of their own:")
			s.hang(plain, "  ", setTags(set))
		case !set.GetExact():
			s.hang(mind, "  ", "the search was cut short: garments of several groups may match all the same")
		default:
			s.Para(2, "and no such garments of several groups are all within %s", tolerance)
		}
		return
	}
	s.hang(good, "", fmt.Sprintf("SET of %s from group %d:", what, set.GetGroup()))
	s.hang(plain, "  ", setTags(set))
	if !set.GetExact() {
		s.hang(mind, "  ", "the search was cut short: a nearer set may be there")
	}
}

func setTags(set *dyelotv1.ShadeSet) string {
	apart := ""
	if set.GetWorstTag() != "" {
		apart = fmt.Sprintf(", at most %s apart (%s to %s)", set.GetSpread(), set.GetWorstTag(), set.GetWorstOtherTag())
	}
	return strings.Join(set.GetTags(), ", ") + apart
}

// leftOut lists garments that are in no group, those with the same reason on
// one line.
func (s *Sheet) leftOut(title, next string, out []*dyelotv1.ShadeLeftOut) {
	if len(out) == 0 {
		return
	}
	s.Gap()
	st := plain
	if next != "" {
		st = mind
	}
	s.hang(st, "", fmt.Sprintf("%s: %d %s", title, len(out), plural(len(out), "garment")))
	var order []string
	tags := map[string][]string{}
	for _, o := range out {
		key := o.GetLotCode() + ", " + o.GetWhy()
		if _, known := tags[key]; !known {
			order = append(order, key)
		}
		tags[key] = append(tags[key], o.GetTag())
	}
	for _, key := range order {
		s.hang(plain, "  ", fewOf(tags[key])+": "+key)
	}
	if next != "" {
		s.Para(2, "%s", next)
	}
}

// keptShades says what was kept before, and whether it still holds.
func (s *Sheet) keptShades(r *dyelotv1.SortShadesResponse) {
	k := r.GetKept()
	switch {
	case k == nil && len(r.GetGroups()) > 0:
		s.Gap()
		s.Para(0, "Nothing is kept. To keep these groups, say the same with --keep.")
	case k == nil:
	case k.GetStillSo():
		s.Gap()
		s.Para(0, "Kept like this on %s by %s.", s.day(k.GetKeptAt()), k.GetBy())
	default:
		s.Gap()
		text := fmt.Sprintf("in force is the sort of %s that %s kept on %s: %d %s in %d %s at %s.", k.GetOf(), k.GetBy(), s.day(k.GetKeptAt()),
			k.GetGarments(), plural(int(k.GetGarments()), "garment"), k.GetGroups(), plural(int(k.GetGroups()), "group"), k.GetTolerance())
		if len(r.GetGroups()) > 0 {
			text += " To keep this one instead, say the same with --keep."
		}
		s.hang(mind, "Mind: ", text)
	}
}
