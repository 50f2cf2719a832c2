// Package shade sorts the garments of a run by shade, and follows a colour from
// lot to lot.
//
// Sisters of one pot are not one colour: where a sleeve lay folded, where the
// liquor came in, it shows. What may hang side by side on one rail is a group in
// which no two garments differ by more than a tolerance, by CIEDE2000: not each
// to its neighbour, for along a row of small steps the ends drift apart. Sort
// makes few such groups. Complete linkage joins the nearest first and measures
// two heaps by their worst pair; it is quick and honest, and at times wasteful,
// so a search looks for fewer groups, and three garments that are each too far
// from the other two prove that no fewer than three will do.
//
// The worked number: four greys of L* 50, 51, 51.9 and 52.9 at a tolerance of
// 1.1. Complete linkage joins 51 and 51.9, the nearest, and leaves the other two
// alone: three groups. Two will do,
//
//	50 · 51 and 51.9 · 52.9
//
// and no fewer, since 50 and 52.9 are too far apart.
//
// A matched set is picked from one group alone, the pieces whose worst pair is
// least, and of one harvest of each dyestuff: Pick.
//
// From lot to lot, an individuals chart (Individuals) of the difference to the
// standard and of the strength tells a change of the process from its usual
// swing. Strength is the Kubelka-Munk K/S of the lot over that of the standard,
// in per cent, at the wavelength where the standard takes up most.
package shade
