package caution_test

import (
	"strings"
	"testing"

	"dyelot/inventory/caution"
	"dyelot/inventory/recipe"
)

// Annex III of Regulation (EC) No 1272/2008 (UN GHS hazard statements), as read
// in public lists of it; H360FD and H372 as they are printed on sheets.
const annexIII = `
H251 Self-heating: may catch fire.
H272 May intensify fire; oxidiser.
H290 May be corrosive to metals.
H301 Toxic if swallowed.
H302 Harmful if swallowed.
H312 Harmful in contact with skin.
H314 Causes severe skin burns and eye damage.
H315 Causes skin irritation.
H317 May cause an allergic skin reaction.
H318 Causes serious eye damage.
H319 Causes serious eye irritation.
H330 Fatal if inhaled.
H332 Harmful if inhaled.
H334 May cause allergy or asthma symptoms or breathing difficulties if inhaled.
H335 May cause respiratory irritation.
H340 May cause genetic defects.
H350 May cause cancer.
H360FD May damage fertility. May damage the unborn child.
H372 Causes damage to organs through prolonged or repeated exposure.
H373 May cause damage to organs through prolonged or repeated exposure.
H410 Very toxic to aquatic life with long lasting effects.
H412 Harmful to aquatic life with long lasting effects.
EUH031 Contact with acids liberates toxic gas.`

func TestStatementsAreTheOfficialTexts(t *testing.T) {
	t.Parallel()
	official := map[string]string{}
	for line := range strings.Lines(strings.TrimSpace(annexIII) + "\n") {
		code, text, _ := strings.Cut(strings.TrimSpace(line), " ")
		official[code] = text
	}
	for _, h := range caution.Hazards() {
		for _, code := range h.Codes {
			if text, ok := caution.Statement(code); !ok || text != official[code] {
				t.Errorf("%s, %s: %q, official is %q", h.Substance, code, text, official[code])
			}
		}
	}
	if _, ok := caution.Statement("H999"); ok {
		t.Error("H999 has a text")
	}
}

// One row for every substance, in its order: what is not known says so.
func TestEverySubstanceHasAHazardRow(t *testing.T) {
	t.Parallel()
	rows := caution.Hazards()
	substances := recipe.Substances()
	if len(rows) != len(substances) {
		t.Fatalf("%d rows for %d substances", len(rows), len(substances))
	}
	for i, s := range substances {
		if rows[i].Substance != s.Key {
			t.Errorf("row %d is %s, the substance is %s", i, rows[i].Substance, s.Key)
		}
		if h := rows[i]; h.Source.Mark == "" || !h.Kept && len(h.Codes) > 0 {
			t.Errorf("a row with a gap: %+v", h)
		}
		if h, ok := caution.HazardOf(s.Name); !ok || h.Substance != s.Key {
			t.Errorf("%s finds %+v", s.Name, h)
		}
	}
	for _, name := range []string{"bog myrtle", "ZnSO4·7H2O", ""} {
		if h, ok := caution.HazardOf(name); ok {
			t.Errorf("%s finds %+v", name, h)
		}
	}
}

// The trade's hazard list. Copperas is published there; the rest is from
// memory, and marked so here too.
func TestHazardsTheTradeLists(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"FeSO4·7H2O":        "H302 H315 H319 [S]",
		"potassium alum":    "[M]",
		"Al2(SO4)3·18H2O":   "H318 [M]",
		"CuSO4·5H2O":        "H302 H318 H410 [M]",
		"oxalic acid":       "H302 H312 H318 [M]",
		"Na2CO3":            "H319 [M]",
		"Ca(OH)2":           "H315 H318 H335 [M]",
		"sodium dithionite": "H251 H302 EUH031 [M]",
	} {
		h, ok := caution.HazardOf(name)
		if got := strings.TrimSpace(strings.Join(h.Codes, " ") + " [" + string(h.Source.Mark) + "]"); !ok || !h.Kept || got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
