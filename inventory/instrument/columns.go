package instrument

import (
	"math"
	"sort"
	"strings"
)

// columns is a row of headings, understood: where in a row a sample's figures
// stand.
type columns struct {
	line   int
	all    []field
	texts  []string
	short  []string // the same, to be named in a refusal
	bands  []int    // by wavelength
	lab    []int    // three, or none
	xyz    []int    // three, or none
	naming int      // -1 where no column names the sample
}

// layOut finds what a sample is read from; none where the headings have neither
// a spectrum nor a colour.
func layOut(line int, texts []string) columns {
	c := columns{line: line, texts: texts, naming: -1}
	at := map[role]int{}
	rank := math.MaxInt
	for i, t := range texts {
		f := understand(t)
		c.all = append(c.all, f)
		if f.role == band {
			c.bands = append(c.bands, i)
		}
		if f.role == name && f.rank < rank {
			rank, c.naming = f.rank, i
		}
		if _, twice := at[f.role]; !twice {
			at[f.role] = i
		}
	}
	sort.SliceStable(c.bands, func(i, j int) bool { return c.all[c.bands[i]].nm < c.all[c.bands[j]].nm })
	if len(c.bands) < 4 { // "400" alone is a name or a count
		c.bands = nil
	}
	c.lab = three(at, lightness, redGreen, yellowBlue)
	c.xyz = three(at, tristimulusX, tristimulusY, tristimulusZ)
	if c.measures() {
		for _, t := range texts {
			c.short = append(c.short, clip(t))
		}
	}
	return c
}

func three(at map[role]int, roles ...role) []int {
	var out []int
	for _, r := range roles {
		i, has := at[r]
		if !has {
			return nil
		}
		out = append(out, i)
	}
	return out
}

func (c columns) measures() bool { return c.bands != nil || c.lab != nil || c.xyz != nil }

// begin checks the headings once, and notes what is left aside.
func (c columns) begin(f *found) error {
	for i := 1; i < len(c.bands); i++ {
		if a, b := c.all[c.bands[i-1]], c.all[c.bands[i]]; a.nm == b.nm {
			return refuse(c.line, "has the band at %v nm twice", a.nm)
		}
	}
	for _, i := range c.bands {
		if s := c.all[i].scale; s != Unsaid {
			if f.scale != Unsaid && f.scale != s {
				return refuse(c.line, "column %s is in %s, but line %d says %s", c.short[i], scaleWords[s], f.scaleLine, scaleWords[f.scale])
			}
			f.scale, f.scaleLine = s, c.line
		}
	}
	if c.bands != nil && (c.lab != nil || c.xyz != nil) {
		f.note("the file's own L*a*b* or XYZ were left aside: they follow from the spectra, in any light")
	}
	var aside []string
	for i, fd := range c.all {
		if fd.role == other && i != c.naming && strings.TrimSpace(c.texts[i]) != "" && len(aside) < 12 {
			aside = append(aside, c.short[i])
		}
	}
	if len(aside) > 0 {
		f.note("columns left aside: %s", strings.Join(aside, ", "))
	}
	return nil
}

// sample reads one row. cell is the text of a column, or empty where the row
// has none.
func (c columns) sample(f *found, line int, cell func(int) string) error {
	if len(f.drafts) == MaxSamples {
		return refuse(line, "is one sample too many: at most %d are read at once", MaxSamples)
	}
	d := draft{line: line, said: f.said}
	var err error
	if c.naming >= 0 {
		if d.name, err = named(line, cell(c.naming)); err != nil {
			return err
		}
	}
	read := func(at []int, what func(int) string) []float64 {
		var out []float64
		for _, i := range at {
			var v float64
			if err == nil {
				v, err = f.number(line, what(i), cell(i))
			}
			out = append(out, v)
		}
		return out
	}
	heading := func(i int) string { return c.short[i] }
	switch {
	case c.bands != nil:
		d.r = read(c.bands, func(i int) string { return "the reading at " + c.short[i] })
		for _, i := range c.bands {
			d.nm = append(d.nm, c.all[i].nm)
		}
	case c.lab != nil:
		d.lab = read(c.lab, heading)
		d.said.also(c.all[c.lab[0]].said)
	default:
		d.xyz = read(c.xyz, heading)
		d.said.also(c.all[c.xyz[0]].said)
	}
	if err != nil {
		return err
	}
	c.beside(&d, cell)
	f.drafts = append(f.drafts, d)
	return nil
}

// beside reads what a row says about itself.
func (c columns) beside(d *draft, cell func(int) string) {
	for i, fd := range c.all {
		switch fd.role {
		case ofIlluminant: // an unknown one too: it is refused once it is needed
			d.said.also(said{illuminant: tidy(cell(i))})
			d.said.also(said{illuminant: lightOf(cell(i)).illuminant})
		case ofObserver:
			d.said.also(said{observer: lightOf(cell(i)).observer})
		case ofSpecular:
			d.said.also(said{specular: specularOf(cell(i))})
		}
	}
}

// also takes over what other says.
func (s *said) also(other said) {
	for _, p := range []struct {
		mine  *string
		other string
	}{{&s.illuminant, other.illuminant}, {&s.observer, other.observer}, {&s.specular, other.specular}} {
		if p.other != "" {
			*p.mine = p.other
		}
	}
}
