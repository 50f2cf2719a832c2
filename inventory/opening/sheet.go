package opening

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of what is read. A studio of eight people has not filled them in
// thirty years.
const (
	MaxBytes = 16_000_000 // of all sheets together
	MaxRows  = 100_000    // of one sheet
	maxRow   = 64 << 10   // bytes of one row: beyond it a quote was not closed
	maxText  = 200        // characters of a cell
	maxNote  = 4000       // characters of a note, or of all that went into a lot
)

// Sheet is a CSV file taken apart: its columns, and the cells below them.
type Sheet struct {
	Kind      Kind
	Separator rune // ',', ';' or '\t'; zero where nothing was read
	Columns   []string
	Rows      []Row
	Broken    bool // rows that are there could not be read

	units map[string]string // of columns whose header says one
	at    map[string]int
}

// Row is one row, with the line on which it begins.
type Row struct {
	Line  int
	cells []string
}

// SeparatorName is the separator in a word.
func (s Sheet) SeparatorName() string {
	return map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[s.Separator]
}

func (s Sheet) has(column string) bool { _, ok := s.at[column]; return ok }

// cell is a cell's text, trimmed; empty where the row or the sheet has none.
func (s Sheet) cell(r Row, column string) string {
	i, ok := s.at[column]
	if !ok || i >= len(r.cells) {
		return ""
	}
	return strings.TrimFunc(r.cells[i], unicode.IsSpace)
}

// Read takes a CSV file apart: RFC 4180, with the separator found in the header,
// a UTF-8 byte order mark skipped, blank lines skipped and lines counted as an
// editor counts them. Notes say what is off; rows that can be read are read all
// the same, so that everything is told at once. The error is the reader's own.
func Read(k Kind, r io.Reader, off *Notes) (Sheet, error) {
	s := Sheet{Kind: k, at: map[string]int{}, units: map[string]string{}}
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return s, err
	}
	if why := unreadable(data); why != "" {
		off.add(k, 0, "", "%s", why)
		s.Broken = true
		return s, nil
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if line := badUTF8(data); line > 0 {
		off.add(k, line, "", "is not UTF-8 text: save the sheet as CSV in UTF-8")
		s.Broken = true
		return s, nil
	}
	s.Separator = separator(k, data)
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma, in.FieldsPerRecord = s.Separator, -1
	before := off.Count
	s.readAll(in, off)
	s.Broken = off.Count > before
	return s, nil
}

// unreadable is why a file is no text at all.
func unreadable(data []byte) string {
	switch {
	case len(data) > MaxBytes:
		return "is longer than 16 MB, which is all that is read at once: split it"
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return "is UTF-16 text: save the sheet as CSV in UTF-8"
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return "is a spreadsheet and no CSV file: save each sheet as CSV"
	case bytes.IndexByte(data, 0) >= 0:
		return "holds zero bytes, so it is no text, or UTF-16: save the sheet as CSV in UTF-8"
	case bytes.IndexByte(data, '\n') < 0 && bytes.IndexByte(data, '\r') >= 0:
		return "ends its lines with a carriage return alone: save the sheet anew, with line feeds"
	case len(bytes.TrimSpace(bytes.TrimPrefix(data, []byte("\ufeff")))) == 0:
		return "is empty: its first line names the columns"
	}
	return ""
}

func badUTF8(data []byte) (line int) {
	if utf8.Valid(data) {
		return 0
	}
	line = 1
	for l := range bytes.Lines(data) {
		if !utf8.Valid(l) {
			return line
		}
		line++
	}
	return line
}

// separator is the one by which most of the header's cells are columns of this
// sheet; a comma where none says more.
func separator(k Kind, data []byte) rune {
	best, most := ',', 0
	for _, sep := range []rune{',', ';', '\t'} {
		in := csv.NewReader(bytes.NewReader(data))
		in.Comma, in.FieldsPerRecord = sep, -1
		header, err := in.Read()
		if err != nil {
			continue
		}
		score := 0
		for _, cell := range header {
			if _, _, known := heading(k, cell); known {
				score += 1000
			}
		}
		if score += len(header); score > most {
			best, most = sep, score
		}
	}
	return best
}

// readAll ends: each read takes at least a byte, or meets the end.
func (s *Sheet) readAll(in *csv.Reader, off *Notes) {
	begun := int64(0)
	for {
		cells, err := in.Read()
		var bad *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if s.Columns == nil {
				off.add(s.Kind, 0, "", "has no header: its first line names the columns")
			}
			return
		case errors.As(err, &bad):
			off.add(s.Kind, bad.StartLine, "", "%s", QuoteWords(bad))
			if s.Columns == nil {
				return
			}
			begun = in.InputOffset()
			continue
		case err != nil: // the bytes lie in memory: only the separator could be off
			off.add(s.Kind, 0, "", "cannot be read: %v", err)
			return
		}
		line, _ := in.FieldPos(0)
		long := in.InputOffset()-begun > maxRow
		begun = in.InputOffset()
		switch {
		case blank(cells):
		case long:
			off.add(s.Kind, line, "", "is longer than %d KB: look for a quotation mark that was not closed", maxRow>>10)
		case s.Columns == nil:
			if !s.header(line, cells, off) {
				return
			}
		case len(s.Rows) == MaxRows:
			off.add(s.Kind, line, "", "is one row too many: at most %d are read at once", MaxRows)
			return
		default:
			s.row(line, cells, off)
		}
	}
}

// QuoteWords says what is off with the quotation marks of a row.
func QuoteWords(e *csv.ParseError) string {
	if errors.Is(e.Err, csv.ErrBareQuote) {
		return "has a quotation mark inside a cell: a cell with one is put in quotation marks, and the mark doubled"
	}
	return "has a cell whose quotation marks do not match: a cell ends with one where it begins with one, and marks inside are doubled"
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimFunc(c, unicode.IsSpace) != "" {
			return false
		}
	}
	return true
}

// header reads the first row; false where nothing below it could be understood.
func (s *Sheet) header(line int, cells []string, off *Notes) bool {
	before := off.Count
	for i, cell := range cells {
		if strings.TrimSpace(cell) == "" {
			continue // an empty column, as long as nothing stands in it
		}
		name, unit, known := heading(s.Kind, cell)
		switch {
		case !known && unit != "":
			off.add(s.Kind, line, clip(cell), "is no column with that unit; the columns are: %s", names(columns[s.Kind]))
		case !known:
			off.add(s.Kind, line, clip(cell), "is no column of the %s sheet; those are: %s", s.Kind, names(columns[s.Kind]))
		case s.has(name):
			off.add(s.Kind, line, name, "stands there twice")
		default:
			s.at[name] = i
			s.Columns = append(s.Columns, name)
			if unit != "" {
				s.units[name] = unit
			}
		}
	}
	for _, c := range columns[s.Kind] {
		if c.Needed && !s.has(c.Name) {
			off.add(s.Kind, line, c.Name, "is needed: %s", c.What)
		}
	}
	return off.Count == before
}

func (s *Sheet) row(line int, cells []string, off *Notes) {
	known := map[int]string{}
	for name, i := range s.at {
		known[i] = name
	}
	for i, cell := range cells {
		name, named := known[i]
		switch {
		case named:
			checkCell(s.Kind, line, name, cell, off)
		case strings.TrimSpace(cell) != "":
			off.add(s.Kind, line, "", "has %q in a column without a name", clip(cell))
		}
	}
	s.Rows = append(s.Rows, Row{line, cells})
}

// long are the columns that hold more than a few words.
var long = map[string]bool{"note": true, "used": true, "baths": true, "grades": true}

// checkCell refuses text that no view could show.
func checkCell(k Kind, line int, column, cell string, off *Notes) {
	limit := maxText
	if long[column] {
		limit = maxNote
	}
	if len(cell) <= limit && isPlain(cell) {
		return
	}
	if n := utf8.RuneCountInString(cell); n > limit {
		off.add(k, line, column, "has %d characters, at most %d are kept", n, limit)
	}
	if strings.ContainsFunc(cell, func(r rune) bool {
		return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control))
	}) {
		off.add(k, line, column, "holds a control character")
	}
}

// isPlain is true of printable ASCII, which most cells are.
func isPlain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}
