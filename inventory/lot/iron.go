package lot

import (
	"cmp"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Iron is what a bath offered to the fibre in it, as copperas on its air-dry
// mass, summed over everything that was poured in. Iron whose mass nobody can
// tell makes the sum unknown. fault.Invalid for no fibre, and for what is beyond
// any sum.
func Iron(used []Used, lots []BathLot) (recipe.Iron, error) {
	dry := Bath{Lots: lots}.Fibre()
	var sum recipe.Iron
	for _, u := range used {
		more, err := ironIn(u.Parcel, u.Amount, dry)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(more)
	}
	return sum, nil
}

// IronLeft is the iron that a bath which was used before may still offer. What
// the earlier uses left of it nobody can say: any of it makes the sum unknown.
func IronLeft(poured []stock.Parcel) recipe.Iron {
	for _, p := range poured {
		if s, err := recipe.Lookup(p.Item.Substance); err == nil && s.HasIron() {
			return recipe.Iron{Unknown: true}
		}
	}
	return recipe.Iron{}
}

// ironIn is the iron in an amount of a parcel. A word that the table of
// substances does not know brings none: nothing is known of it, and what is in
// the pot is recorded all the same.
func ironIn(p stock.Parcel, amount, dry quantity.Amount) (recipe.Iron, error) {
	s, err := recipe.Lookup(p.Item.Substance)
	if err != nil || !s.HasIron() {
		return recipe.Iron{}, nil
	}
	acting := p.ActingMass(amount)
	switch {
	case p.StrengthUnknown || !s.HasFormula() || acting.Unit == 0:
		return recipe.Iron{Unknown: true}, nil
	case acting.N == 0: // less than the smallest step
		return recipe.Iron{}, nil
	}
	return recipe.IronFrom(s, acting, dry)
}

// Iron is what the bath will offer to the fibre in it: by the parcels picked,
// or, of a dose that is short, by what the recipe asks. It is unknown where that
// is millilitres of a liquor that nobody has picked.
func (b Bath) Iron(parcels map[int64]stock.Parcel) (recipe.Iron, error) {
	var picked []Used
	var sum recipe.Iron
	for _, d := range b.Doses {
		if !d.open() {
			for _, p := range d.Picks {
				picked = append(picked, Used{parcels[p.ParcelID], p.Amount})
			}
			continue
		}
		asked, err := d.ironAsked(b)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(asked)
	}
	offered, err := Iron(picked, b.Lots)
	return sum.Add(offered), err
}

// ironAsked is the iron of a dose as the recipe has it, whatever it will be
// measured from.
func (d Dose) ironAsked(b Bath) (recipe.Iron, error) {
	if s, err := recipe.Lookup(d.Item.Substance); err != nil || !s.HasIron() {
		return recipe.Iron{}, nil
	}
	if d.Ask.Basis == recipe.OfLiquor || d.Ask.Basis == recipe.Counted {
		return recipe.Iron{Unknown: true}, nil
	}
	dry := stock.Parcel{Item: stock.Item{Unit: quantity.Mass, Substance: d.Item.Substance}}
	amount, err := Dose{Item: dry.Item, Ask: d.Ask}.In(dry, b)
	if err != nil {
		return recipe.Iron{}, err
	}
	return ironIn(dry, amount, b.Fibre())
}

// PlannedIron is all the iron that the plan offers to a lot's garments, added
// up over its baths.
func PlannedIron(baths []Bath, lotID int64, parcels map[int64]stock.Parcel) (recipe.Iron, error) {
	var sum recipe.Iron
	for _, b := range baths {
		if !b.serves(lotID) {
			continue
		}
		more, err := b.Iron(parcels)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(more)
	}
	return sum, nil
}

// IronWarnings holds iron against the lines of fibres, by name; those that the
// table does not know have no line. The strictest counts.
func IronWarnings(fibres []string, iron recipe.Iron) []recipe.Warning {
	return recipe.CheckIron(known(fibres), iron)
}

func known(fibres []string) []recipe.Fibre {
	var found []recipe.Fibre
	for _, name := range fibres {
		if f, err := recipe.FibreOf(name); err == nil {
			found = append(found, f)
		}
	}
	return found
}

// Worn is a garment that was dyed before, with all the iron that its lots before
// offered it.
type Worn struct {
	Tag    string
	Dry    quantity.Amount
	Fibres []string
	Iron   recipe.Iron
}

// Past is the iron that garments of a lot had before they came into it.
type Past struct {
	Worn []Worn // those that had any
	All  bool   // there is no garment in the lot that had none
}

// Warnings holds what a lot's own baths offer, so far, against the lines of all
// its fibres; and for each garment that had iron before, both together against
// the lines of its own. Those come first, the one that had most at the head:
// it decides for the lot. Garments that had the same are named together.
func (p Past) Warnings(fibres []string, so recipe.Iron) []recipe.Warning {
	var warned []recipe.Warning
	for _, same := range p.alike() {
		var tags []string
		for _, w := range same {
			tags = append(tags, w.Tag)
		}
		dry := same[0].Dry
		if len(same) > 1 {
			dry = quantity.Amount{}
		}
		warned = append(warned, recipe.CheckIronOf(strings.Join(tags, ", "), dry, known(same[0].Fibres), same[0].Iron.Add(so))...)
	}
	if !p.All {
		warned = append(warned, IronWarnings(fibres, so)...)
	}
	return warned
}

// alike groups garments that had the same iron and are of the same fibres, those
// first that had most.
func (p Past) alike() [][]Worn {
	var groups [][]Worn
	for _, w := range p.Worn {
		i := slices.IndexFunc(groups, func(g []Worn) bool { return g[0].Iron == w.Iron && slices.Equal(g[0].Fibres, w.Fibres) })
		if i < 0 {
			groups = append(groups, []Worn{w})
		} else {
			groups[i] = append(groups[i], w)
		}
	}
	slices.SortStableFunc(groups, func(a, b []Worn) int { return cmp.Compare(b[0].Iron.Copperas, a[0].Iron.Copperas) })
	return groups
}

// most is the sum of the garment that had most.
func (p Past) most(so recipe.Iron) recipe.Iron {
	if groups := p.alike(); len(groups) > 0 {
		return groups[0][0].Iron.Add(so)
	}
	return so
}

// ironOf adds what this bath offers to all that the garments have had, in this
// lot and before it, and asks for a named override where it is above the
// fibre's line.
func ironOf(b Before, d Done, lots []BathLot) ([]recipe.Warning, error) {
	offered, err := Iron(d.Used, lots)
	if offered = offered.Add(IronLeft(b.Liquor)); err != nil || offered == (recipe.Iron{}) {
		return nil, err
	}
	var warned []recipe.Warning
	var first Lot
	for _, l := range b.Lots {
		for _, w := range b.Past[l.ID].Warnings(b.Fibres, b.Iron[l.ID].Add(offered)) {
			if len(warned) == 0 {
				first = l
			}
			if !slices.Contains(warned, w) {
				warned = append(warned, w)
			}
		}
	}
	if len(warned) > 0 && (strings.TrimSpace(d.Override.By) == "" || strings.TrimSpace(d.Override.Reason) == "") {
		return nil, fault.Refuse("OVERRIDE_NEEDED", "%s", warned[0].Text).At("override_by").
			With("lot", first.Code).With("offered", offered.String()).With("so_far", b.Past[first.ID].most(b.Iron[first.ID].Add(offered)).String())
	}
	return warned, nil
}
