package instrument

import (
	"strings"

	"dyelot/inventory/colour"
)

// brightEnough refuses XYZ on a scale where white has Y 1: a whole file of which
// would read as black.
func (f *found) brightEnough() error {
	highest, first := 0.0, 0
	for _, d := range f.drafts {
		if d.nm == nil && d.lab == nil && d.xyz != nil {
			highest = max(highest, d.xyz[1])
			if first == 0 {
				first = d.line
			}
		}
	}
	if first > 0 && highest <= sure {
		return refuse(first, "no Y of the file is above %v, but XYZ are read with a perfect white at Y 100: export them so", highest)
	}
	return nil
}

// colour is a sample's L*a*b*, with its view as far as it is known.
func (f *found) colour(d draft, hint *colour.View) (*Colour, error) {
	view, err := f.view(d, hint)
	if err != nil {
		return nil, err
	}
	if d.lab != nil {
		c := colour.Lab{L: d.lab[0], A: d.lab[1], B: d.lab[2]}
		if view == nil {
			f.note("the file does not say the illuminant and the observer of its L*a*b*: say them")
		}
		return &Colour{c, view}, atLine(d.line, c.Check())
	}
	if view == nil {
		return nil, refuse(d.line, "has XYZ, but the file does not say for which illuminant and observer, and without them XYZ are no colour of cloth: say them")
	}
	xyz := colour.XYZ{X: d.xyz[0], Y: d.xyz[1], Z: d.xyz[2]}
	if err := xyz.Check(); err != nil {
		return nil, atLine(d.line, err)
	}
	c := xyz.Lab(view.White())
	f.note("L*a*b* were computed from the file's XYZ, against the white of %s", view)
	return &Colour{c, view}, atLine(d.line, c.Check())
}

// view is the light and the eye of a colour: as the file says, or as a person
// does; nil where neither says both.
func (f *found) view(d draft, hint *colour.View) (*colour.View, error) {
	var v colour.View
	var err error
	if d.said.illuminant != "" {
		if v.Illuminant, err = colour.NewIlluminant("file", d.said.illuminant); err != nil {
			return nil, atLine(d.line, err)
		}
	}
	if d.said.observer != "" {
		degrees := map[string]int{"2": 2, "10": 10}[d.said.observer]
		if v.Observer, err = colour.NewObserver("file", degrees); err != nil {
			return nil, refuse(d.line, "the observer is %q, but it must be 2 or 10 degrees", clip(d.said.observer))
		}
	}
	if hint != nil {
		if d.said.illuminant != "" && v.Illuminant != hint.Illuminant || d.said.observer != "" && v.Observer != hint.Observer {
			return nil, refuse(d.line, "the file says %s for this colour, but %s was given", strings.TrimSpace(d.said.illuminant+" "+d.said.observer+degree(d.said.observer)), hint)
		}
		return hint, nil
	}
	if d.said.illuminant == "" || d.said.observer == "" {
		return nil, nil
	}
	return &v, nil
}

func degree(observer string) string {
	if observer == "" {
		return ""
	}
	return "°"
}
