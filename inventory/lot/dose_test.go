package lot_test

import (
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// bathOf is a bath of so much fibre at 1 : 40.
func bathOf(fibre quantity.Amount) lot.Bath {
	return lot.Bath{Lots: []lot.BathLot{{LotID: 1, Fibre: fibre}}, Volume: oneToForty.Bath(fibre)}
}

// The choir's doses are the story's; the rest is common practice's arithmetic:
// fibre × % WOF / 100 × 100 / strength, bath × g/L, fibre × mL/kg.
func TestWhatADoseIsInAParcel(t *testing.T) {
	t.Parallel()
	weak, strong := bag(3, weld, g(900), g(0)), bag(4, weld, g(900), g(0))
	weak.Strength, strong.Strength = quantity.WholePercent(90), quantity.WholePercent(120)
	for _, c := range []struct {
		what   string
		item   stock.Item
		ask    recipe.Ask
		parcel stock.Parcel
		fibre  quantity.Amount
		want   string
	}{
		{"alum 15 %", alum, wof("15"), bag(1, alum, g(155), g(0)), g(1080), "162 g"},
		{"weld 60 %, never measured", weld, wof("60"), bag(3, weld, g(900), g(0)), g(1080), "648 g"},
		{"weld 60 % of a harvest of 90 %", weld, wof("60"), weak, g(1080), "720 g"},
		{"weld 60 % of a harvest of 120 %", weld, wof("60"), strong, g(1080), "540 g"},
		{"copperas 1 % dry", powder, wof("1"), bag(5, powder, g(100), g(0)), g(1080), "10.8 g"},
		{"copperas 1 % of both lots in 200 g/L", liquor, wof("1"), bottle(4, liquor, mL(500), 200), g(1080), "54 mL"},
		{"copperas 1 % of lot A", liquor, wof("1"), bottle(4, liquor, mL(500), 200), g(541), "27 mL"},
		{"copperas 1 % of lot B", liquor, wof("1"), bottle(4, liquor, mL(500), 200), g(539), "27 mL"},
		{"copperas 0.5 g/L of bath, from 200 g/L", liquor, recipe.Ask{Basis: recipe.InBath, PerLitre: 500}, bottle(4, liquor, mL(500), 200), g(1080), "108 mL"},
		{"soap 2 g/L", soap, gPerL(2), bag(7, soap, g(500), g(0)), g(1080), "86.4 g"},
		{"vinegar liquor by swatch", vinegar, perKilo(40), bottle(6, vinegar, mL(900), 0), g(1080), "43 mL"},
		{"mL/kg do not ask how strong it is", liquor, perKilo(40), bottle(4, liquor, mL(500), 200), g(1080), "43 mL"},
		{"mL/kg with no bottle at all", vinegar, perKilo(40), stock.Parcel{Item: vinegar}, g(1080), "43 mL"},
		{"30 galls to the kilogram", galls, recipe.Ask{Basis: recipe.Counted, PerKilo: quantity.Pieces(30)}, bag(8, galls, quantity.Pieces(40), quantity.Pieces(0)), g(240), "7 pieces"},
	} {
		got, err := lot.Dose{Item: c.item, Ask: c.ask}.In(c.parcel, bathOf(c.fibre))
		if err != nil || got.String() != c.want {
			t.Errorf("%s: %s, %v, want %s", c.what, got, err, c.want)
		}
	}
}

func TestWhatNoDoseCanBe(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		item   stock.Item
		ask    recipe.Ask
		parcel stock.Parcel
		fibre  quantity.Amount
		kind   fault.Kind
		reason string
		says   string
	}{
		{liquor, wof("1"), stock.Parcel{Item: liquor}, g(1080), fault.Refused, "NOT_MADE", "no iron liquor is on the shelf to tell its g/L, so 1 % WOF cannot be measured: make some first, or book in what there is"},
		{vinegar, wof("1"), bottle(6, vinegar, mL(900), 0), g(1080), fault.Refused, "STRENGTH_UNKNOWN", "P6 (vinegar iron) is of unknown strength, so 1 % WOF cannot be measured from it: dose it in mL/kg by swatch, or make some of known strength"},
		{vinegar, gPerL(5), bottle(6, vinegar, mL(900), 0), g(1080), fault.Refused, "STRENGTH_UNKNOWN", "so 5 g/L cannot be measured"},
		{alum, wof("0.01"), bag(1, alum, g(155), g(0)), g(100), fault.Refused, "BELOW_SCALE", "0.01 g rounds to nothing in steps of 0.1 g: measure it from a weaker stock solution"},
		{alum, perKilo(40), bag(1, alum, g(155), g(0)), g(1080), fault.Invalid, "INVALID_FIELD", "basis: 40 mL/kg comes in mL, and alum is kept in g"},
		{alum, wof("15"), bag(1, alum, g(155), g(0)), g(0), fault.Invalid, "INVALID_FIELD", "0 g of fibre"},
	} {
		got, err := lot.Dose{Item: c.item, Ask: c.ask}.In(c.parcel, bathOf(c.fibre))
		wantFault(t, err, c.kind, c.reason, c.says)
		if got.N != 0 {
			t.Errorf("%s and yet %s", c.says, got)
		}
	}
}

func TestOnlyFrom(t *testing.T) {
	t.Parallel()
	d := lot.Dose{}
	if d.OnlyFrom(1) {
		t.Error("nothing is picked")
	}
	d.Picks = []lot.Pick{{ParcelID: 1}, {ParcelID: 1}}
	if !d.OnlyFrom(1) || d.OnlyFrom(2) {
		t.Error("both picks are from P1")
	}
	d.Picks = append(d.Picks, lot.Pick{ParcelID: 2})
	if d.OnlyFrom(1) {
		t.Error("one pick is from P2")
	}
}
