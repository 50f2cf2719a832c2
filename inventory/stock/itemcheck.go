package stock

import (
	"regexp"
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

var codeForm = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$`)

// IsCode is true of a code that a person types: lower case letters, digits and
// inner hyphens, at most 40.
func IsCode(code string) bool { return codeForm.MatchString(code) }

// CheckCode refuses (fault.Invalid, field "code") what is not short and typed
// by hand: lower case letters, digits and inner hyphens, at most 40.
func CheckCode(code string) error {
	if !IsCode(code) {
		return fault.BadField("code", "%.60q is not a code such as alum or tunic-silk-m: lower case letters, digits and inner hyphens, at most 40", code)
	}
	return nil
}

// Check reads a new item: it fills what follows from the kind, brings fibres,
// substance and family to the words of the tables, and says what to mind.
//
// Refused (fault.Invalid, naming the field): a code of another form, an unknown
// kind, a unit that the kind is not counted in, a field that the kind does not
// have, a blank without a piece mass, cloth whose fibres do not sum to 100 %,
// an unknown fibre, substance or family, a resolution of nothing, terms in
// another unit or below zero.
func (it Item) Check() (Item, []recipe.Warning, error) {
	row, known := rowOf(it.Kind)
	switch {
	case !known:
		return it, nil, fault.BadField("kind", "%.40q is no kind of item: use one of %s", string(it.Kind), strings.Join(Kinds(), ", "))
	case it.Unit == 0:
		it.Unit = row.units[0]
	case !slices.Contains(row.units, it.Unit):
		return it, nil, fault.BadField("unit", "a %s is counted in %s, not in %s", it.Kind, unitNames(row.units), it.Unit.Name())
	}
	if err := CheckCode(it.Code); err != nil {
		return it, nil, err
	}
	if it.Name = tidy(it.Name); it.Name == "" {
		it.Name = it.Code
	}
	for _, step := range []func(*Item) error{checkFields, checkPieceMass, checkFibres, checkSubstance, checkDye} {
		if err := step(&it); err != nil {
			return it, nil, err
		}
	}
	if it.Resolution.Unit == 0 {
		it.Resolution = row.resolution(it.Unit)
	}
	if it.Resolution.Unit != it.Unit || it.Resolution.N <= 0 {
		return it, nil, fault.BadField("resolution", "%s: the smallest step of a scale is an amount above zero in %s", it.Resolution, it.Unit.Name())
	}
	var err error
	if it.Terms, err = it.CheckTerms(it.Terms); err != nil {
		return it, nil, fault.In("reorder", err)
	}
	return it, it.Warnings(), nil
}

func unitNames(us []quantity.Unit) string {
	names := make([]string, len(us))
	for i, u := range us {
		names[i] = u.Name()
	}
	return strings.Join(names, " or ")
}

// fieldsOf lists which kinds have a field. What is given to another kind would
// be forgotten without a word, so it is refused.
var fieldsOf = []struct {
	field string
	kinds []Kind
	given func(Item) bool
}{
	{"style", []Kind{Blank}, func(it Item) bool { return it.Style != "" }},
	{"size", []Kind{Blank}, func(it Item) bool { return it.Size != "" }},
	{"piece_mass", []Kind{Blank}, func(it Item) bool { return it.PieceMass.Unit != 0 }},
	{"fibres", []Kind{Blank, WitnessCloth}, func(it Item) bool { return len(it.Fibres) > 0 }},
	{"substance", []Kind{Mordant, Auxiliary, Solution}, func(it Item) bool { return it.Substance != "" }},
	{"plant", []Kind{Dyestuff, Auxiliary, Solution}, func(it Item) bool { return it.Plant != "" }},
	{"part", []Kind{Dyestuff, Auxiliary, Solution}, func(it Item) bool { return it.Part != "" }},
	{"dye_family", []Kind{Dyestuff, Auxiliary, Solution}, func(it Item) bool { return it.DyeFamily != "" }},
}

func checkFields(it *Item) error {
	for _, f := range fieldsOf {
		if f.given(*it) && !slices.Contains(f.kinds, it.Kind) {
			return fault.BadField(f.field, "a %s has none", it.Kind)
		}
	}
	return nil
}

func checkPieceMass(it *Item) error {
	if it.Kind != Blank {
		return nil
	}
	return CheckPieceMass(it.PieceMass)
}

// CheckPieceMass refuses (fault.Invalid, field "piece_mass") what is not the
// air-dry mass of one garment.
func CheckPieceMass(m quantity.Amount) error {
	if m.Unit != quantity.Mass || m.N <= 0 {
		return fault.BadField("piece_mass", "%s: a blank needs the air-dry mass of one piece, above 0 g", m)
	}
	return nil
}

// checkSubstance keeps the table's name for a salt, so that ledgers and rules
// find it, and the formula as written where the table does not know it.
func checkSubstance(it *Item) error {
	if it.Substance == "" {
		return nil
	}
	s, err := recipe.Lookup(it.Substance)
	if err != nil {
		return err
	}
	it.Substance = s.Name
	return nil
}

const otherFamily = "other"

func checkDye(it *Item) error {
	it.Plant, it.Part = tidy(it.Plant), tidy(it.Part)
	it.DyeFamily = strings.ToLower(tidy(it.DyeFamily))
	if it.DyeFamily == "" {
		if d, known := recipe.DyeOf(it.Plant); known {
			it.DyeFamily = d.Family
		}
		return nil
	}
	families := []string{}
	for _, f := range recipe.Families() {
		families = append(families, f.Key)
	}
	if families = append(families, otherFamily); !slices.Contains(families, it.DyeFamily) {
		return fault.BadField("dye_family", "%.40q is no family of dye chemistry known here: use one of %s", it.DyeFamily, strings.Join(families, ", "))
	}
	return nil
}

// longestLead: beyond two years it is no supplier's lead time but a slip.
const longestLead = 730

// CheckTerms reads the terms of reordering for this item: absent amounts become
// zero in its unit. Refused (fault.Invalid, fields "minimum", "pack" and
// "lead_days"): another unit, anything below zero, a lead beyond two years.
func (it Item) CheckTerms(t Terms) (Terms, error) {
	for _, a := range []struct {
		field  string
		amount *quantity.Amount
	}{{"minimum", &t.Minimum}, {"pack", &t.Pack}} {
		if a.amount.Unit == 0 {
			*a.amount = it.Zero()
		}
		if a.amount.Unit != it.Unit || a.amount.N < 0 {
			return t, fault.BadField(a.field, "%s: %s is counted in %s, from zero up", a.amount, it.Code, it.Unit.Name())
		}
	}
	if t.LeadDays < 0 || t.LeadDays > longestLead {
		return t, fault.BadField("lead_days", "%d days: 0 to %d are believed", t.LeadDays, longestLead)
	}
	t.Supplier = tidy(t.Supplier)
	return t, nil
}
