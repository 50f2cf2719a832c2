package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// RecallPreview shows what a recall would be, by place and order. again is what
// was typed to name the node.
func (s *Sheet) RecallPreview(title, again string, rows []*dyelotv1.RecallGarment) {
	s.Title("%s", capital(title))
	if len(rows) == 0 {
		s.Line("No garment has any of it in it.")
		return
	}
	s.Line("%d %s", len(rows), haveItIn(len(rows)))
	s.recalledBy(rows, func(g *dyelotv1.RecallGarment) (style, string) { return plain, g.GetLotCode() })
	s.Gap()
	if again == "" {
		s.Para(0, "To keep this list and hold what is in the house, say the same after: dyelot recall open --reason \"…\"")
		return
	}
	s.Para(0, "To keep this list and hold what is in the house: dyelot recall open %s --reason \"…\"", again)
}

func haveItIn(n int) string {
	if n == 1 {
		return "garment has it in it"
	}
	return "garments have it in them"
}

// recalledBy writes garments by where they are, and within that by what else is
// to be said of each.
func (s *Sheet) recalledBy(rows []*dyelotv1.RecallGarment, say func(*dyelotv1.RecallGarment) (style, string)) {
	var places []string
	at := map[string][]*dyelotv1.RecallGarment{}
	for _, g := range rows {
		key := s.recallPlace(g)
		if at[key] == nil {
			places = append(places, key)
		}
		at[key] = append(at[key], g)
	}
	slices.SortStableFunc(places, func(a, b string) int { return boolOrder(a == gonePlace) - boolOrder(b == gonePlace) })
	for _, place := range places {
		s.Gap()
		s.Title("%s: %d", place, len(at[place]))
		var order []string
		tags, styles := map[string][]string{}, map[string]style{}
		for _, g := range at[place] {
			st, text := say(g)
			if tags[text] == nil {
				order = append(order, text)
			}
			tags[text], styles[text] = append(tags[text], g.GetTag()), st
		}
		for _, text := range order {
			s.hang(styles[text], "  ", text+": "+fewOf(tags[text]))
		}
	}
}

// gonePlace comes last: nothing is to be done there.
const gonePlace = "Scrapped"

func boolOrder(later bool) int {
	if later {
		return 1
	}
	return 0
}

// recallPlace is where a garment is: "on the shelf", "sold for market-12 on
// 2026-08-22".
func (s *Sheet) recallPlace(g *dyelotv1.RecallGarment) string {
	switch g.GetPlace() {
	case "sold":
		return "Sold for " + g.GetOrderRef() + prefixed(" on ", s.dayIfAny(g.GetSince()))
	case "given-back":
		return "Given back for " + g.GetCustomersCommissionCode()
	case "shelf":
		return "On the shelf"
	}
	return capital(strings.ReplaceAll(g.GetPlace(), "-", " "))
}

func (s *Sheet) dayIfAny(at *timestamppb.Timestamp) string {
	if at == nil {
		return ""
	}
	return s.day(at)
}

// RecallOpened confirms a recall, with what to do next.
func (s *Sheet) RecallOpened(r *dyelotv1.OpenRecallResponse) {
	k := r.GetRecall()
	s.recallHead(k)
	s.Gap()
	s.Para(0, "the list to act on: dyelot recall show %s --csv %s.csv", k.GetCode(), strings.ToLower(k.GetCode()))
	if k.GetToTell() > 0 {
		s.Para(0, "once they are told: dyelot recall told %s --order ORDER --how \"by letter\"", k.GetCode())
	}
	if code := k.GetNode().GetCode(); strings.HasPrefix(code, "P") {
		s.Para(0, "to keep it from any more pots: dyelot stock block %s --reason \"…\"", code)
	}
}

// Recall shows how a recall stands, and every garment of it.
func (s *Sheet) Recall(k *dyelotv1.Recall, rows []*dyelotv1.RecallGarment) {
	s.recallHead(k)
	s.recalledBy(rows, s.recallStanding)
	if k.GetClosedAt() == nil {
		s.Gap()
		s.Para(0, "What becomes of one: dyelot recall account %s TAG --how returned", k.GetCode())
	}
}

// recallHead says what is recalled, and how far that has come.
func (s *Sheet) recallHead(k *dyelotv1.Recall) {
	s.Title("%s: %s", k.GetCode(), k.GetTitle())
	if k.GetStillOut()+k.GetHeld() > 0 && k.GetClosedAt() == nil {
		s.hang(mind, "", fmt.Sprintf("still out %d; held in the house, undecided %d", k.GetStillOut(), k.GetHeld()))
	}
	s.Para(0, "opened %s by %s: %s", s.when(k.GetOpenedAt()), k.GetBy(), k.GetReason())
	if k.GetClosedAt() != nil {
		s.Para(0, "closed %s by %s: %s", s.when(k.GetClosedAt()), k.GetClosedBy(), k.GetCloseReason())
	}
	found := fmt.Sprintf("%d %s as found", k.GetFound(), plural(int(k.GetFound()), "garment"))
	if k.GetSinceThen() > 0 {
		found += fmt.Sprintf(", %d since then", k.GetSinceThen())
	}
	s.Para(0, "%s; now %s", found, s.recallPlaces(k))
	if k.GetToTell() > 0 {
		s.Para(0, "told %d of %d that are or were out (%d %%)%s", k.GetTold(), k.GetToTell(), k.GetToldPercent(), s.recallTook(k, k.GetLastToldAt()))
	}
	all := k.GetFound() + k.GetSinceThen()
	s.Para(0, "accounted for %d of %d (%d %%)%s%s", k.GetAccounted(), all, k.GetAccountedPercent(), prefixed(": ", recallHows(k)), s.recallTook(k, k.GetLastAccountedAt()))
}

func (s *Sheet) recallPlaces(k *dyelotv1.Recall) string {
	var at []string
	for _, p := range k.GetPlaces() {
		at = append(at, fmt.Sprintf("%d %s", p.GetGarments(), strings.ReplaceAll(strings.Replace(p.GetPlace(), "shelf", "on the shelf", 1), "-", " ")))
	}
	return strings.Join(at, ", ")
}

func recallHows(k *dyelotv1.Recall) string {
	var hows []string
	for _, h := range k.GetHows() {
		hows = append(hows, fmt.Sprintf("%d %s", h.GetGarments(), strings.ReplaceAll(h.GetHow(), "-", " ")))
	}
	return strings.Join(hows, ", ")
}

// recallTook says how long it took to the last: "; the last on 2026-09-13, 12 days
// after it was opened".
func (s *Sheet) recallTook(k *dyelotv1.Recall, last *timestamppb.Timestamp) string {
	if last == nil {
		return ""
	}
	took := last.AsTime().Sub(k.GetOpenedAt().AsTime())
	const day = 24 * time.Hour
	long := fmt.Sprintf("%d days", took/day)
	switch {
	case took < time.Hour:
		return fmt.Sprintf("; the last on %s, within the hour", s.day(last))
	case took < 2*day:
		long = fmt.Sprintf("%d h", took/time.Hour)
	}
	return fmt.Sprintf("; the last on %s, %s after it was opened", s.day(last), long)
}

// recallStanding is what is to be said of one garment of a recall.
func (s *Sheet) recallStanding(g *dyelotv1.RecallGarment) (style, string) {
	var said []string
	st := plain
	out := g.GetPlace() == "sold" || g.GetPlace() == "given-back"
	switch {
	case g.GetAccounted() != "":
		said = append(said, joined(" ", strings.ReplaceAll(g.GetAccounted(), "-", " "), s.day(g.GetAccountedAt()), prefixed("by ", g.GetAccountedBy()))+prefixed(", ", g.GetAccountedNote()))
		if g.GetAccounted() == "returned" && !out {
			st, said = mind, append(said, "held: check it or destroy it")
		}
	case g.GetPlace() == "scrapped":
		said = append(said, "scrapped")
	case out && g.GetToldAt() != nil:
		said = append(said, "told "+s.day(g.GetToldAt())+", "+g.GetToldHow()+"; not heard of")
	case out:
		st, said = loud, append(said, "NOT TOLD")
	default:
		st, said = mind, append(said, "held: check it or destroy it")
	}
	if g.GetSinceThen() {
		said = append(said, "found since then")
	}
	if g.GetOverrideBy() != "" {
		said = append(said, fmt.Sprintf("let go by %s: %s", g.GetOverrideBy(), g.GetOverrideReason()))
	}
	return st, strings.Join(said, "; ")
}
