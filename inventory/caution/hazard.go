package caution

import (
	"strings"

	"dyelot/inventory/recipe"
)

// Hazard is what one substance is usually labelled with.
type Hazard struct {
	Substance string   // key in recipe.Substances
	Codes     []string // GHS statements; empty where usually none, or where none is kept
	Kept      bool     // false where this table does not know
	Note      string
	Source    recipe.Source
}

// statements are the official short texts of the codes used below, as in Annex
// III of Regulation (EC) No 1272/2008, which takes them from the UN GHS.
var statements = map[string]string{
	"H251":   "Self-heating: may catch fire.",
	"H272":   "May intensify fire; oxidiser.",
	"H290":   "May be corrosive to metals.",
	"H301":   "Toxic if swallowed.",
	"H302":   "Harmful if swallowed.",
	"H312":   "Harmful in contact with skin.",
	"H314":   "Causes severe skin burns and eye damage.",
	"H315":   "Causes skin irritation.",
	"H317":   "May cause an allergic skin reaction.",
	"H318":   "Causes serious eye damage.",
	"H319":   "Causes serious eye irritation.",
	"H330":   "Fatal if inhaled.",
	"H332":   "Harmful if inhaled.",
	"H334":   "May cause allergy or asthma symptoms or breathing difficulties if inhaled.",
	"H335":   "May cause respiratory irritation.",
	"H340":   "May cause genetic defects.",
	"H350":   "May cause cancer.",
	"H360FD": "May damage fertility. May damage the unborn child.",
	"H372":   "Causes damage to organs through prolonged or repeated exposure.",
	"H373":   "May cause damage to organs through prolonged or repeated exposure.",
	"H410":   "Very toxic to aquatic life with long lasting effects.",
	"H412":   "Harmful to aquatic life with long lasting effects.",
	"EUH031": "Contact with acids liberates toxic gas.",
}

// Statement is the official short text of a code, if it is one used here.
func Statement(code string) (text string, ok bool) {
	text, ok = statements[code]
	return text, ok
}

// hazards has one row a substance. Copperas is from published sheets; all else
// is recalled, and every row is confirmed from the sheet in hand.
var hazards = []Hazard{
	codes("potassium-alum", ""),
	codes("ammonium-alum", ""),
	noted("aluminium-sulfate-18", "H318", "on many sheets"),
	noted("aluminium-sulfate-14", "H318", "on many sheets"),
	notKept("aluminium-triacetate"),
	notKept("aluminium-diacetate"),
	notKept("aluminium-monoacetate"),
	notKept("aluminium-triformate"),
	notKept("aluminium-triformate-3"),
	notKept("aluminium-lactate"),
	{"copperas", strings.Fields("H302 H315 H319"), true, "", recipe.Source{Mark: recipe.Published, Cite: "suppliers' safety data sheets"}},
	codes("ferrous-sulfate-1", "H302 H315 H319"),
	notKept("vinegar-iron"),
	codes("copper-sulfate", "H302 H318 H410"),
	codes("stannous-chloride", "H290 H302 H332 H314 H317 H335 H373 H412"),
	codes("stannous-chloride-2", "H290 H302 H332 H314 H317 H335 H373 H412"),
	codes("potassium-dichromate", "H272 H301 H312 H314 H317 H330 H334 H335 H340 H350 H360FD H372 H410"),
	notKept("chrome-alum"),
	codes("soda-ash", "H319"),
	codes("washing-soda", "H319"),
	codes("slaked-lime", "H315 H318 H335"),
	codes("lye", "H290 H314"),
	codes("chalk", ""),
	codes("cream-of-tartar", ""),
	codes("oxalic-acid", "H302 H312 H318"),
	codes("citric-acid", "H319"),
	noted("vinegar", "", "at kitchen strength; stronger acetic acid burns"),
	codes("sodium-dithionite", "H251 H302 EUH031"),
	codes("fructose", ""),
	notKept("oak-gall"),
	notKept("myrobalan"),
	notKept("soap"),
}

func codes(key, of string) Hazard       { return noted(key, of, "") }
func noted(key, of, note string) Hazard { return Hazard{key, strings.Fields(of), true, note, recalled} }
func notKept(key string) Hazard         { return Hazard{Substance: key, Source: recalled} }

// Hazards lists the table in the order of recipe.Substances.
func Hazards() []Hazard { return append([]Hazard(nil), hazards...) }

// HazardOf finds the row of a substance by name or formula; ok is false where
// there is none, which never means that there is no hazard.
func HazardOf(nameOrFormula string) (h Hazard, ok bool) {
	s, err := recipe.Lookup(nameOrFormula)
	if err != nil {
		return Hazard{}, false
	}
	for _, h := range hazards {
		if h.Substance == s.Key {
			return h, true
		}
	}
	return Hazard{}, false
}

var confirm = Caution{"confirm-sheet", "Confirm each statement from the supplier's sheet in hand, and keep its date.", practice}

// hazards are the statement lines of what a stage holds, and behind them the
// reminder to confirm.
func (in present) hazards() []Caution {
	var said []Caution
	for _, s := range in.known {
		said = append(said, oldRecords(s)...)
		if h, ok := HazardOf(s.Key); ok {
			said = append(said, h.lines(s.Name)...)
		}
	}
	for _, s := range in.others {
		said = append(said, oldRecords(s)...)
		said = append(said, nothingKept(s.Name))
	}
	for _, name := range in.unknown {
		said = append(said, nothingKept(name))
	}
	if len(said) > 0 {
		said = append(said, confirm)
	}
	return said
}

func (h Hazard) lines(name string) []Caution {
	note := ""
	if h.Note != "" {
		note = " (" + h.Note + ")"
	}
	switch {
	case !h.Kept:
		return []Caution{nothingKept(name)}
	case len(h.Codes) == 0:
		return []Caution{{"hazard-" + h.Substance, capital(name) + ": usually no hazard statement" + note + ".", h.Source}}
	}
	var said []Caution
	for _, code := range h.Codes {
		said = append(said, Caution{"hazard-" + h.Substance + "-" + code, capital(name) + ", " + code + note + ": " + statements[code], h.Source})
	}
	return said
}

func nothingKept(name string) Caution {
	return Caution{"hazard-unknown-" + name, capital(name) + ": no hazard statement is kept here. Read the supplier's sheet.", practice}
}

func oldRecords(s recipe.Substance) []Caution {
	if !s.OldRecordsOnly() {
		return nil
	}
	return []Caution{{"old-records-" + s.Name, capital(s.Name) + ": only to read old records. Never in a new recipe.", practice}}
}
