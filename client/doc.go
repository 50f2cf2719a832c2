// Package client is the `dyelot` command: it reads what a person types, asks the
// service once, and prints what a person reads or a program parses.
//
// The trade's part of it is small: how a recipe is typed. A dyer says "alum at
// fifteen per cent, an hour at fifty-five", and means per cent of the weight of
// the dry fibre (% WOF), so a stage is typed in those words:
//
//	--stage 'mordant shared 55C 60min alum=15%'
//
// 15% is % WOF: 1 080 g of air-dry silk take 162 g of alum. 1g/L is grams a
// litre of bath, which is another thing: the same 162 g in 43.2 L are 3.75 g/L.
// 40mL/kg is for a liquor of unknown strength, found by swatch, of which no
// % WOF may be said.
//
// What the rest of the package holds to: amounts travel as they were typed,
// value and unit; every change carries a request id, so that repeating it
// records it once; a call always has a deadline; data goes to stdout, every word
// about it to stderr; and the exit code says which sort of no it was (exit.go).
// A command is one verb in a file named for its noun (verb.go, form.go); how an
// answer reads on paper is package paper's.
package client
