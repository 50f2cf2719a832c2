package instrument_test

import (
	"fmt"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/instrument"
)

// Wool from the madder tub, as an instrument exports it: per cent, columns in
// any order.
func Example() {
	f, err := instrument.Read(strings.NewReader(`CGATS.17
INSTRUMENTATION "spectro-1"
NUMBER_OF_FIELDS 18
BEGIN_DATA_FORMAT
SAMPLE_NAME SPECTRAL_NM400 SPECTRAL_NM420 SPECTRAL_NM440 SPECTRAL_NM460 SPECTRAL_NM480 SPECTRAL_NM500
SPECTRAL_NM520 SPECTRAL_NM540 SPECTRAL_NM560 SPECTRAL_NM580 SPECTRAL_NM600 SPECTRAL_NM620 SPECTRAL_NM640
SPECTRAL_NM660 SPECTRAL_NM680 SPECTRAL_NM700 COMMENT
END_DATA_FORMAT
NUMBER_OF_SETS 1
BEGIN_DATA
"madder, wool" 4.00 4.00 4.00 4.00 4.01 4.04 4.15 4.63 6.55 13.48 31.17 53.16 64.99 68.73 69.69 69.93 dry
END_DATA
`), instrument.Hint{})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := f.Samples[0]
	spectrum, err := s.Bands.Spectrum("file")
	if err != nil {
		fmt.Println(err)
		return
	}
	lab := spectrum.Lab(colour.View{})
	fmt.Printf("%s, line %d: from %d nm by %d nm, %.4f to %.4f\n", s.Name, s.Line, s.Bands.FirstNM, s.Bands.StepNM, s.Bands.Reflectance[0], s.Bands.Reflectance[15])
	fmt.Printf("L* %.1f, a* %.1f, b* %.1f in D65/10°\n", lab.L, lab.A, lab.B)
	for _, n := range f.Notes {
		fmt.Println(n)
	}
	// Output:
	// madder, wool, line 11: from 400 nm by 20 nm, 0.0400 to 0.6993
	// L* 44.1, a* 49.8, b* 35.2 in D65/10°
	// columns left aside: COMMENT
	// reflectance is in per cent: readings go up to 69.93
}
