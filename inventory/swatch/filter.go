package swatch

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
)

// Filter says which pages are looked for: those that are all of what it says.
// The zero Filter is every page. Check makes one that can be asked.
type Filter struct {
	Fibre string
	Plant string
	Part  string
	// Metal is a symbol that one of the baths must have brought, or None: no metal
	// was added.
	Metal string
	// Mordant is a substance that must have been in one of the baths.
	Mordant string
	// Month: the plant may be gathered in it.
	Month time.Month
	// Food: the plant is grown or gathered to be eaten.
	Food  bool
	Least []Least
	Words string
}

// Least is the lowest grade of one kind of test that a page must have reached. A
// page with several grades of a kind is held to its worst; one that was never
// tested does not match.
type Least struct {
	Kind  string // a key of fastness.Kinds
	Scale fastness.Scale
	Grade fastness.Grade
}

// LeastOf reads a kind and a grade as it is written on one of the kind's scales:
// light 4 is on the blue wools, light L4 on those of AATCC. fault.Invalid, field
// "kind" or "grade".
func LeastOf(kind, grade string) (Least, error) {
	k, err := fastness.KindOf(strings.ToLower(strings.TrimSpace(kind)))
	if err != nil {
		return Least{}, err
	}
	var refused error
	for _, s := range k.Scales {
		g, err := fastness.Parse(grade, s)
		if err == nil {
			return Least{k.Key, s, g}, nil
		}
		if refused == nil {
			refused = err
		}
	}
	return Least{}, refused
}

// Check brings a filter to the words of the tables. fault.Invalid on the field
// that nothing could match: an unknown fibre, metal, month or kind, a part
// without a plant, words without a letter or digit.
func (f Filter) Check() (Filter, error) {
	if f.Fibre != "" {
		fibre, err := recipe.FibreOf(f.Fibre)
		if err != nil {
			return f, err
		}
		f.Fibre = fibre.Key
	}
	if f.Plant, f.Part = season.PlantOf(f.Plant, f.Part); f.Plant == "" && f.Part != "" {
		return f, fault.BadField("part", "%q of no plant: name the plant too", f.Part)
	}
	if f.Metal != "" {
		metal, _, err := metalOf(f.Metal)
		if err != nil {
			return f, err
		}
		if f.Metal = metal; metal == "" {
			f.Metal = None
		}
	}
	if f.Mordant != "" {
		if s, err := recipe.Lookup(f.Mordant); err == nil && s.Key != "" {
			f.Mordant = s.Key
		} else {
			f.Mordant = strings.ToLower(strings.Join(strings.Fields(f.Mordant), " "))
		}
	}
	if f.Month < 0 || f.Month > time.December {
		return f, fault.BadField("in_season", "%d is no month: 1 is January, 12 December", int(f.Month))
	}
	if f.Words != "" && len(Tokens(f.Words)) == 0 {
		return f, fault.BadField("words", "%.40q holds no letter or digit to look for", f.Words)
	}
	return f, nil
}

// Source is a plant and a part of it; Part empty where a page names none.
type Source struct{ Plant, Part string }

// Sources are the plants that a filter by month, by food plants or by plant lets
// through; asked is false where the filter asks for none of these. A page that
// names no part is let through by any of its plant's parts.
func (f Filter) Sources() (sources []Source, asked bool) {
	if f.Month == 0 && !f.Food {
		if f.Plant == "" {
			return nil, false
		}
		return []Source{{f.Plant, f.Part}}, true
	}
	for _, g := range season.Gatherings() {
		fits := (f.Month == 0 || g.In(f.Month)) && (!f.Food || g.Food) && (f.Plant == "" || f.Plant == g.Plant) && (f.Part == "" || f.Part == g.Part)
		if !fits {
			continue
		}
		for _, s := range []Source{{g.Plant, g.Part}, {Plant: g.Plant}} {
			if !slices.Contains(sources, s) && (f.Part == "" || s.Part == f.Part) {
				sources = append(sources, s)
			}
		}
	}
	return sources, true
}

// AnyPart is true where a plant alone was asked for, so that each part of it is
// let through.
func (f Filter) AnyPart() bool { return f.Plant != "" && f.Part == "" && f.Month == 0 && !f.Food }

// Matches says whether a page with its grades is one that is looked for. The
// store asks the same of its tables.
func (f Filter) Matches(p Page, grades []Grade) bool {
	sources, asked := f.Sources()
	switch {
	case f.Fibre != "" && f.Fibre != p.Fibre,
		asked && f.AnyPart() && p.Plant != f.Plant,
		asked && !f.AnyPart() && !slices.Contains(sources, Source{p.Plant, p.Part}),
		f.Metal == None && len(p.Metals()) > 0,
		f.Metal != "" && f.Metal != None && !slices.Contains(p.Metals(), f.Metal),
		f.Mordant != "" && !slices.ContainsFunc(p.Baths, func(b Bath) bool { return b.Substance == f.Mordant }):
		return false
	}
	for _, l := range f.Least {
		if !l.reached(grades) {
			return false
		}
	}
	return f.said(p)
}

func (l Least) reached(grades []Grade) bool {
	tested := false
	for _, g := range grades {
		if g.Kind != l.Kind || g.Scale != l.Scale {
			continue
		}
		if g.Grade < l.Grade {
			return false
		}
		tested = true
	}
	return tested
}

// said: each word asked for begins some word of the page.
func (f Filter) said(p Page) bool {
	of := Tokens(p.text())
	for _, asked := range Tokens(f.Words) {
		if !slices.ContainsFunc(of, func(w string) bool { return strings.HasPrefix(w, asked) }) {
			return false
		}
	}
	return true
}

// Unknown says that a plant asked for is not in the table of weeks, so that
// nothing can match it by month or food; empty where that is not so.
func (f Filter) Unknown() string {
	if f.Plant == "" || f.Month == 0 && !f.Food || len(season.GatheringsOf(f.Plant, f.Part)) > 0 {
		return ""
	}
	return fmt.Sprintf("nothing is known of when %s is gathered, so none is found by month or by food plants", Page{Plant: f.Plant, Part: f.Part}.dye())
}

// Every is true of the filter that lets every page through.
func (f Filter) Every() bool {
	return f.Fibre == "" && f.Plant == "" && f.Metal == "" && f.Mordant == "" && f.Month == 0 && !f.Food && len(f.Least) == 0 && f.Words == ""
}
