package recipe_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// kinds are those a recipe is checked with here: of package lot's table, which
// this package may not import, the ones that differ in what they have.
func kinds(key string) (recipe.StageKind, error) {
	table := map[string]recipe.StageKind{
		"scour": {Bath: true, Doses: true}, "tannin": {Bath: true, Doses: true}, "mordant": {Bath: true, Doses: true},
		"chalk-bath": {Bath: true, Doses: true}, "wet-out": {Bath: true}, "brew": {Bath: true, Doses: true, Brews: true},
		"dye": {Bath: true, Doses: true, Dyes: true}, "vat-dip": {Bath: true, Doses: true, Dyes: true},
		"after-dip": {Bath: true, Doses: true}, "dry": {}, "press": {},
	}
	k, known := table[key]
	if !known {
		return k, fault.BadField("kind", "%q is not a stage", key)
	}
	k.Key, k.Name = key, strings.ReplaceAll(key, "-", " ")
	return k, nil
}

func stageOf(kind string, doses ...recipe.Line) recipe.Stage {
	return recipe.Stage{Kind: kind, Doses: doses}
}

// dose is "code kind unit substance|plant basis value", the shelf's words.
func dose(t testing.TB, code string, kind recipe.Kind, unit quantity.Unit, substance, plant, basis, value string) recipe.Line {
	t.Helper()
	ask, err := recipe.ParseAsk(basis, value)
	if err != nil {
		t.Fatal(err)
	}
	return recipe.Line{ItemCode: code, ItemName: code, ItemKind: kind, Unit: unit, Substance: substance, Plant: plant, Ask: ask}
}

func alum(t testing.TB, wof string) recipe.Line {
	t.Helper()
	return dose(t, "alum", recipe.Mordant, quantity.Mass, "potassium alum", "", "percent_wof", wof)
}

func weld(t testing.TB, wof string) recipe.Line {
	t.Helper()
	return dose(t, "weld-dry", recipe.Dyestuff, quantity.Mass, "", "weld", "percent_wof", wof)
}

func liquor(t testing.TB, basis, value string) recipe.Line {
	t.Helper()
	return dose(t, "iron-liquor", recipe.Solution, quantity.Volume, "copperas", "", basis, value)
}

func numbered(fibre string, stages ...recipe.Stage) recipe.Recipe {
	for i := range stages {
		stages[i].Position = i + 1
	}
	return recipe.Recipe{Code: "r", Name: "r", Fibre: fibre, Ratio: 40_000, Stages: stages}
}

// The choir's tunics: alum 15 %, weld 60 % brewed and shared, copperas 1 % from
// a liquor, on silk at 1 : 40, all within the trade's lines.
func choir(t testing.TB) recipe.Recipe {
	t.Helper()
	mordant, brew, after := stageOf("mordant", alum(t, "15")), stageOf("brew", weld(t, "60")), stageOf("after-dip", liquor(t, "percent_wof", "1"))
	mordant.Celsius, brew.Celsius, after.Celsius = 60, 95, 45
	bath := stageOf("dye")
	bath.Celsius = 80
	return numbered("silk", mordant, brew, bath, after, stageOf("dry"))
}

func TestTheChoirsRecipeWarnsOfNothing(t *testing.T) {
	t.Parallel()
	said, err := choir(t).Check(kinds)
	if err != nil || len(said) != 0 {
		t.Errorf("%v, %v", said, err)
	}
}

func TestRecipesThatCannotBeWritten(t *testing.T) {
	t.Parallel()
	many := make([]recipe.Stage, 61)
	for i := range many {
		many[i] = stageOf("dry")
	}
	low, high := recipe.PH(950), recipe.PH(900)
	galls := dose(t, "galls", recipe.Auxiliary, quantity.Count, "oak gall", "", "percent_wof", "8")
	for name, c := range map[string]struct {
		r           recipe.Recipe
		field, says string
	}{
		"no stage":           {numbered("silk"), "stages", "1 to 60 stages"},
		"61 stages":          {numbered("silk", many...), "stages", "not 61"},
		"unknown fibre":      {numbered("nettle silk", stageOf("dry")), "fibre", "no fibre known"},
		"unknown kind":       {numbered("silk", stageOf("simmer")), "stages[0].kind", "simmer"},
		"no ratio":           {edit(choir(t), func(r *recipe.Recipe) { r.Ratio = 0 }), "liquor_ratio", "no bath"},
		"position":           {edit(choir(t), func(r *recipe.Recipe) { r.Stages[1].Position = 3 }), "stages[1].position", "3 stands where 2 is next"},
		"doses in a rest":    {numbered("silk", stageOf("dry", alum(t, "15"))), "stages[0].doses", "nothing is dosed in dry"},
		"doses in a wet-out": {numbered("silk", stageOf("wet-out", alum(t, "15"))), "stages[0].doses", "nothing is dosed"},
		"too hot to be true": {edit(choir(t), func(r *recipe.Recipe) { r.Stages[2].Celsius = 106 }), "stages[2].celsius", "no open pot"},
		"below freezing":     {edit(choir(t), func(r *recipe.Recipe) { r.Stages[2].Celsius = -1 }), "stages[2].celsius", "believed"},
		"more than a year":   {edit(choir(t), func(r *recipe.Recipe) { r.Stages[4].Minutes = 527_041 }), "stages[4].minutes", "a year"},
		"ratio of a rest":    {edit(choir(t), func(r *recipe.Recipe) { r.Stages[4].Ratio = 40_000 }), "stages[4].liquor_ratio", "no liquor"},
		"ratio of nothing":   {edit(choir(t), func(r *recipe.Recipe) { r.Stages[2].Ratio = 999 }), "stages[2].liquor_ratio", "no bath"},
		"pH of a rest":       {edit(choir(t), func(r *recipe.Recipe) { r.Stages[4].PHHigh = &high }), "stages[4].ph_low", "no liquor"},
		"pH upside down":     {edit(choir(t), func(r *recipe.Recipe) { r.Stages[2].PHLow, r.Stages[2].PHHigh = &low, &high }), "stages[2].ph_low", "above the upper limit"},
		"twice in a stage":   {numbered("silk", stageOf("mordant", alum(t, "8"), alum(t, "7"))), "stages[0].doses[1].item_code", "already"},
		"a blank":            {numbered("silk", stageOf("dye", dose(t, "tunic", "blank", quantity.Count, "", "", "pieces_per_kg", "1"))), "stages[0].doses[0].item_code", "is a blank"},
		"0 %":                {numbered("silk", stageOf("mordant", edited(alum(t, "15"), func(l *recipe.Line) { l.Ask.Percent = 0 }))), "stages[0].doses[0].value", "more than 0"},
		"alum above 200 %":   {numbered("silk", stageOf("mordant", alum(t, "200.0001"))), "stages[0].doses[0].value", "200 %"},
		"weld above 5000 %":  {numbered("silk", stageOf("brew", weld(t, "5000.1")), stageOf("dye")), "stages[0].doses[0].value", "5000 %"},
		"a bath of 204 %":    {numbered("silk", stageOf("mordant", dose(t, "alum", recipe.Mordant, quantity.Mass, "alum", "", "grams_per_litre", "51"))), "stages[0].doses[0].value", "51 g/L at 1 : 40 is 204 % WOF"},
		"mL of a powder":     {numbered("silk", stageOf("mordant", dose(t, "alum", recipe.Mordant, quantity.Mass, "alum", "", "ml_per_kg", "40"))), "stages[0].doses[0].basis", "for liquors"},
		"pieces of a powder": {numbered("silk", stageOf("mordant", dose(t, "alum", recipe.Mordant, quantity.Mass, "alum", "", "pieces_per_kg", "4"))), "stages[0].doses[0].basis", "for what is counted"},
		"% of pieces":        {numbered("cotton", stageOf("tannin", galls)), "stages[0].doses[0].basis", "pieces to a kilogram"},
		"more than the bath": {numbered("silk", stageOf("after-dip", liquor(t, "ml_per_kg", "40000.1"))), "stages[0].doses[0].value", "more than the whole bath"},
		"% of vinegar iron":  {numbered("linen", stageOf("after-dip", dose(t, "rust-water", recipe.Solution, quantity.Volume, "vinegar iron", "", "percent_wof", "1"))), "stages[0].doses[0].basis", "unknown strength"},
		"an unknown basis":   {numbered("silk", stageOf("mordant", edited(alum(t, "15"), func(l *recipe.Line) { l.Ask.Basis = "spoons" }))), "stages[0].doses[0].basis", "no basis"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := c.r.Check(kinds)
			refused(t, err, fault.Invalid, c.field, c.says)
			if said := c.r.Warnings(kinds); said != nil {
				t.Errorf("what is refused is read with warnings: %v", said)
			}
		})
	}
}

// K2Cr2O7 and SnCl2 only to read old records, never in a new recipe: trade.md.
func TestChromeAndTinStandInNoNewRecipe(t *testing.T) {
	t.Parallel()
	for _, salt := range []string{"K2Cr2O7", "SnCl2", "chrome alum", "tin crystals"} {
		r := numbered("wool", stageOf("mordant", dose(t, "old", recipe.Mordant, quantity.Mass, salt, "", "percent_wof", "2")))
		_, err := r.Check(kinds)
		refused(t, err, fault.Refused, "stages[0].doses[0]", "old records")
	}
	copper := numbered("wool", stageOf("mordant", dose(t, "blue", recipe.Mordant, quantity.Mass, "CuSO4·5H2O", "", "percent_wof", "2")))
	said, err := copper.Check(kinds)
	if err != nil || len(said) != 1 || said[0].Key != "copper-waste" {
		t.Errorf("copper is dosed with its caution: %v, %v", said, err)
	}
}

func edit(r recipe.Recipe, how func(*recipe.Recipe)) recipe.Recipe {
	how(&r)
	return r
}

func edited(l recipe.Line, how func(*recipe.Line)) recipe.Line {
	how(&l)
	return l
}

// The lines are those of trade.md, "Ranges to seed", by their marks there.
func TestWhatARecipeWarnsOf(t *testing.T) {
	t.Parallel()
	vat := stageOf("vat-dip", dose(t, "woad", recipe.Dyestuff, quantity.Mass, "", "woad", "percent_wof", "10"))
	ph := recipe.PH(1100)
	vat.PHHigh = &ph
	soda := dose(t, "soda", recipe.Auxiliary, quantity.Mass, "soda ash", "", "percent_wof", "2")
	madder := dose(t, "madder-root", recipe.Dyestuff, quantity.Mass, "", "madder", "percent_wof", "50")
	pot := func(celsius int) recipe.Stage { s := stageOf("dye"); s.Celsius = celsius; return s }
	gall := dose(t, "gall", recipe.Auxiliary, quantity.Mass, "oak gall", "oak gall", "percent_wof", "8")
	rust := dose(t, "rust-water", recipe.Solution, quantity.Volume, "vinegar iron", "", "ml_per_kg", "40")
	for name, c := range map[string]struct {
		r    recipe.Recipe
		want []string
		says string
	}{
		"copperas twice, 2.5 % on silk":     {numbered("silk", stageOf("after-dip", liquor(t, "percent_wof", "1")), stageOf("after-dip", liquor(t, "percent_wof", "1.5"))), []string{"iron-over"}, "2.5 %"},
		"copperas 2 % on silk, on the line": {numbered("silk", stageOf("after-dip", liquor(t, "percent_wof", "2"))), nil, ""},
		"copperas 3 % on wool, on the line": {numbered("wool", stageOf("after-dip", liquor(t, "percent_wof", "3"))), nil, ""},
		"copperas in g/L counts too":        {numbered("silk", stageOf("after-dip", liquor(t, "grams_per_litre", "0.6"))), []string{"iron-over"}, "2.4 %"},
		"millilitres of a liquor":           {numbered("silk", stageOf("after-dip", rust)), []string{"iron-unknown"}, "at least 0 % + unknown"},
		"soda on wool":                      {numbered("wool", stageOf("scour", soda)), []string{"alkali-on-protein"}, "stage 1, scour: soda ash on wool"},
		"soda on cotton":                    {numbered("cotton", stageOf("scour", soda)), nil, ""},
		"polyester":                         {numbered("polyester", stageOf("dry"), stageOf("press")), []string{"will-not-take"}, ""},
		"68 % alum":                         {numbered("wool", stageOf("mordant", alum(t, "68"))), []string{"dose-unusual"}, "68 %"},
		"17 g/L alum at 1 : 40":             {numbered("wool", stageOf("mordant", dose(t, "alum", recipe.Mordant, quantity.Mass, "alum", "", "grams_per_litre", "17"))), []string{"dose-unusual"}, "68 %"},
		"alum on silk at 80":                {numbered("silk", edStage(stageOf("mordant", alum(t, "15")), 80)), []string{"too-hot"}, "60 °C"},
		"madder boiled in its own pot":      {numbered("wool", edStage(stageOf("dye", madder), 90)), []string{"too-hot"}, "70 °C for madder"},
		"madder brewed, then boiled":        {numbered("wool", edStage(stageOf("brew", madder), 65), pot(90)), []string{"too-hot"}, "stage 2, dye: 90 °C is above 70 °C for madder"},
		"silk at 85":                        {numbered("silk", pot(85)), []string{"too-hot"}, "80 °C for silk"},
		"weld brewed at 95 for silk":        {numbered("silk", edStage(stageOf("brew", weld(t, "60")), 95), pot(80)), nil, ""},
		"a brew for nobody":                 {numbered("silk", pot(80), stageOf("brew", weld(t, "60"))), []string{"brew-unused"}, "stage 2, brew"},
		"a brew before a vat":               {numbered("cotton", stageOf("brew", weld(t, "60")), stageOf("wet-out"), vat), nil, ""},
		"a vat at 11 on wool":               {numbered("wool", vat), []string{"vat-ph"}, "pH 9 to 9.5"},
		"turmeric":                          {numbered("wool", stageOf("dye", dose(t, "turmeric", recipe.Dyestuff, quantity.Mass, "", "turmeric", "percent_wof", "20"))), []string{"fugitive"}, ""},
		"iron on tannin under weld":         {numbered("cotton", stageOf("tannin", gall), stageOf("dye", weld(t, "60")), stageOf("after-dip", liquor(t, "percent_wof", "1"))), []string{"greyer-with-iron"}, ""},
		"a plant that no table has":         {numbered("wool", stageOf("dye", dose(t, "bog-myrtle", recipe.Dyestuff, quantity.Mass, "", "bog myrtle", "percent_wof", "100"))), nil, ""},
		"a bath of 1 : 10":                  {edit(choir(t), func(r *recipe.Recipe) { r.Ratio = 10_000 }), []string{"ratio-unusual"}, "1 : 20 to 1 : 40"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			said, err := c.r.Check(kinds)
			var keys []string
			var texts strings.Builder
			for _, w := range said {
				keys = append(keys, w.Key)
				fmt.Fprintln(&texts, w.Text)
			}
			if diff := cmp.Diff(c.want, keys); err != nil || diff != "" || !strings.Contains(texts.String(), c.says) {
				t.Errorf("%v\n%s%s", err, texts.String(), diff)
			}
			if diff := cmp.Diff(said, c.r.Warnings(kinds)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func edStage(s recipe.Stage, celsius int) recipe.Stage {
	s.Celsius = celsius
	return s
}

// What the books keep of a line is the line.
func TestALineSurvivesTheBooks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(recipe.Bases()).Draw(t, "basis")
		a := recipe.AskFrom(b, rapid.Int64Range(1, 10_000_000).Draw(t, "steps"))
		again, err := recipe.ParseAsk(string(b), a.Value())
		if err != nil || again != a || again.Steps() != a.Steps() {
			t.Fatalf("%+v came back as %+v, %v", a, again, err)
		}
	})
}

// 5 g/L at 1 : 40 is 20 % WOF: on 1 kg, 40 L hold 200 g. By hand.
func TestABathsDoseImpliesWOF(t *testing.T) {
	t.Parallel()
	a, err := recipe.ParseAsk("grams_per_litre", "5")
	if err != nil {
		t.Fatal(err)
	}
	if p := a.Implied(40_000); *p != pc(t, "20") {
		t.Error(p)
	}
	r := choir(t)
	if r.RatioOf(recipe.Stage{Ratio: 20_000}) != 20_000 || r.RatioOf(recipe.Stage{}) != 40_000 {
		t.Error("a stage's own ratio goes before the recipe's")
	}
	a, _ = recipe.ParseAsk("ml_per_kg", "40")
	if a.Implied(40_000) != nil {
		t.Error("no % WOF is computed from a volume")
	}
}
