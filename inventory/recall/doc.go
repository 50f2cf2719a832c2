// Package recall says what a recall asks of each garment, and how far it has
// come.
//
// A bag of alum turns out to be bad. Every garment that has any of it in it,
// however far down, stands on the list: the scarves that were mordanted from
// the bag, those of the second use of that tub, and the shirt that was dyed
// over since. The list is kept as it was found, so that it can be shown later
// what was known on the day. A garment in the house is held from sale until it
// is decided: checked and kept, or destroyed. Of one that is out somebody is
// told, by the order's own reference, and it is accounted for once it is back,
// or was checked or destroyed where it is, or cannot be reached.
//
// Nothing is booked by hand. What came back is taken back and what is destroyed
// in the house is scrapped by the same acts as on any other day (Account says
// which), and the loss is read from the ledger (LossOf).
//
// The worked number: of 14 garments 9 are out. Told of 6, accounted for 13: 66 %
// and 92 %. Both are rounded down, so that 100 % means every one.
//
//	recall.Percent(13, 14) // 92
package recall
