package instrument

import (
	"encoding/csv"
	"errors"
	"io"
	"strings"

	"dyelot/inventory/opening"
)

// maxAbove is how many rows may stand above the headings: no export writes so
// long a preface, and a sheet of anything else is known to be one at once.
const maxAbove = 200

// grid is a sheet by one separator.
type grid struct {
	separator rune
	rows      []row
	err       error // why no more rows could be read
	tooWide   bool  // it is the number of cells
	header    int   // the row of headings, -1 where there is none
	body      int   // the first row below
	upright   bool  // one sample a column: wavelengths stand in the first one
	score     int   // how many cells make sense
}

type row struct {
	line  int
	cells []string
}

// gridOf parts the text, and finds where the samples begin.
func gridOf(text string, separator rune) grid {
	g := grid{separator: separator, header: -1}
	in := csv.NewReader(strings.NewReader(text))
	in.Comma, in.FieldsPerRecord = separator, -1
	for len(g.rows) <= MaxSamples+MaxFields && g.err == nil {
		cells, err := in.Read()
		var off *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			return g.placed()
		case errors.As(err, &off):
			g.err = refuse(off.StartLine, "%s", opening.QuoteWords(off))
		case err != nil:
			g.err = refuse(0, "cannot be read: %v", err)
		case len(cells) > MaxSamples+1:
			line, _ := in.FieldPos(0)
			g.err, g.tooWide = refuse(line, "has %d cells, at most %d are read", len(cells), MaxSamples+1), true
		default:
			line, _ := in.FieldPos(0)
			if !blank(cells) {
				g.rows = append(g.rows, row{line, cells})
			}
		}
	}
	if g.err == nil {
		g.err = refuse(g.rows[len(g.rows)-1].line, "is one row too many: at most %d are read at once", MaxSamples+MaxFields)
	}
	return g.placed()
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// placed looks for the headings; where no row has any, for wavelengths down the
// first column.
func (g grid) placed() grid {
	down := 0
	for i, r := range g.rows {
		if i < maxAbove {
			if c := layOut(r.line, r.cells); c.measures() {
				g.header, g.body, g.upright, g.score = i, i+1, false, 3+len(c.bands)
				return g
			}
		}
		if understand(r.cells[0]).role != band || len(r.cells) < 2 {
			continue
		}
		if down++; down == 1 {
			g.header, g.body, g.upright = i-1, i, true
			if i > 0 && about[strings.ToUpper(squeeze.Replace(strings.TrimSpace(g.rows[i-1].cells[0])))] != nil {
				g.header = -1 // "instrument;spectro-1" names no sample
			}
		}
	}
	if down >= 4 {
		g.score = down
	}
	return g
}
