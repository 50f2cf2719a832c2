// Package cost says what the goods that leave the shelf have cost.
//
// A jar of alum is filled from three bags at three prices, and no crystal
// remembers its bag. Two customs of bookkeeping answer for it. First in, first
// out takes the oldest bag's price until that bag would be empty. The moving
// average throws all that is there into one heap, whose price changes with each
// bag that comes and with nothing that leaves. Which one a studio uses is its
// accountant's choice, not the dyer's; both keep the law that what was paid is
// what was used plus what is left, to the last millionth.
//
// The worked number: 10 kg at 6, then 20 kg at 12, then 15 kg are used, then 15
// kg come at 14. First in, first out has used 10·6 + 5·12 = 120 and has 390
// left. The moving average is 300 / 30 = 10 a kg: 150 used, 360 left.
//
//	used, left, err := cost.FirstIn(layers, quantity.Grams(15_000))
//
// A joint cost was paid once for several things: the ferry for two harvests,
// the carriage of a crate. Split shares it out by mass or by what each is worth,
// and the shares sum to what was paid.
//
// A lot is priced from the pot: each parcel by its own cost (Value), shared baths
// by fibre mass (Charge), minutes, pot-days and tests at the studio's Rates. Spread
// lays it on the good garments, the usual loss with it, and keeps what was lost
// beyond the usual apart. Compare says why it is more or less than planned: 61 g
// of alum instead of 60.8 g at 15 EUR a kilogram is 0.003 EUR more. What nobody
// wrote down is never made up: the answer is then "at least".
package cost
