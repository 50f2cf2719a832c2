package recipe

import (
	"strings"

	"dyelot/inventory/quantity"
)

// The fibres. Regains are those of EU 1007/2011 Annex IX and of ASTM D1909,
// each with its mark. The caps are common practice: silk and animal hair at 80 °C,
// wool below the simmer and never shocked, cellulose up to the boil.
var fibres = []Fibre{
	{"wool", words("merino; lambswool"), Protein, Wool, animal, Degrees(95), practice},
	{"alpaca", words("suri"), Protein, Hair, animal, Degrees(80), practice},
	{"mohair", nil, Protein, Hair, animal, Degrees(80), practice},
	{"cashmere", nil, Protein, Hair, animal, Degrees(80), practice},
	{"angora", nil, Protein, Hair, animal, Degrees(80), practice},
	{"yak", nil, Protein, Hair, animal, Degrees(80), practice},
	{"camel", nil, Protein, Hair, animal, Degrees(80), practice},
	{"silk", words("mulberry silk; tussah"), Protein, Silk, []Regain{eu("", "11", Memory), astm("11", Published)}, Degrees(80), practice},
	{"cotton", words("organic cotton"), Cellulose, PlantFibre, []Regain{eu("", "8.5", Published), eu("mercerised", "10.5", Memory), astm("8.5", Published)}, Degrees(100), practice},
	{"linen", words("flax"), Cellulose, PlantFibre, []Regain{eu("", "12", Memory), astm("12", Published)}, Degrees(100), practice},
	{"hemp", words("true hemp"), Cellulose, PlantFibre, []Regain{eu("", "12", Memory), astm("12", Published)}, Degrees(100), practice},
	{"ramie", nil, Cellulose, PlantFibre, []Regain{eu("", "8.5", Memory), astm("7.8", Memory)}, Degrees(100), practice},
	{"jute", nil, Cellulose, PlantFibre, []Regain{eu("", "17", Memory), astm("13.75", Published)}, Degrees(100), practice},
	{"viscose", words("rayon"), Cellulose, Regenerated, regenerated, Degrees(100), practice},
	{"modal", nil, Cellulose, Regenerated, regenerated, Degrees(100), practice},
	{"cupro", nil, Cellulose, Regenerated, regenerated, Degrees(100), practice},
	{"lyocell", nil, Cellulose, Regenerated, regenerated, Degrees(100), practice},
	{"polyester", nil, Synthetic, Manmade, nil, Degrees(100), practice},
	{"polyamide", words("nylon"), Synthetic, Manmade, nil, Degrees(100), practice},
	{"acrylic", nil, Synthetic, Manmade, nil, Degrees(100), practice},
	{"elastane", words("spandex"), Synthetic, Manmade, nil, Degrees(100), practice},
}

var (
	practice    = Source{Mark: Practice}
	recalled    = Source{Mark: Memory}
	animal      = []Regain{eu("combed", "18.25", Memory), eu("carded", "17", Published), astm("13.6", Published)}
	regenerated = []Regain{eu("", "13", Memory), astm("11", Memory)}
	fibreNames  = indexFibres(fibres)
)

func eu(form, percent string, m Mark) Regain {
	return Regain{EURegain, form, tablePercent(percent), Source{m, EURegain}}
}

func astm(percent string, m Mark) Regain {
	return Regain{ASTMRegain, "", tablePercent(percent), Source{m, ASTMRegain}}
}

// tablePercent reads a figure of a table in this package; a figure that cannot
// be read is a fault of that table, which the first test to run shows.
func tablePercent(s string) quantity.Percent {
	p, err := quantity.ParsePercent(s)
	if err != nil {
		panic("recipe: " + err.Error())
	}
	return p
}

func words(s string) []string { return strings.Split(s, "; ") }

func indexFibres(of []Fibre) map[string]int {
	names := map[string]int{}
	for i, f := range of {
		for _, name := range append([]string{f.Key}, f.Also...) {
			names[name] = i
		}
	}
	return names
}
