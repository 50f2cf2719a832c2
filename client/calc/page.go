package calc

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"dyelot/client/paper"
	"dyelot/inventory/caution"
	"dyelot/inventory/colour"
)

// wide is how many columns a line may fill, as on the narrowest terminal.
const wide = 80

// page is an answer for a person: a sentence to read aloud, the figures behind
// it, and what should be known about them. Blocks stand a blank line apart.
type page struct {
	b        strings.Builder
	swatches bool // the terminal has 24-bit colour
	blocks   string
}

func (p *page) String() string { return p.b.String() }

// swatch is the colours as they look, side by side, where the terminal can show
// them, with a blank behind.
func (p *page) swatch(v colour.View, cs ...colour.Lab) string {
	if !p.swatches {
		return ""
	}
	block := paper.Block(v, cs...)
	p.blocks += block
	return block + " "
}

// legend says what the marks behind the blocks mean.
func (p *page) legend() {
	if says := paper.Legend(p.blocks); len(says) > 0 {
		p.note("%s", strings.Join(says, " "))
	}
}

func (p *page) gap() {
	if p.b.Len() > 0 {
		p.b.WriteByte('\n')
	}
}

// note adds a paragraph.
func (p *page) note(format string, args ...any) {
	p.gap()
	p.wrap("", "", fmt.Sprintf(format, args...))
}

// rows adds labelled figures, two columns in.
func (p *page) rows(rows ...[2]string) {
	p.gap()
	label := 0
	for _, r := range rows {
		label = max(label, utf8.RuneCountInString(r[0]))
	}
	for _, r := range rows {
		first := "  " + padded(r[0], label) + "  "
		p.wrap(first, strings.Repeat(" ", label+4), r[1])
	}
}

// cautions adds what can hurt, the safety data sheet first.
func (p *page) cautions(cs []caution.Caution) {
	p.gap()
	p.b.WriteString(strings.Join(caution.Lines(cs, wide), "\n") + "\n")
}

// table adds columns of figures under their heads, all to the right but the
// first.
func (p *page) table(head []string, lines [][]string) {
	p.gap()
	all := append([][]string{head}, lines...)
	widths := make([]int, len(head))
	for _, l := range all {
		for i, cell := range l {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, l := range all {
		row := "  " + padded(l[0], widths[0])
		for i, cell := range l[1:] {
			row += "  " + strings.Repeat(" ", widths[i+1]-utf8.RuneCountInString(cell)) + cell
		}
		p.b.WriteString(strings.TrimRight(row, " ") + "\n")
	}
}

func (p *page) wrap(first, next, text string) {
	p.b.WriteString(strings.Join(wrapped(first, next, text, wide), "\n") + "\n")
}

// wrapped sets words behind a first indent, and behind the next one on further
// lines. Words are parted by spaces; a no-break space keeps "162 g" together.
func wrapped(first, next, text string, width int) (lines []string) {
	line, empty := first, true
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' }) {
		if !empty && ansi.StringWidth(line)+1+ansi.StringWidth(word) > width {
			lines = append(lines, visible(line))
			line, empty = next, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return append(lines, visible(line))
}

// nbsp keeps a figure and its unit on one line; it is printed as a plain space.
const nbsp = "\u00a0"

func visible(line string) string {
	return strings.TrimRight(strings.ReplaceAll(line, nbsp, " "), " ")
}

func padded(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(s)))
}

// sentence begins a text with a capital.
func sentence(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}

// joined lists words: "a, b and c".
func joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// counted is a number of things: "1 period", "2 periods".
func counted(n int64, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprint(n) + nbsp + thing
}
