package opening

import (
	"regexp"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// itemFields are the item rules' fields that the sheet calls differently.
var itemFields = map[string]string{"code": "item", "fibres": "fibre", "dye_family": "family"}

func (r *reading) items() {
	for _, row := range r.sheets.Items.Rows {
		c := r.cells(r.sheets.Items, row)
		it := r.item(c)
		if !c.ok {
			r.broken[it.Code] = true
			continue
		}
		if line, twice := r.itemLine[it.Code]; twice {
			c.refuse("item", "%s stands in line %d already", it.Code, line)
			continue
		}
		r.itemLine[it.Code] = row.Line
		if _, there := r.books.Items[it.Code]; there {
			c.refuse("item", "%s is in the books already: leave this row out", it.Code)
			continue
		}
		for _, w := range it.Warnings() {
			r.mindOnce(Items, row.Line, "", w.Text)
		}
		r.known[it.Code] = it
		r.plan.Items = append(r.plan.Items, Item{row.Line, it})
	}
}

func (r *reading) item(c *cells) stock.Item {
	it := stock.Item{
		Code: c.code("item"), Kind: stock.Kind(strings.ReplaceAll(c.code("kind"), " ", "-")), Name: c.name("name"),
		Style: c.name("style"), Size: c.name("size"), Substance: c.name("substance"),
		Plant: c.name("plant"), Part: c.name("part"), DyeFamily: c.name("family"),
	}
	if !c.needed("item") || !c.needed("kind") {
		return it
	}
	it.Unit = c.unit("unit")
	it.PieceMass = c.amount("piece_mass", "", quantity.Mass)
	it.Fibres = c.fibres("fibre")
	it.Resolution = c.amount("resolution", "")
	usual := usualUnit(it)
	it.Terms = stock.Terms{Minimum: c.amount("minimum", usual), Pack: c.amount("pack", usual), Supplier: c.name("supplier"), LeadDays: c.whole("lead_days", 0, 10_000)}
	if !c.ok {
		return it
	}
	checked, _, err := it.Check()
	if err != nil {
		c.fault(err, itemFields)
		return it
	}
	return checked
}

// usualUnit lets a blank's amounts be plain numbers: it is counted in nothing
// but pieces.
func usualUnit(it stock.Item) string {
	if it.Kind == stock.Blank {
		return quantity.Count.Name()
	}
	return ""
}

// unit is what an item is counted in; zero where its kind says.
func (c *cells) unit(column string) quantity.Unit {
	text := c.text(column)
	if text == "" {
		return 0
	}
	for _, u := range []quantity.Unit{quantity.Mass, quantity.Volume, quantity.Count} {
		if strings.EqualFold(u.Name(), text) {
			return u
		}
	}
	c.refuse(column, "%q: an item is counted in g, mL or pc", clip(text))
	return 0
}

var (
	nameFirst   = regexp.MustCompile(`^([\pL][\pL -]*?)\s*[=:]?\s*([\d.,]*)\s*%?$`)
	numberFirst = regexp.MustCompile(`^([\d.,]+)\s*%?\s*([\pL][\pL -]*)$`)
	nextFibre   = regexp.MustCompile(`,\s*([\pL]|\d+\s*%?\s*[\pL])`)
)

// fibres reads "silk", "cotton=60 | linen=40", "60 % cotton, 40 % linen".
func (c *cells) fibres(column string) []stock.FibrePart {
	text := nextFibre.ReplaceAllString(c.text(column), "|$1")
	var parts []stock.FibrePart
	for _, one := range listed(text) {
		name, share := "", ""
		if m := nameFirst.FindStringSubmatch(one); m != nil {
			name, share = m[1], m[2]
		} else if m := numberFirst.FindStringSubmatch(one); m != nil {
			name, share = m[2], m[1]
		} else {
			c.refuse(column, "%q is no fibre with its share, such as silk=100", clip(one))
			return nil
		}
		if share == "" {
			share = "100"
		}
		plain, ok := c.number(column, share)
		if !ok {
			return nil
		}
		p, err := quantity.ParsePercent(plain)
		if err != nil {
			f, _ := fault.Of(err)
			c.refuse(column, "%s", f.Say)
			return nil
		}
		parts = append(parts, stock.FibrePart{Fibre: strings.ToLower(name), Percent: p})
	}
	return parts
}
