// Package stock is the shelf of a dye house: what lies in which bag, what was
// promised to which pot, and why the book and the bag disagree.
//
// An item is a thing the studio keeps; a parcel is one quantity of it with one
// origin: a delivery, a harvest, a making. Two harvests of one plant are two
// parcels, since each dyes in its own way, and a matched set takes one. Stock
// moves in movements, whose every leg goes from one place to another, so that
// each parcel sums to zero (law 1). A movement never changes; a reversal
// mirrors it.
//
// Law 2 is the heart of it: promises are refused, facts never. A promise keeps
// an amount aside; of two dyers who ask for the last gram, one is told no, with
// what is left. But what was weighed into a pot is in the pot. The worked
// number, a jar booked at 100 g of which 118 g were weighed out:
//
//	legs := stock.Take(jar, quantity.Grams(118))
//	// shelf → process 118 g, difference → shelf 18 g: nothing is left
//
// What such a fact takes of somebody's promise is eaten from it, the newest
// promise first, and becomes that lot's shortage ([Settle]).
//
// Water is not stock, so a solution may weigh more than what went in; its
// strength is the acting mass by the volume made. Strength is a dated property
// of a parcel, never a movement. Nothing here reads a clock or a database: the
// caller loads, a rule decides, the caller writes.
package stock
