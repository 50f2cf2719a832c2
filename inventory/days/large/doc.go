// Package large makes up a season as large as a studio of three people can dye,
// from a fixed seed: the season that benchmarks plan. Nobody's garments are in
// it.
//
// Forty colourways in twenty-five styles, in runs of fifty garments; the pots
// are those of Studio. What is in a run of one style matches, so it is a set.
//
//	s := large.New(2000)
package large
