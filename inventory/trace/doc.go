// Package trace finds what a garment is made of and who else has the same in
// theirs: the tag in its seam, and what a few returns say about a harvest.
//
// A tag is read by tired eyes in bad light and typed with wet thumbs, so it
// must not turn into another garment's. Serials are written in Crockford's
// base 32, which has no I, L, O or U, and end in a check character: the serial
// modulo 37, a prime above 32. One wrong character, or two neighbours swapped,
// then always shows.
//
// The worked number (Crockford, Base 32): serial 1234 is 1·32² + 6·32 + 18, so
// 1, 6 and J; 1234 is 33·37 + 13, and the thirteenth character is D.
//
//	tag, err := trace.Tag(1234) // "16JD"
//
// The check has five values that no digit stands for, written * ~ $ = U by
// Crockford. They would break the alphanumeric mode of a QR code or read as V,
// so the serials that need them, about 13 %, are never issued: NextSerial skips
// them.
//
// A History is what the books say of where things went: what a lot got from its
// baths and with its cloth, what was made of what. It has a Graph, and law 4 of
// the house holds in it: b is below a exactly when a is above b; nothing is made
// of itself; of each parcel, received and found are used, lost, sent back or on
// hand (Account); and a bath that lots share is divided by fibre mass, into
// shares that sum to it. A lot that got 30 mL of a liquor, of which 500 mL were
// made with 100 g of copperas, has 6 g of copperas in it ([History.Sources]).
// What two lots share, and what sets them apart, says Kin.
//
// When garments come back, Suspect says how likely it is that so many of them
// share a parcel by chance. A parcel looked for among many will be found: hold
// the whole list against Holm's correction before anyone is blamed.
package trace
