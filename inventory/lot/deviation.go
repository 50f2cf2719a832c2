package lot

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Deviation is where what was done differs from what was planned. It stops
// nothing, and every later view shows it.
type Deviation struct {
	Key     string // dose, parcel, extra, vessel, temperature, time, ph, skipped
	Planned string
	Actual  string
	Text    string
}

// deviations lists, in a fixed order: doses as the recipe has them, what was
// extra, then vessel, temperature, time and pH.
func deviations(b Before, d Done) []Deviation {
	var found []Deviation
	plan := expect(b)
	for _, e := range plan {
		found = append(found, e.against(d.Used)...)
	}
	for _, u := range d.Used {
		if !slices.ContainsFunc(plan, func(e expected) bool { return e.item.ID == u.Parcel.Item.ID }) {
			found = append(found, Deviation{"extra", "none", u.Amount.String(), fmt.Sprintf("%s: %s, which the plan does not have", u.Parcel.Item.Name, u.Amount)})
		}
	}
	return append(found, circumstances(b.Baths, d)...)
}

// expected is the plan for the lots of this record, by item: of a bath that is
// recorded for some of its lots only, their share by fibre mass.
type expected struct {
	item    stock.Item
	amount  quantity.Amount
	parcels []string
}

func expect(b Before) []expected {
	var plan []expected
	for _, bath := range b.Baths {
		for _, dose := range bath.Doses {
			part := quantity.Amount{Unit: dose.Amount.Unit}
			for i, share := range Divide(dose.Amount, bath.Lots, dose.Item.Resolution) {
				if b.has(bath.Lots[i].LotID) {
					part = part.Add(share)
				}
			}
			at := slices.IndexFunc(plan, func(e expected) bool { return e.item.ID == dose.Item.ID })
			if at < 0 {
				plan, at = append(plan, expected{item: dose.Item, amount: quantity.Amount{Unit: part.Unit}}), len(plan)
			}
			plan[at].amount = plan[at].amount.Add(part)
			for _, p := range dose.Picks {
				if !slices.Contains(plan[at].parcels, p.Code) {
					plan[at].parcels = append(plan[at].parcels, p.Code)
				}
			}
		}
	}
	return plan
}

// against compares what was planned of one item with what was used of it.
func (e expected) against(used []Used) []Deviation {
	var found []Deviation
	got := quantity.Amount{Unit: e.amount.Unit}
	var from, others []string
	for _, u := range used {
		if u.Parcel.Item.ID != e.item.ID {
			continue
		}
		code := u.Parcel.Code()
		got, from = got.Add(u.Amount), append(from, code)
		if !slices.Contains(e.parcels, code) {
			others = append(others, code)
		}
	}
	if got != e.amount {
		found = append(found, Deviation{"dose", e.amount.String(), got.String(),
			fmt.Sprintf("%s: %s instead of %s (%s)", e.item.Name, got, e.amount, signed(got.Sub(e.amount)))})
	}
	if len(e.parcels) > 0 && len(others) > 0 {
		planned, actual := strings.Join(e.parcels, ", "), strings.Join(from, ", ")
		found = append(found, Deviation{"parcel", planned, actual, fmt.Sprintf("%s: from %s instead of %s", e.item.Name, actual, planned)})
	}
	return found
}

// circumstances compares vessel, temperature, time and pH, as far as both the
// plan and the record say them. Baths of one position differ in their vessels
// alone.
func circumstances(plan []Bath, d Done) []Deviation {
	var found []Deviation
	add := func(key, planned, actual, say string) {
		found = append(found, Deviation{key, planned, actual, say + " instead of " + planned})
	}
	var others []string
	for _, b := range plan {
		if v := b.Vessel; v.ID != 0 && d.Vessel.ID != 0 && v.ID != d.Vessel.ID && !slices.Contains(others, v.Code) {
			others = append(others, v.Code)
		}
	}
	if len(others) > 0 {
		add("vessel", strings.Join(others, ", "), d.Vessel.Code, "vessel: "+d.Vessel.Code)
	}
	b := plan[0]
	if b.Celsius != 0 && d.Celsius != 0 && b.Celsius != d.Celsius {
		add("temperature", fmt.Sprintf("%d °C", b.Celsius), fmt.Sprintf("%d °C", d.Celsius), fmt.Sprintf("temperature: %d °C", d.Celsius))
	}
	if b.Minutes != 0 && d.Minutes != 0 && b.Minutes != d.Minutes {
		add("time", fmt.Sprintf("%d min", b.Minutes), fmt.Sprintf("%d min", d.Minutes), fmt.Sprintf("time: %d min", d.Minutes))
	}
	if d.PH != nil && (b.PHLow != nil && *d.PH < *b.PHLow || b.PHHigh != nil && *d.PH > *b.PHHigh) {
		is := recipe.PH(*d.PH).String()
		add("ph", phRange(b.PHLow, b.PHHigh), is, is)
	}
	return found
}

func phRange(low, high *int) string {
	switch {
	case low == nil:
		return "at most " + recipe.PH(*high).String()
	case high == nil:
		return "at least " + recipe.PH(*low).String()
	}
	return recipe.PH(*low).String() + " to " + recipe.PH(*high).Decimal()
}

func signed(a quantity.Amount) string {
	if a.N > 0 {
		return "+" + a.String()
	}
	return a.String()
}
