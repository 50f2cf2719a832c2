// Package fastness holds what a dyer must know about how a colour wears: the
// grades, the tests that give them, the studio's own minimum grades, and what a
// blue wool grade means in days of light.
//
// A fastness test treats a piece of witness cloth (washes it, rubs it, wets it
// with made-up sweat, puts it behind glass) and two people then judge, by eye,
// how much it changed and how much it marked white cloth sewn against it. The
// yardstick is a grey scale: nine pairs of grey chips from 5, no difference to
// be seen, down to 1, with half grades written 3-4. Light is judged instead
// against eight blue wools, 1 the most fugitive and 8 the fastest, exposed
// beside the cloth.
//
// Grades are an order, not a measure: the step from 2 to 3 is far wider than
// that from 4 to 5, so a mean of grades means nothing. This package lists every
// grade, the worst and the lower median, and has no mean. Grades on different
// scales are never compared.
//
// A grade belongs to what was tested. [Judge] takes for a lot only tests of that
// lot, or of its harvest or recipe where the row of the house standard says so;
// a published table, a trial swatch or a sister lot says nothing about this pot.
//
// One worked number. Blue wool 3 shows a just noticeable fade after 1.5 megalux
// hours of light with its ultraviolet (CIE 157:2004 and Michalski, from memory).
// A window of 400 lux, 10 hours a day, gives 400 × 10 = 4 000 lux hours a day:
//
//	1 500 000 ÷ 4 000 = 375 days
//
// and blue wool 2, at 0.6 megalux hours, 150 days. A shirt graded 2-3 lies
// somewhere between the two: say "between", never a promise. See [Fade].
package fastness
