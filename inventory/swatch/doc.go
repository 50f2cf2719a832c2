// Package swatch is the swatch book: every trial on a bit of cloth, with what
// made it, how it measured and how it wore. A dyer who wants a grey-green on
// silk in October turns its pages by fibre, by plant and month, by mordant, by
// how fast the colour was to light, or by the colour itself.
//
// A page says the fibre; the plant, its part, where and when it was picked; the
// baths before and after, each with the metal that its salt brings; how much of
// the plant on how much cloth (% WOF on air-dry fibre); and the day. What nobody
// knows is left out: home-made iron liquor has no known strength, so no % WOF is
// kept of it. A page is never changed. A wrong one is struck out with a reason;
// it is found no more, and can still be read.
//
// The plant decides what may be gathered in a month, by the table of package
// season. Dried plants on the shelf can be used all year; "in season" means that
// it may be picked then. A plant that the table does not hold is unknown: it
// matches no month, and the page says so.
//
// Grades of a swatch are what to expect, never a lot's own grade: the same weld
// on the same silk came out at light 3-4 once, and this pot was not that pot.
// [Expect] lists every grade of every like swatch with its page, the worst and
// the lower median; grades are an order, so there is no mean.
//
// The worked number: of three swatches with light 3-4, 4 and 3, expect 3 at
// worst and 3-4 in the middle; two of three were 3-4 or better.
package swatch
