package opening

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
	"dyelot/inventory/swatch"
)

// SwatchCard is one row of an old swatch book, read and checked.
type SwatchCard struct {
	Line int
	swatch.Page
	Grades []swatch.Grade
}

// swatchFields are the page's fields that the sheet calls differently.
var swatchFields = map[string]string{"dye_family": "family", "colour.l": "lab", "colour.a": "lab", "colour.b": "lab", "l": "lab", "a": "lab", "b": "lab"}

// SwatchCards reads the rows of a swatch sheet. off says of each cell what is
// off, mind what a search will not know; by dyed those that nobody else did.
func SwatchCards(s Sheet, f Form, today time.Time, by string, off, mind *Notes) []SwatchCard {
	var cards []SwatchCard
	said := map[string]bool{}
	for _, row := range s.Rows {
		c := &cells{sheet: s, row: row, form: f, off: off, ok: true}
		card := SwatchCard{Line: row.Line, Page: c.swatchPage(today, by)}
		if !c.ok {
			continue
		}
		checked, warnings, err := card.Page.Check(today)
		if err != nil {
			c.fault(err, swatchFields)
			continue
		}
		card.Page = checked
		card.Grades = c.swatchGrades(card.Page, today)
		for _, w := range warnings {
			if !said[w.Text] {
				said[w.Text] = true
				mind.add(Swatches, row.Line, warnedOf(w), "%s", w.Text)
			}
		}
		if c.ok {
			cards = append(cards, card)
		}
	}
	return cards
}

func warnedOf(w recipe.Warning) string {
	if w.Key == "weeks-unknown" {
		return "plant"
	}
	return "baths"
}

func (c *cells) swatchPage(today time.Time, by string) swatch.Page {
	p := swatch.Page{Name: c.name("name"), Fibre: c.code("fibre"), Plant: c.name("plant"), Part: c.name("part"), Family: c.code("family"), Place: c.name("place"),
		Recipe: c.name("recipe"), Where: c.name("page"), Note: c.text("note"), By: c.name("by")}
	if p.By == "" {
		p.By = by
	}
	if c.needed("fibre") {
		if _, err := recipe.FibreOf(p.Fibre); err != nil {
			c.fault(err, nil)
		}
	}
	if c.needed("dyed_on") {
		p.Dyed = c.pastDay("dyed_on", today)
	}
	p.Picked, p.WOF = c.pastDay("picked_on", today), c.percent("percent_wof")
	if c.text("percent_wof") != "" && p.WOF <= 0 && c.ok {
		c.refuse("percent_wof", "%s is no dose: leave the cell empty where nobody knows", p.WOF)
	}
	for _, text := range listed(c.text("baths")) {
		p.Baths = append(p.Baths, c.bath(text))
	}
	p.Measured = c.cardColour(today)
	return p
}

// bath reads one bath of the cell; what its dose is off by is of the cell too.
func (c *cells) bath(text string) swatch.Bath {
	kind, substance, percent, metal, err := swatch.BathText(text)
	if err == nil && percent != "" {
		plain, ok := c.number("baths", percent)
		if !ok {
			return swatch.Bath{}
		}
		text = kind + " " + substance + "=" + plain
		if metal != "" {
			text += " metal " + metal
		}
	}
	var b swatch.Bath
	if err == nil {
		b, err = swatch.ParseBath(text)
	}
	if err == nil {
		_, err = b.Check() // each bath is told of; the page is brought to the tables' words once, as a whole
	}
	if err != nil {
		c.fault(err, map[string]string{"": "baths", "kind": "baths", "substance": "baths", "metal": "baths", "percent": "baths", "percent_wof": "baths"})
	}
	return b
}

func (c *cells) cardColour(today time.Time) *swatch.Measured {
	text := c.text("lab")
	if text == "" {
		return nil
	}
	m := &swatch.Measured{Instrument: c.name("instrument"), Read: c.pastDay("read_on", today)}
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == '|' })
	if len(parts) != 3 {
		c.refuse("lab", "%q is not L/a/b such as 68.2 / -3.1 / 46", clip(text))
		return nil
	}
	var v [3]float64
	for i, p := range parts {
		plain, ok := c.number("lab", p)
		n, err := strconv.ParseFloat(plain, 64)
		if ok && err != nil {
			c.refuse("lab", "%q is no number in L/a/b", clip(p))
		}
		v[i] = n
	}
	m.Lab = colour.Lab{L: v[0], A: v[1], B: v[2]}
	return m
}

func (c *cells) swatchGrades(p swatch.Page, today time.Time) []swatch.Grade {
	var all []swatch.Grade
	on := c.pastDay("tested_on", today)
	for _, text := range listed(c.text("grades")) {
		if on.IsZero() {
			c.refuse("tested_on", "is needed: the day of the grades")
			return nil
		}
		if on.Before(p.Dyed) {
			c.refuse("tested_on", "is before it was dyed")
			return nil
		}
		grades, err := cardGrades(text, on, p.By)
		if err != nil {
			c.fault(err, gradeColumns)
			return nil
		}
		all = append(all, grades...)
	}
	return all
}

// gradeColumns: whatever is off about a test stands in one cell.
var gradeColumns = map[string]string{"": "grades", "method": "grades", "edition": "grades", "variant": "grades", "grade": "grades", "date": "tested_on", "assessor": "by"}

func cardGrades(text string, on time.Time, by string) ([]swatch.Grade, error) {
	method, edition, variant, grades, err := swatch.GradesText(text)
	if err != nil {
		return nil, err
	}
	m, err := fastness.MethodOf(method)
	if err != nil {
		return nil, err
	}
	t := fastness.Test{Method: method, Edition: edition, Variant: variant, Date: on, Grades: map[string]fastness.Grade{}}
	known := make([]string, len(m.Components))
	for i, c := range m.Components {
		known[i] = c.Key
		if g, graded := grades[c.Key]; graded {
			if t.Grades[c.Key], err = fastness.Parse(g, c.Scale); err != nil {
				return nil, err
			}
		}
	}
	for key := range grades {
		if !slices.Contains(known, key) {
			return nil, gradeless(method, key, known)
		}
	}
	return swatch.Grades("the card", t, by, "")
}

func gradeless(method, key string, known []string) error {
	return fault.BadField("grade", "%s does not grade %.40q: it grades %s", method, key, strings.Join(known, ", "))
}
