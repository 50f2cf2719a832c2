package lot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
)

// EyeJudgement is one look at dyed cloth, held against its standard or against
// another lot, by the grey scale for change. It stands beside the readings and
// decides nothing by itself.
type EyeJudgement struct {
	ID         int64
	LotID      int64
	Tag        string // the garment's; empty of witness cloth
	AgainstLot int64  // zero: the run's standard
	Grade      fastness.Grade
	Directions []string // how it differs, keys of fastness.Directions
	Light      string   // in words: "north light"
	By, Second string   // two people look; Second is empty where one looked alone
	Rested     bool
	Note       string
	HappenedAt time.Time
	RecordedAt time.Time
	Withdrawn  Withdrawal
}

// Code is how the judgement is called: "V3".
func (e EyeJudgement) Code() string { return "V" + strconv.FormatInt(e.ID, 10) }

// Check refuses (fault.Invalid, naming the field) a look that nobody can have
// had: no light, an unknown direction, the lot against itself, one person twice.
func (e EyeJudgement) Check() error {
	switch {
	case !fastness.GreyChange.Holds(e.Grade):
		return fault.BadField("grade", "is needed: one of the grey scale for change, such as 4-5")
	case strings.TrimSpace(e.Light) == "":
		return fault.BadField("light", "is needed, in words such as north light or D65 lamp")
	case e.AgainstLot != 0 && e.AgainstLot == e.LotID:
		return fault.BadField("against_lot_code", "a lot is not judged against itself: leave it out for the standard")
	case e.Second != "" && strings.EqualFold(strings.TrimSpace(e.Second), strings.TrimSpace(e.By)):
		return fault.BadField("second_by", "%s is the first one already: two people look, or leave it out", e.Second)
	}
	for i, d := range e.Directions {
		if !slices.Contains(fastness.Directions(), d) {
			return fault.BadField("directions", "%.40q is not a direction; they are %s", d, strings.Join(fastness.Directions(), ", "))
		}
		if slices.Contains(e.Directions[:i], d) {
			return fault.BadField("directions", "%s is said twice", d)
		}
	}
	return nil
}

// Warnings are what makes a look worth less than it could be.
func (e EyeJudgement) Warnings() (ws []recipe.Warning) {
	if e.Second == "" {
		ws = append(ws, recipe.Warning{Key: "one-eye", Source: recipe.Source{Mark: recipe.Practice}, Text: "one person looked alone: two people look, and agree"})
	}
	if !e.Rested {
		ws = append(ws, recipe.Warning{Key: "not-rested", Source: recipe.Source{Mark: recipe.Practice}, Text: "judge cloth that is dry and rested 24 h in the dark"})
	}
	return ws
}

// Looked is what an instrument says of the pair that an eye looked at.
type Looked struct {
	// Measured: readings that count were there of both sides.
	Measured  bool
	DeltaE    float64        // ΔE*ab
	Step      fastness.Grade // the nearest of ISO 105-A02
	CIEDE2000 string
	// Disagreements are where eye and instrument do not say the same.
	Disagreements []string
}

// Beside holds a look against the readings: of the garment or of the lot, to the
// standard or to the other lot, by the standard's light and eye. Nothing is
// measured where either side has no reading that counts.
func (e EyeJudgement) Beside(own, against Measured, s Standard) (k Looked) {
	sample, ok := own.Colour(s.View)
	if e.Tag != "" {
		sample, ok = own.of(e.Tag).Colour(s.View)
	}
	reference, tolerance, whose := s.Colour, s.Tolerance, "standard "+s.Code
	if e.AgainstLot != 0 {
		var read bool
		reference, read = against.Colour(s.View)
		ok, tolerance, whose = ok && read, s.SetTolerance, "lot "+against.Code
	}
	if !ok {
		return k
	}
	k.Measured, k.DeltaE = true, colour.Between(reference, sample).E
	d := colour.CIEDE2000(reference, sample)
	k.Step, k.CIEDE2000 = fastness.ChangeStep(k.DeltaE), tolerance.show(d)
	if e.Withdrawn.Stands() {
		k.Disagreements = e.disagreements(k, tolerance, tolerance.within(d), whose, s)
	}
	return k
}

// Eye and instrument disagree where the grades are more than half a grade apart,
// where the eye says worse than 4 of what is within tolerance, and where it says 5 of
// what is beyond. The limits are the studio's own.
func (e EyeJudgement) disagreements(k Looked, t Tolerance, within bool, whose string, s Standard) (all []string) {
	if apart := int(e.Grade) - int(k.Step); apart > 1 || apart < -1 {
		all = append(all, fmt.Sprintf("the eye says %s and the instrument's ΔE*ab %.1f to %s (%s) is a %s of the grey scale (ISO 105-A02): more than half a grade apart",
			e.Grade, k.DeltaE, whose, s.View, k.Step))
	}
	switch {
	case within && e.Grade < fastness.Whole(4):
		all = append(all, fmt.Sprintf("the eye says %s, worse than 4, and the instrument is within tolerance (CIEDE2000 %s of %s, %s): look again in another light, and read more spots", e.Grade, k.CIEDE2000, t, s.View))
	case !within && e.Grade == fastness.Whole(5):
		all = append(all, fmt.Sprintf("the eye sees no difference, and the instrument is beyond tolerance (CIEDE2000 %s of %s, %s)", k.CIEDE2000, t, s.View))
	}
	return all
}

// of is the lot as far as one garment of it was read.
func (m Measured) of(tag string) Measured {
	m.Readings = slices.DeleteFunc(slices.Clone(m.Readings), func(r Reading) bool { return r.Tag != tag })
	return m
}
