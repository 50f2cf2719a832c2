package recipe

import "strings"

// The table of substances. Names are the trade's or chemistry's own words; a
// key never changes, since ledgers hold it. The formulas of aluminium and iron
// salts are those of the trade's handbooks; what a bag holds, its label says.
var substances = readSubstances([]substanceRow{
	{"potassium-alum", "potassium alum", "KAl(SO4)2·12H2O", "alum; potash alum; potassium aluminium sulfate; potassium aluminium sulfate 12-hydrate; aluminium potassium sulfate"},
	{"ammonium-alum", "ammonium alum", "NH4Al(SO4)2·12H2O", "ammonia alum; ammonium aluminium sulfate; ammonium aluminium sulfate 12-hydrate; aluminium ammonium sulfate"},
	{"aluminium-sulfate-18", "aluminium sulfate 18-hydrate", "Al2(SO4)3·18H2O", ""},
	{"aluminium-sulfate-14", "aluminium sulfate 14-hydrate", "Al2(SO4)3·14H2O", ""},
	{"aluminium-triacetate", "aluminium triacetate", "Al(OAc)3", "neutral aluminium acetate"},
	{"aluminium-diacetate", "aluminium hydroxide diacetate", "Al(OH)(OAc)2", "aluminium diacetate"},
	{"aluminium-monoacetate", "aluminium dihydroxide acetate", "Al(OH)2OAc", "aluminium monoacetate"},
	{"aluminium-triformate", "aluminium triformate", "Al(HCOO)3", ""},
	{"aluminium-triformate-3", "aluminium triformate 3-hydrate", "Al(HCOO)3·3H2O", ""},
	{"aluminium-lactate", "aluminium lactate", "Al(C3H5O3)3", "aluminium trilactate"},
	{"copperas", "copperas", "FeSO4·7H2O", "green vitriol; ferrous sulfate; iron sulfate; iron ii sulfate; ferrous sulfate 7-hydrate; iron sulfate 7-hydrate; iron ii sulfate 7-hydrate"},
	{"ferrous-sulfate-1", "ferrous sulfate 1-hydrate", "FeSO4·H2O", "dried copperas; iron sulfate 1-hydrate; iron ii sulfate 1-hydrate"},
	{"vinegar-iron", "vinegar-and-scrap iron liquor", "", "vinegar iron; rust water; iron water"},
	{"copper-sulfate", "copper sulfate 5-hydrate", "CuSO4·5H2O", "copper sulfate; blue vitriol; bluestone"},
	{"stannous-chloride", "stannous chloride", "SnCl2", "stannous chloride anhydrous; tin ii chloride"},
	{"stannous-chloride-2", "stannous chloride 2-hydrate", "SnCl2·2H2O", "tin crystals; tin salt"},
	{"potassium-dichromate", "potassium dichromate", "K2Cr2O7", "chrome; bichrome; potassium bichromate"},
	{"chrome-alum", "chrome alum", "KCr(SO4)2·12H2O", "potassium chromium sulfate"},
	{"soda-ash", "soda ash", "Na2CO3", "sodium carbonate"},
	{"washing-soda", "washing soda", "Na2CO3·10H2O", "soda crystals; sodium carbonate 10-hydrate"},
	{"slaked-lime", "slaked lime", "Ca(OH)2", "lime; calcium hydroxide; hydrated lime"},
	{"lye", "lye", "NaOH", "caustic soda; sodium hydroxide"},
	{"chalk", "chalk", "CaCO3", "calcium carbonate; whiting"},
	{"cream-of-tartar", "cream of tartar", "KC4H5O6", "potassium bitartrate; potassium hydrogen tartrate"},
	{"oxalic-acid", "oxalic acid 2-hydrate", "H2C2O4·2H2O", "oxalic acid"},
	{"citric-acid", "citric acid", "C6H8O7", ""},
	{"vinegar", "vinegar", "", "white vinegar"},
	{"sodium-dithionite", "sodium dithionite", "Na2S2O4", "hydros; sodium hydrosulfite"},
	{"fructose", "fructose", "C6H12O6", "fruit sugar"},
	{"oak-gall", "oak gall", "", "gall; galls; gallnut; gall tannin"},
	{"myrobalan", "myrobalan", "", ""},
	{"soap", "neutral soap", "", "soap; olive soap"},
})

// unclearNames are words that the trade uses for more than one salt. Monobasic
// and dibasic acetate are used both ways, so only the formula is safe.
var unclearNames = map[string]string{
	"aluminium sulfate":           "aluminium sulfate 18-hydrate or 14-hydrate",
	"aluminium acetate":           "Al(OAc)3, Al(OH)(OAc)2 or Al(OH)2OAc",
	"basic aluminium acetate":     "Al(OH)(OAc)2 or Al(OH)2OAc",
	"monobasic aluminium acetate": "Al(OH)(OAc)2 or Al(OH)2OAc, since monobasic is used both ways",
	"dibasic aluminium acetate":   "Al(OH)(OAc)2 or Al(OH)2OAc, since dibasic is used both ways",
	"aluminium acetate monobasic": "Al(OH)(OAc)2 or Al(OH)2OAc, since monobasic is used both ways",
	"aluminium acetate dibasic":   "Al(OH)(OAc)2 or Al(OH)2OAc, since dibasic is used both ways",
	"aluminium formate":           "aluminium triformate or aluminium triformate 3-hydrate",
	"tin":                         "stannous chloride or stannous chloride 2-hydrate",
	"iron":                        "copperas, ferrous sulfate 1-hydrate or vinegar-and-scrap iron liquor",
	"iron liquor":                 "copperas dissolved at a known strength, or vinegar-and-scrap iron liquor",
	"soda":                        "soda ash or washing soda",
}

// namedMetal holds the metal of what has no formula to read it from.
var namedMetal = map[string]string{"vinegar-iron": "Fe"}

type substanceRow struct{ key, name, formula, also string }

// substanceNames finds a row by any of its plain names.
var substanceNames = indexNames(substances)

// readSubstances reads the formulas once. A row that cannot be read is a fault
// of this file, which the first test to run shows.
func readSubstances(rows []substanceRow) []Substance {
	var read []Substance
	for _, row := range rows {
		s := Substance{Key: row.key, Name: row.name, Metal: namedMetal[row.key]}
		if row.also != "" {
			s.Also = strings.Split(row.also, "; ")
		}
		if row.formula != "" {
			f, err := ParseFormula(row.formula)
			if err != nil {
				panic("recipe: " + row.key + ": " + err.Error())
			}
			s.Formula, s.Metal = f, soleMetal(f)
		}
		read = append(read, s)
	}
	return read
}

func indexNames(of []Substance) map[string]int {
	names := map[string]int{}
	for i, s := range of {
		for _, name := range append([]string{s.Key, s.Name}, s.Also...) {
			names[plainName(name)] = i
		}
	}
	return names
}
