// Package calc is the bench calculator, dyelot calc NAME: fifteen questions that
// come up beside the pot, answered without a server and without any setting.
//
// A dyer asks with flags and gets a sentence to read aloud, then the figures
// behind it with their basis, formula, light and source:
//
//	dyelot calc dose --dry-mass-g 1080 --wof-percent 15
//	Weigh 162 g.
//
// A program asks with one JSON document (--in FILE, or - for standard input) and
// gets one with --json. Amounts are read as the decimals they are written as, so
// thirty times 0.1 is 3; what is estimated, such as a colour, is a float64.
//
// The arithmetic stands in the inventory packages. Here are only the questions:
// each NAME is one file, and each file one table of fields which serves the
// flags, the JSON document, the help text and the refusals alike. A refusal is a
// fault.Invalid whose field is the name in the document, such as "demand[2]".
package calc
