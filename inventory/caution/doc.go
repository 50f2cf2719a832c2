// Package caution is what the bench card says before anyone is hurt.
//
// The supplier's safety data sheet, local codes and licensed practice come
// first: that line stands above all others, always. What follows is short, in
// the imperative, and belongs to one stage of the work or one substance in it.
// "Natural" is not "safe": copperas is a plant dyer's oldest salt, and it is
// what a child on the floor of the studio must never reach.
//
// The worked number: 20 mg of iron to a kilogram of body weight makes a child
// ill (McGuigan 1996; Bateman 2003). Copperas is 20.088 % iron, so for a child
// of 10 kg that is 1.0 g of it, or one teaspoon of the liquor on the shelf:
//
//	line, _ := caution.IronSwallowLine(200_000, 10)
//	// "5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child"
//
// Dissolving the salt takes away the dust and not the danger of swallowing.
//
// Hazard statements are those of the Globally Harmonized System (UN GHS; texts
// as in Annex III of Regulation (EC) No 1272/2008). Which of them a substance
// carries is mostly recalled [M]: the owner confirms each from the sheet in
// hand, and the program keeps that date. Chrome, tin and copper have rows only
// so that old records can be read.
package caution
