package recipe

import (
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Class says what a fibre is made of; it decides what alkali and iron do.
type Class string

// The three classes.
const (
	Protein   Class = "protein"
	Cellulose Class = "cellulose"
	Synthetic Class = "synthetic"
)

// Group gathers the fibres that one rule holds for.
type Group string

// The groups.
const (
	Wool        Group = "wool"
	Hair        Group = "hair" // alpaca, mohair, cashmere and other animal hair
	Silk        Group = "silk"
	PlantFibre  Group = "plant"       // cotton, linen, hemp, ramie, jute
	Regenerated Group = "regenerated" // viscose, modal, cupro, lyocell
	Manmade     Group = "synthetic"
)

// Regain is a conventional moisture regain: water as per cent of oven-dry
// mass. It is a trading allowance, not what a shelf holds.
type Regain struct {
	Standard string // EURegain or ASTMRegain
	Form     string // "combed", "carded", "mercerised"; empty where there is one
	Percent  quantity.Percent
	Source   Source
}

// The two standards that regains are taken from.
const (
	EURegain   = "EU 1007/2011 Annex IX"
	ASTMRegain = "ASTM D1909"
)

// Fibre is one that garments are made of.
type Fibre struct {
	Key     string // as it stands on a fibre label
	Also    []string
	Class   Class
	Group   Group
	Regains []Regain
	Cap     Celsius // no liquor with this fibre in it goes above
	CapBy   Source
}

// Fibres lists the table in its order.
func Fibres() []Fibre { return append([]Fibre(nil), fibres...) }

// FibreOf finds a fibre by its name or another word for it. An unknown one is
// refused (fault.Invalid, field "fibre") with the list. Synthetics are found,
// so that a label can be read whole; Check warns that they will not take.
func FibreOf(name string) (Fibre, error) {
	word := strings.ToLower(strings.Join(strings.Fields(name), " "))
	if i, known := fibreNames[word]; known {
		return fibres[i], nil
	}
	var keys []string
	for _, f := range fibres {
		keys = append(keys, f.Key)
	}
	return Fibre{}, fault.BadField("fibre", "%q is no fibre known here: use one of %s", clip(name), strings.Join(keys, ", "))
}

// ParseRegain reads a regain in per cent, 0 to 40: beyond that cloth is damp,
// not conditioned. Refused: fault.Invalid, field "regain".
func ParseRegain(s string) (quantity.Percent, error) {
	p, err := quantity.ParsePercent(s)
	if err != nil {
		return 0, onField("regain", err)
	}
	return p, checkRegain(p)
}

const dampest = quantity.Percent(400_000)

func checkRegain(r quantity.Percent) error {
	if r < 0 || r > dampest {
		return fault.BadField("regain", "%s: 0 to %s is believed of conditioned cloth, more is damp", r, dampest)
	}
	return nil
}

// OvenDry is the oven-dry mass of conditioned cloth at a regain, half-even to
// the microgram: conditioned / (1 + R/100). 1000 g of wool at 16 % is 862.1 g.
// Nothing in this program applies it silently: % WOF stays on air-dry mass.
func OvenDry(conditioned quantity.Amount, regain quantity.Percent) (quantity.Amount, error) {
	return atRegain(conditioned, regain, wholePercent, wholePercent+regain)
}

// Conditioned is the mass of oven-dry cloth once it has taken up its regain:
// oven-dry × (1 + R/100).
func Conditioned(ovenDry quantity.Amount, regain quantity.Percent) (quantity.Amount, error) {
	return atRegain(ovenDry, regain, wholePercent+regain, wholePercent)
}

func atRegain(m quantity.Amount, regain, above, below quantity.Percent) (quantity.Amount, error) {
	if m.Unit != quantity.Mass || m.N <= 0 {
		return quantity.Amount{}, fault.BadField("mass", "%s of cloth: a mass above 0 g is needed", m)
	}
	if err := checkRegain(regain); err != nil {
		return quantity.Amount{}, err
	}
	n, ok := quotient([]int64{m.N, int64(above)}, []int64{int64(below)})
	if !ok {
		return quantity.Amount{}, fault.BadField("mass", "%s is beyond what can be computed", m)
	}
	return quantity.Amount{N: n, Unit: quantity.Mass}, nil
}

// clip keeps a quoted input short in a sentence.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
