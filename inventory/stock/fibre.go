package stock

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// checkFibres brings the parts of a cloth to the names of the fibre table.
func checkFibres(it *Item) error {
	if !it.Kind.isCloth() {
		return nil
	}
	if len(it.Fibres) == 0 {
		return fault.BadField("fibres", "a %s needs its fibres: what it is made of decides heat, alkali and iron", it.Kind)
	}
	parts := make([]FibrePart, len(it.Fibres))
	seen := map[string]bool{}
	var sum quantity.Percent
	for i, p := range it.Fibres {
		f, err := recipe.FibreOf(p.Fibre)
		if err != nil {
			return fault.In(fmt.Sprintf("fibres[%d]", i), err)
		}
		switch {
		case seen[f.Key]:
			return fault.BadField(fmt.Sprintf("fibres[%d].fibre", i), "%s is named twice", f.Key)
		case p.Percent <= 0 || p.Percent > whole:
			return fault.BadField(fmt.Sprintf("fibres[%d].percent", i), "%s of %s: a part is above 0 and at most 100 %%", p.Percent, f.Key)
		}
		seen[f.Key] = true
		sum += p.Percent
		parts[i] = FibrePart{f.Key, p.Percent}
	}
	if sum != whole {
		return fault.BadField("fibres", "the parts sum to %s, not to 100 %%", sum).With("sum", sum.String())
	}
	it.Fibres = parts
	return nil
}

const whole = quantity.Percent(1_000_000) // 100 %

// Warnings says what to mind of an item: fibres that will not take, salts of
// old records, a mordant whose metal nobody can count, a dyestuff that fades.
// None of them blocks.
func (it Item) Warnings() []recipe.Warning {
	var found []recipe.Warning
	for _, p := range it.Fibres {
		if f, err := recipe.FibreOf(p.Fibre); err == nil && f.Class == recipe.Synthetic {
			found = append(found, recipe.Warning{Key: "will-not-take", Source: practice,
				Text: fmt.Sprintf("the %s of %s will not take plant dye as the rest does: it stays another colour", p.Percent, f.Key)})
		}
	}
	if s, err := recipe.Lookup(it.Substance); err == nil && s.OldRecordsOnly() {
		found = append(found, recipe.Warning{Key: "old-records-only", Source: practice,
			Text: s.Name + " is kept only to read old records: it stands in no new recipe"})
	}
	if it.Kind == Mordant && it.Substance == "" {
		found = append(found, recipe.Warning{Key: "no-substance", Source: practice,
			Text: "without the salt's name or formula no metal of it can be counted: make the item anew with its substance before it is used"})
	}
	for _, f := range recipe.Families() {
		if f.Key == it.DyeFamily && f.Fugitive {
			found = append(found, recipe.Warning{Key: "fugitive", Source: f.Source,
				Text: f.Key + " colours fade or wash out fast"})
		}
	}
	return found
}

var (
	practice = recipe.Source{Mark: recipe.Practice}
	recalled = recipe.Source{Mark: recipe.Memory}
)
