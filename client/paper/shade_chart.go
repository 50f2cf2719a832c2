package paper

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// ShadeHistory shows a colour from lot to lot: its figures, and a chart of each.
func (s *Sheet) ShadeHistory(r *dyelotv1.GetShadeHistoryResponse) {
	if len(r.GetLots()) == 0 {
		s.Line("No lot of it was dyed yet.")
		return
	}
	s.Title("Lots judged by %s, in the order of their dyeing", r.GetStandardCode())
	var rows [][]string
	why := map[string]bool{}
	var order []string
	for _, l := range r.GetLots() {
		strength := nothing
		if l.GetStrengthPercent() != "" {
			strength = l.GetStrengthPercent() + " %"
		} else if !why[l.GetStrengthWhy()] {
			why[l.GetStrengthWhy()] = true
			order = append(order, l.GetStrengthWhy())
		}
		rows = append(rows, []string{l.GetLotCode(), l.GetRunCode(), s.day(l.GetDyedAt()), l.GetState(), or(l.GetDifference()), strength})
	}
	s.Table([]string{"lot", "run", "dyed", "state", ">difference", ">strength"}, rows)
	s.Para(0, "Difference is CIEDE2000 to the standard, %s; it passes to %s.", r.GetView(), r.GetTolerance())
	if r.GetStrengthNm() != 0 && len(order) > 0 {
		s.Para(0, "Without a strength: %s.", strings.Join(order, "; "))
	}
	s.chart(r.GetDifference(), "%.2f")
	s.chart(r.GetStrength(), "%.0f")
	if len(r.GetStrength().GetPoints()) > 0 {
		s.Para(0, "Near saturation K/S grows more slowly than the dye: a guide there (common practice).")
	}
}

// chartRoom is how wide a plot is at most; the names and values stand before it.
const chartRoom = 50

// chart draws points below each other: | at the limits, : at the mean, o for a
// lot within and X for one outside.
func (s *Sheet) chart(c *dyelotv1.ShadeChart, form string) {
	s.Gap()
	s.hang(bold, "", capital(c.GetTitle()))
	st := plain
	if len(c.GetOutsideLotCodes()) > 0 {
		st = loud
	}
	if len(c.GetPoints()) > 1 && c.GetDrawn() {
		s.plot(c, form)
	}
	s.hang(st, "", capital(c.GetText())+".")
}

func (s *Sheet) plot(c *dyelotv1.ShadeChart, form string) {
	low, high := c.GetLower(), c.GetUpper()
	name, value := 0, 0
	for _, p := range c.GetPoints() {
		low, high = math.Min(low, p.GetValue()), math.Max(high, p.GetValue())
		name = max(name, ansi.StringWidth(p.GetLotCode()))
		value = max(value, len(fmt.Sprintf(form, p.GetValue())))
	}
	before := name + len("  2006-01-02  ") + value + 2
	room := min(chartRoom, s.width-before)
	if room < 10 || high <= low { // a narrow screen, or lots that are all alike
		s.Para(0, "lower limit "+form+", mean "+form+", upper limit "+form, c.GetLower(), c.GetMean(), c.GetUpper())
		return
	}
	at := func(v float64) int { return int(math.Round((v - low) / (high - low) * float64(room-1))) }
	for _, p := range c.GetPoints() {
		line := []byte(strings.Repeat(" ", room))
		line[at(c.GetMean())] = ':'
		line[at(c.GetLower())], line[at(c.GetUpper())] = '|', '|'
		mark, st := byte('o'), plain
		if p.GetOutside() {
			mark, st = 'X', loud
		}
		line[at(p.GetValue())] = mark
		text := fmt.Sprintf("%-*s  %s  %*s  %s", name, p.GetLotCode(), s.day(p.GetDyedAt()), value, fmt.Sprintf(form, p.GetValue()), line)
		s.emit(s.mark(st, strings.TrimRight(text, " ")))
	}
	s.Para(0, "| is a limit ("+form+" and "+form+"), : the mean ("+form+"), o a lot within, X one outside", c.GetLower(), c.GetUpper(), c.GetMean())
}

func capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
