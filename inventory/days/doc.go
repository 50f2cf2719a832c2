// Package days lays a season over the studio's days: which garments share a
// pot load (Load), and which pot, burner, rack and pair of hands does which
// stage on which day (Make).
//
// A stage is begun by hand, may stand on a burner while somebody is in the
// house, then goes on by itself, overnight if need be, and is ended by hand:
// wool that cools in the pot until morning takes no labour, but it takes the
// pot. A stage may ask for a least wait behind it (a rest of 24 hours before
// judging) and a longest one (a hot heap must not sit). Between two colours in
// one vessel it is rinsed out; where the lighter follows the darker it is
// scrubbed; iron has vessels of its own.
//
// A calendar of working hours stands below all of that. Time is counted in
// minutes from the midnight at which the plan begins, and nothing here asks
// what time it is. Beside each plan stands a bound that no plan can beat: the
// longest chain of stages, and what pots, hands and burners can do at most.
//
// The worked number: one 40 L pot, hands from 8 to 17 on each of two days, and
// two loads that each take 30 minutes to begin, 90 on the burner, 12 hours to
// cool and 15 minutes to lift, with 10 minutes to rinse the pot out before each.
// The first cools from 10:10 on Monday and is lifted at 8 on Tuesday, so the
// second is ready on Wednesday at 8:15: 2 days and 495 minutes after Monday's
// midnight.
//
//	3375
package days
