package calc

import "dyelot/inventory/colour"

var metamerism = calculation{
	name:  "metamerism",
	short: "See whether a match in one light parts in another",
	long: `The special index of metamerism for a change of illuminant (CIE 015,
multiplicative correction): the sample's X, Y and Z are brought to the
standard's in the reference light, and the ΔE*ab that is left in the test light
is the index. Both curves are read at the same wavelengths, as by spectrum.`,
	example: `dyelot calc metamerism --wavelengths-nm 400,420,440,460,480 \
--standard 0.1,0.2,0.3,0.4,0.5 --sample 0.1,0.22,0.28,0.41,0.5 \
--reference D65 --test A --observer 10`,
	says: `Index 0.05 (ΔE*ab) from D65 to A, 10° observer;`,
	document: `{"wavelengths_nm": [400,420,440,460,480], "standard": [0.1,0.2,0.3,0.4,0.5],
"sample": [0.1,0.22,0.28,0.41,0.5], "reference": "D65", "test": "A",
"observer": 10}`,
	ask: func() question { return &metamerismQuestion{} },
}

type metamerismQuestion struct {
	nm, standard, sample []float64
	reference, test      string
	observer             int64
}

func (q *metamerismQuestion) fields() []field {
	return []field{
		need("wavelengths_nm", "wavelengths in nm, rising by 5, 10 or 20", realList(&q.nm)),
		need("standard", "reflectance of the standard at each, 0 to 1", realList(&q.standard)),
		need("sample", "reflectance of the sample at each, 0 to 1", realList(&q.sample)),
		need("reference", "light in which they match: A, D50, D65, F2 or F11", aText(&q.reference)).offering(colour.Illuminants()...),
		need("test", "light in which they are looked at", aText(&q.test)).offering(colour.Illuminants()...),
		need("observer", "2 or 10, in degrees", aWhole(&q.observer)).offering("2", "10"),
	}
}

func (q *metamerismQuestion) answer(func() bool) (answer, error) {
	home, err := viewOf("reference", q.reference, q.observer)
	if err != nil {
		return nil, err
	}
	away, err := viewOf("test", q.test, q.observer)
	if err != nil {
		return nil, err
	}
	scale, err := colour.NewWavelengths("wavelengths_nm", q.nm)
	if err != nil {
		return nil, err
	}
	standard, err := scale.Spectrum("standard", q.standard)
	if err != nil {
		return nil, err
	}
	sample, err := scale.Spectrum("sample", q.sample)
	if err != nil {
		return nil, err
	}
	m, err := colour.Metamerism(standard, sample, home.Observer, home.Illuminant, away.Illuminant)
	if err != nil {
		return nil, err
	}
	return &metamerismAnswer{home, away, real(m.Index), real(m.Reference)}, nil
}

type metamerismAnswer struct {
	home, away colour.View

	Index     real `json:"index"`
	Reference real `json:"de_reference"`
}

func (a *metamerismAnswer) tell(p *page) {
	p.note("Index %s (ΔE*ab) from %s to %s, %d° observer; in %s itself they differ by ΔE*ab %s.",
		two(a.Index), a.home.Illuminant, a.away.Illuminant, a.home.Observer.Degrees(), a.home.Illuminant, two(a.Reference))
	p.note("Special index of metamerism for a change of illuminant (CIE 015, multiplicative correction [M]). A pair that matches at the window and parts under a " +
		"shop's tubes is judged by two people in both lights before it is sold as one set.")
}
