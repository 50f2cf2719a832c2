package paper

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"
)

// columns is how wide a sheet is: what every terminal shows, and what a printer
// puts on A4 in a size that can be read at arm's length.
const columns = 80

// narrowest is where wrapping any further would leave no words.
const narrowest = 40

// Options say for whom a sheet is written.
type Options struct {
	// Width in columns; zero, or more than 80, is 80.
	Width int
	// Colour marks what is loud in colour too; the words say it in any case.
	Colour bool
	// Swatches shows colours of cloth as colours; the terminal must have 24-bit
	// colour, and Colour must be on.
	Swatches bool
	// Zone is asked when the first time is shown; nil is UTC.
	Zone func() *time.Location
}

// Sheet is one page of answers. Write on it, then Close it: the first error of
// the writer comes out there.
type Sheet struct {
	out    *bufio.Writer
	width  int
	colour bool
	ask    func() *time.Location
	zone   *time.Location

	swatches bool
	blocks   string // what swatches were shown
}

// New begins a sheet.
func New(w io.Writer, o Options) *Sheet {
	s := &Sheet{out: bufio.NewWriter(w), width: columns, colour: o.Colour, swatches: o.Colour && o.Swatches, ask: o.Zone}
	if o.Width > 0 {
		s.width = max(min(o.Width, columns), narrowest)
	}
	return s
}

// Close writes what is left, says what the marks behind swatches mean, and
// returns the first error.
func (s *Sheet) Close() error {
	for i, says := range Legend(s.blocks) {
		if i == 0 {
			s.Gap()
		}
		s.Para(0, "%s", says)
	}
	s.blocks = ""
	return s.out.Flush()
}

// Line writes one line as it is.
func (s *Sheet) Line(format string, args ...any) { s.emit(fmt.Sprintf(format, args...)) }

// Gap leaves one line free.
func (s *Sheet) Gap() { s.emit("") }

// Title is the first line of a sheet or of a part of it.
func (s *Sheet) Title(format string, args ...any) { s.hang(bold, "", fmt.Sprintf(format, args...)) }

// Para writes a sentence, wrapped, each line behind so many spaces.
func (s *Sheet) Para(indent int, format string, args ...any) {
	s.hang(plain, strings.Repeat(" ", indent), fmt.Sprintf(format, args...))
}

// hang writes text behind a lead, and goes on below the text: " - like
// this".
func (s *Sheet) hang(st style, lead, text string) {
	room := max(s.width-ansi.StringWidth(lead), narrowest/2)
	for i, l := range wrap(text, room) {
		if i == 1 {
			lead = strings.Repeat(" ", ansi.StringWidth(lead))
		}
		s.emit(s.mark(st, lead+l))
	}
}

func (s *Sheet) emit(text string) {
	_, _ = s.out.WriteString(text) // Close returns the first error
	_ = s.out.WriteByte('\n')
}

// style is a way to be loud.
type style int

const (
	plain style = iota
	bold
	loud // stop and read
	mind // a warning
	good
)

var colours = map[style]lipgloss.Style{
	bold: lipgloss.NewStyle().Bold(true),
	loud: lipgloss.NewStyle().Bold(true).Foreground(lipgloss.Red),
	mind: lipgloss.NewStyle().Foreground(lipgloss.Yellow),
	good: lipgloss.NewStyle().Foreground(lipgloss.Green),
}

func (s *Sheet) mark(st style, text string) string {
	if !s.colour || st == plain {
		return text
	}
	return colours[st].Render(text)
}

// wrap breaks at spaces only, so that a code such as iron-liquor stays whole;
// what is longer than a line by itself is cut.
func wrap(text string, width int) []string {
	var lines []string
	for _, paragraph := range strings.Split(text, "\n") {
		line := ""
		for _, word := range strings.Fields(paragraph) {
			if line != "" && ansi.StringWidth(line)+1+ansi.StringWidth(word) > width {
				lines, line = append(lines, line), ""
			}
			for ansi.StringWidth(word) > width {
				lines = append(lines, ansi.Truncate(word, width, ""))
				word = ansi.TruncateLeft(word, width, "")
			}
			if line != "" {
				line += " "
			}
			line += word
		}
		lines = append(lines, line)
	}
	return lines
}
