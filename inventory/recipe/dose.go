package recipe

import (
	"slices"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Basis says what a dose is counted on. It is stored and sent as text.
type Basis string

// The four bases of a recipe line.
const (
	OnFibre  Basis = "percent_wof"     // per cent on the weight of the air-dry fibre
	InBath   Basis = "grams_per_litre" // grams in each litre of the bath
	OfLiquor Basis = "ml_per_kg"       // millilitres of a liquor to a kilogram of fibre, its strength known or not
	Counted  Basis = "pieces_per_kg"   // pieces (galls, onions) to a kilogram of fibre
)

// Bases lists them in order.
func Bases() []Basis { return []Basis{OnFibre, InBath, OfLiquor, Counted} }

// Ask is one line of a recipe: how much of one substance. Exactly one of
// Percent, PerLitre and PerKilo is set, as Basis says; ParseAsk sees to it.
type Ask struct {
	Basis    Basis
	Percent  quantity.Percent       // OnFibre
	PerLitre quantity.Concentration // InBath
	PerKilo  quantity.Amount        // OfLiquor: a volume; Counted: pieces

	// Strength of this parcel against the reference, nil for 100 %. At 90 %
	// the dose is 100/90 of the reference dose.
	Strength *quantity.Percent
	// Stock is the strength of the solution the substance is measured from,
	// nil where it is weighed dry. OfLiquor without it is a liquor of unknown
	// strength.
	Stock *quantity.Concentration
}

// Pot is what a dose is computed on.
type Pot struct {
	Dry  quantity.Amount // air-dry fibre, witness cloth included
	Bath quantity.Amount // the liquor; needed only by grams per litre
}

// Scale is the smallest step that the studio's scale and cylinders show. An
// absent step leaves the exact amount.
type Scale struct{ Mass, Volume quantity.Amount }

// Dose is what goes into the pot.
type Dose struct {
	Exact quantity.Amount   // before rounding, to the microgram or microlitre
	Take  quantity.Amount   // to be weighed, measured or counted: Exact, half-even to the scale
	Mass  quantity.Amount   // of the substance within Take; absent where nobody knows
	WOF   *quantity.Percent // Take as per cent of the fibre, at reference strength; nil where it cannot be computed
}

// ParseAsk reads a recipe line from its basis and a decimal, such as
// "percent_wof" and "15". Refused (fault.Invalid): an unknown basis, what is
// not a number, zero and less.
func ParseAsk(basis, value string) (Ask, error) {
	a, err := Ask{Basis: Basis(basis)}, error(nil)
	switch a.Basis {
	case OnFibre:
		a.Percent, err = quantity.ParsePercent(value)
	case InBath:
		a.PerLitre, err = quantity.ParseConcentration(value)
	case OfLiquor:
		a.PerKilo, err = quantity.Parse(value, "mL")
	case Counted:
		a.PerKilo, err = quantity.Parse(value, "pc")
	}
	if err != nil {
		return Ask{}, onField("value", err)
	}
	return a, a.check()
}

// Value is the decimal that ParseAsk read.
func (a Ask) Value() string {
	switch a.Basis {
	case OnFibre:
		return a.Percent.Decimal()
	case InBath:
		return a.PerLitre.Decimal()
	}
	v, _ := a.PerKilo.Decimal()
	return v
}

// String shows the line the dyer's way: "15 % WOF", "5 g/L", "40 mL/kg".
func (a Ask) String() string {
	return a.Value() + map[Basis]string{OnFibre: " % WOF", InBath: " g/L", OfLiquor: " mL/kg", Counted: " pc/kg"}[a.Basis]
}

// For computes the dose of one pot:
//
//	percent_wof      fibre × % WOF / 100 × 100 / strength %
//	grams_per_litre  bath × g/L × 100 / strength %
//	ml_per_kg        fibre × mL/kg
//	pieces_per_kg    fibre × pieces/kg, to whole pieces
//
// and measures it as a volume where it comes from a stock solution. Each
// product is exact and rounded once. 1080 g of silk at 15 % take 162 g of alum;
// at 60 % of a weld of strength 90 % they take 720 g [CP].
//
// Refused (fault.Invalid): a dose of zero or less, no fibre, no bath for g/L,
// a strength outside 1 to 1000 %; (fault.Refused, BELOW_SCALE): a dose that the
// scale would show as nothing.
func (a Ask) For(p Pot, s Scale) (Dose, error) {
	if err := a.checkIn(p, s); err != nil {
		return Dose{}, err
	}
	exact, err := a.exact(p)
	if err != nil {
		return Dose{}, err
	}
	step := map[quantity.Unit]int64{quantity.Mass: s.Mass.N, quantity.Volume: s.Volume.N}[exact.Unit]
	d := Dose{Exact: exact, Take: exact.Round(step)}
	if d.Take.N == 0 {
		return Dose{}, nothingToWeigh(a, exact, step)
	}
	d.Mass, d.WOF, err = Offered(d.Take, p.Dry, a.Stock, a.Strength)
	return d, err
}

// exact is the dose before the scale: a mass, a volume or a count.
func (a Ask) exact(p Pot) (quantity.Amount, error) {
	strength := int64(a.strength())
	var above, below []int64
	unit := quantity.Mass
	switch a.Basis {
	case OnFibre:
		above, below = []int64{p.Dry.N, int64(a.Percent)}, []int64{strength}
	case InBath: // µL × mg/L is 10^-3 µg
		above, below = []int64{p.Bath.N, int64(a.PerLitre), int64(wholePercent)}, []int64{1000, strength}
	default: // steps a kilogram, a kilogram being 10^9 µg
		above, below, unit = []int64{p.Dry.N, a.PerKilo.N}, []int64{1_000_000_000}, a.PerKilo.Unit
	}
	if a.Stock != nil && unit == quantity.Mass { // µg / (mg/L) is 10^3 µL
		above, below, unit = append(above, 1000), append(below, int64(*a.Stock)), quantity.Volume
	}
	n, ok := quotient(above, below)
	if !ok {
		return quantity.Amount{}, fault.BadField("dose", "is beyond what is kept here (at most %s)", quantity.Amount{N: quantity.Max, Unit: unit})
	}
	return quantity.Amount{N: n, Unit: unit}, nil
}

// Offered tells what a measured amount brought to the fibre: the mass of the
// substance and its per cent on air-dry fibre at reference strength. 30 mL of a
// 200 g/L liquor on 539 g of silk hold 6.0 g, which is 1.113 %.
//
// A volume without a stock strength, or pieces, give no mass and no per cent:
// of a liquor of unknown strength none may be computed.
func Offered(taken, dry quantity.Amount, stock *quantity.Concentration, strength *quantity.Percent) (mass quantity.Amount, wof *quantity.Percent, err error) {
	a := Ask{Stock: stock, Strength: strength}
	if err := a.checkOffer(taken, dry); err != nil {
		return mass, nil, err
	}
	held, ok := taken.N, true
	switch {
	case taken.Unit == quantity.Volume && stock != nil:
		held, ok = quotient([]int64{taken.N, int64(*stock)}, []int64{1000})
	case taken.Unit != quantity.Mass:
		return mass, nil, nil
	}
	mass = quantity.Amount{N: held, Unit: quantity.Mass}
	share, fits := quotient([]int64{held, int64(a.strength())}, []int64{dry.N})
	if !ok || !fits {
		return quantity.Amount{}, nil, fault.BadField("amount", "%s on %s of fibre is beyond what can be computed", taken, dry)
	}
	return mass, new(quantity.Percent(share)), nil
}

func basisList() string {
	var names []string
	for _, b := range Bases() {
		names = append(names, string(b))
	}
	return strings.Join(names, ", ")
}

func (b Basis) known() bool { return slices.Contains(Bases(), b) }
