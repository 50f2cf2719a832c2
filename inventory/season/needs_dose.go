package season

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	goods "dyelot/inventory/stock"
)

// KeptDays is how long a kept bath is counted on: a plain limit, not a promise
// that it keeps (common practice: a mordant tub is used up within a fortnight).
const KeptDays = 14

// keptBaths remembers when a bath of that kind was last meant, by item, kind of
// stage and fibre.
type keptBaths map[keptBath]time.Time

// noteUnused says of which kept baths nothing could be taken off.
func (e *Exploded) noteUnused(h Habits, kept keptBaths) {
	for _, id := range slices.Sorted(maps.Keys(h.Kept)) {
		if _, used := kept[keptBath{item: id}]; h.Kept[id] > 0 && !used {
			e.note("%s: no bath of it comes within %d days of one before, so nothing is taken off for a kept one", h.Dosed[id].Item.Code, KeptDays)
		}
	}
}

type keptBath struct {
	item        int64
	kind, fibre string
}

// again is true of a bath that the one before has been kept for.
func (k keptBaths) again(b keptBath, on time.Time) bool {
	last, had := k[b]
	k[b] = on
	return had && !on.After(last.AddDate(0, 0, KeptDays))
}

// dose is what one line of a stage needs, and why in words. ok is false where it
// cannot be told, which is noted.
func (e *Exploded) dose(b *batch, s recipe.Stage, l recipe.Line, pot recipe.Pot, h Habits, kept keptBaths, on time.Time) (item goods.Item, a quantity.Amount, why string, ok bool, err error) {
	d, known := h.Dosed[l.ItemID]
	if !known {
		return item, a, "", false, fault.BadField("dosed", "nothing is known of %s, which %s takes", l.ItemCode, b.recipe.Code)
	}
	ask, item, tail := l.Ask, d.Item, ""
	switch {
	case d.Item.Unit == quantity.Volume && d.Concentration > 0:
		ask.Stock = new(d.Concentration)
		tail = fmt.Sprintf(" of %s (%s)", d.Concentration, d.From)
	case d.Item.Unit == quantity.Volume && ask.Basis != recipe.OfLiquor:
		if d.Solute == nil {
			e.note("%s: %s of %s cannot be told in mL: none of known strength was made, and no item is kept to make it of", b.colourway, ask, d.Item.Code)
			return item, a, "", false, nil
		}
		item, tail = *d.Solute, " for "+d.Item.Code+", which has to be made first"
	}
	dose, err := ask.For(pot, recipe.Scale{Mass: scaleOf(item, quantity.Mass), Volume: scaleOf(item, quantity.Volume)})
	if f, refused := fault.Of(err); refused && f.Kind == fault.Refused {
		e.note("%s: %s %s: %s", b.colourway, l.ItemCode, l.Ask, f.Say)
		return item, a, "", false, nil
	}
	if err != nil {
		return item, a, "", false, err
	}
	a = dose.Take
	if a.Unit != item.Unit {
		e.note("%s: %s is dosed in %s and kept in %s, so it is not counted", b.colourway, item.Code, a.Unit.Name(), item.Unit.Name())
		return item, a, "", false, nil
	}
	why = fmt.Sprintf("%s %s = %s%s", l.ItemCode, askWords(l.Ask, b.recipe.RatioOf(s), pot), Kilos(a), tail)
	if item.Unit == quantity.Mass && d.Strength > 0 && d.Strength != quantity.WholePercent(100) {
		why += fmt.Sprintf(" at reference strength; %s is at %s, so %s of it", d.From, d.Strength, Kilos(quantity.Amount{N: quantity.MulDiv(a.N, int64(quantity.WholePercent(100)), int64(d.Strength)), Unit: a.Unit}.Round(item.Resolution.N)))
	}
	return e.secondUse(b, s, item, a, why, h, kept, on)
}

// secondUse takes off what a person said is still in a kept bath.
func (e *Exploded) secondUse(b *batch, s recipe.Stage, item goods.Item, a quantity.Amount, why string, h Habits, kept keptBaths, on time.Time) (goods.Item, quantity.Amount, string, bool, error) {
	k, err := lot.KindOf(s.Kind)
	if err != nil || !k.Lays {
		return item, a, why, true, err
	}
	share := h.Kept[item.ID]
	if !kept.again(keptBath{item.ID, s.Kind, b.recipe.Fibre}, on) || share == 0 {
		return item, a, why, true, nil
	}
	kept[keptBath{item: item.ID}] = on // taken off at least once
	left := a.Sub(a.Percent(share)).Round(item.Resolution.N)
	return item, left, fmt.Sprintf("%s; second use of the kept bath, as you said with %s still in it: %s go in", why, share, Kilos(left)), true, nil
}

// askWords is "12 % WOF", and for g/L with the litres that they are in.
func askWords(a recipe.Ask, ratio quantity.Ratio, pot recipe.Pot) string {
	if a.Basis == recipe.InBath {
		return fmt.Sprintf("%s in %s (%s)", a, pot.Bath, ratio)
	}
	return a.String()
}

func scaleOf(item goods.Item, u quantity.Unit) quantity.Amount {
	if item.Unit == u {
		return item.Resolution
	}
	return quantity.Amount{}
}
