package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// ShelveCloth decides whether a lot may be put on the shelf part-done, and
// returns its next state. recs are its records; those taken back or left out do
// not count.
//
// fault.Refused: LOT_STATE where it is not in work; NOTHING_DONE where nothing
// was done to it that stays in cloth; DYED_ALREADY where it is past that, or a
// brew was drawn for it.
func ShelveCloth(l Lot, recs []Standing) (State, error) {
	next, err := Next(l.Code, l.State, Shelve)
	if err != nil {
		return "", err
	}
	done := false
	for _, r := range recs {
		if r.Undone || r.Skipped {
			continue
		}
		if r.Kind.Shades || r.Kind.Brews {
			return "", fault.Refuse("DYED_ALREADY", "lot %s had its %s (S%d): only cloth that is scoured, tannined or mordanted waits on the shelf for its plant", l.Code, r.Kind.Name, r.ID).
				With("lot", l.Code).With("record", fmt.Sprintf("S%d", r.ID))
		}
		done = done || r.Kind.Keeps
	}
	if !done {
		return "", fault.Refuse("NOTHING_DONE", "lot %s is neither scoured, tannined nor mordanted: there is nothing to keep", l.Code).With("lot", l.Code)
	}
	return next, nil
}

// Had is one bath that cloth had before it came into a lot.
type Had struct {
	Record int64
	Lot    string // its code: "L3"
	Kind   Kind
	At     time.Time
	Used   []Used
	Bath   Bath // its lots, and its volume where that was read
}

// Words are the bath as a card says it: "mordant S2 of L3, 2026-04-03: 36 g of
// alum, 15 % WOF".
func (h Had) Words() string {
	var used []string
	for _, u := range h.Used {
		used = append(used, u.words(h.Bath))
	}
	words := fmt.Sprintf("%s S%d of %s, %s", h.Kind.Name, h.Record, h.Lot, h.At.Format(time.DateOnly))
	if len(used) > 0 {
		words += ": " + strings.Join(used, "; ")
	}
	return words
}

// words say how much of what, and its % WOF where that can be said.
func (u Used) words(b Bath) string {
	words := fmt.Sprintf("%s of %s", u.Amount, u.Parcel.Item.Name)
	if acting := u.Parcel.ActingMass(u.Amount); acting.Unit != 0 && b.Fibre().N > 0 {
		return words + fmt.Sprintf(", %s WOF", quantity.PercentOf(acting, b.Fibre()))
	}
	if u.Parcel.StrengthUnknown {
		return words + ", strength unknown"
	}
	return words
}

// LeftOut is a stage of the recipe that a lot does not have, since its cloth had
// it before.
type LeftOut struct {
	Position int
	Kind     Kind
	Why      string
}

func (l Lot) leavesOut(position int) bool {
	return slices.ContainsFunc(l.LeftOut, func(x LeftOut) bool { return x.Position == position })
}

// LeaveOut decides which stages of a recipe cloth needs no more that waited part-
// done, from what it had. A scour or a chalk bath counts by its kind. A tannin or
// a mordant counts where each dose of the recipe was given within a tenth; where
// one was not, it is done as the recipe says, and so is all that comes after it.
// Cloth that has its mordant is not scoured once more. What it had before it was
// dyed the last time does not count.
//
// differs says of a bath of the same kind why it does not do.
func LeaveOut(stages []Stage, had []Had) (left []LeftOut, differs []string) {
	had = undyed(had)
	var pending []Stage
	for _, s := range stages {
		switch {
		case s.Kind.Shades:
			return left, differs
		case !s.Kind.Keeps:
			continue
		}
		i, why := s.among(had)
		switch {
		case i >= 0:
			for _, p := range pending {
				left = append(left, LeftOut{p.Position, p.Kind, fmt.Sprintf("it comes before the %s that the cloth has: %s", s.Kind.Name, had[i].Words())})
			}
			left, pending = append(left, LeftOut{s.Position, s.Kind, had[i].Words()}), nil
			had = slices.Delete(had, i, i+1)
		case s.Kind.Lays:
			return left, append(differs, why...)
		default:
			pending = append(pending, s)
		}
	}
	return left, differs
}

// undyed is what cloth had since it was dyed last.
func undyed(had []Had) []Had {
	for i := len(had) - 1; i >= 0; i-- {
		if had[i].Kind.Shades {
			return slices.Clone(had[i+1:])
		}
	}
	return slices.Clone(had)
}

// among finds the bath that did what the stage asks, or -1 and why those of its
// kind did not.
func (s Stage) among(had []Had) (found int, differs []string) {
	for i, h := range had {
		if h.Kind.Key != s.Kind.Key {
			continue
		}
		if !s.Kind.Lays {
			return i, nil
		}
		why := s.lacks(h)
		if why == "" {
			return i, nil
		}
		differs = append(differs, fmt.Sprintf("stage %d is done all the same: %s, and %s", s.Position, h.Words(), why))
	}
	return -1, differs
}

// lacks says which dose of the stage a bath did not give, or nothing.
func (s Stage) lacks(h Had) string {
	for _, line := range s.Lines {
		got, asked := line.Item.Zero(), line.Item.Zero()
		for _, u := range h.Used {
			if u.Parcel.Item.ID != line.Item.ID {
				continue
			}
			if asked.IsZero() {
				var err error
				if asked, err = (Dose{Item: line.Item, Ask: line.Ask}).In(u.Parcel, h.Bath); err != nil {
					return fmt.Sprintf("whether that was %s of %s nobody can say", line.Ask, line.Item.Name)
				}
			}
			got = got.Add(u.Amount)
		}
		if off := got.Sub(asked).N; got.IsZero() || max(off, -off)*10 > asked.N {
			return fmt.Sprintf("the recipe asks %s of %s", line.Ask, line.Item.Name)
		}
	}
	if stranger := slices.IndexFunc(h.Used, func(u Used) bool { return u.Parcel.Item.Kind != stock.Auxiliary && !s.asks(u.Parcel.Item) }); stranger >= 0 {
		return fmt.Sprintf("the recipe has no %s in it", h.Used[stranger].Parcel.Item.Name)
	}
	return ""
}

func (s Stage) asks(it stock.Item) bool {
	return slices.ContainsFunc(s.Lines, func(l Line) bool { return l.Item.ID == it.ID })
}
