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

// dosing is one stage of a batch.
type dosing struct {
	batch *batch
	stage recipe.Stage
	pot   recipe.Pot
	on    time.Time
}

// measured is what a line of a stage needs, and why in words.
type measured struct {
	item   goods.Item
	amount quantity.Amount
	why    string
}

// dose is what one line of a stage needs; nil where it cannot be told, which is
// noted.
func (e *Exploded) dose(at dosing, l recipe.Line, h Habits, kept keptBaths) (*measured, error) {
	d, known := h.Dosed[l.ItemID]
	if !known {
		return nil, fault.BadField("dosed", "nothing is known of %s, which %s takes", l.ItemCode, at.batch.recipe.Code)
	}
	way, ask, item, tail := at.batch.colourway, l.Ask, d.Item, ""
	switch {
	case item.Unit == quantity.Volume && d.Concentration > 0:
		ask.Stock = new(d.Concentration)
		tail = fmt.Sprintf(" of %s (%s)", d.Concentration, d.From)
	case item.Unit == quantity.Volume && ask.Basis != recipe.OfLiquor && d.Solute == nil:
		e.note("%s: %s of %s cannot be told in mL: none of known strength was made, and no item is kept to make it of", way, ask, item.Code)
		return nil, nil
	case item.Unit == quantity.Volume && ask.Basis != recipe.OfLiquor:
		item, tail = *d.Solute, " for "+item.Code+", which has to be made first"
	}
	dose, err := ask.For(at.pot, recipe.Scale{Mass: scaleOf(item, quantity.Mass), Volume: scaleOf(item, quantity.Volume)})
	if f, refused := fault.Of(err); refused && f.Kind == fault.Refused {
		e.note("%s: %s %s: %s", way, l.ItemCode, l.Ask, f.Say)
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	if dose.Take.Unit != item.Unit {
		e.note("%s: %s is dosed in %s and kept in %s, so it is not counted", way, item.Code, dose.Take.Unit.Name(), item.Unit.Name())
		return nil, nil
	}
	why := fmt.Sprintf("%s %s = %s%s%s", l.ItemCode, askWords(l.Ask, at.batch.recipe.RatioOf(at.stage), at.pot), Kilos(dose.Take), tail, d.ofHarvest(dose.Take))
	return secondUse(at, measured{item, dose.Take, why}, h.Kept[item.ID], kept)
}

// ofHarvest says how much of the harvest in hand makes an amount at reference
// strength, where they differ.
func (d Dosed) ofHarvest(a quantity.Amount) string {
	const whole = 100
	if a.Unit != quantity.Mass || d.Strength <= 0 || d.Strength == quantity.WholePercent(whole) {
		return ""
	}
	own := quantity.Amount{N: quantity.MulDiv(a.N, int64(quantity.WholePercent(whole)), int64(d.Strength)), Unit: a.Unit}
	return fmt.Sprintf(" at reference strength; %s is at %s, so %s of it", d.From, d.Strength, Kilos(own.Round(d.Item.Resolution.N)))
}

// secondUse takes off what a person said is still in a kept bath.
func secondUse(at dosing, m measured, share quantity.Percent, kept keptBaths) (*measured, error) {
	k, err := lot.KindOf(at.stage.Kind)
	if err != nil || !k.Lays {
		return &m, err
	}
	if !kept.again(keptBath{m.item.ID, at.stage.Kind, at.batch.recipe.Fibre}, at.on) || share == 0 {
		return &m, nil
	}
	kept[keptBath{item: m.item.ID}] = at.on // taken off at least once
	m.amount = m.amount.Sub(m.amount.Percent(share)).Round(m.item.Resolution.N)
	m.why += fmt.Sprintf("; second use of the kept bath, as you said with %s still in it: %s go in", share, Kilos(m.amount))
	return &m, nil
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
