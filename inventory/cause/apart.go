package cause

import (
	"fmt"
	"slices"
	"strings"
)

// Cloth is a witness swatch that was kept of a lot: it went through the lot's
// baths and has what those had.
type Cloth struct {
	Lot   string // "L3"
	Where string // "18 g of P5, page T3 of the swatch book"
	had   map[key]bool
}

// ClothWith is a swatch that had these factors.
func ClothWith(lot, where string, factors ...Factor) Cloth {
	c := Cloth{Lot: lot, Where: where, had: map[key]bool{}}
	for _, f := range factors {
		c.had[f.key()] = true
	}
	return c
}

// Parting is what would tell two suspects apart.
type Parting struct {
	A, B Factor
	// Inseparable: exactly the same garments of the population had both.
	Inseparable bool
	OnlyA       Side
	OnlyB       Side
}

// Side is what had the one suspect and not the other.
type Side struct {
	Garments, Returned int // of the population
	Cloths             []Cloth
}

const (
	// mostPartings and mostCloths are what a person follows up.
	mostPartings = 6
	mostCloths   = 4
)

// Apart pairs the suspects that a person would want told apart: the first of
// the list with those that it cannot be parted from and with the next that are
// worth a look, and says which kept swatches had the one and not the other.
func (a Answer) Apart(cloths []Cloth) []Parting {
	if len(a.Suspects) == 0 {
		return nil
	}
	cloths = slices.SortedFunc(slices.Values(cloths), func(x, y Cloth) int { return compareCodes(x.Lot, y.Lot) })
	var all []Parting
	first := a.Suspects[0]
	for _, f := range first.Factors[1:] {
		all = append(all, Parting{A: first.Factors[0], B: f, Inseparable: true})
	}
	all = all[:min(len(all), mostPartings-2)]
	for _, s := range a.Suspects[1:] {
		if !s.WorthALook() {
			break
		}
		p := Parting{A: first.Factors[0], B: s.Factors[0]}
		p.OnlyA.count(first, s)
		p.OnlyB.count(s, first)
		all = append(all, p)
	}
	all = all[:min(len(all), mostPartings)]
	for i := range all {
		if all[i].A.Own || all[i].B.Own {
			continue // no witness cloth has or lacks it
		}
		all[i].OnlyA.Cloths = kept(cloths, all[i].A, all[i].B)
		all[i].OnlyB.Cloths = kept(cloths, all[i].B, all[i].A)
	}
	return all
}

func (s *Side) count(of, without Suspect) {
	only := of.exposed.without(without.exposed)
	s.Garments = only.count()
	for _, tag := range of.Tags {
		if !slices.Contains(without.Tags, tag) {
			s.Returned++
		}
	}
}

func kept(cloths []Cloth, with, without Factor) []Cloth {
	var found []Cloth
	for _, c := range cloths {
		if c.had[with.key()] && !c.had[without.key()] && len(found) < mostCloths {
			found = append(found, c)
		}
	}
	return found
}

// Says puts a parting into sentences.
func (p Parting) Says() []string {
	var said []string
	if p.Inseparable {
		said = append(said, fmt.Sprintf("%s and %s cannot be told apart by counting: exactly the same garments had both", p.A.Name, p.B.Name))
	} else {
		said = append(said, p.OnlyA.counts(p.A, p.B), p.OnlyB.counts(p.B, p.A))
	}
	switch {
	case p.A.Own || p.B.Own:
		own := p.A
		if p.B.Own {
			own = p.B
		}
		return append(said, "no witness cloth can tell: "+own.Name+" is the garments' own")
	case len(p.OnlyA.Cloths) == 0 && len(p.OnlyB.Cloths) == 0:
		return append(said, "no witness cloth was kept that had the one without the other: dye a swatch with each")
	}
	for _, side := range []struct {
		s             Side
		with, without Factor
	}{{p.OnlyA, p.A, p.B}, {p.OnlyB, p.B, p.A}} {
		if len(side.s.Cloths) > 0 {
			said = append(said, fmt.Sprintf("test the kept witness cloth of %s: it had %s without %s", listed(side.s.Cloths), side.with.Name, side.without.Name))
		}
	}
	return said
}

func (s Side) counts(with, without Factor) string {
	if s.Garments == 0 {
		return fmt.Sprintf("no garment had %s without %s", with.Name, without.Name)
	}
	return fmt.Sprintf("%s had %s without %s, and %d of them came back", counted(s.Garments, "garment"), with.Name, without.Name, s.Returned)
}

func listed(cloths []Cloth) string {
	var words []string
	for _, c := range cloths {
		word := c.Lot
		if c.Where != "" {
			word += " (" + c.Where + ")"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}
