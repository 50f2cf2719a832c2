package api

import (
	"dyelot/inventory/colour"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// decodeLab reads a colour with its light and eye: D65 and 10° where they are
// empty.
func decodeLab(m *dyelotv1.Lab) (c colour.Lab, v colour.View, err error) {
	c = colour.Lab{L: m.GetL(), A: m.GetA(), B: m.GetB()}
	if err = c.Check(); err != nil {
		return c, v, err
	}
	c.L = min(max(c.L, 0), 100) // a white computed from a spectrum may be off by its last bits
	if m.GetIlluminant() != "" {
		if v.Illuminant, err = colour.NewIlluminant("illuminant", m.GetIlluminant()); err != nil {
			return c, v, err
		}
	}
	if m.GetObserver() != 0 {
		v.Observer, err = colour.NewObserver("observer", int(m.GetObserver()))
	}
	return c, v, err
}

func encodeLab(c colour.Lab, v colour.View) *dyelotv1.Lab {
	return &dyelotv1.Lab{L: c.L, A: c.A, B: c.B, Illuminant: v.Illuminant.String(), Observer: int32(v.Observer.Degrees())}
}
