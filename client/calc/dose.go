package calc

import (
	"math/big"

	"dyelot/inventory/caution"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

var dose = calculation{
	name:  "dose",
	short: "Weigh a dose from % WOF",
	long: `How much to weigh for a dose in % WOF, per cent on the weight of the air-dry
fibre; how much stock solution holds it; and what a harvest of another strength
takes. mass = fibre × % WOF / 100 × 100 / strength %; mL = g / (g/L) × 1000.`,
	example:  `dyelot calc dose --dry-mass-g 1080 --wof-percent 1 --stock-g-per-l 200`,
	says:     `Measure 54 mL of the 200 g/L stock: it holds 10.8 g.`,
	document: `{"dry_mass_g": 1080, "wof_percent": 1, "stock_g_per_l": 200}`,
	ask:      func() question { return &doseQuestion{} },
}

type doseQuestion struct{ dry, wof, stock, strength *big.Rat }

func (q *doseQuestion) fields() []field {
	return []field{
		need("dry_mass_g", "air-dry fibre in g, witness cloth included", anExact(&q.dry)),
		need("wof_percent", "dose in % on the weight of that fibre", anExact(&q.wof)),
		may("stock_g_per_l", "g of the substance in a litre of the stock solution", anExact(&q.stock)),
		may("strength_percent", "strength of this parcel against the reference; 100 unless given", anExact(&q.strength)),
	}
}

func (q *doseQuestion) answer(func() bool) (answer, error) {
	mass, volume, err := recipe.Weigh(q.dry, q.wof, q.stock, q.strength)
	if err != nil {
		return nil, err
	}
	a := &doseAnswer{asked: *q, mass: mass, volume: volume, Mass: amountOf(mass)}
	if q.stock != nil {
		v := amountOf(volume)
		a.Volume = &v
	}
	return a, nil
}

type doseAnswer struct {
	asked        doseQuestion
	mass, volume quantity.Amount

	Mass   plain  `json:"mass_g"`
	Volume *plain `json:"volume_ml,omitempty"`
}

func (a *doseAnswer) tell(p *page) {
	stock := ""
	if a.Volume != nil {
		stock = num(a.asked.stock) + nbsp + "g/L"
		p.note("Measure %s of the %s stock: it holds %s.", said(a.volume), stock, said(a.mass))
	} else {
		p.note("Weigh %s.", said(a.mass))
	}
	strength := big.NewRat(100, 1)
	if a.asked.strength != nil {
		strength = a.asked.strength
	}
	rows := [][2]string{
		{"fibre", num(a.asked.dry) + nbsp + "g, air-dry: rested in the room for a day"},
		{"dose", num(a.asked.wof) + nbsp + "% WOF, on that weight"},
		{"strength", num(strength) + nbsp + "% of the reference"},
		{"mass", num(a.asked.dry) + nbsp + "g × " + num(a.asked.wof) + " / 100 × 100 / " + num(strength) + " = " + kept(a.mass)},
	}
	if a.Volume != nil {
		rows = append(rows, [2]string{"volume", "that mass / " + stock + " × 1000 = " + kept(a.volume)})
	}
	p.rows(rows...)
	if strength.Cmp(big.NewRat(100, 1)) != 0 {
		p.note("Strength holds at a shallow depth; near saturation no dose makes up for a weak harvest.")
	}
	if a.Volume != nil {
		p.note("Potassium alum crystallises out of a stock above about 50 g/L in a cold room [M].%s", ifIron(a.asked.stock))
	}
	p.note("Common practice [CP]. Damp cloth weighs too much, and takes too much.")
	p.cautions(caution.ForStage("weigh", nil, false))
}

// ifIron is the swallowing line of a bottle that may hold copperas; empty for
// one so thin that it is kept as 0 g/L.
func ifIron(stock *big.Rat) string {
	c, err := quantity.ParseConcentration(stock.FloatString(3))
	if err != nil {
		return ""
	}
	line, err := caution.IronSwallowLine(c, 10)
	if err != nil {
		return ""
	}
	return " If it is copperas: " + line + " [C], so locked and high, under a tight child-resistant cap, never in a drink bottle."
}
