package recipe

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Kind is what sort of item a dose is taken from.
type Kind string

// The kinds that are dosed.
const (
	Mordant   Kind = "mordant"
	Auxiliary Kind = "auxiliary"
	Solution  Kind = "solution" // made in the studio, such as iron liquor
	Dyestuff  Kind = "dyestuff"
)

// mostWOF is where a dose stops being one: fresh plant runs to fifty times the
// fibre, a salt never to more than twice.
var mostWOF = []struct {
	kind Kind
	most quantity.Percent
}{
	{Mordant, quantity.WholePercent(200)},
	{Auxiliary, quantity.WholePercent(200)},
	{Solution, quantity.WholePercent(200)},
	{Dyestuff, quantity.WholePercent(5000)},
}

// Limit refuses (fault.Invalid, field "wof_percent") a dose of 0 % WOF or less,
// more than 200 % of a mordant, auxiliary or solution, and more than 5000 % of
// a dyestuff. An unknown kind is refused on "kind" with the list.
func Limit(k Kind, wof quantity.Percent) error {
	var kinds []string
	for _, row := range mostWOF {
		kinds = append(kinds, string(row.kind))
		if row.kind != k {
			continue
		}
		if wof <= 0 {
			return fault.BadField("wof_percent", "%s is no dose: more than 0 %% is needed", wof)
		}
		if wof > row.most {
			return fault.BadField("wof_percent", "%s is more than the %s that a %s may be dosed at", wof, row.most, k)
		}
		return nil
	}
	return fault.BadField("kind", "%q is not dosed: use one of %s", clip(string(k)), strings.Join(kinds, ", "))
}

// Planned is a stage as it is planned or was done, as far as it is known: what
// is absent is not checked.
type Planned struct {
	Stage     string   // stage kind: "scour", "mordant", "after-dip" and so on
	Fibres    []string // every fibre in the garment, by name
	Kind      Kind     // of what is dosed; needed with WOF
	Substance string   // name or formula of a salt or auxiliary
	Dye       string   // dyestuff; one that is not in the table is simply unknown
	Tannin    bool     // the cloth has been tannined
	WOF       *quantity.Percent
	PerLitre  *quantity.Concentration // of the bath
	Stock     *quantity.Concentration // that the dose is measured from
	Heat      *Celsius
	PH        *PH
	Iron      Iron // offered to the garment over its life, this stage included
}

// stage is Planned with its names looked up.
type stage struct {
	Planned
	fibres    []Fibre
	substance Substance
	dye       Dye
	family    Family
}

// Check holds a stage against every rule of this package and returns what they
// say, in a fixed order, none twice; a stage within all of them returns nil.
// Being exactly on a line does not warn.
//
// Refused (fault.Invalid): an unknown fibre ("fibres[1]") or substance, a dose
// that Limit refuses, a temperature no open pot has.
func Check(p Planned) ([]Warning, error) {
	s := stage{Planned: p}
	for i, name := range p.Fibres {
		f, err := FibreOf(name)
		if err != nil {
			return nil, onField(fmt.Sprintf("fibres[%d]", i), err)
		}
		s.fibres = append(s.fibres, f)
	}
	if p.Substance != "" {
		var err error
		if s.substance, err = Lookup(p.Substance); err != nil {
			return nil, err
		}
	}
	if d, known := DyeOf(p.Dye); known {
		s.dye = d
		s.family, _ = d.FamilyOf()
	}
	if err := s.refuse(); err != nil {
		return nil, err
	}
	var said []Warning
	for _, rule := range rules {
		for _, w := range rule(s) {
			if !slices.Contains(said, w) {
				said = append(said, w)
			}
		}
	}
	return said, nil
}

// rules in the order their warnings are shown.
var rules = []func(stage) []Warning{
	willNotTake, unusualDose, unusualBath, stockCrystallises, alkaliOnProtein, tooHot, vatPH,
	func(s stage) []Warning { return CheckIron(s.fibres, s.Iron) },
	greyerWithIron, fugitive, oldRecordsOnly,
}

func (s stage) refuse() error {
	if s.WOF != nil {
		if err := Limit(s.Kind, *s.WOF); err != nil {
			return err
		}
	}
	if s.Heat != nil && s.inLiquor() && *s.Heat > boil {
		return fault.BadField("temperature_c", "%s: no open pot goes above %s", *s.Heat, boil)
	}
	return nil
}

// boil leaves a little for salts and a thermometer's error.
var boil = Degrees(105)

// dryStages hold no liquor.
var dryStages = []string{"dry", "cure", "press", "look-over"}

func (s stage) inLiquor() bool { return !slices.Contains(dryStages, s.Stage) }

// holds is true where one of the fibres is of one of the groups.
func (s stage) holds(groups ...Group) (Fibre, bool) {
	for _, f := range s.fibres {
		if slices.Contains(groups, f.Group) {
			return f, true
		}
	}
	return Fibre{}, false
}
