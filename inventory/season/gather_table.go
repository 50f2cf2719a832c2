package season

import (
	"time"

	"dyelot/inventory/recipe"
)

var (
	newYear     = MonthDay{time.January, 1}
	newYearsEve = MonthDay{time.December, 31}
	custom      = recipe.Source{Mark: recipe.Practice}
	recalled    = recipe.Source{Mark: recipe.Memory}
)

func on(day int, m time.Month) MonthDay { return MonthDay{m, day} }

// gatherings by plant, then part. The weeks of what is grown or foraged by many
// are common practice; the others are from memory, and to be put right by the
// studio's own harvests. Bark is taken from felled or pruned wood alone.
var gatherings = []Gathering{
	{"alder", "bark", "alder bark", on(1, time.February), on(15, time.May), false, "from felled branches, peels best as the sap rises", recalled},
	{"apple", "bark", "", on(1, time.December), on(31, time.March), true, "from prunings", recalled},
	{"apple", "leaf", "", on(1, time.June), on(30, time.September), true, "from summer prunings", recalled},
	{"bilberry", "berry", "berries", on(10, time.July), on(5, time.September), true, "", custom},
	{"birch", "leaf", "birch leaf", on(15, time.May), on(15, time.August), false, "young leaf gives the clearer yellow", custom},
	{"blackberry", "berry", "berries", on(10, time.August), on(5, time.October), true, "", custom},
	{"blackberry", "leaf", "", on(15, time.April), on(30, time.September), true, "young shoots too", recalled},
	{"bracken", "frond", "", on(1, time.May), on(30, time.June), false, "brew outdoors: dust and spores are not to be breathed", recalled},
	{"cochineal", "insect", "cochineal", MonthDay{}, MonthDay{}, false, "", custom},
	{"coreopsis", "flower", "", on(20, time.June), on(10, time.October), false, "picked again and again", custom},
	{"dahlia", "flower", "", on(15, time.July), on(20, time.October), false, "until the first frost", custom},
	{"dock", "root", "", on(15, time.September), on(15, time.March), false, "dug when the leaves are down", recalled},
	{"dyer's broom", "flowering top", "", on(1, time.June), on(15, time.August), false, "", custom},
	{"elder", "berry", "berries", on(20, time.August), on(5, time.October), true, "raw berries make ill", custom},
	{"elder", "leaf", "", on(1, time.May), on(31, time.July), true, "poisonous to eat", recalled},
	{"fustic", "wood", "fustic", MonthDay{}, MonthDay{}, false, "", custom},
	{"goldenrod", "flowering top", "goldenrod", on(25, time.July), on(20, time.September), false, "as the flowers open", custom},
	{"heather", "flowering top", "heather", on(1, time.July), on(10, time.September), false, "tips, before they are past", recalled},
	{"indigo", "pigment", "indigo", MonthDay{}, MonthDay{}, false, "", custom},
	{"madder", "root", "madder", on(20, time.September), on(20, time.November), false, "of three years or older", custom},
	{"marigold", "flower", "marigold", on(20, time.June), on(10, time.October), false, "picked again and again", custom},
	{"nettle", "leaf", "", on(1, time.April), on(30, time.June), true, "young tops; gloves", custom},
	{"oak", "gall", "oak gall", on(15, time.August), on(15, time.November), false, "hard ones, before the wasp is out, hold the most tannin", recalled},
	{"onion", "skin", "onion skin", newYear, newYearsEve, true, "dry outer skins, from the kitchen", custom},
	{"red cabbage", "leaf", "red cabbage", on(1, time.July), on(31, time.March), true, "from the field or the cellar", custom},
	{"rhubarb", "root", "", on(1, time.October), on(31, time.March), true, "while it is at rest; the leaves are poisonous", recalled},
	{"sumac", "leaf", "", on(1, time.August), on(10, time.October), false, "staghorn sumac, never poison sumac", recalled},
	{"tansy", "flowering top", "", on(15, time.July), on(15, time.September), false, "poisonous to eat", custom},
	{"turmeric", "root", "turmeric", MonthDay{}, MonthDay{}, true, "", custom},
	{"walnut", "hull", "walnut hull", on(1, time.September), on(31, time.October), true, "green hulls stain skin, mouldy ones kill dogs", custom},
	{"walnut", "leaf", "walnut leaf", on(1, time.June), on(31, time.August), true, "", custom},
	{"weld", "flowering top", "weld", on(10, time.June), on(10, time.August), false, "the whole stalk, from full flower until the seed is still green", custom},
	{"willow", "bark", "willow bark", on(1, time.March), on(31, time.May), false, "from prunings", recalled},
	{"woad", "leaf", "woad", on(1, time.July), on(10, time.October), false, "rosettes of the first year, used fresh", custom},
}

// partWords are other words for a part.
var partWords = map[string][]string{
	"bark":          {"barks", "twig bark", "inner bark"},
	"berry":         {"berries", "fruit"},
	"flower":        {"flowers", "flower head", "flower heads", "petals"},
	"flowering top": {"flowering tops", "top", "tops", "flower", "flowers", "tips", "plant", "whole plant", "leaf", "leaves", "stalk", "stalks"},
	"frond":         {"fronds", "shoot", "shoots", "leaf", "leaves"},
	"gall":          {"galls", "apple", "apples"},
	"hull":          {"hulls", "husk", "husks", "green hull", "green hulls"},
	"insect":        {"insects"},
	"leaf":          {"leaves", "young leaf", "young leaves", "top", "tops", "shoot", "shoots"},
	"pigment":       {"powder", "cake"},
	"root":          {"roots"},
	"skin":          {"skins", "peel", "peels", "outer skin", "outer skins"},
	"wood":          {"chips", "heartwood"},
}

// otherNames are the trade's other names of a plant, or of a part of it.
var otherNames = map[string]plantName{
	"bramble":           {"blackberry", ""},
	"bramble leaf":      {"blackberry", "leaf"},
	"dyer's weld":       {"weld", ""},
	"dyer's greenweed":  {"dyer's broom", ""},
	"dyers broom":       {"dyer's broom", ""},
	"elderberry":        {"elder", "berry"},
	"gall":              {"oak", "gall"},
	"galls":             {"oak", "gall"},
	"ling":              {"heather", ""},
	"stinging nettle":   {"nettle", ""},
	"dyer's coreopsis":  {"coreopsis", ""},
	"red cabbage leaf":  {"red cabbage", "leaf"},
	"red cabbages":      {"red cabbage", ""},
	"onions":            {"onion", ""},
	"staghorn sumac":    {"sumac", ""},
	"sumach":            {"sumac", ""},
	"walnuts":           {"walnut", ""},
	"yellow onion":      {"onion", ""},
	"yellow onion skin": {"onion", "skin"},
	"red onion":         {"onion", ""},
	"red onion skin":    {"onion", "skin"},
}

var plantNames = namePlants()
