package depth

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Trial is a page of the swatch book as far as it tells of depth.
type Trial struct {
	Code, Name string
	Part       string
	DyedOn     time.Time
	WOF        quantity.Percent // of the dyestuff; 0 where nobody wrote it
	// Parcel is the code of the harvest it was dyed from, and Strength what that
	// stands at; empty and 0 where the books do not know.
	Parcel   string
	Strength quantity.Percent
	Baths    []Bath
	Read     *colour.Curve // nil where it was never read as a spectrum
	Ground   *colour.Curve // of its undyed cloth
}

// Bath is one substance that the cloth had besides the dyestuff.
type Bath struct {
	Substance string           // a key of recipe.Substances, or its own words
	Metal     string           // its symbol; empty where there is none
	WOF       quantity.Percent // 0 where nobody knows
}

// Mean is the mean of spectra of one scale, as of several spots of one cloth;
// those of another scale than the first are left out.
func Mean(all []colour.Curve) colour.Curve {
	if len(all) == 0 {
		return colour.Curve{}
	}
	mean := colour.Curve{FirstNM: all[0].FirstNM, StepNM: all[0].StepNM, Reflectance: make([]float64, len(all[0].Reflectance))}
	n := 0.0
	for _, b := range all {
		if b.FirstNM != mean.FirstNM || b.StepNM != mean.StepNM || len(b.Reflectance) != len(mean.Reflectance) {
			continue
		}
		n++
		for i, r := range b.Reflectance {
			mean.Reflectance[i] += (r - mean.Reflectance[i]) / n
		}
	}
	return mean
}

// Passed is a trial that was passed over, and why.
type Passed struct {
	Trial Trial
	Why   string
}

// Same leaves the trials that had the same substances in the same order.
// mordants names them, each by name, formula or metal; nil takes whatever all
// trials agree on, and the one word none is cloth that had nothing. Errors:
// fault.Invalid on mordants where the trials do not agree, with what there is;
// fault.Refused NO_SWATCHES where none is left, likewise.
func Same(trials []Trial, mordants []string) ([]Trial, error) {
	asked := slices.Clone(mordants)
	for i, m := range asked {
		if word := strings.ToLower(strings.TrimSpace(m)); word == "none" && len(asked) == 1 {
			asked = asked[:0]
			break
		} else if word == "" {
			return nil, fault.BadField(fmt.Sprintf("mordants[%d]", i), "is empty: name a substance or a metal, or say none")
		}
	}
	var left []Trial
	for _, t := range trials {
		if mordants == nil || t.had(asked) {
			left = append(left, t)
		}
	}
	if len(left) == 0 {
		return nil, fault.Refuse("NO_SWATCHES", "no swatch had %s%s", after(asked), there(trials))
	}
	if list := byBaths(left); len(list) > 1 {
		return nil, fault.BadField("mordants", "the swatches had different baths, and a curve goes through one kind%s: say which", there(left))
	}
	return left, nil
}

func (t Trial) had(asked []string) bool {
	return slices.EqualFunc(t.Baths, asked, func(b Bath, word string) bool {
		word = strings.TrimSpace(word)
		return sameWord(b.Substance, word) || b.Metal != "" && strings.EqualFold(b.Metal, word)
	})
}

// sameWord is true of two names of one substance.
func sameWord(a, b string) bool { return substance(a) == substance(b) }

func substance(name string) string {
	if s, err := recipe.Lookup(name); err == nil && s.Key != "" {
		return s.Key
	}
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// Had is what a trial's cloth had, in words.
func (t Trial) Had() string {
	names := make([]string, len(t.Baths))
	for i, b := range t.Baths {
		names[i] = b.Substance
	}
	return after(names)
}

func after(names []string) string {
	if len(names) == 0 {
		return "no mordant"
	}
	shown := make([]string, len(names))
	for i, n := range names {
		shown[i] = strings.TrimSpace(n)
		if s, err := recipe.Lookup(n); err == nil {
			shown[i] = s.Name
		}
	}
	return strings.Join(shown, ", then ")
}

// byBaths counts the trials of each sequence, the most frequent first.
func byBaths(trials []Trial) (list []string) {
	count, names := map[string]int{}, map[string]string{}
	for _, t := range trials {
		key := ""
		for _, b := range t.Baths {
			key += substance(b.Substance) + "\n"
		}
		count[key]++
		names[key] = t.Had()
	}
	for key := range count {
		list = append(list, fmt.Sprintf("%s (%d)", names[key], count[key]))
	}
	slices.Sort(list)
	return list
}

func there(trials []Trial) string {
	list := byBaths(trials)
	if len(list) == 0 {
		return ""
	}
	return ": there is " + strings.Join(list, "; ")
}

// Alike leaves the measured ones among the trials that Same chose, and of those
// passed over the ones that had the same baths: the others are no loss.
func Alike(ms []Measured, passed []Passed, same []Trial) (alike []Measured, lost []Passed) {
	for _, m := range ms {
		if slices.ContainsFunc(same, func(t Trial) bool { return t.Code == m.Code }) {
			alike = append(alike, m)
		}
	}
	for _, p := range passed {
		if p.Trial.Had() == same[0].Had() {
			lost = append(lost, p)
		}
	}
	return alike, lost
}
