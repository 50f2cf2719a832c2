package recipe_test

import (
	"strings"
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
)

func TestEveryDyeHasAFamilyAndIsFound(t *testing.T) {
	t.Parallel()
	named := map[string]bool{}
	for _, d := range recipe.Dyes() {
		f, ok := d.FamilyOf()
		if !ok {
			t.Errorf("%s is of no family", d.Key)
		}
		named[f.Key] = true
		for _, name := range append([]string{strings.ToUpper(d.Key)}, d.Also...) {
			if got, ok := recipe.DyeOf(name); !ok || got.Key != d.Key {
				t.Errorf("%q finds %q", name, got.Key)
			}
		}
		if len(d.Studies()) < 2 {
			t.Errorf("%s has no study that speaks of nearly all dyes", d.Key)
		}
		for _, s := range d.Studies() {
			if s.Source.Mark != recipe.Published || s.Source.Cite == "" || s.Found == "" {
				t.Errorf("%s: a study without a source: %+v", d.Key, s)
			}
		}
	}
	for _, f := range recipe.Families() {
		if !named[f.Key] || f.Colour == "" || f.Iron == "" || f.Source.Mark == "" {
			t.Errorf("the family %+v has no plant, or a gap", f)
		}
	}
	if _, ok := recipe.DyeOf("bog myrtle"); ok {
		t.Error("a plant that is in no table was known")
	}
}

// The trade's list of chemistries: what iron does, and which are fugitive.
func TestWhatIronDoesToEachChemistry(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]struct {
		family, iron string
		fugitive     bool
	}{
		"weld": {"flavonoid", "olive", false}, "alder bark": {"tannin", "black", false}, "walnut hull": {"naphthoquinone", "", false}, "walnut leaf": {"tannin", "grey", false},
		"woad": {"indigoid", "", false}, "red cabbage": {"anthocyanin", "", true}, "turmeric": {"curcuminoid", "", true}, "madder": {"anthraquinone", "", false},
	} {
		d, _ := recipe.DyeOf(name)
		f, _ := d.FamilyOf()
		if f.Key != want.family || !strings.Contains(f.Iron, want.iron) || f.Fugitive != want.fugitive {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

func TestStudiesSpeakOfTheRightPlants(t *testing.T) {
	t.Parallel()
	cites := func(name string) string {
		d, _ := recipe.DyeOf(name)
		all := ""
		for _, s := range d.Studies() {
			all += s.Source.Cite + "; "
		}
		return all
	}
	if c := cites("madder"); !strings.Contains(c, "Kirby") || strings.Contains(c, "Crews") {
		t.Error("madder:", c)
	}
	if c := cites("turmeric"); strings.Count(c, "Crews") != 2 {
		t.Error("turmeric:", c)
	}
	if c := cites("alder bark"); c != "Padfield & Landi 1966; Guérin, Tse & Dignard 2023; " {
		t.Error("alder:", c)
	}
}

// 14.6 kg of fresh weld that dries to 2.70 kg is 5.41 : 1, the trade's number.
func TestOwnFreshToDryRatio(t *testing.T) {
	t.Parallel()
	r, err := recipe.DriedDown(amount(t, "14.6 kg"), amount(t, "2.70 kg"))
	if err != nil || r.String() != "5.41 : 1" {
		t.Error(r, err)
	}
	if fresh := r.Fresh(amount(t, "2.70 kg")); fresh.Sub(amount(t, "14.6 kg")).N > 2e6 || fresh.Sub(amount(t, "14.6 kg")).N < -2e6 {
		t.Error("fresh for 2.70 kg:", fresh)
	}
	if a := r.Fresh(amount(t, "3 mL")); a.Unit != 0 {
		t.Error("a volume dried:", a)
	}
	for _, c := range []struct{ fresh, dry, field string }{
		{"2.7 kg", "14.6 kg", "dry"}, {"2.7 kg", "2.7 kg", "dry"}, {"0 g", "1 g", "fresh"}, {"1 kg", "0 g", "dry"}, {"1 L", "1 g", "fresh"}, {"1 kg", "1 mL", "dry"}, {"1 kg", "1 g", "dry"},
	} {
		_, err := recipe.DriedDown(amount(t, c.fresh), amount(t, c.dry))
		refused(t, err, fault.Invalid, c.field, "")
	}
}

// Fresh : dry of the trade's table, from memory there: leaves 4–6, flowers
// 5–8, roots 3–4, barks and hulls 2–3. The ends do not warn.
func TestADampBagIsNoticed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		part  recipe.Part
		ratio recipe.FreshDry
		key   string
	}{
		{recipe.Leaf, 4000, ""}, {recipe.Leaf, 6000, ""}, {recipe.Leaf, 3999, "still-damp"}, {recipe.Leaf, 6001, "dried-far"}, {recipe.Leaf, 5407, ""},
		{recipe.Flower, 4999, "still-damp"}, {recipe.Root, 2999, "still-damp"}, {recipe.Bark, 3001, "dried-far"}, {0, 1500, ""},
	} {
		w := recipe.CheckDrying(c.part, c.ratio)
		if got := keys(w); got != c.key {
			t.Errorf("%v at %s: %q, want %q", c.part, c.ratio, got, c.key)
		}
	}
}

func keys(ws []recipe.Warning) string {
	var all []string
	for _, w := range ws {
		all = append(all, w.Key)
	}
	return strings.Join(all, " ")
}
