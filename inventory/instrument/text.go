package instrument

import (
	"bytes"
	"encoding/binary"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

func itoa(n int) string { return strconv.Itoa(n) }

// short is a wavelength as people write it: 400, 383.3.
func short(nm float64) string { return strconv.FormatFloat(nm, 'g', 5, 64) }

// plain is the file as UTF-8 with line feeds. Programs of instruments write
// UTF-16 or Latin-1 too; their figures are the same in each.
func (f *found) plain(data []byte) (string, error) {
	if len(data) > MaxBytes {
		return "", refuse(0, "is longer than %d MB, which is all that is read at once: export fewer samples", MaxBytes/1_000_000)
	}
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		data = wide(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		data = wide(data[2:], binary.BigEndian)
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return "", refuse(0, "is a packed file, such as a spreadsheet: export plain text or CSV")
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return "", refuse(1+bytes.Count(data[:i], []byte{'\n'}), "holds a zero byte, so it is no text: an instrument's own binary file is not read, export CGATS, CxF3 or CSV")
	}
	text := string(data)
	if !utf8.ValidString(text) {
		f.note("the text is not UTF-8 and was read as Latin-1: look at names with accents")
		text = latin1(data)
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	if strings.TrimSpace(text) == "" {
		return "", refuse(0, "is empty")
	}
	return text, nil
}

func wide(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

func latin1(data []byte) string {
	runes := make([]rune, len(data))
	for i, b := range data {
		runes[i] = rune(b)
	}
	return string(runes)
}

var dataBegins = regexp.MustCompile(`(?mi)^[ \t]*(BEGIN_DATA|BEGIN_DATA_FORMAT)[ \t]*$`)

// formatOf looks at what only one of the formats has.
func formatOf(text string) Format {
	switch {
	case strings.HasPrefix(strings.TrimSpace(text), "<"):
		return CxF3
	case dataBegins.MatchString(text):
		return CGATS
	}
	return CSV
}

var figure = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$`)

// number reads a figure with a decimal point or a decimal comma, and keeps on
// which line each was met, since a file must not have both. A mark never parts
// thousands here: no reflectance and no L* has so many.
func (f *found) number(line int, what, text string) (float64, error) {
	t := strings.TrimSpace(text)
	switch {
	case t == "":
		return 0, refuse(line, "%s is missing", what)
	case strings.Count(t, ",") == 1 && !strings.Contains(t, "."):
		if f.comma == 0 {
			f.comma = line
		}
		t = strings.Replace(t, ",", ".", 1)
	case strings.Contains(t, ".") && f.point == 0:
		f.point = line
	}
	if f.comma > 0 && f.point > 0 {
		return 0, refuse(line, "has a decimal point in one place of the file (line %d) and a decimal comma in another (line %d)", f.point, f.comma)
	}
	t = strings.Replace(t, "\u2212", "-", 1) // a typeset minus
	if !figure.MatchString(t) {
		return 0, refuse(line, "%s is %q, which is no number", what, clip(text))
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil {
		return 0, refuse(line, "%s is %q, which is beyond any number kept", what, clip(text))
	}
	return v, nil
}

// named is a sample's name as it can be shown, typed and kept.
func named(line int, text string) (string, error) {
	name := strings.Join(strings.Fields(text), " ")
	if n := utf8.RuneCountInString(name); n > MaxName {
		return "", refuse(line, "has a name of %d characters, at most %d are kept", n, MaxName)
	}
	if strings.ContainsFunc(name, func(r rune) bool { return !shown(r) }) {
		return "", refuse(line, "has a control character in the name of a sample")
	}
	return name, nil
}

func shown(r rune) bool {
	return !unicode.IsControl(r) && !unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control) && r != utf8.RuneError
}

// tidy is a text of the file's header as it can be shown.
func tidy(text string) string {
	clean := strings.Map(func(r rune) rune {
		if !shown(r) {
			return ' '
		}
		return r
	}, text)
	clean = strings.Join(strings.Fields(clean), " ")
	if runes := []rune(clean); len(runes) > MaxName {
		clean = string(runes[:MaxName])
	}
	return clean
}

// clip is a text from the file inside a refusal: short, and on one line.
func clip(text string) string {
	t := []rune(tidy(text))
	if len(t) > 40 {
		return string(t[:39]) + "…"
	}
	return string(t)
}
