// Package opening reads the spreadsheets that a studio kept before it had these
// books: what it keeps (items), what lies on its shelf (parcels), and what it
// dyed (past lots).
//
// A spreadsheet is untidy. It comes with commas, semicolons or tabs, with
// decimal commas or points, in grams or ounces, with blank lines and with text
// that goes over several. What can be read in one way only is read; what could
// mean two things is never guessed at: 1,234 g may be a gram and a bit, or more
// than a kilogram, and so it is refused until somebody says which.
//
// Every row that is off is told, with its line and its column, so that a sheet
// is put right in one go and not in fifty.
//
// What stands in a parcel's amount is what lies on the shelf today. What past
// lots of the same sheets took was there before, so the parcel is booked in with
// both: a bag that holds 300 g today and gave 162 g to a lot came in with
// 462 g. Then received = used + on hand, and the lot is traced to the bag. A
// parcel that stood in these books before has its own history: what a past lot
// took of it is booked as found, and what it holds stays.
//
// Ounces are avoirdupois: 8 oz are 226.796185 g, since one is 28.349523125 g
// (international yard and pound agreement, 1959).
package opening
