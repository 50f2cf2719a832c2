package recipe

import (
	"regexp"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Substance is a salt or an auxiliary that a dye house keeps. Those without a
// formula (tannins, soap, a jar of vinegar and scrap) are known by name only.
type Substance struct {
	Key     string   // stable, for programs; empty for a formula that is not in the table
	Name    string   // as it is shown
	Also    []string // the trade's other words
	Formula Formula  // empty where there is none
	Metal   string   // symbol of the one mordant metal; empty where there is none or more than one
}

// MetalPercent is the mordant metal by mass; 0 where there is none, or where
// no formula says how much.
func (s Substance) MetalPercent() quantity.Percent { return s.Formula.Percent(s.Metal) }

// MetalMass is the metal in a mass of the salt, half-even to the microgram:
// 8.40 g of copperas hold 1.687 g of iron. It is absent where no formula says.
func (s Substance) MetalMass(m quantity.Amount) quantity.Amount {
	part := s.Formula.Part(s.Metal)
	if part == 0 || m.Unit != quantity.Mass {
		return quantity.Amount{}
	}
	return quantity.Amount{N: quantity.MulDiv(m.N, int64(part), int64(s.Formula.Mass())), Unit: quantity.Mass}
}

// HasIron is true of an iron salt, of an iron liquor known by name only, and of
// a salt that holds iron beside another metal.
func (s Substance) HasIron() bool { return s.Metal == "Fe" || s.Formula.Part("Fe") > 0 }

// HasFormula is false of what is known by name only.
func (s Substance) HasFormula() bool { return len(s.Formula.atoms) > 0 }

// oldRecordMetals are kept so that an old book can still be read.
var oldRecordMetals = map[string]bool{"Cu": true, "Sn": true, "Cr": true}

// OldRecordsOnly is true of copper, tin and chrome: they stand in old records
// and never in a new recipe.
func (s Substance) OldRecordsOnly() bool { return oldRecordMetals[s.Metal] }

// RefuseNew is the refusal (OLD_RECORDS_ONLY) of such a substance in a recipe
// that is being written today; nil for all others.
func (s Substance) RefuseNew() error {
	if !s.OldRecordsOnly() {
		return nil
	}
	return fault.Refuse("OLD_RECORDS_ONLY", "%s", s.oldRecordsSay()).With("substance", s.Name)
}

func (s Substance) oldRecordsSay() string {
	return s.Name + " is kept only to read old records: " + elements[s.Metal].name + " stands in no new recipe"
}

// Substances lists the table in its order.
func Substances() []Substance {
	return append([]Substance(nil), substances...)
}

// Lookup finds a substance by key, name, another word for it, or formula; case
// and spelling (sulphate, aluminum, heptahydrate) do not matter in a name, case
// does in a formula. A formula that is not in the table is answered by what
// the formula alone tells.
//
// Refused (fault.Invalid, field "substance"): what is neither, and a name that
// the trade uses for two salts ("aluminium acetate", "dibasic …").
func Lookup(nameOrFormula string) (Substance, error) {
	s := strings.TrimSpace(nameOrFormula)
	if s == "" || len([]rune(s)) > longestFormula {
		return Substance{}, fault.BadField("substance", "needs a name or a formula of 1 to %d characters", longestFormula)
	}
	word := plainName(s)
	if i, known := substanceNames[word]; known {
		return substances[i], nil
	}
	if choices, vague := unclearNames[word]; vague {
		return Substance{}, fault.BadField("substance", "%q is used for more than one salt: say which, %s", s, choices)
	}
	f, err := ParseFormula(s)
	if err != nil {
		return Substance{}, notASubstance(s, err)
	}
	for _, known := range substances {
		if known.Formula.Same(f) {
			return known, nil
		}
	}
	return Substance{Name: f.String(), Formula: f, Metal: soleMetal(f)}, nil
}

var looksLikeFormula = regexp.MustCompile(`^[A-Z(\[].*[0-9()\[\]]`)

// notASubstance tells a slip in a formula from a name that nobody knows.
func notASubstance(s string, err error) error {
	if f, ok := fault.Of(err); ok && looksLikeFormula.MatchString(s) {
		return fault.BadField("substance", "%q cannot be read as a formula: %s", s, f.Say)
	}
	return fault.BadField("substance", "%q is neither a substance known here nor a formula: known are %s", s, strings.Join(substanceList(), ", "))
}

func substanceList() []string {
	var names []string
	for _, s := range substances {
		names = append(names, s.Name)
	}
	return names
}

func soleMetal(f Formula) string {
	if m := f.Metals(); len(m) == 1 {
		return m[0]
	}
	return ""
}

// waters in words, longest first where one ends in another.
var plainWords = strings.NewReplacer(
	"sulph", "sulf", "aluminum", "aluminium", "-", " ", "_", " ", "(ii)", " ii",
	"octadecahydrate", "18 hydrate", "tetradecahydrate", "14 hydrate", "dodecahydrate", "12 hydrate", "decahydrate", "10 hydrate",
	"heptahydrate", "7 hydrate", "pentahydrate", "5 hydrate", "trihydrate", "3 hydrate", "dihydrate", "2 hydrate", "monohydrate", "1 hydrate",
)

// plainName brings the spellings of one name together.
func plainName(s string) string {
	return strings.Join(strings.Fields(plainWords.Replace(strings.ToLower(s))), " ")
}
