package swatch

import (
	"strings"
	"unicode"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
)

// String tells a page in words, in the order of the work: "silk: mordant
// potassium alum 15 % WOF; weld (flowering top) 60 % WOF; after-dip copperas 1 %
// WOF".
func (p Page) String() string {
	var before, after []string
	for _, b := range p.Baths {
		if b.afterDyeing() {
			after = append(after, b.String())
		} else {
			before = append(before, b.String())
		}
	}
	steps := before
	if p.Plant != "" {
		steps = append(steps, p.dye()+strength(p.WOF, "how much nobody knows"))
	}
	steps = append(steps, after...)
	if p.Recipe != "" {
		steps = append(steps, p.Recipe)
	}
	return p.Fibre + ": " + strings.Join(steps, "; ")
}

// String is "mordant potassium alum 15 % WOF".
func (b Bath) String() string {
	text := b.kindName() + " " + b.Name()
	if b.Metal != "" || b.WOF != 0 {
		text += strength(b.WOF, "how much nobody knows")
	}
	return text
}

func strength(wof quantity.Percent, unknown string) string {
	if wof == 0 {
		return ", " + unknown
	}
	return " " + wof.String() + " WOF"
}

// Name is what its substance is called.
func (b Bath) Name() string {
	if s, err := recipe.Lookup(b.Substance); err == nil {
		return s.Name
	}
	return b.Substance
}

func (b Bath) kindName() string {
	if k, err := lot.KindOf(b.Kind); err == nil {
		return k.Name
	}
	return b.Kind
}

// afterDyeing is true of the kinds that come after the dye in a usual day.
func (b Bath) afterDyeing() bool {
	dyed := false
	for _, k := range lot.Kinds() {
		if k.Key == b.Kind {
			return dyed
		}
		dyed = dyed || k.Dyes
	}
	return false
}

// dye is "weld (flowering top)".
func (p Page) dye() string {
	if p.Part == "" {
		return p.Plant
	}
	return p.Plant + " (" + p.Part + ")"
}

// Season says when its plant is gathered and whether it is a food plant; known
// is false where nobody can say.
func (p Page) Season() (text string, food, known bool) {
	if p.Plant == "" {
		return "", false, false
	}
	rows := season.GatheringsOf(p.Plant, p.Part)
	if len(rows) == 0 {
		return "nothing is known of when " + p.dye() + " is gathered", false, false
	}
	var parts []string
	for _, g := range rows {
		food = food || g.Food
		what := ""
		if len(rows) > 1 {
			what = g.Part + " "
		}
		parts = append(parts, what+g.When()+" ("+strings.TrimSuffix(g.Source.String(), " [CP]")+")")
	}
	return strings.Join(parts, "; "), food, true
}

// Also are the words of its baths and recipe that a search finds it by, beside
// its own.
func (p Page) Also() string {
	var words []string
	for _, b := range p.Baths {
		words = append(words, b.Kind, b.Name(), b.Substance)
		for _, m := range metals {
			if m.symbol == b.Metal {
				words = append(words, m.words[0])
			}
		}
	}
	return strings.Join(words, " ")
}

// Tokens are the words of a text as the book is searched by: runs of letters and
// digits, small.
func Tokens(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// text is all that a search by words looks at.
func (p Page) text() string {
	return strings.Join([]string{p.Name, p.Fibre, p.Plant, p.Part, p.Family, p.Place, p.Recipe, p.Where, p.Note, p.Also()}, " ")
}
