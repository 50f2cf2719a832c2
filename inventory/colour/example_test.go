package colour_test

import (
	"fmt"

	"dyelot/inventory/colour"
)

// The worked number of the package's page.
func ExampleCompare() {
	standard := colour.Lab{L: 50, A: 30, B: 20}
	lot := colour.Lab{L: 52, A: 28, B: 23}
	d, err := colour.Compare(standard, lot, colour.Acceptance)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("CMC(2:1) %.2f, CIEDE2000 %.2f\n", d.CMC, d.CIEDE2000)
	fmt.Printf("dL %+.1f, dC %+.1f, dH %+.1f\n", d.L, d.C, d.H)
	// Output:
	// CMC(2:1) 3.37, CIEDE2000 3.26
	// dL +2.0, dC +0.2, dH +3.6
}

// An instrument's list becomes a colour, a depth and a screen's approximation.
func ExampleWavelengths_Spectrum() {
	scale, err := colour.NewWavelengths("wavelengths_nm", []float64{
		400, 420, 440, 460, 480, 500, 520, 540, 560, 580, 600, 620, 640, 660, 680, 700,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	weld, err := scale.Spectrum("reflectance", []float64{
		.05, .05, .06, .08, .14, .30, .48, .56, .60, .62, .63, .64, .65, .66, .67, .68,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	daylight := colour.View{Illuminant: colour.D65, Observer: colour.TenDegrees}
	c := weld.Lab(daylight)
	depth, err := weld.Depth()
	if err != nil {
		fmt.Println(err)
		return
	}
	hex, _ := c.SRGB()
	fmt.Printf("%s: L* %.1f, a* %.1f, b* %.1f, about %s\n", daylight, c.L, c.A, c.B, hex)
	fmt.Printf("K/S %.2f at %g nm\n", depth.Max, depth.MaxNM)
	// Output:
	// D65/10°: L* 77.1, a* -0.7, b* 70.5, about #dfbb2d
	// K/S 9.02 at 400 nm
}

// The two swatches of a small book that come nearest to a madder red.
func ExampleNearest_Find() {
	book := colour.NewNearest([]colour.Lab{
		{L: 78, A: -3, B: 62}, // weld
		{L: 46, A: 37, B: 24}, // madder
		{L: 40, A: 42, B: 4},  // cochineal
		{L: 52, A: 35, B: 27}, // madder, paler
	})
	for _, n := range book.Find(colour.Lab{L: 45, A: 38, B: 26}, 2, nil) {
		fmt.Printf("swatch %d, CIEDE2000 %.1f\n", n.Index, n.Difference)
	}
	// Output:
	// swatch 1, CIEDE2000 1.4
	// swatch 3, CIEDE2000 7.2
}
