// Package instrument reads the files that colour instruments write, and
// measures nothing itself.
//
// A spectrophotometer lays a spot of cloth against its port and writes down the
// share of light thrown back at each wavelength. Its program exports that in one
// of three ways, and the bench keeps the file: a text with keywords, a list of
// fields and rows of data (CGATS.17, which ISO 28178 took over); XML with
// objects and the specifications they were measured by (CxF3, ISO 17972-1); or a
// plain sheet of comma, semicolon or tab. Read tells them apart by what is in
// them, never by their names.
//
// Exports are untidy, so Read forgives what cannot mislead: comments, tabs, a
// byte order mark, columns out of order, decimal commas, bands that begin at 360.
// It refuses what can, with line and reason: a row cut short, a band left out,
// decimal commas beside points, a brightener's 104 %, and per cent beside shares
// of 1. Whether a file is in per cent is decided once for all of it, from what it
// says or from values above 1.5, and a note says which was taken. So do all the
// other notes: what was taken, what was left aside, what the file did not say.
//
// A colour without its light and its eye says nothing. L*a*b* whose file names
// neither comes back without a View, and XYZ cannot be read until somebody says.
//
// A worked number: wool in the madder tub reads 4.00 % at 400 nm and 69.93 % at
// 700 nm, so Read takes per cent, keeps 0.0400 and 0.6993, and the colour in
// D65/10° is L* 44.09, a* 49.82, b* 35.17.
package instrument
