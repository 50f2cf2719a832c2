package depth

import (
	"fmt"
	"math"
	"slices"

	"dyelot/inventory/fault"
)

// step is one dose of a series of test dips: the geometric mean of the K/S of
// its dips, since what a dip is off by grows with its depth.
type step struct {
	wof, ks float64
	dips    int
}

// series is the rising part of one parcel's test dips.
type series struct {
	name  string
	steps []step
	// ln K/S of replicates about their means: sum of squares and how many of them
	// are free.
	squares float64
	freedom int
	// shallow is the deepest K/S that still counts as shallow.
	shallow float64
	why     string // why it is not deeper: bent, or dark
}

const (
	// darkest K/S in which strength is read: a reflectance of a tenth. There
	// half a hundredth more reflectance, which two looks of one instrument can
	// differ by, moves K/S by six per cent, and deeper by more.
	darkest = 4.0
	// bent: where the slope is half of what it is at no dye at all. On a curve
	// K/S = m·w/(h + w) that is at 1 − √½ of m.
	bent = 1 - math.Sqrt2/2
)

// newSeries reads dips; name is for sentences, field for refusals.
func newSeries(name, field string, dips []Point) (series, []Warning, error) {
	s := series{name: name}
	if err := check(field, dips); err != nil {
		return s, nil, err
	}
	all := s.means(sorted(dips))
	rising := 1
	for rising < len(all) && all[rising].ks > all[rising-1].ks {
		rising++
	}
	var ws []Warning
	if len(all) < 2 {
		return s, nil, fault.BadField(field, "%d different %s: at least two doses of each are dipped", len(all), plural(len(all), "dose", "doses"))
	}
	if rising < 2 {
		return s, nil, fault.BadField(field, "%s: the dip at %s %% WOF is no deeper than that at %s %%: look whether they were mixed up", name, Dose(all[1].wof), Dose(all[0].wof))
	}
	if rising < len(all) {
		ws = append(ws, Warning{Key: "not-rising",
			Text: fmt.Sprintf("%s: the dip at %s %% WOF is no deeper than that at %s %%, so dips from there up are left aside", name, Dose(all[rising].wof), Dose(all[rising-1].wof))})
	}
	s.steps = all[:rising]
	s.bend()
	return s, ws, nil
}

// means gathers the dips of each dose.
func (s *series) means(ps []Point) (all []step) {
	for len(ps) > 0 {
		n := slices.IndexFunc(ps, func(p Point) bool { return p.WOF != ps[0].WOF })
		if n < 0 {
			n = len(ps)
		}
		mean := 0.0
		for _, p := range ps[:n] {
			mean += math.Log(p.KS) / float64(n)
		}
		for _, p := range ps[:n] {
			s.squares += (math.Log(p.KS) - mean) * (math.Log(p.KS) - mean)
		}
		s.freedom += n - 1
		all = append(all, step{ps[0].WOF, math.Exp(mean), n})
		ps = ps[n:]
	}
	return all
}

// bend finds where the series stops being shallow. On K/S = m·w/(h + w) the
// dose over its K/S, (h + w)/m, is a line in w; one is laid through the dips.
func (s *series) bend() {
	s.shallow, s.why = darkest, fmt.Sprintf("beyond K/S %s cloth is too dark for it", Number(darkest))
	through := make([]Point, len(s.steps))
	for i, st := range s.steps {
		through[i] = Point{st.wof, st.wof / st.ks}
	}
	over := fitLinear(Line, through)
	// Two figures from few dips: a bend that is lost in the digits is none.
	if over.B*s.steps[len(s.steps)-1].wof <= 1e-9*math.Abs(over.A) {
		return
	}
	limit := 0.0
	if over.A > 0 {
		limit = bent / over.B
	}
	if limit < s.shallow {
		s.shallow = limit
		s.why = fmt.Sprintf("beyond K/S %s the slope of %s is under half of what it begins with", Number(limit), s.name)
	}
}

func (s series) palest() float64  { return s.steps[0].ks }
func (s series) deepest() float64 { return s.steps[len(s.steps)-1].ks }

// doseAt reads off the dose that reaches a K/S within the series: between two
// dips 1/dose is taken as a line in 1/K/S. That is exact for K/S in step with
// the dose and for K/S = m·w/(h + w).
func (s series) doseAt(ks float64) float64 {
	i := 1
	for i < len(s.steps)-1 && s.steps[i].ks < ks {
		i++
	}
	a, b := s.steps[i-1], s.steps[i]
	share := (1/ks - 1/a.ks) / (1/b.ks - 1/a.ks)
	return 1 / (1/a.wof + share*(1/b.wof-1/a.wof))
}
