package recipe

import (
	"fmt"
	"slices"

	"dyelot/inventory/quantity"
)

// The usual range of a liquor ratio, common practice.
const (
	shortestBath = quantity.Ratio(20_000)
	longestBath  = quantity.Ratio(40_000)
)

// warn gathers what every rule says: first of the recipe as a whole, then stage
// by stage, none twice. It fails only where a rule refuses after all.
func (r looked) warn() ([]Warning, error) {
	said, err := r.whole()
	if err != nil {
		return nil, err
	}
	general := slices.Clone(said)
	var brewed []string // dyes whose brew waits for its pot
	for i, s := range r.stages {
		found, err := r.stage(s, brewed)
		if err != nil {
			return nil, err
		}
		switch {
		case s.kind.Brews:
			brewed = append(brewed, s.dyes()...)
			if !slices.ContainsFunc(r.stages[i:], func(later lookedStage) bool { return later.kind.Dyes }) {
				found = append(found, Warning{"brew-unused", "no dye or vat stage follows, so its liquor goes nowhere", practice})
			}
		case s.kind.Dyes:
			brewed = nil
		}
		for _, w := range found {
			if slices.Contains(general, w) {
				continue
			}
			w.Text = fmt.Sprintf("stage %d, %s: %s", s.Position, s.kind.Name, w.Text)
			if !slices.Contains(said, w) {
				said = append(said, w)
			}
		}
	}
	return said, nil
}

// whole is what concerns all stages together: the fibre, all iron of the recipe
// added up, each dyestuff with what lies under and over it.
func (r looked) whole() ([]Warning, error) {
	p := Planned{Fibres: []string{r.fibre.Key}}
	var dyes []string
	for _, s := range r.stages {
		p.Tannin = p.Tannin || s.kind.Key == "tannin"
		for _, l := range s.lines {
			p.Tannin = p.Tannin || l.family == "tannin"
			iron, err := l.iron()
			if err != nil {
				return nil, err
			}
			p.Iron = p.Iron.Add(iron)
		}
		for _, d := range s.dyes() {
			if !slices.Contains(dyes, d) {
				dyes = append(dyes, d)
			}
		}
	}
	if len(dyes) == 0 {
		dyes = []string{""}
	}
	var said []Warning
	for _, d := range dyes {
		p.Dye = d
		found, err := Check(p)
		if err != nil {
			return nil, err
		}
		said = appendNew(said, found...)
	}
	if r.Ratio < shortestBath || r.Ratio > longestBath {
		said = append(said, Warning{"ratio-unusual", fmt.Sprintf("a liquor ratio of %s is outside the usual %s to %s", r.Ratio, shortestBath, longestBath), practice})
	}
	return said, nil
}

// iron is what one line offers to each kilogram of fibre.
func (l lookedLine) iron() (Iron, error) {
	switch {
	case !l.substance.HasIron():
		return Iron{}, nil
	case l.wof == nil: // millilitres of a liquor whose strength its bottle has, or nobody
		return Iron{Unknown: true}, nil
	}
	kilo := quantity.Grams(1000)
	return IronFrom(l.substance, kilo.Percent(*l.wof), kilo)
}

// dyes are the dyestuffs of a stage that the table knows.
func (s lookedStage) dyes() []string {
	var ds []string
	for _, l := range s.lines {
		if l.dye != "" {
			ds = append(ds, l.dye)
		}
	}
	return ds
}

// stage asks the rules about each dose in its stage, about the dyes brewed for
// it, and about the pH at both ends.
func (r looked) stage(s lookedStage, brewed []string) ([]Warning, error) {
	base := Planned{Stage: s.kind.Key, Fibres: []string{r.fibre.Key}}
	if s.Celsius != 0 {
		base.Heat = new(Degrees(int64(s.Celsius)))
	}
	var asked []Planned
	if len(s.lines) == 0 {
		asked = append(asked, base)
	}
	for _, l := range s.lines {
		p := base
		p.Kind, p.Dye, p.WOF = l.ItemKind, l.dye, l.wof
		if l.substance.Name != "" {
			p.Substance = l.Substance
		}
		if l.Ask.Basis == InBath {
			p.PerLitre = new(l.Ask.PerLitre)
		}
		asked = append(asked, p)
	}
	if s.kind.Dyes {
		for _, d := range brewed {
			p := base
			p.Dye = d
			asked = append(asked, p)
		}
	}
	for _, ph := range []*PH{s.PHLow, s.PHHigh} {
		if ph != nil {
			asked = append(asked, Planned{Stage: s.kind.Key, Fibres: base.Fibres, PH: ph})
		}
	}
	var said []Warning
	for _, p := range asked {
		found, err := Check(p)
		if err != nil {
			return nil, err
		}
		said = appendNew(said, found...)
	}
	return said, nil
}

// wasteMetal is said of copper in place of the table's word for old books: a
// recipe may still ask for it, and its bath is hazardous waste.
var wasteMetal = Warning{"copper-waste", "copper harms water life: its bath goes to hazardous waste, never down a drain or on the ground; the supplier's safety sheet comes first", practice}

func appendNew(said []Warning, more ...Warning) []Warning {
	for _, w := range more {
		if w.Key == "old-records-only" {
			w = wasteMetal
		}
		if !slices.Contains(said, w) {
			said = append(said, w)
		}
	}
	return said
}
