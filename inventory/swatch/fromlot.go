package swatch

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// FromLot is what the records of a lot say of its witness cloth: the plant and
// its dose, the baths, and the parcel of the plant where it was one alone (else
// zero). Records that were undone or skipped say nothing. Where a bath was used
// before, nobody can say how much of it was left, and so no % WOF is told. Of
// several dyestuffs the one with the greatest dose is the page's plant; the
// others, and what went into the brew beside them, stand in the recipe's words.
//
// at is the zone that a day is reckoned in. A lot that was never dyed is
// fault.Refused, NOT_DYED.
func FromLot(code, fibre string, records []lot.Standing, parcels map[int64]stock.Parcel, at *time.Location) (Page, int64, error) {
	c := copied{parcels: parcels}
	var dyed time.Time
	for _, r := range records {
		if r.Undone || r.Skipped {
			continue
		}
		c.add(r)
		if r.Kind.Dyes && r.HappenedAt.After(dyed) {
			dyed = r.HappenedAt
		}
	}
	if dyed.IsZero() {
		return Page{}, 0, fault.Refuse("NOT_DYED", "no dyeing of lot %s is on record, so its cloth is no swatch yet", code).With("lot", code)
	}
	y, m, d := dyed.In(at).Date()
	p := Page{Fibre: fibre, Dyed: time.Date(y, m, d, 0, 0, 0, 0, time.UTC), Baths: c.baths}
	return p, c.plant(&p), nil
}

// copied gathers what went into a lot.
type copied struct {
	parcels map[int64]stock.Parcel
	baths   []Bath
	dyes    []dose
	beside  []string // what else was in the brew or the dye bath
}

// dose is what a lot had of one dyestuff; Of zero where nobody knows.
type dose struct {
	item    stock.Item
	parcels []stock.Parcel
	of      quantity.Percent
	unknown bool
}

func (c *copied) add(r lot.Standing) {
	dry := lot.Bath{Lots: r.Lots}.Fibre()
	for _, u := range r.Used {
		p := c.parcels[u.ParcelID]
		wof := quantity.PercentOf(p.ActingMass(u.Amount), dry)
		c.poured(r.Kind, p, wof, wof == 0 || p.StrengthUnknown)
	}
	for _, id := range r.Liquor { // in the bath before, and nobody knows how much of it is left
		c.poured(r.Kind, c.parcels[id], 0, true)
	}
}

func (c *copied) poured(kind lot.Kind, p stock.Parcel, wof quantity.Percent, unknown bool) {
	switch {
	case p.Item.Kind == stock.Dyestuff:
		i := slices.IndexFunc(c.dyes, func(d dose) bool { return d.item.Code == p.Item.Code })
		if i < 0 {
			i = len(c.dyes)
			c.dyes = append(c.dyes, dose{item: p.Item})
		}
		d := &c.dyes[i]
		d.of, d.unknown = d.of+wof, d.unknown || unknown
		if !slices.ContainsFunc(d.parcels, func(q stock.Parcel) bool { return q.ID == p.ID }) {
			d.parcels = append(d.parcels, p)
		}
	case slices.Contains(bathKinds(), kind.Key):
		c.bath(kind.Key, p, wof, unknown)
	default:
		c.beside = append(c.beside, p.Item.Name+" in the "+kind.Name)
	}
}

func (c *copied) bath(kind string, p stock.Parcel, wof quantity.Percent, unknown bool) {
	b := Bath{Kind: kind, Substance: cmp.Or(p.Item.Substance, p.Item.Name)}
	s, err := recipe.Lookup(b.Substance)
	switch {
	case err == nil && s.Key != "":
		b.Substance = s.Key
		unknown = unknown || s.Metal != "" && !s.HasFormula()
	case err != nil && p.Item.Kind == stock.Auxiliary: // soap, a tannin: what the studio keeps as no mordant
		b.Metal = None
	}
	i := slices.IndexFunc(c.baths, func(o Bath) bool { return o.Kind == b.Kind && o.Substance == b.Substance })
	switch {
	case i < 0 && unknown:
		c.baths = append(c.baths, b)
	case i < 0:
		b.WOF = wof
		c.baths = append(c.baths, b)
	case unknown || c.baths[i].WOF == 0: // one part of it unknown makes the sum unknown
		c.baths[i].WOF = 0
	default:
		c.baths[i].WOF += wof
	}
}

// plant writes the greatest dye on the page, and returns its parcel where it came
// from one alone.
func (c *copied) plant(p *Page) (parcelID int64) {
	slices.SortStableFunc(c.dyes, func(a, b dose) int { return cmp.Compare(b.of, a.of) })
	var words []string
	for i, d := range c.dyes {
		if d.unknown {
			d.of = 0
		}
		if i > 0 {
			words = append(words, "with "+d.item.Name+strength(d.of, "how much nobody knows"))
			continue
		}
		p.Plant, p.Part, p.WOF = cmp.Or(d.item.Plant, d.item.Name), d.item.Part, d.of
		if _, known := (recipe.Dye{Family: d.item.DyeFamily}).FamilyOf(); known {
			p.Family = d.item.DyeFamily
		}
		if len(d.parcels) == 1 {
			h := d.parcels[0].Harvest
			parcelID, p.Place, p.Picked, p.Part = d.parcels[0].ID, h.Place, h.PickedOn, cmp.Or(h.Part, p.Part)
		}
	}
	p.Recipe = strings.Join(append(words, c.beside...), "; ")
	return parcelID
}
