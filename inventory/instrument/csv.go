package instrument

import "strings"

// csv reads a sheet: a row of headings with wavelengths or L, a, b, then a
// sample a row; or wavelengths in the first column, then a sample a column.
// Above the headings, and behind #, a line may say "illuminant: D65".
func (f *found) csv(text string) error {
	text, err := f.comments(text)
	if err != nil {
		return err
	}
	first, begins := firstLine(text)
	if word, _, _ := strings.Cut(begins, " "); noSamples[word] != "" {
		return refuse(first, "%s", noSamples[word])
	}
	var best grid
	var tooWide error
	for _, separator := range []rune{';', '\t', ','} {
		g := gridOf(text, separator)
		if g.score > best.score {
			best = g
		}
		if len(g.rows) == 0 && g.tooWide {
			tooWide = g.err
		}
	}
	switch {
	case best.score == 0 && tooWide != nil:
		return tooWide
	case best.score == 0:
		return refuse(first, "begins no file that is read: CGATS text has BEGIN_DATA, CxF3 is XML, and a sheet has headings with at least 4 wavelengths (400, 400nm, R400) or L, a, b, or wavelengths down its first column")
	case best.err != nil:
		return best.err
	}
	top := best.body
	if best.header >= 0 {
		top = best.header
	}
	for _, r := range best.rows[:top] {
		if err := f.above(r); err != nil {
			return err
		}
	}
	if best.upright {
		return f.downwards(best)
	}
	return f.across(best)
}

func firstLine(text string) (line int, begins string) {
	for l := range strings.Lines(text) {
		line++
		if begins = strings.TrimSpace(l); begins != "" {
			break
		}
	}
	return line, begins
}

// comments takes out the lines that begin with #, and reads what they say. The
// lines stay, empty, so that others keep their numbers. A row of headings may
// begin with # too.
func (f *found) comments(text string) (string, error) {
	var b strings.Builder
	line := 0
	for l := range strings.Lines(text) {
		line++
		c, is := strings.CutPrefix(strings.TrimSpace(l), "#")
		if !is || c != "" && layOut(line, strings.FieldsFunc(c, isSeparator)).measures() {
			b.WriteString(l)
			continue
		}
		b.WriteByte('\n')
		if key, value, has := strings.Cut(c, ":"); has {
			if err := f.header(line, key, value); err != nil {
				return "", err
			}
		}
	}
	return b.String(), nil
}

func isSeparator(r rune) bool { return r == ',' || r == ';' || r == '\t' }

// above reads a row above the headings: "illuminant;D65", or "illuminant: D65".
func (f *found) above(r row) error {
	var words []string
	for _, c := range r.cells {
		if c = strings.TrimSpace(c); c != "" {
			words = append(words, c)
		}
	}
	if len(words) == 0 {
		return nil
	}
	if key, value, has := strings.Cut(words[0], ":"); has && len(words) == 1 {
		return f.header(r.line, key, value)
	}
	return f.header(r.line, strings.TrimSuffix(words[0], ":"), strings.Join(words[1:], " "))
}

// across reads a sample a row.
func (f *found) across(g grid) error {
	head := g.rows[g.header]
	c := layOut(head.line, head.cells)
	if len(head.cells) > MaxFields {
		return refuse(head.line, "has %d columns, at most %d are read", len(head.cells), MaxFields)
	}
	if c.naming < 0 { // the first column that holds nothing else
		for i, fd := range c.all {
			if fd.role == other {
				c.naming = i
				break
			}
		}
	}
	if err := c.begin(f); err != nil {
		return err
	}
	for _, r := range g.rows[g.body:] {
		cell := func(i int) string {
			if i < len(r.cells) {
				return r.cells[i]
			}
			return ""
		}
		if c.empty(cell) {
			f.note("line %d holds no figures and was passed over", r.line)
			continue
		}
		if len(r.cells) > len(head.cells) && !blank(r.cells[len(head.cells):]) {
			return refuse(r.line, "has %d cells under %d headings: a decimal comma in a sheet of commas needs quotation marks", len(r.cells), len(head.cells))
		}
		if err := c.sample(f, r.line, cell); err != nil {
			return err
		}
	}
	return nil
}

// empty is true of a row without any figure: a heading between samples, say.
func (c columns) empty(cell func(int) string) bool {
	for _, at := range [][]int{c.bands, c.lab, c.xyz} {
		for _, i := range at {
			if strings.TrimSpace(cell(i)) != "" {
				return false
			}
		}
	}
	return true
}

// downwards reads a sample a column.
func (f *found) downwards(g grid) error {
	body := g.rows[g.body:]
	names := row{line: body[0].line}
	if g.header >= 0 {
		names = g.rows[g.header]
	}
	wide := len(body[0].cells)
	for wide > 2 && strings.TrimSpace(body[0].cells[wide-1]) == "" {
		wide--
	}
	if wide-1 > MaxSamples {
		return refuse(body[0].line, "has %d samples, at most %d are read", wide-1, MaxSamples)
	}
	drafts := make([]draft, wide-1)
	for i := range drafts {
		d := &drafts[i]
		d.line, d.said = names.line, f.said
		if i+1 < len(names.cells) {
			var err error
			if d.name, err = named(names.line, names.cells[i+1]); err != nil {
				return err
			}
		}
	}
	for _, r := range body {
		at := understand(r.cells[0])
		if at.role != band {
			f.note("line %d begins with no wavelength and was left aside", r.line)
			continue
		}
		if len(r.cells) > wide && !blank(r.cells[wide:]) {
			return refuse(r.line, "has %d cells, where the first row of readings has %d", len(r.cells), wide)
		}
		for i := range drafts {
			text := ""
			if i+1 < len(r.cells) {
				text = r.cells[i+1]
			}
			v, err := f.number(r.line, "the reading of "+drafts[i].called()+" at "+short(at.nm)+" nm", text)
			if err != nil {
				return err
			}
			drafts[i].nm, drafts[i].r = append(drafts[i].nm, at.nm), append(drafts[i].r, v)
		}
		if len(drafts[0].nm) > MaxFields {
			return refuse(r.line, "is one wavelength too many: at most %d are read", MaxFields)
		}
	}
	f.drafts = drafts
	return nil
}
