package caution

import (
	"slices"
	"strings"

	"dyelot/inventory/recipe"
)

// Caution is one line of a bench card.
type Caution struct {
	Key    string // stable, for programs: "after-dip-cloth-out"
	Text   string // one plain sentence or two, with its full stops
	Source recipe.Source
}

// General are the cautions of every stage, in the order they are shown, that
// of the safety data sheet first.
func General() []Caution {
	return append([]Caution{sheetFirst}, everywhere...)
}

// Kinds lists the stage kinds, in the order of the work, and behind them the
// activities that are no stage: gather, weigh, spent-bath.
func Kinds() []string {
	var keys []string
	for _, k := range kinds {
		keys = append(keys, k.key)
	}
	return keys
}

// ForStage are the cautions of one stage or activity and of the substances in
// it, named or by formula, in a fixed order whatever order they are named in:
// the safety data sheet; the stage; iron; a liquor of unknown strength; vat
// reductants; plants; hazard statements in the order of recipe.Substances; what
// nothing is known of. unknownLiquor says that an iron liquor of unknown
// strength is poured. An after-dip whose substances are not named is taken for
// one with iron, the usual one.
//
// A kind that is not in Kinds gets the General lines instead of its own, so
// that no card is ever without cautions.
func ForStage(kind string, substances []string, unknownLiquor bool) []Caution {
	in := sortOut(substances)
	unknownLiquor = unknownLiquor || in.has("vinegar-iron")
	iron := in.iron || unknownLiquor || kind == "after-dip" && in.empty()
	said := []Caution{sheetFirst}
	if iron && kind == "after-dip" {
		said = append(said, saddening...)
	}
	if i := slices.IndexFunc(kinds, func(k stageKind) bool { return k.key == kind }); i >= 0 {
		said = append(said, kinds[i].lines...)
	} else {
		said = General()
	}
	if iron {
		said = append(said, ironLines()...)
	}
	if unknownLiquor {
		said = append(said, vinegarLiquor...)
	}
	if in.has("sodium-dithionite") {
		said = append(said, reductant...)
	}
	if in.hulls {
		said = append(said, mouldyHulls)
	}
	return Merge(said, in.hazards())
}

// Merge puts lists one behind another and keeps the first of each key.
func Merge(lists ...[]Caution) []Caution {
	var all []Caution
	seen := map[string]bool{}
	for _, c := range slices.Concat(lists...) {
		if !seen[c.Key] {
			seen[c.Key] = true
			all = append(all, c)
		}
	}
	return all
}

// present is what a stage holds, sorted out.
type present struct {
	known   []recipe.Substance // in the order of recipe.Substances, each once
	others  []recipe.Substance // formulas that have no row
	unknown []string           // names that mean nothing here
	iron    bool
	hulls   bool
}

// sortOut looks every name up and puts what it finds in a fixed order. Dye plants
// carry no hazard statement, so they are only looked at for what is peculiar.
func sortOut(names []string) present {
	var in present
	found := map[string]bool{}
	for _, name := range names {
		dye, isDye := recipe.DyeOf(name)
		s, err := recipe.Lookup(name)
		switch {
		case isDye && dye.Key == "walnut hull":
			in.hulls = true
		case err == nil && s.Key != "":
			found[s.Key] = true
			in.iron = in.iron || s.HasIron()
		case err == nil:
			in.others = append(in.others, s)
			in.iron = in.iron || s.HasIron()
		case !isDye && strings.TrimSpace(name) != "":
			in.unknown = append(in.unknown, clip(name))
		}
	}
	for _, s := range recipe.Substances() {
		if found[s.Key] {
			in.known = append(in.known, s)
		}
	}
	slices.SortFunc(in.others, func(a, b recipe.Substance) int { return strings.Compare(a.Name, b.Name) })
	slices.Sort(in.unknown)
	return in
}

func (in present) has(key string) bool {
	return slices.ContainsFunc(in.known, func(s recipe.Substance) bool { return s.Key == key })
}

// empty is true where nothing that could be iron was named.
func (in present) empty() bool { return len(in.known)+len(in.others)+len(in.unknown) == 0 }
