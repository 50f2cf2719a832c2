package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

func keys(ws []recipe.Warning) (ks []string) {
	for _, w := range ws {
		ks = append(ks, w.Key)
	}
	return ks
}

// 100 g of copperas in 500 mL is 200 g/L, of which 5 mL hold the 20 mg of iron
// a kilogram that make a child of 10 kg ill (McGuigan 1996; Bateman 2003).
func TestIronLiquorFromCopperasAndWater(t *testing.T) {
	t.Parallel()
	m, err := stock.Make(liquor, mL(500), []stock.Given{{bag(1, copperas, g(1000), g(0)), g(100)}}, false)
	taken(t, err)
	if m.Parcel.Concentration.String() != "200 g/L" || m.Parcel.StrengthUnknown {
		t.Errorf("made at %s", m.Parcel.Concentration)
	}
	if diff := cmp.Diff([]string{"sheet-first", "iron-dose", "iron-swallow", "iron-dry", "iron-call", "iron-dogs", "iron-store", "iron-bottle"}, keys(m.Warnings)); diff != "" {
		t.Error(diff)
	}
	if w := m.Warnings[2]; w.Text != "5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child" || w.Source.Cite != "McGuigan 1996; Bateman 2003" {
		t.Errorf("%+v", w)
	}
	move := m.Movement(9)
	want := []stock.Leg{{1, stock.Shelf, stock.InMaking, g(100)}, {9, stock.InMaking, stock.Shelf, mL(500)}}
	if diff := cmp.Diff(want, move.Legs); diff != "" || move.MadeParcelID != 9 {
		t.Errorf("%+v %s", move, diff)
	}
}

func TestStrengthOfASolutionCountsPurityAndDilution(t *testing.T) {
	t.Parallel()
	weak := bag(1, copperas, g(1000), g(0))
	weak.Strength = quantity.WholePercent(95)
	m, err := stock.Make(liquor, mL(500), []stock.Given{{weak, g(100)}}, false)
	taken(t, err)
	if m.Parcel.Concentration.String() != "190 g/L" {
		t.Errorf("95 %% copperas makes %s", m.Parcel.Concentration)
	}
	strong := bag(2, liquor, mL(500), mL(0))
	strong.Concentration = 200_000
	m, err = stock.Make(liquor, mL(400), []stock.Given{{strong, mL(100)}, {weak, g(20)}}, false)
	taken(t, err)
	if m.Parcel.Concentration.String() != "97.5 g/L" { // (20 g + 19 g) in 0.4 L
		t.Errorf("dilution topped up makes %s", m.Parcel.Concentration)
	}
}

func TestALiquorOfUnknownStrengthStaysUnknown(t *testing.T) {
	t.Parallel()
	scrap := liquor
	scrap.Substance = "vinegar-and-scrap iron liquor"
	vinegar := stock.Item{ID: 8, Code: "vinegar", Kind: stock.Auxiliary, Unit: quantity.Volume, Substance: "vinegar"}
	m, err := stock.Make(scrap, mL(900), []stock.Given{{bag(1, vinegar, mL(1000), mL(0)), mL(1000)}}, false)
	taken(t, err)
	if diff := cmp.Diff([]string{"strength-unknown", "sheet-first", "iron-dose", "iron-call", "iron-dogs", "iron-store", "iron-bottle", "liquor-unknown", "liquor-hydrogen", "liquor-cap"}, keys(m.Warnings)); diff != "" || !m.Parcel.StrengthUnknown {
		t.Error(diff)
	}
	jar := bag(2, scrap, mL(900), mL(0))
	jar.Item.ID, jar.StrengthUnknown = 4, true
	thin := scrap
	thin.Substance = "copperas"
	_, err = stock.Make(thin, mL(900), []stock.Given{{jar, mL(100)}}, false)
	refused(t, err, "NO_SOLUTE")
	m, err = stock.Make(scrap, mL(900), []stock.Given{{jar, mL(100)}}, false)
	taken(t, err)
	if !m.Parcel.StrengthUnknown || m.Parcel.Concentration != 0 {
		t.Error("a part of unknown strength became known")
	}
	if _, err = stock.Make(scrap, mL(900), nil, true); err != nil {
		t.Errorf("scrap and vinegar that nobody keeps: %v", err)
	}
	if got := jar.ActingMass(mL(40)); got.Unit != 0 {
		t.Errorf("40 mL of an unknown liquor hold %s", got)
	}
	field(t, stock.CheckBought(scrap, 200_000, quantity.Amount{}), "grams_per_litre")
}

// About 115 g/L of potassium alum dissolve at 20 °C, a stock keeps at about 50
// (from memory, not checked against a text: the warning says so).
func TestAlumStockCrystallises(t *testing.T) {
	t.Parallel()
	for grams, want := range map[int64][]string{50: nil, 51: {"crystallises"}, 200: {"crystallises"}} {
		m, err := stock.Make(alumBath, mL(1000), []stock.Given{{bag(1, alum, g(1000), g(0)), g(grams)}}, false)
		taken(t, err)
		if diff := cmp.Diff(want, keys(m.Warnings)); diff != "" {
			t.Errorf("%d g/L: %s", grams, diff)
		}
		for _, w := range m.Warnings {
			if w.Source.Mark != recipe.Memory {
				t.Errorf("%s is marked %s", w.Key, w.Source.Mark)
			}
		}
	}
}

func TestABlendCarriesItsParentsStrength(t *testing.T) {
	t.Parallel()
	first, second := bag(1, weld, g(600), g(0)), bag(2, weld, g(500), g(0))
	first.Strength = quantity.WholePercent(90)
	m, err := stock.Make(weld, g(800), []stock.Given{{first, g(600)}, {second, g(200)}}, false)
	taken(t, err)
	if m.Parcel.Strength.Decimal() != "92.5" || m.Basis != "computed by mass from 600 g of P1 at 90 % and 200 g of P2 at 100 %" {
		t.Errorf("%s: %s", m.Parcel.Strength, m.Basis)
	}
	if diff := cmp.Diff([]string{"sample-the-blend"}, keys(m.Warnings)); diff != "" {
		t.Error(diff)
	}
}

func TestSolidsDoNotGrow(t *testing.T) {
	t.Parallel()
	two := []stock.Given{{bag(1, weld, g(600), g(0)), g(600)}, {bag(2, weld, g(500), g(0)), g(200)}}
	m, err := stock.Make(weld, g(803), two, false)
	taken(t, err)
	if diff := cmp.Diff([]string{"more-than-given", "sample-the-blend"}, keys(m.Warnings)); diff != "" {
		t.Error(diff)
	}
	_, err = stock.Make(weld, g(8000), two, false)
	refused(t, err, "MORE_THAN_GIVEN")
	stack := bag(3, tunic, pc(10), pc(0))
	_, err = stock.Make(tunic, pc(11), []stock.Given{{stack, pc(10)}, {bag(1, alum, g(500), g(0)), g(162)}}, false)
	refused(t, err, "MORE_THAN_GIVEN")
}

// Part-done cloth is a making too: ten tunics, alum'd, wait for their plant.
func TestBlanksThatWaitForTheirPlant(t *testing.T) {
	t.Parallel()
	stack := bag(3, tunic, pc(10), pc(0))
	stack.PieceMass = g(104)
	m, err := stock.Make(tunic, pc(10), []stock.Given{{stack, pc(10)}, {bag(1, alum, g(500), g(0)), g(162)}}, false)
	taken(t, err)
	if m.Parcel.OnePiece() != g(104) {
		t.Errorf("one weighs %s", m.Parcel.OnePiece())
	}
}

func TestAMakingSaysWhatIsOff(t *testing.T) {
	t.Parallel()
	jar := bag(1, copperas, g(100), g(0))
	_, err := stock.Make(liquor, mL(500), nil, false)
	field(t, err, "from")
	_, err = stock.Make(liquor, g(500), []stock.Given{{jar, g(100)}}, false)
	field(t, err, "amount")
	_, err = stock.Make(liquor, mL(500), []stock.Given{{jar, pc(1)}}, false)
	field(t, err, "from[0].amount")
	_, err = stock.Make(liquor, mL(500), []stock.Given{{jar, g(50)}, {jar, g(50)}}, false)
	field(t, err, "from[1].parcel_code")
	_, err = stock.Make(weld, g(500), []stock.Given{{bag(2, weld, g(500), g(0)), g(500)}}, true)
	field(t, err, "strength_unknown")
	_, err = stock.Make(liquor, mL(500), []stock.Given{{bag(2, alum, g(500), g(0)), g(100)}}, false)
	refused(t, err, "NO_SOLUTE")
	_, err = stock.Make(liquor, quantity.Amount{N: 1, Unit: quantity.Volume}, []stock.Given{{jar, g(100)}}, false)
	field(t, err, "amount")
	damp := stock.Parcel{ID: 4, Item: weld, Origin: stock.FromHarvest, OnHand: g(0), Harvest: stock.Harvest{Fresh: g(100)}}
	_, err = stock.Make(weld, g(10), []stock.Given{{damp, g(50)}}, false)
	refused(t, err, "PARCEL_DAMP")
	m, err := stock.Make(liquor, mL(500), []stock.Given{{jar, g(118)}}, false)
	taken(t, err)
	if m.Warnings[0].Key != "found" || stock.Found(m.Legs, 1) != g(18) {
		t.Errorf("118 g from a jar of 100 g: %v", m.Warnings)
	}
}
