// Package lot is the life of a dye lot: garments dyed together in one pot, the
// unit that is tested, passed, sold and traced.
//
// A run of one colourway is split into lots, one a pot (Split); each stage of
// the recipe becomes one bath for each lot, or one that all lots share (Baths),
// and its doses are picked from a shelf, whole or not at all (Fill). What was
// done at the pot is recorded against that plan (Record): what differs is a
// deviation and stops nothing, for what was weighed into a pot is in the pot.
// A lot passes from state to state by one table (Next). Judge holds its own
// cloth against the standard, its sisters and the house's rows.
//
// A pot holds less than its brim: filled to 0.8 (common practice), a 40 L pot
// has 32 L of liquor, and at a liquor ratio of 1 : 40 that serves 800 g of
// air-dry fibre. Ten silk tunics of 1044 g, with 18 g of witness cloth to a
// lot, do not fit it; a 40 L and a 30 L pot take five each, 541 g and 539 g.
// A brew that both share is divided by fibre mass, to the gram of the studio's
// scale, and the shares sum to it: of 720 g of weld
//
//	361 g and 359 g
package lot
