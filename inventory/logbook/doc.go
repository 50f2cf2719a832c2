// Package logbook is the small books of a dye house: what the water is, whether
// the scales and the pH meter tell the truth, and what went wrong or nearly did.
//
// Dye bath and recipe are only as good as these. Hard water holds lime, which
// turns soap to scum on the wool and which some dyes want; its hardness is told
// in German degrees, 1 °dH being 10 mg of CaO in a litre. Iron in the water
// saddens a yellow before any iron was poured. A scale drifts, is knocked or
// stands askew, and is found out by a check mass; a pH meter by a fresh buffer.
//
// The worked number: a kitchen scale that shows steps of 0.1 g reads 199.8 g for
// a check mass of 200 g. That is 0.2 g too little, −0.1 % or −1 ‰ of the check
// mass, and more than the scale's own step, so it warns:
//
//	c := logbook.Scale{Mass: quantity.Grams(200), Read: …199.8 g, Step: …0.1 g}
//	c.Error()    // -0.2 g
//	c.Percent()  // -0.1
//
// Each water, scale and meter is checked again after so many days, which the
// studio sets; a check that is overdue, or was never done, is a task of the day.
// Whoever reports an accident or a near miss is a role, never a name, and reads
// first what the supplier's safety sheet and the poison centre are for.
package logbook
