// Package quantity holds exact amounts: mass in micrograms, volume in
// microlitres, counts in pieces, money in millionths of its currency.
//
// A dyer's scale shows tenths of a gram and a recipe speaks in per cent, so a
// float would do for one pot. It does not do for a ledger: a thousand doses
// must sum to exactly what left the bag. So every amount is an integer, every
// product is computed without loss, and is rounded once, half to even.
//
// The worked number, common practice at the pot: 450 g of air-dry wool at 50 %
// of madder on the weight of fibre (% WOF) takes 225 g.
//
//	dry, _ := quantity.Parse("450", "g")
//	wof, _ := quantity.ParsePercent("50")
//	dry.Percent(wof).String() // "225 g"
//
// Mass, volume and count never mix: turning one into another needs a
// concentration (g/L) or a piece mass, and says so in its name. One pound is
// 453.59237 g and one ounce 28.349523125 g, exactly (international yard and
// pound agreement of 1959); one US fluid ounce is 29.5735295625 mL.
package quantity
