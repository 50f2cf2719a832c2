// Package recipe is the arithmetic of the dye pot: how much of what, on which
// fibre, how hot, and what a dyer should be told first.
//
// Dyers weigh scoured cloth air-dry, rested in the room for a day, and dose
// on that weight: % WOF, per cent on the weight of fibre. The worked number,
// common practice: ten silk tunics with their witness cloth weigh 1080 g, and
// alum at 15 % WOF is 162 g.
//
//	a, _ := recipe.ParseAsk("percent_wof", "15")
//	d, _ := a.For(recipe.Pot{Dry: quantity.Grams(1080)}, recipe.Scale{})
//	d.Take.String() // "162 g"
//
// A harvest weaker than the reference takes more: at strength 90 % the 648 g
// of weld become 720 g. Copperas comes from a bottle: 10.8 g are 54 mL of a
// 200 g/L liquor. A liquor made of vinegar and scrap has no known strength; it
// is dosed by volume and no % WOF is ever computed from it.
//
// What mordants is the metal, not the salt, so SameMetal compares salts by
// their formulas. Equal aluminium is still not equal shade.
//
// Check holds a stage against the trade's lines: silk at 80 °C, soda never on
// wool, iron added up over a garment's life. It warns and never blocks; every
// figure carries the mark of its source ([S] published, [C] computed, [CP]
// common practice, [M] from memory). Nothing here is a lot's own result.
package recipe
