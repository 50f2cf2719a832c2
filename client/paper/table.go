package paper

import (
	"strings"

	"charm.land/lipgloss/v2"
	"charm.land/lipgloss/v2/table"
	"github.com/charmbracelet/x/ansi"
)

// between is the room between two columns.
const between = 2

// Table writes rows below their headings, one cell for each. A heading that begins with ">" sets
// its column flush right: those are figures, and are never broken. Where the
// table is wider than the sheet, the widest column of words gives way first.
func (s *Sheet) Table(headings []string, rows [][]string) {
	right := make([]bool, len(headings))
	heads := make([]string, len(headings))
	for i, h := range headings {
		heads[i], right[i] = strings.CutPrefix(h, ">")
	}
	widths, fits := fit(heads, rows, right, s.width)
	if !fits {
		s.stacked(heads, rows)
		return
	}
	wrapped := make([][]string, len(rows))
	for r, row := range rows {
		for c, cell := range row {
			wrapped[r] = append(wrapped[r], strings.Join(wrap(cell, widths[c]), "\n"))
		}
	}
	styled := func(row, col int) lipgloss.Style {
		st := lipgloss.NewStyle()
		if col < len(heads)-1 {
			st = st.PaddingRight(between)
		}
		if right[col] {
			st = st.Align(lipgloss.Right)
		}
		if row == table.HeaderRow && s.colour {
			st = st.Bold(true)
		}
		return st
	}
	text := table.New().Border(lipgloss.HiddenBorder()).
		BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).BorderColumn(false).BorderHeader(false).BorderRow(false).
		Headers(heads...).Rows(wrapped...).StyleFunc(styled).Render()
	for l := range strings.Lines(text) {
		s.emit(strings.TrimRight(l, " \n"))
	}
}

// fit gives each column its natural width, and takes from the widest column of
// words until the table fits; none is made narrower than its longest word. fits is
// false where that is not enough.
func fit(heads []string, rows [][]string, right []bool, room int) (widths []int, fits bool) {
	widths = make([]int, len(heads))
	least := make([]int, len(heads))
	total := between * (len(heads) - 1)
	for c, h := range heads {
		widths[c], least[c] = ansi.StringWidth(h), ansi.StringWidth(h)
		for _, row := range rows {
			widths[c] = max(widths[c], ansi.StringWidth(row[c]))
			for _, word := range strings.Fields(row[c]) {
				least[c] = max(least[c], ansi.StringWidth(word))
			}
		}
		if right[c] {
			least[c] = widths[c]
		}
		total += widths[c]
	}
	for total > room {
		widest := -1
		for c := range widths {
			if widths[c] > least[c] && (widest < 0 || widths[c] > widths[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			return widths, false
		}
		widths[widest]--
		total--
	}
	return widths, true
}

// stacked writes each row as a small list, for a screen that is too narrow for
// the table.
func (s *Sheet) stacked(heads []string, rows [][]string) {
	for _, row := range rows {
		s.Title("%s %s", heads[0], row[0])
		for c := 1; c < len(row); c++ {
			if row[c] != "" {
				s.hang(plain, "  "+heads[c]+": ", row[c])
			}
		}
	}
}
