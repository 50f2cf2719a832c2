package recipe

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Iron is all the iron that a garment has been offered over its life, as per
// cent of copperas on its air-dry mass, added up over every bath. Unknown is
// true once a liquor of unknown strength was among them, and stays so.
//
// A linen shirt of 240 g was given 4.80 g and later 3.60 g of copperas: 3.5 %,
// or 0.703 % of iron. After 40 mL of vinegar liquor the sum reads
// "at least 3.5 % + unknown".
type Iron struct {
	Copperas quantity.Percent
	Unknown  bool
}

// IronFrom is the iron of one bath's share for a garment, or of a whole bath on
// all its fibre: mass of an iron salt on dry fibre, as copperas of equal iron,
// half-even to 0.0001 %. A salt without iron brings none; an iron liquor of
// unknown strength brings Iron{Unknown: true}, and its mass does not matter.
// Refused (fault.Invalid): no mass of salt or of fibre.
func IronFrom(s Substance, mass, dry quantity.Amount) (Iron, error) {
	switch {
	case !s.HasIron():
		return Iron{}, nil
	case !s.HasFormula():
		return Iron{Unknown: true}, nil
	case mass.Unit != quantity.Mass || mass.N <= 0:
		return Iron{}, fault.BadField("amount", "%s of %s: a mass above 0 g is needed", mass, s.Name)
	case dry.Unit != quantity.Mass || dry.N <= 0:
		return Iron{}, noFibre(dry)
	}
	n, ok := quotient(
		[]int64{mass.N, int64(wholePercent), int64(s.Formula.Part("Fe")), int64(copperas.Mass())},
		[]int64{dry.N, int64(s.Formula.Mass()), int64(copperas.Part("Fe"))})
	if !ok {
		return Iron{}, fault.BadField("amount", "%s on %s of fibre is beyond what can be computed", mass, dry)
	}
	return Iron{Copperas: quantity.Percent(n)}, nil
}

var copperas = substances[substanceNames["copperas"]].Formula

// Add is both together.
func (i Iron) Add(more Iron) Iron {
	return Iron{i.Copperas + more.Copperas, i.Unknown || more.Unknown}
}

// Metal is the iron itself, half-even to 0.0001 % of the garment.
func (i Iron) Metal() quantity.Percent {
	n, _ := quotient([]int64{int64(i.Copperas), int64(copperas.Part("Fe"))}, []int64{int64(copperas.Mass())})
	return quantity.Percent(n)
}

// On is what is known of the sum in grams: of copperas, and of the iron in it,
// for a garment of that air-dry mass. 3.5 % of 240 g is 8.4 g, and 1.687 g of
// iron. Half-even to the microgram.
func (i Iron) On(dry quantity.Amount) (salt, iron quantity.Amount) {
	salt = dry.Percent(i.Copperas)
	return salt, quantity.Amount{N: quantity.MulDiv(salt.N, int64(copperas.Part("Fe")), int64(copperas.Mass())), Unit: quantity.Mass}
}

// Told is the sum with its grams, by the milligram: "3.5 % (8.4 g, holding
// 1.687 g or 0.703 % of iron)"; without them where the mass is absent.
func (i Iron) Told(dry quantity.Amount) string {
	if dry.Unit != quantity.Mass {
		return fmt.Sprintf("%s (%s of iron)", i, i.Metal())
	}
	salt, iron := i.On(dry)
	known := ""
	if i.Unknown {
		known = " known of"
	}
	return fmt.Sprintf("%s (%s%s, holding %s or %s of iron)", i, salt.Round(1000), known, iron.Round(1000), i.Metal())
}

// String is the sum as it is shown: "3.5 %", "at least 3.5 % + unknown".
func (i Iron) String() string {
	if i.Unknown {
		return "at least " + i.Copperas.String() + " + unknown"
	}
	return i.Copperas.String()
}

// CopperasHolding is the copperas that holds a mass of iron, half-even to the
// microgram: 200 mg of iron are in 995.6 mg. Absent for what is not a mass.
func CopperasHolding(iron quantity.Amount) quantity.Amount {
	if iron.Unit != quantity.Mass {
		return quantity.Amount{}
	}
	return quantity.Amount{N: quantity.MulDiv(iron.N, int64(copperas.Mass()), int64(copperas.Part("Fe"))), Unit: quantity.Mass}
}

type ironLine struct {
	warnAbove quantity.Percent
	why       string
	source    Source
}

// Where a sum of copperas begins to harm the fibre. Iron with tannin is the
// classic rotting of cotton and linen.
var ironLines = map[Group]ironLine{
	Silk:        {quantity.WholePercent(2), "iron tenders silk", practice},
	PlantFibre:  {quantity.WholePercent(2), "iron with tannin rots cellulose", Source{Memory, "conservation studies, from memory"}},
	Regenerated: {quantity.WholePercent(2), "iron with tannin rots cellulose", Source{Memory, "conservation studies, from memory"}},
	Wool:        {quantity.WholePercent(3), "iron harshens and tenders wool", practice},
	Hair:        {quantity.WholePercent(3), "iron harshens and tenders animal hair", practice},
}

// CheckIron warns where the iron offered to a garment is above the line of one
// of its fibres (2 % of copperas on silk and cellulose, 3 % on wool and animal
// hair), and always where part of it is of unknown strength. Exactly on the
// line does not warn. Neither blocks: a named person may override.
func CheckIron(fs []Fibre, i Iron) []Warning { return checkIron("this garment", i.String(), fs, i) }

// CheckIronOf is CheckIron for garments that are known by their tags. The mass
// of one tells what the per cent are in grams; absent for several.
func CheckIronOf(tags string, dry quantity.Amount, fs []Fibre, i Iron) []Warning {
	return checkIron(tags, i.Told(dry), fs, i)
}

func checkIron(whose, so string, fs []Fibre, i Iron) []Warning {
	var found []Warning
	var worst *Fibre
	for n, f := range fs {
		line, has := ironLines[f.Group]
		if has && i.Copperas > line.warnAbove && (worst == nil || line.warnAbove < ironLines[worst.Group].warnAbove) {
			worst = &fs[n]
		}
	}
	if worst != nil {
		line := ironLines[worst.Group]
		found = append(found, Warning{"iron-over", fmt.Sprintf(
			"copperas offered to %s so far is %s, above %s on %s: %s; go on only with a named override",
			whose, so, line.warnAbove, worst.Key, line.why), line.source})
	}
	if i.Unknown {
		found = append(found, Warning{"iron-unknown", fmt.Sprintf(
			"copperas offered to %s so far is %s: no line can be held against it; go on only with a named override", whose, so), practice})
	}
	return found
}
