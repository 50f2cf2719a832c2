package api

import (
	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// agree, in CIEDE2000, is how far a master's typed colour may be from the one of
// its spectrum: rounding, and the instrument's own way of summing; not more.
const agree = 0.5

// decodeMaster reads a standard with its spectrum, where one is given: the colour
// is computed from it where none was typed, and both must agree.
func decodeMaster(m *dyelotv1.ShadeStandard) (lot.Standard, *store.Kept, error) {
	std, err := decodeStandard(m)
	if err != nil {
		return std, nil, err
	}
	k := &store.Kept{Instrument: m.GetInstrument()}
	if k.File, err = decodeFile("file", m.GetFile()); err != nil {
		return std, nil, err
	}
	if m.GetSpectrum() == nil {
		if m.GetFile() != nil || m.GetInstrument() != "" {
			return std, nil, fault.BadField("spectrum", "is needed with the file or the instrument that it came from")
		}
		return std, nil, nil
	}
	var s colour.Spectrum
	if k.Curve, s, err = decodeCurve("spectrum", m.GetSpectrum()); err != nil {
		return std, nil, err
	}
	seen := s.Lab(std.View)
	if !typedColour(m.GetColour()) {
		std.Colour = colour.Lab{L: min(max(seen.L, 0), 100), A: seen.A, B: seen.B}
		return std, k, nil
	}
	if d := colour.CIEDE2000(seen, std.Colour); d > agree {
		return std, nil, fault.BadField("colour", "L* %.2f, a* %.2f, b* %.2f is %.2f (CIEDE2000, %s) from the spectrum's own L* %.2f, a* %.2f, b* %.2f: at most %.1f is taken for the same; leave it out, or look at light and eye",
			std.Colour.L, std.Colour.A, std.Colour.B, d, std.View, seen.L, seen.A, seen.B, agree)
	}
	return std, k, nil
}

// typedColour is true where somebody gave L*a*b* and not only a light and an eye.
func typedColour(m *dyelotv1.Lab) bool {
	return m.GetL() != 0 || m.GetA() != 0 || m.GetB() != 0
}

func encodeMaster(s lot.Standard, k *store.Kept) *dyelotv1.ShadeStandard {
	m := encodeStandard(s)
	if k != nil {
		m.Spectrum, m.File, m.Instrument = encodeCurve(&k.Curve), encodeFile(k.File), k.Instrument
	}
	return m
}
