package recipe

import (
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// wholePercent is 100 %. As a strength it is the reference: a parcel that gives
// the reference depth at the reference dose.
const wholePercent = quantity.Percent(1_000_000)

// A harvest a hundred times weaker than the reference, or ten times stronger,
// was weighed or typed wrongly.
const (
	weakest   = wholePercent / 100
	strongest = wholePercent * 10
)

func (a Ask) strength() quantity.Percent {
	if a.Strength == nil {
		return wholePercent
	}
	return *a.Strength
}

// check refuses a line that says nothing or less than nothing.
func (a Ask) check() error {
	if !a.Basis.known() {
		return fault.BadField("basis", "%q is no basis of a dose: use one of %s", string(a.Basis), basisList())
	}
	positive := map[Basis]bool{OnFibre: a.Percent > 0, InBath: a.PerLitre > 0, OfLiquor: a.PerKilo.N > 0, Counted: a.PerKilo.N > 0}[a.Basis]
	if !positive {
		return fault.BadField(valueField[a.Basis], "%s is no dose: more than 0 is needed", a)
	}
	if want := perKiloUnit[a.Basis]; want != 0 && a.PerKilo.Unit != want {
		return fault.BadField("value", "%s to a kilogram: a %s is needed", a.PerKilo, want)
	}
	return a.checkParcel()
}

var valueField = map[Basis]string{OnFibre: "wof_percent", InBath: "grams_per_litre", OfLiquor: "value", Counted: "value"}

var perKiloUnit = map[Basis]quantity.Unit{OfLiquor: quantity.Volume, Counted: quantity.Count}

func (a Ask) checkParcel() error {
	if s := a.strength(); s < weakest || s > strongest {
		return fault.BadField("strength_percent", "a strength of %s: %s to %s is believed", s, weakest, strongest)
	}
	if a.Stock != nil && *a.Stock <= 0 {
		return fault.BadField("stock_g_per_l", "a stock solution of %s holds nothing: more than 0 is needed", *a.Stock)
	}
	return nil
}

func (a Ask) checkIn(p Pot, s Scale) error {
	if err := a.check(); err != nil {
		return err
	}
	if p.Dry.Unit != quantity.Mass || p.Dry.N <= 0 {
		return noFibre(p.Dry)
	}
	if a.Basis == InBath && (p.Bath.Unit != quantity.Volume || p.Bath.N <= 0) {
		return fault.BadField("bath", "a dose in g/L needs the volume of the bath, more than 0 mL")
	}
	for _, step := range []struct {
		field string
		is    quantity.Amount
		want  quantity.Unit
	}{{"scale_mass", s.Mass, quantity.Mass}, {"scale_volume", s.Volume, quantity.Volume}} {
		if step.is.N < 0 || step.is.N > 0 && step.is.Unit != step.want {
			return fault.BadField(step.field, "%s is no step of a %s", step.is, step.want)
		}
	}
	return nil
}

// checkOffer refuses what cannot have been measured into a pot of fibre.
func (a Ask) checkOffer(taken, dry quantity.Amount) error {
	if taken.N <= 0 {
		return fault.BadField("amount", "%s was measured: more than 0 is needed", taken)
	}
	if dry.Unit != quantity.Mass || dry.N <= 0 {
		return noFibre(dry)
	}
	return a.checkParcel()
}

// nothingToWeigh tells a dose too small for the scale, which a weaker stock
// solution cures, from one that is smaller than anything kept here.
func nothingToWeigh(a Ask, exact quantity.Amount, step int64) error {
	if step <= 1 && exact.Unit != quantity.Count {
		return fault.BadField(valueField[a.Basis], "%s of this fibre is less than the smallest amount kept here", a)
	}
	value, unit := quantity.Amount{N: max(step, 1), Unit: exact.Unit}.Decimal()
	return fault.Refuse("BELOW_SCALE", "%s rounds to nothing in steps of %s %s: measure it from a weaker stock solution", exact, value, unit).
		With("dose", exact.String()).With("step", value+" "+unit)
}

func noFibre(dry quantity.Amount) error {
	return fault.BadField("dry_mass_g", "%s of fibre: an air-dry mass above 0 g is needed", dry)
}
