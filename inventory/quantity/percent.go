package quantity

import "dyelot/inventory/fault"

// Percent is a share in ten-thousandths of a per cent: 15 % is 150 000. It is
// used for % WOF, strength, fibre parts, purity and how full a pot may be.
type Percent int64

const onePercent = 10_000

// WholePercent is n %.
func WholePercent(n int64) Percent { return Percent(n * onePercent) }

// ParsePercent reads a plain decimal such as "15" or "0.703", at most four
// decimals and 1 000 000 %.
func ParsePercent(s string) (Percent, error) {
	n, err := fixed("percent", s, 4, 1_000_000*onePercent)
	return Percent(n), err
}

// Decimal is the exact number without its sign: "15", "12.5".
func (p Percent) Decimal() string { return point(int64(p), 4) }

// String shows it for a person, half-even to three decimals: "1.113 %".
func (p Percent) String() string { return point(RoundTo(int64(p), 10), 4) + " %" }

// PercentOf returns part / whole × 100, half-even to 0.0001 %. The whole must
// be of the same unit and not zero; else 0.
func PercentOf(part, whole Amount) Percent {
	if whole.N == 0 || part.Unit != whole.Unit {
		return 0
	}
	return Percent(MulDiv(part.N, 100*onePercent, whole.N))
}

// Concentration is mass of a stated substance per volume of liquor, in mg/L:
// 200 g/L is 200 000.
type Concentration int64

// ParseConcentration reads g/L, at most three decimals and 10 000 g/L.
func ParseConcentration(gPerL string) (Concentration, error) {
	n, err := fixed("grams_per_litre", gPerL, 3, 10_000_000)
	return Concentration(n), err
}

// Decimal is the exact number in g/L.
func (c Concentration) Decimal() string { return point(int64(c), 3) }

// String shows it with its unit: "200 g/L".
func (c Concentration) String() string { return c.Decimal() + " g/L" }

// Of is the concentration of a mass in a volume, half-even to 1 mg/L.
func Of(solute, liquor Amount) (Concentration, error) {
	if solute.Unit != Mass || liquor.Unit != Volume || solute.N <= 0 || liquor.N <= 0 {
		return 0, fault.BadField("concentration", "needs a mass and a volume above zero")
	}
	return Concentration(MulDiv(solute.N, 1000, liquor.N)), nil
}

// MassIn is the solute in a volume of liquor: 30 mL at 200 g/L holds 6 g.
func (c Concentration) MassIn(v Amount) Amount { return Amount{MulDiv(v.N, int64(c), 1000), Mass} }

// VolumeOf is the liquor that holds a mass of solute: 10.8 g at 200 g/L is
// 54 mL. A concentration of zero gives the absent amount.
func (c Concentration) VolumeOf(m Amount) Amount {
	if c <= 0 {
		return Amount{}
	}
	return Amount{MulDiv(m.N, 1000, int64(c)), Volume}
}

// Ratio is a liquor ratio in millilitres of bath per kilogram of dry fibre:
// 1 : 40 is 40 000.
type Ratio int64

// ParseRatio reads the litres per kilogram, "40" for 1 : 40; 1 to 1000.
func ParseRatio(s string) (Ratio, error) {
	n, err := fixed("liquor_ratio", s, 3, 1_000_000)
	if err == nil && n < 1000 {
		err = fault.BadField("liquor_ratio", "1 : %s is no bath: use 1 to 1000 litres a kilogram of dry fibre", s)
	}
	return Ratio(n), err
}

// Decimal is the number of litres per kilogram.
func (r Ratio) Decimal() string { return point(int64(r), 3) }

// String shows it the dyer's way: "1 : 40".
func (r Ratio) String() string { return "1 : " + r.Decimal() }

// Bath is the volume for a dry mass: 1080 g at 1 : 40 is 43.2 L.
func (r Ratio) Bath(dry Amount) Amount { return Amount{MulDiv(dry.N, int64(r), 1_000_000), Volume} }

// Fibre is the dry mass that a volume serves: 32 L at 1 : 40 is 800 g, rounded
// down, since a pot is not to be over-filled.
func (r Ratio) Fibre(bath Amount) Amount {
	if r <= 0 {
		return Amount{}
	}
	m := MulDiv(bath.N, 1_000_000, int64(r))
	if r.Bath(Amount{m, Mass}).N > bath.N {
		m--
	}
	return Amount{m, Mass}
}
