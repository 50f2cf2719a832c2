// Package cause asks what garments that came back have in common, and what the
// others that were sent out have not.
//
// A bag of alum is suspected because six of nine returns were mordanted from it.
// That says little by itself: if every second scarf was, four or five of nine
// would be by chance. So each thing that garments share (a parcel, a supplier's
// lot, a harvest, a vessel, one use of a bath, who stood at the pot, the water,
// the week, the recipe's version, an override, the iron added up, the shade
// group) is counted over a whole population, returned or not.
//
// The worked number: 245 garments were sent out, nine came back, 24 had the bag
// in them. Were the bag innocent, 9 · 24 / 245 = 0.9 of the nine would be among
// those. Six are. Fisher's exact test, one-sided, says how seldom chance does
// that: 0.000033, about once in 30 000.
//
// Whoever looks at forty suspects finds one by chance, so the probabilities are
// corrected for the many looked at (Holm 1979). Suspects that exactly the same
// garments were exposed to are one suspect: no count can part them, and the
// answer says so (Suspect.Factors). What might part them is a witness swatch of
// a lot that had the one and not the other: Apart names those that were kept.
//
// The answer is "worth a look", never "proved": nobody drew lots for who gets
// which bag, and with three returns or fewer even what all share may be chance.
//
// What is changed thereupon is an Action: a recipe's new version, a supplier's
// lot blocked, a method, because of what, by whom and by when.
package cause
