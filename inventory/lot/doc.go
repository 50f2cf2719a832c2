// Package lot is the life of a dye lot: garments dyed together in one pot, the
// unit that is tested, passed, sold and traced.
//
// A run of one colourway is split into lots, one a pot (Split); each stage of
// the recipe becomes one bath for each lot, or one that all lots share (Plan);
// what was done at the pot is recorded against the plan (Record); and a lot
// passes from state to state by one table (Next).
//
// A pot holds less than its brim: filled to 0.8 (common practice), a 40 L pot
// has 32 L of liquor, and at a liquor ratio of 1 : 40 that serves 800 g of
// air-dry fibre. Ten silk tunics of 1044 g with two witness swatches of 18 g do
// not fit it; a 40 L and a 30 L pot take them, five each:
//
//	541 g and 539 g
//
// A tub or a brew that lots share is divided by fibre mass, and the shares sum
// to it.
package lot
