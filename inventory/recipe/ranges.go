package recipe

import (
	"slices"

	"dyelot/inventory/quantity"
)

// Range is what is usual of one substance on some fibres, in per cent on
// air-dry fibre: a starting point that the owner edits. Above Warn it is said.
type Range struct {
	Substance string // key
	Groups    []Group
	Stage     string // stage kind; empty for any
	Low, High quantity.Percent
	Warn      quantity.Percent // High, or the most that is seen in recipes
	Note      string
	Source    Source
}

// String is the range in words: "8 % to 15 %, up to 20 % is seen".
func (r Range) String() string {
	s := r.Low.String() + " to " + r.High.String()
	if r.Low == r.High {
		s = "about " + r.High.String()
	}
	if r.Warn > r.High {
		s += ", up to " + r.Warn.String() + " is seen"
	}
	return s
}

// Ranges lists the table in its order.
func Ranges() []Range { return append([]Range(nil), ranges...) }

var (
	woolly    = []Group{Wool, Hair}
	protein   = []Group{Wool, Hair, Silk}
	cellulose = []Group{PlantFibre, Regenerated}
)

// Copperas has no row: what counts of iron is its sum over a garment's life,
// and CheckIron holds that.
var ranges = []Range{
	percents("potassium-alum", woolly, "", "8", "15", "20", "80 °C for an hour, or cold for 24 to 72 hours"),
	percents("potassium-alum", []Group{Silk}, "", "15", "15", "20", "20 % for reds; at most 60 °C, or cold"),
	percents("potassium-alum", cellulose, "", "15", "15", "15", "with soda, after tannin"),
	percents("cream-of-tartar", woolly, "", "5", "5", "6", "beside alum"),
	percents("oak-gall", cellulose, "", "6", "10", "10", "before the metal"),
	percents("myrobalan", cellulose, "", "15", "20", "20", "before the metal"),
	percents("aluminium-triacetate", cellulose, "", "5", "8", "8", "after tannin; dry and rest 1 to 3 days"),
	percents("aluminium-diacetate", cellulose, "", "5", "8", "8", "after tannin; dry and rest 1 to 3 days"),
	percents("aluminium-monoacetate", cellulose, "", "5", "8", "8", "after tannin; dry and rest 1 to 3 days"),
	percents("soda-ash", cellulose, "scour", "2", "2", "2", "with soap, 80 to 95 °C for an hour"),
}

func percents(substance string, on []Group, stage, low, high, warn, note string) Range {
	return Range{substance, on, stage, tablePercent(low), tablePercent(high), tablePercent(warn), note, practice}
}

type strengthLine struct {
	substance string
	most      quantity.Concentration // mg/L
	why       string
	source    Source
}

var bathLines = []strengthLine{
	{"chalk", 5_000, "a chalk bath is 5 g/L for 10 to 15 minutes", practice},
}

var stockLines = []strengthLine{
	{"potassium-alum", 50_000, "water holds about 115 g/L at 20 °C and 55 to 60 g/L at 0 °C, so it crystallises in the cold; dose it dry", recalled},
}

type heatLine struct {
	stage  string
	metal  string // of the substance; empty for any
	groups []Group
	most   Celsius
	why    string
	source Source
}

// heatLines are lower than the fibre's own cap, in one stage only.
var heatLines = []heatLine{
	{"scour", "", protein, Degrees(50), "scoured at 40 to 50 °C without a jump", practice},
	{"mordant", "Al", []Group{Silk}, Degrees(60), "alum'd at 60 °C or cold", practice},
	{"after-dip", "Fe", slices.Concat(protein, cellulose), Degrees(50), "saddened at 40 to 50 °C", practice},
}

type phLine struct {
	groups    []Group
	low, high PH
	why       string
	source    Source
}

// vatLines: the first that a garment holds a fibre of decides, so that a blend
// is kept where its wool or silk survives.
var vatLines = []phLine{
	{protein, 900, 950, "lye at 11 ruins wool and silk", recalled},
	{cellulose, 1050, 1150, "cotton and linen take it best there", recalled},
}
