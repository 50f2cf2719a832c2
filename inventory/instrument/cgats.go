package instrument

import (
	"strconv"
	"strings"

	"dyelot/inventory/fault"
)

// noSamples are kinds of table, by the word that a file begins with, that hold
// figures and no measured cloth.
var noSamples = map[string]string{
	"CTI1":  "is a list of patches to be printed: its colours are expected and nobody measured them",
	"CTI2":  "is a list of patches as they were printed: its colours are expected and nobody measured them",
	"CAL":   "is the calibration of a device, and holds no sample",
	"GAMUT": "is the surface of a gamut, and holds no sample",
	"BOXES": "is where the patches of a chart lie, and holds no sample",
}

// tables is a text of keywords and tables, read line by line.
type tables struct {
	*found
	kind       string   // of the table that comes next, or is being read
	kindLine   int      // where the file says so
	format     []string // of the table that comes next
	formatLine int
	fields     int                                               // NUMBER_OF_FIELDS, or -1
	sets       int                                               // NUMBER_OF_SETS, or -1
	reason     *fault.Fault                                      // why the first table without samples has none
	in         func(line int, words []string, text string) error // the part that is being read
	open       string                                            // the keyword that must still come
	columns    columns
	rows       int
	held       []string // the beginning of a set that goes on in the next line
	heldLine   int
}

// cgats reads CGATS.17 and ISO 28178 text: keywords with values, the list of
// fields, and the sets of data; then perhaps the next table, which takes over
// what it does not say anew.
func (f *found) cgats(text string) error {
	t := &tables{found: f, fields: -1, sets: -1}
	t.in = t.keyword
	line := 0
	for row := range strings.Lines(text) {
		line++
		words, err := split(line, row)
		if err != nil {
			return err
		}
		if len(words) == 0 {
			continue
		}
		if err := t.in(line, words, strings.TrimRight(row, "\n")); err != nil {
			return err
		}
	}
	switch {
	case t.open != "":
		return refuse(line, "is the last line, but %s is missing: the file was cut off", t.open)
	case len(f.drafts) == 0 && t.reason != nil:
		return t.reason
	case len(f.drafts) == 0:
		return refuse(line, "is the last line, and no data came: BEGIN_DATA is missing")
	}
	if t.reason != nil {
		f.note("a table was left aside: %s", t.reason.Say)
	}
	return nil
}

// keyword reads a line of the header.
func (t *tables) keyword(line int, words []string, _ string) error {
	key := strings.ToUpper(words[0])
	value := strings.Join(words[1:], " ")
	switch key {
	case "BEGIN_DATA_FORMAT":
		t.format, t.in, t.open = nil, t.fieldNames, "END_DATA_FORMAT"
		return t.fieldNames(line, words[1:], "")
	case "BEGIN_DATA":
		return t.begin(line)
	case "NUMBER_OF_FIELDS":
		return count(&t.fields, line, key, value, MaxFields)
	case "NUMBER_OF_SETS":
		return count(&t.sets, line, key, value, MaxSamples)
	case "KEYWORD":
		return nil
	}
	if len(words) == 1 {
		t.kind, t.kindLine = key, line
		return nil
	}
	return t.header(line, key, value)
}

func count(n *int, line int, key, value string, most int) error {
	v, err := strconv.Atoi(value)
	switch {
	case err != nil || v < 0:
		return refuse(line, "%s is %q, which is no count", key, clip(value))
	case v > most:
		return refuse(line, "%s is %d, at most %d are read", key, v, most)
	}
	*n = v
	return nil
}

// fieldNames reads the list of fields, over as many lines as it takes.
func (t *tables) fieldNames(line int, words []string, _ string) error {
	for _, w := range words {
		if strings.EqualFold(w, "END_DATA_FORMAT") {
			t.in, t.open = t.keyword, ""
			if t.fields >= 0 && t.fields != len(t.format) {
				t.note("NUMBER_OF_FIELDS says %d, but %d are listed: rows were read by the list", t.fields, len(t.format))
			}
			return nil
		}
		if strings.EqualFold(w, "BEGIN_DATA") {
			return refuse(line, "begins the data, but END_DATA_FORMAT is missing")
		}
		if len(t.format) == MaxFields {
			return refuse(line, "has more than %d fields", MaxFields)
		}
		if len(t.format) == 0 {
			t.formatLine = line
		}
		t.format = append(t.format, w)
	}
	return nil
}

// begin starts the data of a table, and finds out whether samples are in it.
func (t *tables) begin(line int) error {
	if len(t.format) == 0 {
		return refuse(line, "begins the data, but no BEGIN_DATA_FORMAT has said what its fields are")
	}
	t.columns, t.rows, t.held, t.open = layOut(t.formatLine, t.format), 0, nil, "END_DATA"
	if why := t.unfit(); why != nil {
		if t.in = t.skip; t.reason == nil {
			t.reason = why
		}
		return nil
	}
	t.in = t.data
	return t.columns.begin(t.found)
}

// unfit is why no sample is read from a table; nil where they are.
func (t *tables) unfit() *fault.Fault {
	c := t.columns
	measures := strings.ToUpper(t.measures)
	switch why, known := noSamples[t.kind]; {
	case known:
		return refuse(t.kindLine, "%s", why)
	case c.bands != nil && measures != "" && !strings.Contains(measures, "REFLECT"):
		return refuse(c.line, "lists bands of what the file calls %s: only reflectance is a colour of cloth", clip(measures))
	case c.bands != nil && measures == "" && t.kind == "SPECT":
		return refuse(t.kindLine, "begins a file of one spectrum that may be of a light or a filter: it has no MEAS_TYPE REFLECTIVE, so it is not read as cloth")
	case c.measures():
		return nil
	}
	for _, name := range t.format {
		if strings.EqualFold(name, "SPECTRAL_NM") {
			return refuse(c.line, "gives wavelengths among the data, as SPECTRAL_NM: export one field for each band, such as SPECTRAL_NM400")
		}
	}
	return refuse(c.line, "lists no field that is read: neither bands such as SPECTRAL_NM400, nor LAB_L LAB_A LAB_B, nor XYZ_X XYZ_Y XYZ_Z")
}

func (t *tables) skip(_ int, words []string, _ string) error {
	if strings.EqualFold(words[0], "END_DATA") {
		t.finish()
	}
	return nil
}

// finish makes ready for the next table.
func (t *tables) finish() {
	t.in, t.open, t.fields, t.sets = t.keyword, "", -1, -1
}

// data reads a line of the data. A line is mostly one set. Where it is parted
// by tabs into as many cells as there are fields, tabs are what counts, and a
// name may hold blanks without quotation marks.
func (t *tables) data(line int, words []string, text string) error {
	if strings.EqualFold(words[0], "END_DATA") {
		switch {
		case len(t.held) > 0:
			return refuse(t.heldLine, "has %d values for %d fields", len(t.held), len(t.format))
		case t.sets >= 0 && t.sets != t.rows:
			return refuse(line, "NUMBER_OF_SETS says %d, but there are %d: was the file cut, or were lines taken out", t.sets, t.rows)
		}
		t.finish()
		return nil
	}
	if len(t.held) == 0 {
		t.heldLine = line
		if cells := tabbed(text, len(t.format)); cells != nil {
			return t.set(line, cells)
		}
	}
	t.held = append(t.held, words...)
	switch {
	case len(t.held) > len(t.format):
		return refuse(t.heldLine, "has %d values for %d fields: a name with blanks must stand in quotation marks", len(t.held), len(t.format))
	case len(t.held) < len(t.format):
		return nil
	}
	cells := t.held
	t.held = nil
	return t.set(t.heldLine, cells)
}

func (t *tables) set(line int, cells []string) error {
	t.rows++
	return t.columns.sample(t.found, line, func(i int) string { return cells[i] })
}
