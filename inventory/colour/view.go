package colour

import (
	"strings"

	"dyelot/inventory/fault"
)

// Illuminant is a light of CIE 015 that a colour is seen in.
type Illuminant uint8

// The lights kept here. D65 comes first, so that it is the zero value.
const (
	D65 Illuminant = iota // average daylight, the textile trade's own
	A                     // a filament lamp
	D50                   // warmer daylight, the print trade's
	F2                    // the cool white tube
	F11                   // the three-band tube of many shops
)

// Observer is the eye that looks: the field of view of the CIE experiment.
type Observer uint8

// The two eyes kept here. The ten degrees come first, so that they are the zero
// value: a garment fills more than a thumbnail at arm's length.
const (
	TenDegrees Observer = iota // CIE 1964
	TwoDegrees                 // CIE 1931
)

// View names the light and the eye that a colour belongs to. The zero View is
// D65/10°. Colours of two views must never be compared.
type View struct {
	Illuminant Illuminant
	Observer   Observer
}

// Names and table columns, in the order of the constants.
var (
	illuminants = [...]string{D65: "D65", A: "A", D50: "D50", F2: "F2", F11: "F11"}
	observers   = [...]struct {
		degrees int
		columns string // the suffix of its columns in the table
	}{TenDegrees: {10, "10"}, TwoDegrees: {2, "2"}}
)

// Illuminants lists the names that NewIlluminant knows.
func Illuminants() []string { return append([]string(nil), illuminants[:]...) }

// NewIlluminant finds a light by its name, in capitals or not. An unknown one
// is a fault.BadField on field, with the list of the known.
func NewIlluminant(field, name string) (Illuminant, error) {
	for i, known := range illuminants {
		if strings.EqualFold(known, name) {
			return Illuminant(i), nil
		}
	}
	return 0, fault.BadField(field, "%q is no illuminant kept here; there are %s", name, strings.Join(illuminants[:], ", "))
}

// NewObserver finds an eye by its field of view in degrees, 2 or 10. Any other
// is a fault.BadField on field.
func NewObserver(field string, degrees int) (Observer, error) {
	for i, known := range observers {
		if known.degrees == degrees {
			return Observer(i), nil
		}
	}
	return 0, fault.BadField(field, "the observer is %d°, but it must be 2 or 10", degrees)
}

// String returns the name of the light: "D65".
func (i Illuminant) String() string { return illuminants[i] }

// Degrees returns the field of view: 2 or 10.
func (o Observer) Degrees() int { return observers[o].degrees }

// String returns light and eye as the trade writes them: "D65/10°".
func (v View) String() string {
	return illuminants[v.Illuminant] + "/" + observers[v.Observer].columns + "°"
}
