package stock

import (
	"slices"
	"strings"

	"dyelot/inventory/caution"
	"dyelot/inventory/recipe"
)

const (
	childKg = 10 // the child that the warning on a bottle of iron liquor speaks of
	// swallowed is the line that names how little of a bottle harms that child,
	// and likewise the next one, which begins "So does".
	swallowed, soDoes = "iron-swallow", "iron-dry"
)

// ironInWater is what must be read before an iron liquor is put on a shelf: how
// little of it harms a child, and how it is kept. Words and figures are those
// of the bench card; the safety data sheet comes first there as here.
func ironInWater(p Parcel, s recipe.Substance) []recipe.Warning {
	said := caution.ForStage("weigh", []string{s.Name}, p.StrengthUnknown)
	exact, err := caution.AtStrength(said, p.Concentration, childKg)
	if err == nil && s.Key == "copperas" {
		said = exact
	} else { // nobody knows how much of this bottle it takes
		said = slices.DeleteFunc(said, func(c caution.Caution) bool { return c.Key == swallowed || c.Key == soDoes })
	}
	var found []recipe.Warning
	for _, c := range said {
		if about, _, _ := strings.Cut(c.Key, "-"); about == "sheet" || about == "iron" || about == "liquor" {
			found = append(found, recipe.Warning{Key: c.Key, Text: sentence(c.Text), Source: c.Source})
		}
	}
	return found
}

// sentence brings a line of a card to the form of a warning.
func sentence(line string) string {
	return strings.ToLower(line[:1]) + strings.TrimSuffix(line[1:], ".")
}
