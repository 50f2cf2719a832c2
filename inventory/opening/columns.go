package opening

import (
	"regexp"
	"slices"
	"strings"

	"dyelot/inventory/quantity"
)

// Kind is which of the three sheets it is.
type Kind string

// The sheets, in the order in which they build on each other.
const (
	Items   Kind = "items"
	Parcels Kind = "parcels"
	Lots    Kind = "lots"
)

// Kinds lists them in that order.
func Kinds() []Kind { return []Kind{Items, Parcels, Lots} }

// Swatches is the sheet of old swatch cards: it goes into the swatch book and
// stands beside the three, which need nothing of it.
const Swatches Kind = "swatches"

// Column is one column that a sheet may have: a row of the table below.
type Column struct {
	Name    string
	Needed  bool
	Measure bool // its header may say the unit: "fresh (oz)"
	What    string
	Example string
}

var columns = map[Kind][]Column{
	Items: {
		{Name: "item", Needed: true, What: "short code for typing: small letters, digits, hyphens", Example: "alum"},
		{Name: "kind", Needed: true, What: "blank, mordant, dyestuff, auxiliary, witness-cloth or solution", Example: "mordant"},
		{Name: "name", What: "what it is called aloud", Example: "potassium alum"},
		{Name: "unit", What: "g, mL or pc, where the kind does not say", Example: "g"},
		{Name: "style", What: "blanks: the cut", Example: "tunic"},
		{Name: "size", What: "blanks: the size", Example: "M"},
		{Name: "fibre", What: "blanks, witness cloth: fibres and their shares, with | between", Example: "cotton=60 | linen=40"},
		{Name: "piece_mass", Measure: true, What: "blanks: air-dry mass of one piece", Example: "105 g"},
		{Name: "substance", What: "name or formula of what acts", Example: "potassium alum"},
		{Name: "plant", What: "dyestuffs: which plant", Example: "weld"},
		{Name: "part", What: "dyestuffs: which part of it", Example: "flowering top"},
		{Name: "family", What: "dyestuffs: family of its dye", Example: "flavonoid"},
		{Name: "resolution", Measure: true, What: "smallest step of the scale for it", Example: "0.1 g"},
		{Name: "minimum", Measure: true, What: "kept on the shelf beyond every promise", Example: "100 g"},
		{Name: "pack", Measure: true, What: "sold in multiples of this", Example: "500 g"},
		{Name: "supplier", What: "who sells it", Example: "Northern Salts"},
		{Name: "lead_days", What: "days from order to shelf", Example: "7"},
	},
	Parcels: {
		{Name: "item", Needed: true, What: "its item: of the items sheet, or in the books", Example: "alum"},
		{Name: "amount", Measure: true, What: "what lies on the shelf today; nothing for a harvest that is still damp", Example: "12,5 oz"},
		{Name: "unit", What: "of amount and received, where they do not say it", Example: "g"},
		{Name: "ref", What: "your own word for it, by which the lots sheet names it", Example: "alum-2023"},
		{Name: "received", Measure: true, What: "what came in at first, or was weighed dry; else what lies there and what past lots took", Example: "500 g"},
		{Name: "origin", What: "delivery, harvest or making; harvest where it has a day of picking", Example: "delivery"},
		{Name: "arrived_on", What: "the day it came, or was made (today, or before its first use)", Example: "2023-04-02"},
		{Name: "supplier", What: "who sent it", Example: "Northern Salts"},
		{Name: "supplier_lot", What: "the lot printed on the bag", Example: "NS-118"},
		{Name: "cost", Measure: true, What: "what it cost in all; in the studio's currency unless it says another", Example: "12,40 EUR"},
		{Name: "usable_until", What: "the last day it is good for", Example: "2027-12-31"},
		{Name: "grams_per_litre", What: "solutions: grams a litre of what acts; unknown where empty", Example: "200"},
		{Name: "piece_mass", Measure: true, What: "blanks: air-dry mass of one piece, where it differs from the item's", Example: "104 g"},
		{Name: "strength", What: "per cent against its reference", Example: "90"},
		{Name: "picked_on", What: "harvests: the day it was picked", Example: "2023-06-20"},
		{Name: "place", What: "harvests: where, in the studio's own words", Example: "lane behind the boathouse"},
		{Name: "part", What: "harvests: part of the plant", Example: "flowering top"},
		{Name: "ripeness", What: "harvests: how ripe", Example: "in flower"},
		{Name: "permission", What: "harvests: who allowed it", Example: "the farm, by word"},
		{Name: "fresh", Measure: true, What: "harvests: fresh mass", Example: "3.2 kg"},
		{Name: "note", What: "anything else to know", Example: "opened in May"},
	},
	Lots: {
		{Name: "colourway", Needed: true, What: "its colourway, which must be in the books", Example: "harbour-gold"},
		{Name: "vessel", Needed: true, What: "the pot, which must be in the books", Example: "pot-40"},
		{Name: "dyed_on", Needed: true, What: "the day it was dyed", Example: "2023-07-04"},
		{Name: "pieces", Needed: true, What: "how many garments", Example: "6"},
		{Name: "blanks", Needed: true, What: "what they were undyed: ref of a parcel, or its code", Example: "caps-2023"},
		{Name: "ref", What: "your own word for it: the old lot number", Example: "2023-17"},
		{Name: "recipe_version", What: "version of the colourway's recipe (the newest)", Example: "1"},
		{Name: "dry_mass", Measure: true, What: "air-dry mass of all its garments (the blanks' own)", Example: "507 g"},
		{Name: "used", What: "what went in: parcels by ref or code with amounts, with | between", Example: "alum-2023=60.8 g | weld-2023=304 g"},
		{Name: "by", What: "who dyed it (whose token this is)", Example: "dyer-1"},
		{Name: "passed_by", What: "who looked at it and passed it then (whose token this is)", Example: "owner"},
		{Name: "passed_on", What: "the day of that (dyed_on)", Example: "2023-08-20"},
		{Name: "order", What: "the order it was sold under; nothing: it is on the shelf", Example: "market-3"},
		{Name: "sold", What: "how many of it were sold (all, where there is an order)", Example: "5"},
		{Name: "sold_on", What: "the day of that (passed_on)", Example: "2023-08-22"},
		{Name: "note", What: "anything else to know", Example: "a little paler than the swatch"},
	},
	Swatches: {
		{Name: "fibre", Needed: true, What: "what the cloth is", Example: "silk"},
		{Name: "dyed_on", Needed: true, What: "the day it was dyed", Example: "2023-07-04"},
		{Name: "plant", What: "which plant", Example: "weld"},
		{Name: "part", What: "which part of it", Example: "flowering top"},
		{Name: "percent_wof", What: "of the plant, per cent of the air-dry fibre; unknown where empty", Example: "60"},
		{Name: "place", What: "where it was picked", Example: "lane behind the boathouse"},
		{Name: "picked_on", What: "the day it was picked", Example: "2023-06-20"},
		{Name: "family", What: "family of its dye, where the tables do not know it", Example: "flavonoid"},
		{Name: "baths", What: "what else it had, in order, with | between: kind, substance, and % WOF where it is known; metal none or metal Fe of what the tables do not know", Example: "mordant alum=15% | after-dip copperas=1%"},
		{Name: "recipe", What: "the recipe in words", Example: "cold overnight, then 60 °C"},
		{Name: "lab", What: "its colour as L/a/b in D65 and 10°", Example: "68.2 / -3.1 / 46"},
		{Name: "instrument", What: "what read the colour", Example: "spectro-1"},
		{Name: "read_on", What: "the day of that", Example: "2023-07-10"},
		{Name: "grades", What: "how it wore, with | between: method, then components with grades", Example: "studio-window light=3-4"},
		{Name: "tested_on", What: "the day of the grades", Example: "2023-09-01"},
		{Name: "name", What: "what it is called aloud", Example: "harbour gold"},
		{Name: "page", What: "where the cloth is kept", Example: "book 2 p. 31"},
		{Name: "by", What: "who dyed it (whose token this is)", Example: "dyer-1"},
		{Name: "note", What: "anything else to know", Example: "a little greener in shop light"},
	},
}

// Columns lists the columns that a sheet may have, the needed ones first.
func Columns(k Kind) []Column { return slices.Clone(columns[k]) }

func columnOf(k Kind, name string) (Column, bool) {
	i := slices.IndexFunc(columns[k], func(c Column) bool { return c.Name == name })
	if i < 0 {
		return Column{}, false
	}
	return columns[k][i], true
}

var bracketed = regexp.MustCompile(`^(.*?)\s*[(\[]\s*([\pL]+)\s*[)\]]$`)

// heading reads a header's cell: "Supplier lot" is supplier_lot, "fresh (oz)"
// is fresh in ounces. known is false where the sheet has no such column, or one
// that has no unit.
func heading(k Kind, cell string) (name, unit string, known bool) {
	name = strings.TrimSpace(cell)
	if m := bracketed.FindStringSubmatch(name); m != nil {
		name, unit = m[1], m[2]
	}
	name = strings.NewReplacer(" ", "_", "-", "_", "\u00a0", "_").Replace(strings.ToLower(strings.TrimSpace(name)))
	c, known := columnOf(k, name)
	if !known || unit == "" {
		return name, unit, known
	}
	if name == "cost" {
		unit = strings.ToUpper(unit)
		_, err := quantity.ParseMoney("1", unit)
		return name, unit, err == nil
	}
	_, err := quantity.Parse("1", unit)
	return name, unit, c.Measure && err == nil
}

func names(cs []Column) string {
	var all []string
	for _, c := range cs {
		all = append(all, c.Name)
	}
	return strings.Join(all, ", ")
}
