package calc

import (
	"math/big"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

var mordant = calculation{
	name:  "mordant",
	short: "Dose one mordant salt for the metal of another",
	long: `How much of one salt brings the metal that a dose of another brings. Salts go by
the trade's name or by formula: "potassium alum", "KAl(SO4)2·12H2O", with · . or
* before the water. Write "Al(OH)(OAc)2" and not "dibasic acetate", which is
used both ways.`,
	example: `dyelot calc mordant --from 'potassium alum' --to 'Al2(SO4)3.18H2O' \
--wof-percent 15`,
	says:     `10.536 % WOF of aluminium sulfate 18-hydrate brings the metal (Al) of 15 % WOF`,
	document: `{"from": "potassium alum", "to": "Al2(SO4)3.18H2O", "wof_percent": 15}`,
	ask:      func() question { return &mordantQuestion{} },
}

type mordantQuestion struct {
	from, to string
	wof      *big.Rat
}

func (q *mordantQuestion) fields() []field {
	return []field{
		need("from", "salt that the dose is known for, by name or formula", aText(&q.from)),
		need("to", "salt that is to bring the same metal", aText(&q.to)),
		need("wof_percent", "dose of the first in % on the weight of air-dry fibre", anExact(&q.wof)),
	}
}

func (q *mordantQuestion) answer(func() bool) (answer, error) {
	wof, err := percentOf("wof_percent", q.wof)
	if err != nil {
		return nil, err
	}
	e, err := recipe.SameMetal(q.from, q.to, wof)
	if err != nil {
		return nil, err
	}
	return &mordantAnswer{*q, wof, e, plain(e.FromPercent.Decimal()), plain(e.ToPercent.Decimal()), plain(e.WOF.Decimal()), e.Caution}, nil
}

// percentOf rounds to the 0.0001 % that a percentage is kept at.
func percentOf(at string, r *big.Rat) (quantity.Percent, error) {
	p, err := quantity.ParsePercent(r.FloatString(4))
	if f, ok := fault.Of(err); ok {
		return 0, f.At(at)
	}
	return p, err
}

type mordantAnswer struct {
	asked mordantQuestion
	wof   quantity.Percent
	equal recipe.Equivalent

	FromMetal plain  `json:"from_metal_percent"`
	ToMetal   plain  `json:"to_metal_percent"`
	Wof       plain  `json:"wof_percent"`
	Warn      string `json:"caution"`
}

func (a *mordantAnswer) tell(p *page) {
	p.note("%s WOF of %s brings the metal (%s) of %s WOF of %s.", tight(a.equal.WOF.String()), a.equal.To.Name, a.equal.From.Metal, tight(a.wof.String()), a.equal.From.Name)
	var lines [][]string
	for _, s := range []struct {
		recipe.Substance
		metal, wof quantity.Percent
	}{{a.equal.From, a.equal.FromPercent, a.wof}, {a.equal.To, a.equal.ToPercent, a.equal.WOF}} {
		lines = append(lines, []string{s.Formula.String(), s.Formula.Mass().String(), s.metal.String(), s.wof.String()})
	}
	p.table([]string{"salt", "molar mass", a.equal.From.Metal + " in it", "WOF"}, lines)
	p.note("%s.", sentence(a.Warn))
	p.note("Both doses on air-dry fibre. Computed from the IUPAC abridged standard atomic weights of 2021 [C].")
	p.cautions(caution.ForStage("weigh", []string{a.asked.from, a.asked.to}, false))
}
