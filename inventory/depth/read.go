package depth

import (
	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Dip is a test dip as it was read; the field of its spectrum says where in the
// call it stands.
type Dip struct {
	WOF  quantity.Percent
	Read colour.Spectrum
}

// ReadDips reads the K/S of both series over the undyed cloth at one wavelength:
// where the largest dose of the reference takes up most, as far as everything was
// read there. Errors: fault.Invalid on the field of the spectrum that is off.
func ReadDips(sample, reference []Dip, undyed colour.Spectrum) (nm float64, ofSample, ofReference []Point, err error) {
	from, to := undyed.Range()
	deepest := -1
	for i, d := range append(append([]Dip(nil), reference...), sample...) {
		first, last := d.Read.Range()
		from, to = max(from, first), min(to, last)
		if i < len(reference) && (deepest < 0 || d.WOF > reference[deepest].WOF) {
			deepest = i
		}
	}
	if deepest < 0 {
		return 0, nil, nil, fault.BadField("reference_dips", "there are none: at least two doses of each are dipped")
	}
	if nm, _, err = reference[deepest].Read.PeakOver(undyed, from, to); err != nil {
		return 0, nil, nil, err
	}
	if ofSample, err = readAt(sample, undyed, nm); err != nil {
		return 0, nil, nil, err
	}
	ofReference, err = readAt(reference, undyed, nm)
	return nm, ofSample, ofReference, err
}

func readAt(dips []Dip, undyed colour.Spectrum, nm float64) ([]Point, error) {
	ps := make([]Point, len(dips))
	for i, d := range dips {
		ks, err := d.Read.KSOver(undyed, nm)
		if err != nil {
			return nil, err
		}
		ps[i] = Point{percent(d.WOF), ks}
	}
	return ps, nil
}
