package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func silk(parts ...stock.FibrePart) stock.Item {
	if parts == nil {
		parts = []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}
	}
	return stock.Item{Code: "tunic-silk-m", Kind: stock.Blank, PieceMass: g(105), Fibres: parts}
}

// What follows from the kind: blanks in pieces, solutions in millilitres, the
// rest in grams; 0.1 g, 1 g for a dyestuff, 1 mL, 1 piece (the contract).
func TestAnItemIsCountedAndMeasuredByItsKind(t *testing.T) {
	t.Parallel()
	witness := silk()
	witness.Code, witness.Kind, witness.PieceMass = "witness", stock.WitnessCloth, quantity.Amount{}
	for _, c := range []struct {
		item stock.Item
		unit quantity.Unit
		step quantity.Amount
	}{
		{stock.Item{Code: "alum", Kind: stock.Mordant}, quantity.Mass, tenths(1)},
		{stock.Item{Code: "weld", Kind: stock.Dyestuff}, quantity.Mass, g(1)},
		{stock.Item{Code: "soap", Kind: stock.Auxiliary}, quantity.Mass, tenths(1)},
		{stock.Item{Code: "vinegar", Kind: stock.Auxiliary, Unit: quantity.Volume}, quantity.Volume, mL(1)},
		{stock.Item{Code: "liquor", Kind: stock.Solution}, quantity.Volume, mL(1)},
		{silk(), quantity.Count, pc(1)},
		{witness, quantity.Mass, tenths(1)},
	} {
		got, _, err := c.item.Check()
		taken(t, err)
		if got.Unit != c.unit || got.Resolution != c.step {
			t.Errorf("%s: counted in %s by %s, want %s by %s", c.item.Code, got.Unit.Name(), got.Resolution, c.unit.Name(), c.step)
		}
	}
}

func TestABadItemIsRefusedByField(t *testing.T) {
	t.Parallel()
	half := quantity.WholePercent(50)
	for name, c := range map[string]struct {
		item  stock.Item
		field string
	}{
		"kind":          {stock.Item{Code: "x", Kind: "spice"}, "kind"},
		"capitals":      {stock.Item{Code: "Alum", Kind: stock.Mordant}, "code"},
		"hyphen last":   {stock.Item{Code: "alum-", Kind: stock.Mordant}, "code"},
		"no code":       {stock.Item{Kind: stock.Mordant}, "code"},
		"pieces":        {stock.Item{Code: "alum", Kind: stock.Mordant, Unit: quantity.Count}, "unit"},
		"grams":         {stock.Item{Code: "t", Kind: stock.Blank, Unit: quantity.Mass}, "unit"},
		"no piece":      {stock.Item{Code: "t", Kind: stock.Blank, Fibres: silk().Fibres}, "piece_mass"},
		"piece in mL":   {stock.Item{Code: "t", Kind: stock.Blank, Fibres: silk().Fibres, PieceMass: mL(3)}, "piece_mass"},
		"no fibres":     {stock.Item{Code: "t", Kind: stock.Blank, PieceMass: g(100)}, "fibres"},
		"dragon":        {silk(stock.FibrePart{Fibre: "dragon", Percent: half}), "fibres[0].fibre"},
		"half":          {silk(stock.FibrePart{Fibre: "silk", Percent: half}), "fibres"},
		"twice":         {silk(stock.FibrePart{Fibre: "wool", Percent: half}, stock.FibrePart{Fibre: "merino", Percent: half}), "fibres[1].fibre"},
		"negative":      {silk(stock.FibrePart{Fibre: "wool", Percent: 150}, stock.FibrePart{Fibre: "silk", Percent: -50}), "fibres[1].percent"},
		"fibred alum":   {stock.Item{Code: "alum", Kind: stock.Mordant, Fibres: silk().Fibres}, "fibres"},
		"plant of alum": {stock.Item{Code: "alum", Kind: stock.Mordant, Plant: "weld"}, "plant"},
		"two salts":     {stock.Item{Code: "ac", Kind: stock.Mordant, Substance: "aluminium acetate"}, "substance"},
		"no salt":       {stock.Item{Code: "ac", Kind: stock.Mordant, Substance: "stardust"}, "substance"},
		"family":        {stock.Item{Code: "w", Kind: stock.Dyestuff, DyeFamily: "sunny"}, "dye_family"},
		"resolution":    {stock.Item{Code: "w", Kind: stock.Dyestuff, Resolution: mL(1)}, "resolution"},
		"minimum":       {stock.Item{Code: "w", Kind: stock.Dyestuff, Terms: stock.Terms{Minimum: pc(1)}}, "reorder.minimum"},
		"pack":          {stock.Item{Code: "w", Kind: stock.Dyestuff, Terms: stock.Terms{Pack: g(-1)}}, "reorder.pack"},
		"lead":          {stock.Item{Code: "w", Kind: stock.Dyestuff, Terms: stock.Terms{LeadDays: -1}}, "reorder.lead_days"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, _, err := c.item.Check()
			field(t, err, c.field)
		})
	}
}

func TestPolyesterWarnsThatItWillNotTake(t *testing.T) {
	t.Parallel()
	_, warnings, err := silk(stock.FibrePart{Fibre: "cotton", Percent: quantity.WholePercent(95)}, stock.FibrePart{Fibre: "Spandex", Percent: quantity.WholePercent(5)}).Check()
	taken(t, err)
	if len(warnings) != 1 || warnings[0].Key != "will-not-take" {
		t.Errorf("elastane at 5 %%: %v", warnings)
	}
	if _, warnings, _ = silk().Check(); len(warnings) != 0 {
		t.Errorf("silk warns: %v", warnings)
	}
}

func TestNamesComeFromTheTables(t *testing.T) {
	t.Parallel()
	got, _, err := stock.Item{Code: "iron", Kind: stock.Mordant, Substance: "FeSO4.7H2O"}.Check()
	taken(t, err)
	if got.Substance != "copperas" {
		t.Errorf("FeSO4·7H2O is kept as %q", got.Substance)
	}
	got, _, err = stock.Item{Code: "w", Name: "  wild   weld ", Kind: stock.Dyestuff, Plant: "weld"}.Check()
	taken(t, err)
	if diff := cmp.Diff([]string{"wild weld", "flavonoid"}, []string{got.Name, got.DyeFamily}); diff != "" {
		t.Error(diff)
	}
}
