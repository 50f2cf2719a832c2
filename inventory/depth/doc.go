// Package depth answers two questions that a dyer asks of measured swatches: how
// much of this plant reaches that depth, and how strong is this harvest.
//
// Depth is K/S (Kubelka and Munk), read at the wavelength where the dyed cloth
// takes up most light, with the K/S of the undyed cloth taken off. At a shallow
// depth K/S grows in step with the dye. Deeper it lags: the fibre fills, and a
// twentieth more plant shows as next to nothing.
//
// [FitSwatches] lays three curves through swatches dyed at several doses: a line,
// K/S against ln dose, and K/S = m·w/(h + w), which bends towards m and is half
// way there at h % WOF. Each swatch is left out in turn and foretold from the
// others; the curve that foretells best is taken. [Fit.Dose] reads off the dose
// for a depth, with the interval that a new swatch of that depth would come from:
// the doses whose own prediction band, by Student's t, holds that K/S. It never
// goes beyond the swatches.
//
// [Compare] weighs a harvest against another by test dips. Strength is the ratio
// of the doses that give equal K/S at a shallow depth, and not of the K/S at
// equal dose: on a curve that bends, those differ.
//
// A worked number: dips of a reference at 1, 2 and 4 % WOF read K/S 0.909, 1.667
// and 2.857 (they bend towards 10). A new harvest reads 0.826, 1.525 and 2.647.
// At equal dose it looks 93 % as strong in the deepest dips; but K/S 1.667 takes
// 2 % of the reference and 2.222 % of the new one: 2 / 2.222 = 90 %. So where the
// recipe asks for 648 g of the reference, 648 × 100 / 90 = 720 g are weighed.
package depth
