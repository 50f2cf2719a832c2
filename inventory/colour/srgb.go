package colour

import (
	"fmt"
	"math"
)

// srgbWhite is the white of IEC 61966-2-1, chromaticity 0.3127, 0.3290: D65 for
// the 2° observer as that standard rounds it.
var srgbWhite = XYZ{0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290}

// srgbLinear takes X, Y and Z, white at Y = 1, to linear red, green and blue. It
// is the inverse of the matrix that the standard's primaries and white give,
// unrounded, so that a grey stays grey.
var srgbLinear = [3]XYZ{
	{3.2409699419045213, -1.5373831775700935, -0.4986107602930033},
	{-0.9692436362808798, 1.8759675015077206, 0.04155505740717561},
	{0.05563007969699361, -0.20397695888897657, 1.0569715142428786},
}

// SRGB returns the colour for a screen as "#rrggbb" (IEC 61966-2-1), taking it
// as D65/2°: beside a 10° reading it is approximate. What no screen of that
// kind can show is clipped, each of red, green and blue on its own, and inGamut
// is then false.
func (c Lab) SRGB() (hex string, inGamut bool) {
	const rounding = 1e-6 // white itself may come out a hair beyond 1
	at := c.XYZ(srgbWhite)
	inGamut = true
	var rgb [3]uint8
	for i, m := range srgbLinear {
		linear := m.X*at.X + m.Y*at.Y + m.Z*at.Z
		inGamut = inGamut && linear >= -rounding && linear <= 1+rounding
		rgb[i] = uint8(math.Round(255 * srgbEncode(min(max(linear, 0), 1))))
	}
	return fmt.Sprintf("#%02x%02x%02x", rgb[0], rgb[1], rgb[2]), inGamut
}

// srgbEncode is the transfer curve of IEC 61966-2-1 for 0 to 1.
func srgbEncode(linear float64) float64 {
	if linear <= 0.0031308 {
		return 12.92 * linear
	}
	return 1.055*math.Pow(linear, 1/2.4) - 0.055
}
