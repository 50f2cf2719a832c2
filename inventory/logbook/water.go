package logbook

import (
	"fmt"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Water is what is known of one source on one day. Nil: not measured.
type Water struct {
	Hardness *Hardness
	Iron     *IronContent
}

// Hardness is total hardness in ten-thousandths of a German degree, 1 °dH being
// 10 mg of CaO in a litre.
type Hardness int64

// IronContent is iron in a litre of water, in 0.1 µg.
type IronContent int64

const (
	// hardest water that is believed, °dH: springs in gypsum stay far below.
	hardest = Hardness(200 * tenThousandths)
	// rustiest water that is believed, mg/L.
	rustiest       = IronContent(1000 * tenThousandths)
	tenThousandths = 10_000
)

// hardFrom is where German law calls water hard: 2.5 mmol/L, 14 °dH; soft ends
// at 1.5 mmol/L, 8.4 °dH (Wasch- und Reinigungsmittelgesetz 2007, § 9 [M]).
const (
	hardFrom = Hardness(14 * tenThousandths)
	softTo   = Hardness(84_000)
)

// ironFrom is the indicator value for drinking water, 0.2 mg/L (Directive (EU)
// 2020/2184, annex I part C [M]).
const ironFrom = IronContent(2_000)

// ParseHardness reads °dH: a plain decimal, 0 to 200.
func ParseHardness(s string) (Hardness, error) {
	n, err := reading("hardness_dh", s, int64(hardest), "°dH")
	return Hardness(n), err
}

// ParseIron reads mg/L: a plain decimal, 0 to 1000.
func ParseIron(s string) (IronContent, error) {
	n, err := reading("iron_mg_per_l", s, int64(rustiest), "mg/L")
	return IronContent(n), err
}

// reading borrows the reading of a percentage, so that a number is written one
// way everywhere.
func reading(field, s string, most int64, unit string) (int64, error) {
	p, err := quantity.ParsePercent(s)
	if f, bad := fault.Of(err); bad {
		return 0, f.At(field)
	}
	if int64(p) < 0 || int64(p) > most {
		return 0, fault.BadField(field, "%s %s: 0 to %s is believed", p.Decimal(), unit, quantity.Percent(most).Decimal())
	}
	return int64(p), nil
}

// Decimal is the number of German degrees.
func (h Hardness) Decimal() string { return quantity.Percent(h).Decimal() }

// Decimal is the number of mg in a litre.
func (i IronContent) Decimal() string { return quantity.Percent(i).Decimal() }

// caO and caCO3 are molar masses in mg/mmol from the IUPAC abridged atomic
// weights (Ca 40.078, O 15.999, C 12.011): 56.077 and 100.086 [C].
const caO, caCO3 = 56_077, 100_086 // thousandths

// Millimoles is the same hardness in mmol/L, in hundredths, half-even: 1 °dH is
// 10 mg of CaO by 56.077 g/mol, 0.178 mmol/L.
func (h Hardness) Millimoles() quantity.Percent {
	return quantity.Percent(quantity.RoundTo(quantity.MulDiv(int64(h), 10*1000, caO), 100))
}

// Chalk is the same hardness in mg/L of CaCO3, to a whole milligram: 1 °dH is
// 17.85 mg/L.
func (h Hardness) Chalk() int64 {
	return quantity.RoundTo(quantity.MulDiv(int64(h), 10*caCO3, caO), tenThousandths) / tenThousandths
}

func (h Hardness) words() string {
	switch {
	case h < softTo:
		return "soft"
	case h <= hardFrom:
		return "medium"
	}
	return "hard"
}

func (w *Water) validate() error {
	if w.Hardness == nil && w.Iron == nil {
		return fault.BadField("hardness_dh", "is needed, or the iron in mg/L")
	}
	return nil
}

func (w *Water) text() string {
	var parts []string
	if h := w.Hardness; h != nil {
		parts = append(parts, fmt.Sprintf("%s °dH, %s (%s mmol/L, %d mg/L as CaCO3)", h.Decimal(), h.words(), h.Millimoles().Decimal(), h.Chalk()))
	}
	if w.Iron != nil {
		parts = append(parts, w.Iron.Decimal()+" mg/L of iron")
	}
	return strings.Join(parts, "; ")
}

func (w *Water) warnings(source string) (said []recipe.Warning) {
	if w.Hardness != nil && *w.Hardness > hardFrom {
		said = append(said, recipe.Warning{Key: "water-hard", Source: recipe.Source{Mark: recipe.Practice},
			Text: fmt.Sprintf("%s has %s °dH, above %s: soap leaves scum on wool, and dyes come out otherwise than in soft water; scour and swatch in the water that you will dye in", source, w.Hardness.Decimal(), hardFrom.Decimal())})
	}
	if w.Iron != nil && *w.Iron > ironFrom {
		said = append(said, recipe.Warning{Key: "water-iron", Source: recipe.Source{Mark: recipe.Memory, Cite: "Directive (EU) 2020/2184, indicator value for drinking water, from memory"},
			Text: fmt.Sprintf("%s has %s mg/L of iron, above %s: it saddens yellows and dulls reds before any iron is poured", source, w.Iron.Decimal(), ironFrom.Decimal())})
	}
	return said
}
