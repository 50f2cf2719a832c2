package swatch

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Bath is what was done to the cloth beside the dyestuff: one substance in one
// bath, in the order of work.
type Bath struct {
	Kind      string // a stage kind that is not the dyeing itself: "mordant", "after-dip"
	Substance string // a key of recipe.Substances, or its own words
	// Metal is the symbol of the metal that it adds, by the salt's formula; empty
	// where it adds none. Of what the tables do not know somebody must say it, with
	// None for none.
	Metal string
	// WOF is on air-dry fibre; zero where nobody knows.
	WOF quantity.Percent
}

// None is the word for no metal.
const None = "none"

// bathKinds are the kinds of stage that a swatch may name: all that hold a
// substance, but brewing and dyeing, which are the page's plant.
func bathKinds() (keys []string) {
	for _, k := range lot.Kinds() {
		if k.Bath && k.Doses && !k.Brews && !k.Dyes {
			keys = append(keys, k.Key)
		}
	}
	return keys
}

// Check brings a bath, as somebody wrote it, to the words of the tables. Refused (fault.Invalid) are an
// unknown kind ("kind"), a salt of two metals, and what the tables do not know
// while nobody says its metal ("substance"), a metal that is not the salt's
// ("metal"), and ("percent_wof") a dose that is none, and any of a liquor of
// unknown strength.
func (b Bath) Check() (Bath, error) {
	if kinds := bathKinds(); !slices.Contains(kinds, b.Kind) {
		return b, fault.BadField("kind", "%.40q is no bath of a swatch: use one of %s", b.Kind, strings.Join(kinds, ", "))
	}
	if strings.TrimSpace(b.Substance) == "" {
		return b, fault.BadField("substance", "is needed: what went into the %s", b.Kind)
	}
	salt, err := recipe.Lookup(b.Substance)
	metal, said, badMetal := metalOf(b.Metal)
	if badMetal != nil {
		return b, badMetal
	}
	if err != nil {
		return b.ownWords(metal, said, err)
	}
	if metals := salt.Formula.Metals(); len(metals) > 1 {
		return b, fault.BadField("substance", "%s holds %s: write each metal's salt as a bath of its own", salt.Name, strings.Join(metals, " and "))
	}
	if said && metal != salt.Metal {
		return b, fault.BadField("metal", "%s brings %s, not %s", salt.Name, orNone(salt.Metal), orNone(metal))
	}
	b.Substance, b.Metal = salt.Key, salt.Metal
	if b.Substance == "" { // a formula that is not in the table
		b.Substance = salt.Name
	}
	return b, b.checkDose(salt.Metal != "" && !salt.HasFormula(), salt.Name)
}

// ownWords is a substance that the tables do not know, or not which of two:
// acorns, soya milk, aluminium acetate.
func (b Bath) ownWords(metal string, said bool, unknown error) (Bath, error) {
	if f, is := fault.Of(unknown); !said && is {
		return b, fault.BadField("substance", "%s; or say which metal it brings, or none", f.Say)
	}
	b.Substance, b.Metal = strings.ToLower(strings.Join(strings.Fields(b.Substance), " ")), metal
	return b, b.checkDose(metal != "", b.Substance)
}

func (b Bath) checkDose(noStrength bool, name string) error {
	switch {
	case b.WOF == 0:
		return nil
	case noStrength:
		return fault.BadField("percent_wof", "%s has no known strength, so no %% WOF can be computed from it: leave it out", name)
	}
	return onField("percent_wof", recipe.Limit(recipe.Mordant, b.WOF))
}

// metals are those that a swatch may name, each by symbol and by the trade's
// words.
var metals = []struct {
	symbol string
	words  []string
}{
	{"Al", []string{"aluminium", "aluminum", "alum"}},
	{"Fe", []string{"iron"}},
	{"Cu", []string{"copper"}},
	{"Sn", []string{"tin"}},
	{"Cr", []string{"chrome", "chromium"}},
}

// metalOf reads a metal: a symbol, a word, or none. said is false where it is
// empty. fault.Invalid, field "metal".
func metalOf(word string) (symbol string, said bool, err error) {
	w := strings.ToLower(strings.TrimSpace(word))
	if w == "" || w == None {
		return "", w == None, nil
	}
	var all []string
	for _, m := range metals {
		if strings.ToLower(m.symbol) == w || slices.Contains(m.words, w) {
			return m.symbol, true, nil
		}
		all = append(all, fmt.Sprintf("%s (%s)", m.symbol, m.words[0]))
	}
	return "", true, fault.BadField("metal", "%.40q is no metal of a mordant: use none, %s", word, strings.Join(all, ", "))
}

func orNone(metal string) string {
	if metal == "" {
		return "no metal"
	}
	return metal
}

// Metals are those that the baths of a page brought, each once, sorted; none is
// a page without added metal.
func (p Page) Metals() []string {
	var found []string
	for _, b := range p.Baths {
		if b.Metal != "" && !slices.Contains(found, b.Metal) {
			found = append(found, b.Metal)
		}
	}
	slices.Sort(found)
	return found
}
