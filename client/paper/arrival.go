package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// ArrivalChecked confirms a check and shows all that was seen so far.
func (s *Sheet) ArrivalChecked(r *dyelotv1.CheckArrivalResponse) { s.arrival(r.GetArrival()) }

// Arrival shows what was seen of a delivery of blanks.
func (s *Sheet) Arrival(r *dyelotv1.GetArrivalResponse) {
	s.arrival(r.GetArrival())
	if len(r.GetArrival().GetChecks()) > 1 {
		s.Gap()
		for _, c := range r.GetArrival().GetChecks() {
			s.Para(0, "%s by %s: %s", s.when(c.GetHappenedAt()), or(c.GetBy()), strings.Join(seen(c), "; ")+prefixed("; ", c.GetNote()))
		}
	}
}

func (s *Sheet) arrival(a *dyelotv1.Arrival) {
	c := a.GetNow()
	s.Title("%s: %s on arrival, %s", a.GetParcelCode(), a.GetItemName(), verdictOnArrival(c))
	if c == nil {
		s.Line("Nobody has looked at it yet.")
	}
	for _, line := range seen(c) {
		s.hang(plain, "  ", line)
	}
	if a.GetShrinkageLengthPercent() != "" {
		s.Para(2, "scouring took %s of the length and %s of the width", percent(a.GetShrinkageLengthPercent()), percent(a.GetShrinkageWidthPercent()))
	}
	if c.GetNote() != "" {
		s.hang(plain, "  note: ", c.GetNote())
	}
	if c != nil {
		s.Para(2, "last looked at by %s, %s", or(c.GetBy()), s.when(c.GetHappenedAt()))
	}
	s.warn(0, a.GetWarnings())
	if a.GetToSendBack() {
		s.hang(loud, "BLOCKED  ", fmt.Sprintf("until it goes back: dyelot stock send-back %s --reason \"…\"", a.GetParcelCode()))
	}
}

func verdictOnArrival(c *dyelotv1.ArrivalCheck) string {
	switch c.GetVerdict() {
	case "accept":
		return "accepted"
	case "reject":
		return "REJECTED"
	}
	return "not decided"
}

// seen are the things that one check says.
func seen(c *dyelotv1.ArrivalCheck) []string {
	var lines []string
	say := func(text string) {
		if text != "" {
			lines = append(lines, text)
		}
	}
	say(prefixed("size as it came ", clothSize(c.GetSizeBefore())))
	say(prefixed("size scoured ", clothSize(c.GetSizeAfter())))
	if c != nil && c.DropSeconds != nil {
		say(fmt.Sprintf("drop test: it stood %d s", c.GetDropSeconds()))
	}
	say(prefixed("brightener under ultraviolet: ", c.GetBrightener()))
	say(prefixed("thread: ", c.GetThread()))
	say(prefixed("buttons: ", c.GetButtons()))
	say(prefixed("cut-off: ", c.GetCutOff()))
	say(prefixed("verdict: ", c.GetVerdict()))
	return lines
}

func clothSize(z *dyelotv1.ClothSize) string {
	if z.GetLengthCm() == "" {
		return ""
	}
	return z.GetLengthCm() + " × " + z.GetWidthCm() + " cm"
}
