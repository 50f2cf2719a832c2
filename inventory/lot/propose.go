package lot

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Proposal is a recipe as a lot was really dyed, for a person to write.
type Proposal struct {
	Stages []recipe.Stage
	// Changes says in words what differs from the version that was planned.
	Changes []string
}

// Propose reads a lot's standing records back into the stages of its recipe:
// each dose as what was really weighed, additions included, on the fibre that
// was in the bath, at reference strength; temperatures as read, and times with
// those of the additions. A stage that was left out is left out; one that is not
// recorded, or was done in a bath used before, stays as the recipe has it, for
// nobody knows what that bath brought.
//
// Per cent are rounded half-even to 0.01 % WOF, g/L to 0.01 g/L: 304 g and
// 30.4 g of weld on 507 g make 65.96 %.
func Propose(stages []recipe.Stage, baths []Bath, records []Standing, parcels map[int64]stock.Parcel, lotID int64) Proposal {
	var p Proposal
	for _, s := range stages {
		main, additions := recordsAt(records, s.Position, lotID)
		switch {
		case main.ID == 0:
			p.say("%d %s: not recorded, as it was", s.Position, s.Kind)
			p.Stages = append(p.Stages, s)
			continue
		case main.Skipped:
			p.say("%d %s: left out, %s", s.Position, s.Kind, main.Reason)
			continue
		case main.BathUse > 1:
			p.say("%d %s: in a bath used before (its use %d), so its doses are as they were", s.Position, s.Kind, main.BathUse)
		default:
			s.Doses = p.doses(s, main, additions, volumeOf(main, baths, lotID), parcels)
		}
		p.gauges(&s, main, additions)
		p.Stages = append(p.Stages, s)
	}
	for i := range p.Stages {
		p.Stages[i].Position = i + 1
	}
	return p
}

func (p *Proposal) say(format string, args ...any) {
	p.Changes = append(p.Changes, fmt.Sprintf(format, args...))
}

// Note is what differs, in one line.
func (p Proposal) Note(lotCode string, version int) string {
	if len(p.Changes) == 0 {
		return fmt.Sprintf("from lot %s, done as version %d has it", lotCode, version)
	}
	return fmt.Sprintf("from lot %s, against version %d: %s", lotCode, version, strings.Join(p.Changes, "; "))
}

// recordsAt are the standing record of a lot's stage and its additions.
func recordsAt(records []Standing, position int, lotID int64) (main Standing, additions []Standing) {
	for _, r := range records {
		switch {
		case r.Undone || r.Position != position || !slices.ContainsFunc(r.Lots, func(l BathLot) bool { return l.LotID == lotID }):
		case r.AdditionTo != 0:
			additions = append(additions, r)
		default:
			main = r
		}
	}
	return main, additions
}

// volumeOf is the bath as it was read, else as it was planned for these lots.
func volumeOf(main Standing, baths []Bath, lotID int64) quantity.Amount {
	if main.Volume.N > 0 {
		return main.Volume
	}
	for _, b := range baths {
		if b.Position == main.Position && b.serves(lotID) {
			return b.Volume
		}
	}
	return quantity.Amount{}
}

// doses are the stage's lines as they were really dosed, in the recipe's order,
// then what the recipe does not have.
func (p *Proposal) doses(s recipe.Stage, main Standing, additions []Standing, volume quantity.Amount, parcels map[int64]stock.Parcel) []recipe.Line {
	var items []stock.Item
	taken := map[int64][]Used{}
	for _, r := range append([]Standing{main}, additions...) {
		for _, t := range r.Used {
			q := parcels[t.ParcelID]
			if _, had := taken[q.Item.ID]; !had {
				items = append(items, q.Item)
			}
			taken[q.Item.ID] = append(taken[q.Item.ID], Used{q, t.Amount})
		}
	}
	pot := recipe.Pot{Dry: Bath{Lots: main.Lots}.Fibre(), Bath: volume}
	added := addedIn(additions, parcels)
	var lines []recipe.Line
	for _, l := range s.Doses {
		was := l.Ask
		used := taken[l.ItemID]
		if len(used) == 0 {
			p.say("%d %s: %s %s left out", s.Position, s.Kind, l.ItemCode, was)
			continue
		}
		if toTheScale(was, used, main, volume) {
			l.Ask = was
		} else if ask, ok := asked(used, was.Basis, pot); ok {
			l.Ask = ask
		} else if ask, ok := asked(used, "", pot); ok {
			l.Ask = ask
		}
		if l.Ask != was {
			p.say("%d %s: %s %s, was %s%s", s.Position, s.Kind, l.ItemCode, l.Ask, was, added[l.ItemID])
		}
		lines = append(lines, l)
	}
	for _, it := range items {
		if slices.ContainsFunc(s.Doses, func(l recipe.Line) bool { return l.ItemID == it.ID }) {
			continue
		}
		if ask, ok := asked(taken[it.ID], "", pot); ok {
			p.say("%d %s: %s %s is new%s", s.Position, s.Kind, it.Code, ask, added[it.ID])
			lines = append(lines, recipe.Line{ItemID: it.ID, ItemCode: it.Code, ItemName: it.Name, ItemKind: recipe.Kind(it.Kind), Unit: it.Unit,
				Substance: it.Substance, Plant: it.Plant, Part: it.Part, Family: it.DyeFamily, Ask: ask})
		}
	}
	return lines
}

// addedIn names, by item, the additions: ", of it added 30.4 g (S5)".
func addedIn(additions []Standing, parcels map[int64]stock.Parcel) map[int64]string {
	said := map[int64]string{}
	for _, r := range additions {
		for _, t := range r.Used {
			id := parcels[t.ParcelID].Item.ID
			if said[id] == "" {
				said[id] = ", of it added "
			} else {
				said[id] += " and "
			}
			said[id] += t.Amount.String() + " (" + RecordCode(r.ID) + ")"
		}
	}
	return said
}

// asked says in the words of a recipe how much was dosed: in the basis wanted
// or, where none is, in the first that can be told. ok is false where it cannot
// be: per cent of a liquor of unknown strength, a mix of units.
func asked(used []Used, want recipe.Basis, pot recipe.Pot) (recipe.Ask, bool) {
	var acting, whole quantity.Amount
	known := pot.Dry.N > 0
	for i, u := range used {
		if i > 0 && whole.Unit != u.Amount.Unit {
			return recipe.Ask{}, false
		}
		whole = whole.Add(u.Amount)
		if m := u.Parcel.ActingMass(u.Amount); m.Unit != 0 {
			acting = acting.Add(m)
		} else {
			known = false
		}
	}
	bases := []recipe.Basis{want}
	if want == "" {
		bases = []recipe.Basis{recipe.OnFibre, recipe.OfLiquor, recipe.Counted}
	}
	for _, b := range bases {
		var steps int64
		switch {
		case b == recipe.OnFibre && known: // 0.0001 % of the fibre, by hundreds
			steps = 100 * quantity.MulDiv(acting.N, 10_000, pot.Dry.N)
		case b == recipe.InBath && known && pot.Bath.N > 0: // µg in µL is g/L
			steps = 10 * quantity.MulDiv(acting.N, 100, pot.Bath.N)
		case b == recipe.OfLiquor && whole.Unit == quantity.Volume: // µL to a kilogram, by tenths of a millilitre
			steps = 100 * quantity.MulDiv(whole.N, 10_000_000, pot.Dry.N)
		case b == recipe.Counted && whole.Unit == quantity.Count:
			steps = quantity.MulDiv(whole.N, 1_000_000_000, pot.Dry.N)
		}
		if steps > 0 {
			return recipe.AskFrom(b, steps), true
		}
	}
	return recipe.Ask{}, false
}

// toTheScale is true where what was used is what the line asks of that parcel:
// 60.8 g for 12 % of 507 g is no change of a recipe.
func toTheScale(was recipe.Ask, used []Used, main Standing, volume quantity.Amount) bool {
	var whole quantity.Amount
	for _, u := range used {
		whole = whole.Add(u.Amount)
	}
	want, err := Dose{Item: used[0].Parcel.Item, Ask: was}.In(used[0].Parcel, Bath{Lots: main.Lots, Volume: volume})
	return err == nil && want == whole
}

// gauges takes temperature and time as they were read.
func (p *Proposal) gauges(s *recipe.Stage, main Standing, additions []Standing) {
	if main.Celsius != 0 && main.Celsius != s.Celsius {
		p.say("%d %s: %d °C, was %s", s.Position, s.Kind, main.Celsius, orNothing(s.Celsius, "°C"))
		s.Celsius = main.Celsius
	}
	minutes := s.Minutes
	if main.Minutes != 0 {
		minutes = main.Minutes
	}
	for _, a := range additions {
		minutes += a.Minutes
	}
	if minutes != s.Minutes {
		p.say("%d %s: %d min, was %s", s.Position, s.Kind, minutes, orNothing(s.Minutes, "min"))
		s.Minutes = minutes
	}
}

func orNothing(n int, unit string) string {
	if n == 0 {
		return "not said"
	}
	return fmt.Sprintf("%d %s", n, unit)
}
