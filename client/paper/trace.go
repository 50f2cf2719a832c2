package paper

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// fewTags is how many tags a line names before it counts the rest: a recall of
// thousands is read with --json.
const fewTags = 12

// TracedGarment is the trace of one garment on one screen: what happened to it,
// what was done, what it came from, how it was judged, and who its sisters and
// cousins are.
func (s *Sheet) TracedGarment(r *dyelotv1.TraceGarmentResponse) {
	g, l := r.GetGarment(), r.GetLot()
	s.Title("%s: %s, %s air-dry, %s", g.GetTag(), otherwise(joined(" ", g.GetStyle(), g.GetSize()), "a garment"), amount(g.GetDryMass()), g.GetPlace())
	s.Para(0, "%s", joined("; ", fmt.Sprintf("lot %s of run %s, %s", l.GetCode(), l.GetRunCode(), l.GetState()), r.GetColourwayName(),
		fmt.Sprintf("recipe %s version %d", l.GetRecipeCode(), l.GetRecipeVersion()), "pot "+or(l.GetVesselCode()), prefixed("shade group ", g.GetShade()), severalLots(r)))
	s.recalledFor(r.GetRecalls())
	s.events(r.GetEvents(), len(r.GetLotCodes()) > 1)
	s.concerned(r.GetActions())
	s.tracedJudgement("Judged", r.GetJudgement())
	for _, f := range r.GetFormerLots() {
		s.tracedJudgement("Judged before, in lot "+f.GetLot().GetCode()+", "+f.GetLot().GetState(), f.GetJudgement())
	}
	s.Title("Done to it (%% WOF on air-dry fibre)")
	for _, rec := range r.GetRecords() {
		s.tracedRecord(rec)
	}
	s.tracedIron(r.GetIron())
	s.Title("Came from")
	s.tracedParcels(r.GetParcels())
	s.relatives("Sisters, of the same lot", r.GetSisters(), len(r.GetSisters()))
	for _, f := range r.GetFormerLots() {
		s.relatives("Sisters before, in lot "+f.GetLot().GetCode(), f.GetSisters(), len(f.GetSisters()))
	}
	s.relatives("Cousins, of other lots", r.GetCousins(), int(r.GetCousinCount()))
}

// severalLots names every lot of a garment that was in more than one: dyed over,
// or mordanted in one and dyed in another.
func severalLots(r *dyelotv1.TraceGarmentResponse) string {
	if len(r.GetLotCodes()) < 2 {
		return ""
	}
	over := ""
	if slices.ContainsFunc(r.GetEvents(), func(e *dyelotv1.GarmentEvent) bool { return e.GetKind() == "over-dyed" }) {
		over = "over-dyed"
	}
	return joined(", ", over, "its lots so far "+strings.Join(r.GetLotCodes(), ", "))
}

// events tell a garment's story; of one that was over-dyed, with the lot it was
// of then.
func (s *Sheet) events(events []*dyelotv1.GarmentEvent, severalLots bool) {
	for _, e := range events {
		lot := ""
		if severalLots {
			lot = prefixed("in ", e.GetLotCode())
		}
		s.hang(plain, "  "+s.when(e.GetHappenedAt())+"  ", joined(" ", e.GetKind(), lot, prefixed("by ", e.GetBy()), prefixed("for order ", e.GetOrderRef()))+prefixed(": ", e.GetText()))
	}
}

// tracedJudgement shows each row that failed or was overridden, and counts the
// rest: what passed, what has no test.
func (s *Sheet) tracedJudgement(title string, j *dyelotv1.Judgement) {
	if j == nil {
		return
	}
	s.Title("%s", title)
	passed := 0
	var open []string
	for _, row := range allRows(j) {
		switch row.GetState() {
		case "passed":
			passed++
		case "not-tested":
			open = append(open, row.GetKey())
		default:
			s.judged(row)
		}
	}
	if len(open) > 0 {
		s.hang(mind, "  NOT TESTED  ", strings.Join(open, ", "))
	}
	if passed > 0 {
		s.Line("  %-11s %d %s", "passed", passed, plural(passed, "row"))
	}
	s.Para(2, "Colour differences are CIEDE2000 for %s.", lightOf(j))
}

// tracedRecord is one stage on a line: what, when, who, where, how much, and
// what differed.
func (s *Sheet) tracedRecord(rec *dyelotv1.StageRecord) {
	var used []string
	for _, u := range rec.GetUsed() {
		one := fmt.Sprintf("%s %s (%s", amount(u.GetAmount()), otherwise(u.GetItemCode(), u.GetItemName()), u.GetParcelCode())
		switch {
		case u.GetWofPercent() != "":
			one += ", " + percent(u.GetWofPercent()) + " WOF"
		case liquid(u.GetAmount()):
			one += ", strength unknown"
		}
		used = append(used, one+")")
	}
	text := fmt.Sprintf("%d %s%s: %s", rec.GetPosition(), rec.GetKind(), addition(rec), joined("; ", s.doneLine(rec), strings.Join(used, ", ")))
	s.hang(plain, "  ", text)
	for _, d := range rec.GetDeviations() {
		s.hang(mind, "    differs: ", deviation(d))
	}
	if rec.GetOverrideBy() != "" {
		s.hang(mind, "    overridden by ", rec.GetOverrideBy()+": "+or(rec.GetOverrideReason()))
	}
}

// tracedIron is the iron of a garment's whole life, bath by bath.
func (s *Sheet) tracedIron(o *dyelotv1.OfferedIron) {
	if o == nil {
		return
	}
	s.ironSoFar(mind, "  ", o)
	for _, b := range o.GetBaths() {
		text := fmt.Sprintf("%s of lot %s, %s", b.GetRecordCode(), b.GetLotCode(), s.day(b.GetHappenedAt()))
		if b.GetOverrideBy() != "" {
			text += fmt.Sprintf("; overridden by %s: %s", b.GetOverrideBy(), or(b.GetOverrideReason()))
		}
		s.hang(plain, "    ", b.GetOffered()+" in "+text)
	}
}

func (s *Sheet) tracedParcels(parcels []*dyelotv1.TracedParcel) {
	var rows [][]string
	for _, t := range parcels {
		p := t.GetParcel()
		code := strings.Repeat("-", max(0, int(t.GetDepth()))) + p.GetCode() // "-P6" went into what stands above
		rows = append(rows, []string{code, p.GetItemCode(), amount(t.GetShare()), strings.Join(t.GetThrough(), ", "), cameFrom(p)})
	}
	s.Table([]string{"parcel", "item", ">its lot's share", "through", "from"}, rows)
}

func cameFrom(p *dyelotv1.Parcel) string {
	switch h := p.GetHarvest(); p.GetOrigin() {
	case "harvest":
		return joined(", ", "harvest "+h.GetPickedOn(), h.GetPlace(), strength(p))
	case "making":
		var from []string
		for _, t := range p.GetMadeFrom() {
			from = append(from, t.GetParcelCode())
		}
		return joined(", ", joined(" from ", "made", strings.Join(from, ", ")), strength(p))
	}
	return joined(", ", p.GetSupplier(), prefixed("lot ", p.GetSupplierLot()), strength(p))
}

// relatives groups garments that share and lack the same, and are in the same
// place, so that five cousins are one line.
func (s *Sheet) relatives(title string, all []*dyelotv1.Relative, count int) {
	s.Title("%s: %d%s", title, max(count, len(all)), nearest(len(all), count))
	var order []string
	groups := map[string][]string{}
	for _, r := range all {
		key := joined("; ", placed(r.GetGarment()), prefixed("share ", strings.Join(r.GetShared(), ", ")), prefixed("not ", strings.Join(r.GetApart(), ", ")))
		if _, known := groups[key]; !known {
			order = append(order, key)
		}
		groups[key] = append(groups[key], r.GetGarment().GetTag())
	}
	for _, key := range order {
		s.hang(plain, "  ", fmt.Sprintf("%s: %s", key, fewOf(groups[key])))
	}
}

// nearest says that a list is not the whole of it.
func nearest(shown, count int) string {
	if shown >= count {
		return ""
	}
	return fmt.Sprintf(", the %d nearest of them", shown)
}

func placed(g *dyelotv1.Garment) string {
	return joined(" ", g.GetLotCode(), g.GetPlace(), prefixed("for ", g.GetOrderRef()))
}

func fewOf(tags []string) string {
	if len(tags) <= fewTags {
		return strings.Join(tags, ", ")
	}
	return fmt.Sprintf("%s and %d more (--json lists all)", strings.Join(tags[:fewTags], ", "), len(tags)-fewTags)
}

// TracedParcel shows every lot and garment that a parcel touched.
func (s *Sheet) TracedParcel(r *dyelotv1.TraceParcelResponse) {
	p := r.GetParcel()
	s.Title("%s: %s", p.GetCode(), named(p.GetItemName(), p.GetItemCode()))
	s.origin(p)
	s.left(p)
	s.account(r.GetAccount())
	s.concerned(r.GetActions())
	for _, d := range r.GetDescendants() {
		s.Line("  went into %s, %s", d.GetCode(), named(d.GetItemName(), d.GetItemCode()))
	}
	s.Para(0, "Lots it touched: %s", otherwise(strings.Join(r.GetLotCodes(), ", "), "none"))
	var touched []*dyelotv1.Relative
	for _, g := range r.GetGarments() {
		touched = append(touched, &dyelotv1.Relative{Garment: g})
	}
	s.relatives("Garments it touched", touched, len(touched))
}

// account says where everything of a parcel went; the two sides are equal.
func (s *Sheet) account(a *dyelotv1.ParcelAccount) {
	switch {
	case a == nil:
	case a.GetText() != "":
		s.Para(0, "%s", a.GetText())
	default:
		s.Para(0, "received %s and found %s = used %s, lost %s, sent back %s and on hand %s", amount(a.GetReceived()), amount(a.GetFound()),
			amount(a.GetUsed()), amount(a.GetLost()), amount(a.GetSentBack()), amount(a.GetOnHand()))
	}
}
