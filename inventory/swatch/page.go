package swatch

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
)

// Page is one swatch: what made it, as far as anybody knows.
type Page struct {
	Name   string // what it is called aloud
	Fibre  string // a key of recipe.Fibres
	Plant  string // in the words of season.Gatherings where that holds it
	Part   string
	Family string // a key of recipe.Families; empty where nobody knows
	Place  string
	Picked time.Time // zero: nobody knows
	Recipe string    // in words, where it stands in no book
	// WOF is how much of the plant, on air-dry fibre; zero where nobody knows.
	WOF   quantity.Percent
	Baths []Bath
	Dyed  time.Time
	Where string // where the cloth is kept: "book 2 p. 31"
	By    string
	Note  string

	Measured *Measured // nil where its colour was never measured
}

// Check brings a page to the words of the tables and refuses what cannot be.
// Warnings say what a search will not know.
//
// Refused, each fault.Invalid on its field: a fibre or a dye family that is not
// known here (with the known ones), a page that says neither plant nor bath nor
// recipe, a % WOF that is no dose (and one without a plant), days in the future
// or in the wrong order, and what Bath.check and Measured.check refuse.
func (p Page) Check(today time.Time) (Page, []recipe.Warning, error) {
	fibre, err := recipe.FibreOf(p.Fibre)
	if err != nil {
		return p, nil, err
	}
	p.Fibre = fibre.Key
	p.Plant, p.Part = season.PlantOf(p.Plant, p.Part)
	if err := p.checkDye(); err != nil {
		return p, nil, err
	}
	if p.Family == "" {
		p.Family = familyOf(p.Plant, p.Part)
	}
	p.Baths = slices.Clone(p.Baths)
	for i, b := range p.Baths {
		if p.Baths[i], err = b.Check(); err != nil {
			return p, nil, fault.In(fmt.Sprintf("baths[%d]", i), err)
		}
	}
	if err := p.checkDays(today); err != nil {
		return p, nil, err
	}
	if p.Measured != nil {
		m, err := p.Measured.check(p.Dyed, today)
		if err != nil {
			return p, nil, err
		}
		p.Measured = &m
	}
	return p, p.warnings(), nil
}

func (p Page) checkDye() error {
	switch {
	case p.Plant == "" && len(p.Baths) == 0 && strings.TrimSpace(p.Recipe) == "":
		return fault.BadField("plant", "is needed, or a bath, or the recipe in words: a page that says nothing of how it was made helps nobody")
	case p.Plant == "" && p.Part != "":
		return fault.BadField("part", "%q of no plant", p.Part)
	case p.Plant == "" && p.WOF != 0:
		return fault.BadField("percent_wof", "is the plant's, and no plant is named")
	case p.WOF != 0:
		if err := recipe.Limit(recipe.Dyestuff, p.WOF); err != nil {
			return onField("percent_wof", err)
		}
	}
	if p.Family == "" {
		return nil
	}
	var known []string
	for _, f := range recipe.Families() {
		if f.Key == p.Family {
			return nil
		}
		known = append(known, f.Key)
	}
	return fault.BadField("dye_family", "%.40q is no family of dyes known here: use one of %s", p.Family, strings.Join(known, ", "))
}

func (p Page) checkDays(today time.Time) error {
	switch {
	case p.Dyed.IsZero():
		return fault.BadField("dyed_on", "is needed: the day it was dyed")
	case p.Dyed.After(today):
		return fault.BadField("dyed_on", "%s is in the future: today is %s", day(p.Dyed), day(today))
	case p.Picked.After(p.Dyed):
		return fault.BadField("picked_on", "%s is after it was dyed on %s", day(p.Picked), day(p.Dyed))
	}
	return nil
}

// familyOf is the chemistry of a plant's part, where the trade's tables say it.
func familyOf(plant, part string) string {
	found := ""
	for _, g := range season.GatheringsOf(plant, part) {
		d, known := recipe.DyeOf(g.Dye)
		switch {
		case !known:
		case found != "" && found != d.Family: // its parts differ, and no part was named
			return ""
		default:
			found = d.Family
		}
	}
	if found != "" {
		return found
	}
	d, _ := recipe.DyeOf(plant)
	return d.Family
}

func (p Page) warnings() []recipe.Warning {
	var ws []recipe.Warning
	if p.Plant != "" && len(season.GatheringsOf(p.Plant, p.Part)) == 0 {
		ws = append(ws, recipe.Warning{Key: "weeks-unknown", Source: recipe.Source{Mark: recipe.Practice},
			Text: "nothing is known of when " + p.dye() + " is gathered, or whether it is a food plant: a search by month or by food plants will not find this page"})
	}
	for _, b := range p.Baths {
		if s, err := recipe.Lookup(b.Substance); err == nil && s.OldRecordsOnly() {
			ws = append(ws, recipe.Warning{Key: "old-records-only", Source: recipe.Source{Mark: recipe.Practice},
				Text: s.Name + " is kept only to read old records: it stands in no new recipe, and its baths are hazardous waste"})
		}
	}
	return ws
}

func day(d time.Time) string { return d.Format(time.DateOnly) }

// onField puts a fault on the field that the caller knows.
func onField(field string, err error) error {
	if f, ok := fault.Of(err); ok {
		return f.At(field)
	}
	return err
}
