package depth

import (
	"fmt"
	"math"

	"dyelot/inventory/season"
)

// Strength of a sample harvest against a reference, from test dips.
type Strength struct {
	// Percent is reference dose ÷ sample dose × 100 at equal depth; 0 where no
	// number can be given, and Refused says why.
	Percent float64
	Refused string
	// AtKS is the shallow depth at which they were compared, and the doses that
	// reach it, % WOF.
	AtKS                    float64
	SampleWOF, ReferenceWOF float64
	// From and To are the shallow depths that both series reach.
	From, To float64
	// Low and High hold the strength at 95 %, as far as the dips repeat each
	// other; 0 where no dose was dipped twice.
	Low, High float64
	// FirstGuess is the ratio of K/S × 100 at the shallowest dose that both were
	// dipped at, and that dose; 0 where there is none. It is no strength.
	FirstGuess, FirstGuessWOF float64
	Warnings                  []Warning
}

const (
	dipConfidence = 0.95
	// unlike: strengths at both ends of the shallow part that differ by more say
	// that the two do not dye alike.
	unlike = 0.10
)

// Compare reads the strength off two series of test dips, each of at least two
// doses. The depth is the middle of the shallow part that both reach; shallow
// is up to K/S 4, and no further than where either curve has lost half of its
// first slope. The interval is the delta method's on ln strength, from the
// pooled scatter of dips at equal dose, by Student's t. Errors: fault.Invalid on
// dips or reference_dips.
func Compare(sample, reference []Point) (Strength, error) {
	s, minds, err := newSeries("the sample", "dips", sample)
	if err != nil {
		return Strength{}, err
	}
	r, more, err := newSeries("the reference", "reference_dips", reference)
	if err != nil {
		return Strength{}, err
	}
	st := Strength{Warnings: append(minds, more...)}
	st.guess(s, r)
	low, high := max(s.palest(), r.palest()), min(s.deepest(), r.deepest())
	if low > high {
		st.Refused = fmt.Sprintf("the two share no depth: the sample's dips read K/S %s to %s, the reference's %s to %s", Number(s.palest()), Number(s.deepest()), Number(r.palest()), Number(r.deepest()))
		return st, nil
	}
	shallow := r
	if s.shallow < r.shallow {
		shallow = s
	}
	if shallow.shallow < low {
		st.Refused = fmt.Sprintf("they share only depths from K/S %s up, and %s: dip both at lower doses", Number(low), shallow.why)
		st.deep(shallow, low, high)
		return st, nil
	}
	st.From, st.To = low, min(high, shallow.shallow)
	st.AtKS = (st.From + st.To) / 2
	st.SampleWOF, st.ReferenceWOF = s.doseAt(st.AtKS), r.doseAt(st.AtKS)
	st.Percent = ratio(s, r, st.AtKS)
	if err := st.interval(s, r); err != nil {
		return Strength{}, err
	}
	if st.To < high {
		st.deep(shallow, st.To, high)
	}
	st.alike(s, r)
	return st, nil
}

func ratio(sample, reference series, ks float64) float64 {
	return 100 * reference.doseAt(ks) / sample.doseAt(ks)
}

func (st *Strength) guess(s, r series) {
	for _, a := range s.steps {
		for _, b := range r.steps {
			if a.wof == b.wof {
				st.FirstGuess, st.FirstGuessWOF = 100*a.ks/b.ks, a.wof
				return
			}
		}
	}
}

func (st *Strength) deep(shallow series, from, to float64) {
	st.Warnings = append(st.Warnings, Warning{Key: "near-saturation", Limit: true,
		Text: fmt.Sprintf("dips of K/S %s to %s say nothing of strength: %s", Number(from), Number(to), shallow.why)})
}

// interval moves each dose's mean by a little and sees what becomes of ln
// strength.
func (st *Strength) interval(s, r series) error {
	freedom := s.freedom + r.freedom
	if freedom == 0 {
		st.Warnings = append(st.Warnings, Warning{Key: "no-replicates", Text: "no dose was dipped twice, so there is no interval: dip one dose of each twice to see how well dips repeat"})
		return nil
	}
	t, err := season.Student(dipConfidence, freedom)
	if err != nil {
		return err
	}
	replicate := (s.squares + r.squares) / float64(freedom)
	const nudge = 1e-5
	variance := 0.0
	for _, side := range []*series{&s, &r} {
		for i := range side.steps {
			at := &side.steps[i].ks
			kept := *at
			*at = kept * math.Exp(nudge)
			up := ratio(s, r, st.AtKS)
			*at = kept * math.Exp(-nudge)
			down := ratio(s, r, st.AtKS)
			*at = kept
			slope := math.Log(up/down) / (2 * nudge)
			variance += slope * slope * replicate / float64(side.steps[i].dips)
		}
	}
	half := t * math.Sqrt(variance)
	st.Low, st.High = st.Percent*math.Exp(-half), st.Percent*math.Exp(half)
	return nil
}

// alike warns where the strength depends on the depth it is read at.
func (st *Strength) alike(s, r series) {
	pale, deep := ratio(s, r, st.From), ratio(s, r, st.To)
	if math.Abs(math.Log(deep/pale)) > math.Log1p(unlike) {
		st.Warnings = append(st.Warnings, Warning{Key: "not-alike", Limit: true,
			Text: fmt.Sprintf("the two do not dye alike: %.0f %% at K/S %s, %.0f %% at K/S %s; one strength cannot stand for both, so dye a swatch with the dose", pale, Number(st.From), deep, Number(st.To))})
	}
}

// Words says the strength in one sentence, of two parcels by name.
func (st Strength) Words(sample, reference string) string {
	if st.Refused != "" {
		return "no strength can be given: " + st.Refused
	}
	between := ""
	if st.High > 0 {
		between = fmt.Sprintf(" (%.0f to %.0f)", st.Low, st.High)
	}
	return fmt.Sprintf("%s is %.1f %%%s as strong as %s: %s %% WOF of it dyes as deep as %s %% of that, K/S %s",
		sample, st.Percent, between, reference, Number(st.SampleWOF), Number(st.ReferenceWOF), Number(st.AtKS))
}
