// Package season plans: when to buy again, how much at once, what each month
// needs, which sets share a pot, and in what order the pots run.
//
// A season has two clocks. Blanks, alum and copperas can be ordered any week,
// so the question is when the shelf is low enough: the reorder point is what
// is used while the order travels, and a little more against bad luck, the
// safety stock. Plants have their two weeks a year, so the question is how
// much to take at once: the newsvendor weighs a basket too many against a
// basket too few. In between, netting turns the collection's needs into
// orders month by month, and lot sizing joins small orders where carriage
// costs more than shelf room.
//
// The worked number (Russell & Taylor, Operations Management, ch. 16): use of
// 30 a day, give or take 5, and ten days of waiting. To run short in one order
// out of twenty the shelf must hold 300 for the wait and z·5·√10 ≈ 26.1 for
// luck (z = 1.65): order when 326.1 are left.
//
//	safety, point, err := season.ReorderPoint(season.Use{PerDay: 30, SD: 5, LeadDays: 10}, 0.9505)
//
// What is counted or weighed comes and goes as exact fractions (*big.Rat):
// thirty parcels of 0.1 kg are 3 kg. What is estimated, such as a safety
// stock, is a float64. Every figure here is a starting point for the owner's
// judgement; a forecast of a few odd months is refused rather than invented.
package season
