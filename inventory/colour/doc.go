// Package colour measures cloth: what colour a lot has, how far it is from the
// standard it was dyed to, and how deep the dye sits.
//
// A dyer judges dry, rested cloth in one light. An instrument does the same in
// numbers: L* is how light the cloth is, a* how red or green, b* how yellow or
// blue. A number of that kind says nothing without its light and its eye, so
// every colour belongs to a View such as D65/10°: average daylight, seen over
// more than a thumbnail.
//
// A lot is never equal to its standard; the question is how far off it is. ΔL*,
// ΔC* and ΔH* say which way: paler or darker, duller or brighter, and turned to
// which neighbouring hue. One number for pass or fail comes from CMC(2:1), made
// for cloth, or from CIEDE2000. They disagree with each other and with plain
// ΔE*ab, so the formula's name goes with the figure, and the difference is
// always sample − standard.
//
// Better than three numbers is the whole Spectrum: the share of light thrown
// back at each wavelength. From it comes the colour in any light, so it shows
// metamerism (two reds alike at the window and apart under a shop's tubes), and
// Kubelka and Munk's K/S, which grows with the dye on the cloth where L* no
// longer tells. Cloth with a brightener throws back more than it receives and
// is refused.
//
// One spot is not the cloth. Several are read and averaged, by reflectance where
// they are spectra; how far they lie apart says whether the cloth is level, and a
// spot that stands out is pointed out, and dropped by nobody but a person.
//
// A worked number: a red standard of L*a*b* 50, 30, 20 and a lot that reads 52,
// 28, 23 differ by CMC(2:1) 3.37: lighter by 2.0, a trace brighter, and turned
// 3.6 towards yellow. Most eyes would see it, and two such garments are not a
// set.
package colour
