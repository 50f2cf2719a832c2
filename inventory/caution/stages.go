package caution

import "dyelot/inventory/recipe"

var (
	practice = recipe.Source{Mark: recipe.Practice}
	recalled = recipe.Source{Mark: recipe.Memory}
)

var sheetFirst = Caution{"sheet-first", "First come the supplier's safety data sheet, local codes, licensed practice.", practice}

var everywhere = lines("all",
	"natural", "Natural is not safe: plants, metals and hot liquor can all harm.",
	"dye-only", "Use dye-only pots and spoons. Nothing goes back to food.",
	"no-eating", "Do not eat, drink or smoke.",
	"keep-out", "Keep children and animals out.",
	"labels", "Label every jar.",
	"dry-floor", "Keep the floor dry.",
	"lift", "40 L is 40 kg of near-boiling liquor: bail, tap or cool it. Two to lift.",
	"burner", "Never leave a burner alone.",
	"monoxide", "Keep a working carbon-monoxide alarm.",
)

type stageKind struct {
	key   string
	lines []Caution
}

func stage(key string, keyed ...string) stageKind { return stageKind{key, lines(key, keyed...)} }

// lines reads pairs of a key and a sentence, all common practice.
func lines(of string, keyed ...string) []Caution {
	var cs []Caution
	for i := 0; i+1 < len(keyed); i += 2 {
		cs = append(cs, Caution{of + "-" + keyed[i], keyed[i+1], practice})
	}
	return cs
}

// kinds is the table of stages and activities. A new stage kind is one more
// row here; a kind without a row is still shown the general lines.
var kinds = []stageKind{
	stage("scour",
		"alkali", "Hot alkali burns: wear goggles and gloves.",
		"pour", "Put soda into water, never water onto soda.",
		"shock", "Wool and silk: neutral soap, no soda, no jump of temperature."),
	stage("tannin",
		"no-iron", "Keep iron tools away: they blacken tannin.",
		"dust", "Tannin powder flies: wear a mask."),
	stage("mordant",
		"dissolve", "Dissolve the salt fully before the cloth goes in.",
		"lid", "Keep the lid on.",
		"keep-or-log", "Keep the bath for its next use, or log it spent."),
	stage("chalk-bath",
		"no-vinegar", "Never close chalk and vinegar in one jar: it bursts.",
		"dust", "Chalk dust: wear a mask and goggles."),
	stage("wet-out",
		"no-dry-spot", "Soak until no dry spot is left.",
		"heavy", "Wet cloth is heavy: two to lift a full tub."),
	stage("brew",
		"scald", "Liquor and steam scald: open the lid away from you.",
		"steam", "Ventilate: steam carries the plant's oils.",
		"strain", "Strain before the cloth goes in.",
		"limit", "Keep below the °C limit on this card.",
		"slow", "Heat slowly. Cool slowly."),
	stage("dye",
		"scald", "Liquor and steam scald: lower the cloth in, do not drop it.",
		"strained", "No cloth goes into an unstrained liquor.",
		"limit", "Keep below the °C limit on this card.",
		"slow", "Heat slowly. Cool slowly."),
	stage("vat-dip",
		"air", "Work outdoors or well ventilated.",
		"reductant", "Keep the reductant from water and acid until it goes into the vat.",
		"alkali", "A vat is alkaline: wear goggles and gloves.",
		"ph", "Keep to the pH limits on this card."),
	stage("after-dip",
		"cloth-out", "Take the cloth out while the liquor goes in.",
		"stop-paler", "Stop paler than wanted."),
	stage("neutralise",
		"pour", "Pour acid into water, never water into acid.",
		"no-reductant", "Keep acid from vat reductant: together they free sulfur dioxide."),
	stage("rinse",
		"temperature", "Rinse at the temperature of the cloth.",
		"clear", "Rinse until the water runs clear."),
	stage("dry",
		"shade", "Dry in shade.",
		"flat", "Lay wool and alpaca flat.",
		"pegs", "Use no rusting pegs."),
	stage("cure",
		"dark", "Keep in the dark.",
		"ends", "Write down the date the cure ends."),
	stage("press",
		"burns", "A hot iron burns and sets fire: never leave it face down.",
		"fibre", "Set it for the most delicate fibre in the garment."),
	stage("look-over",
		"rested", "Look when dry and rested, in one light.",
		"inside", "Look at inside seams and thread.",
		"rub", "Rub a white cloth on it.",
		"open-tests", "Read which test is still open before you pass it."),
	stage("gather",
		"certain", "Be certain of the plant. What you cannot name, leave.",
		"permission", "Ask permission.",
		"gloves", "Wear gloves.",
		"leave", "Take no lichens and no living bark.",
		"oils", "A plant's oils travel in its steam too.",
		"hulls", "Mouldy walnut hulls kill dogs."),
	stage("weigh",
		"powder", "Grinding or weighing powder: wear mask, goggles and gloves.",
		"air", "Ventilate."),
	stage("spent-bath",
		"log", "Log litres, pH and route.",
		"sewer", "Pour to a foul sewer where the utility allows. Never to a stream.",
		"septic", "Give little to a septic tank.",
		"metals", "Take copper, tin and chrome to hazardous waste."),
}

// saddening belongs to an after-dip with iron alone.
var saddening = lines("sadden",
	"own-pot", "Use a pot and a spoon kept for iron.",
	"so-far", "Read the iron so far on each garment before you pour.",
)

var vinegarLiquor = lines("liquor",
	"unknown", "This liquor's strength is unknown: no mouthful of it is safe.",
	"hydrogen", "A working jar gives off hydrogen: vented, outdoors, no flame, locked up.",
	"cap", "Cap it only once strained and still. A tight cap on a working jar bursts.",
)

var reductant = lines("dithionite",
	"damp", "Sodium dithionite heats by itself when damp: keep it sealed and dry.",
	"acid", "Keep acid away from it: acid frees sulfur dioxide.",
)

var mouldyHulls = Caution{"walnut-hulls-dogs", "Mouldy walnut hulls kill dogs: keep them covered.", practice}
