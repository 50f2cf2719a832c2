package stock

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Size of a piece of cloth, in millimetres; zero: not measured.
type Size struct{ Length, Width int64 }

// longest: ten metres is no garment.
const longest = 10_000

// ParseSize reads a length and a width in centimetres, to the millimetre: "62"
// and "48.5". Both empty is not measured. fault.Invalid on field.
func ParseSize(field, length, width string) (s Size, err error) {
	if length == "" && width == "" {
		return s, nil
	}
	for _, side := range []struct {
		text string
		into *int64
	}{{length, &s.Length}, {width, &s.Width}} {
		// A g/L is read in thousandths too, so a number is written one way everywhere.
		n, err := quantity.ParseConcentration(side.text)
		if f, bad := fault.Of(err); bad {
			return s, f.At(field)
		}
		if n%100 != 0 || n <= 0 || n > longest*100 {
			return s, fault.BadField(field, "%s cm: a length in cm above 0 and at most %d is needed, to the millimetre", side.text, longest/10)
		}
		*side.into = int64(n) / 100
	}
	return s, nil
}

// CM is a length in centimetres: "48.5".
func CM(mm int64) string { return quantity.Concentration(mm * 100).Decimal() }

// Known is true of a size that was measured.
func (s Size) Known() bool { return s.Length > 0 }

// Shrinkage is what scouring took of each side, per cent of the size before;
// below zero where it grew. 62 cm that became 60 shrank by 3.23 %. ok is false
// until both sizes are known.
func Shrinkage(before, after Size) (length, width quantity.Percent, ok bool) {
	if !before.Known() || !after.Known() {
		return 0, 0, false
	}
	part := func(was, is int64) quantity.Percent {
		if is > was {
			return -quantity.Percent(quantity.MulDiv(is-was, int64(whole), was))
		}
		return quantity.Percent(quantity.MulDiv(was-is, int64(whole), was))
	}
	return part(before.Length, after.Length), part(before.Width, after.Width), true
}

// The verdicts on a delivery.
const (
	Accepted = "accept"
	Rejected = "reject"
)

// The threads that a dyer tells apart by burning an end of them.
var threads = []string{"polyester", "cotton", "silk", "linen", "wool", "unknown"}

// Arrival is what was seen of blanks when they came, before anything was dyed.
// What is zero or empty was not looked at.
type Arrival struct {
	Before, After Size
	Drop          *int   // seconds that a drop of water stood; 0: it went in at once
	Brightener    string // under ultraviolet: no or yes
	Thread        string
	Buttons       string
	CutOff        string // how a cut-off that was dyed first came out
	Verdict       string // Accepted, Rejected, or empty: not decided
	Note          string
	By            string
	HappenedAt    time.Time
}

// Check refuses (fault.Invalid, naming the field) words that are not known, and
// a check that says nothing; NOT_A_BLANK for a parcel of anything else.
func (a Arrival) Check(p Parcel) error {
	if p.Item.Kind != Blank {
		return fault.Refuse("NOT_A_BLANK", "%s is %s, a %s: only blanks are looked at on arrival", p.Code(), p.Item.Name, p.Item.Kind).With("parcel", p.Code())
	}
	for _, w := range []struct {
		field, word string
		known       []string
	}{
		{"brightener", a.Brightener, []string{"no", "yes"}},
		{"thread", a.Thread, threads},
		{"verdict", a.Verdict, []string{Accepted, Rejected}},
	} {
		if w.word != "" && !slices.Contains(w.known, w.word) {
			return fault.BadField(w.field, "%.40q: use one of %s", w.word, strings.Join(w.known, ", "))
		}
	}
	switch {
	case a.Drop != nil && (*a.Drop < 0 || *a.Drop > dropWatched):
		return fault.BadField("drop_seconds", "%d s: 0 to %d s are believed", *a.Drop, dropWatched)
	case a.says() == 0:
		return fault.BadField("", "nothing was looked at: give at least one of size, drop test, brightener, thread, buttons, cut-off, or a verdict")
	}
	return nil
}

// dropWatched: nobody watches a drop for longer than an hour.
const dropWatched = 3600

func (a Arrival) says() (n int) {
	for _, said := range []bool{a.Before.Known(), a.After.Known(), a.Drop != nil, a.Brightener != "", a.Thread != "", a.Buttons != "", a.CutOff != "", a.Verdict != ""} {
		if said {
			n++
		}
	}
	return n
}

// Seen sums checks up, the oldest first: each goes before the earlier ones in
// what it says, and leaves the rest as it was. ok is false of no check at all.
func Seen(checks []Arrival) (now Arrival, ok bool) {
	for _, c := range checks {
		if c.Before.Known() {
			now.Before = c.Before
		}
		if c.After.Known() {
			now.After = c.After
		}
		if c.Drop != nil {
			now.Drop = c.Drop
		}
		for _, f := range []struct {
			is   string
			into *string
		}{{c.Brightener, &now.Brightener}, {c.Thread, &now.Thread}, {c.Buttons, &now.Buttons}, {c.CutOff, &now.CutOff}, {c.Verdict, &now.Verdict}, {c.Note, &now.Note}} {
			if f.is != "" {
				*f.into = f.is
			}
		}
		now.By, now.HappenedAt = c.By, c.HappenedAt
	}
	return now, len(checks) > 0
}

// RejectedWords stand in the block of a rejected parcel.
const RejectedWords = "rejected on arrival, it goes back to whoever sent it"

// MayUseAgain refuses (fault.Refused, REJECTED) to lift the block of a delivery
// whose last verdict is reject: it goes back, or is looked at again.
func (a Arrival) MayUseAgain(p Parcel) error {
	if a.Verdict != Rejected {
		return nil
	}
	return fault.Refuse("REJECTED", "%s was rejected on arrival: send it back, or look at it again and accept it", p.Code()).With("parcel", p.Code())
}

// dropStands: a drop on clean cloth goes in within a few seconds (common
// practice); what stands longer shows wax or a finish.
const dropStands = 5

// Warnings are what to mind of these blanks before they are dyed. They stop
// nothing.
func (a Arrival) Warnings(p Parcel) []recipe.Warning {
	var found []recipe.Warning
	mind := func(key, format string, args ...any) {
		found = append(found, recipe.Warning{Key: key, Source: practice, Text: fmt.Sprintf(format, args...)})
	}
	if a.Verdict == "" {
		mind("arrival-unchecked", "nobody has passed %s (%s) on arrival: measure a piece, drop water on it, look at it under ultraviolet and at its thread, and dye a cut-off first", p.Code(), p.Item.Name)
	}
	if a.Drop != nil && *a.Drop > dropStands {
		mind("finish", "a drop of water stood %d s on %s: wax or a finish is in it, and the dye takes in patches; scour it again", *a.Drop, p.Code())
	}
	if a.Brightener == "yes" {
		mind("brightener", "%s shines under ultraviolet: the brightener stays below the dye, so its shade differs from other cloth and from light to light", p.Code())
	}
	switch t := a.Thread; {
	case t == "polyester":
		mind("polyester-thread", "%s is sewn with polyester: its seams stay another colour", p.Code())
	case t != "" && t != "unknown" && !slices.ContainsFunc(p.Item.Fibres, func(f FibrePart) bool { return f.Fibre == t }):
		mind("other-thread", "%s is sewn with %s: its seams may come out another shade than the cloth", p.Code(), t)
	}
	return found
}
