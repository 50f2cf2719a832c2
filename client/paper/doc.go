// Package paper is what people read: the stock table, the reorder list, the
// plan of a run, the bench card, the judgement of a lot, the trace of a garment.
//
// A sheet is 80 columns, plain text, and reads aloud from top to bottom: what is
// short or failed comes first and in words, never in colour alone. Every
// quantity names its basis: cloth is weighed air-dry, a dose is % WOF (per cent
// of the air-dry weight of fibre) or g/L of bath, and both are shown with what
// they make on the scale. 15 % WOF on 1 080 g of air-dry silk is 162 g:
//
//	15 % WOF = 162 g
//
// Every colour difference names its formula, illuminant and observer: 1.23 by
// CIEDE2000 for D65 and the 10° observer is another number by CMC or for the 2°
// observer. A liquor of unknown strength shows its millilitres and no % WOF.
//
// What a grade was, and who overrode it, stays on every later sheet. Cautions
// are printed where they are needed, and the supplier's safety sheet, local codes
// and licensed practice come before them.
package paper
