package calc

import (
	"fmt"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

var spectrum = calculation{
	name:  "spectrum",
	short: "Read colour and depth from a reflectance curve",
	long: `The colour of a measured reflectance curve in one light, seen by one observer,
and the depth of the dye as K/S = (1−R)²/2R. Wavelengths rise in equal steps of
5, 10 or 20 nm; they are brought to 5 nm by a third-order Lagrange polynomial,
the end values are held where the instrument stops, and readings outside 380–780
nm are ignored. K/S is taken at the measured wavelengths, less that of the
undyed cloth where it is given.`,
	example: `dyelot calc spectrum --wavelengths-nm 400,420,440,460,480 \
--reflectance 0.1,0.2,0.3,0.4,0.5 --illuminant D65 --observer 10`,
	says: `L* 75.68, a* -6.97, b* 16.49 in D65/10°.`,
	document: `{"wavelengths_nm": [400,420,440,460,480], "reflectance":
[0.1,0.2,0.3,0.4,0.5], "illuminant": "D65", "observer": 10}`,
	ask: func() question { return &spectrumQuestion{} },
}

type spectrumQuestion struct {
	nm, reflectance, undyed []float64
	illuminant              string
	observer                int64
}

func (q *spectrumQuestion) fields() []field {
	return []field{
		need("wavelengths_nm", "wavelengths in nm, rising by 5, 10 or 20", realList(&q.nm)),
		need("reflectance", "reflectance at each, above 0 and at most 1", realList(&q.reflectance)),
		need("illuminant", "A, D50, D65, F2 or F11", aText(&q.illuminant)).offering(colour.Illuminants()...),
		need("observer", "2 or 10, in degrees", aWhole(&q.observer)).offering("2", "10"),
		may("undyed", "reflectance of the same cloth undyed; its K/S is taken off", realList(&q.undyed)),
	}
}

func (q *spectrumQuestion) answer(func() bool) (answer, error) {
	view, err := viewOf("illuminant", q.illuminant, q.observer)
	if err != nil {
		return nil, err
	}
	scale, err := colour.NewWavelengths("wavelengths_nm", q.nm)
	if err != nil {
		return nil, err
	}
	s, err := scale.Spectrum("reflectance", q.reflectance)
	if err != nil {
		return nil, err
	}
	depth, err := q.depth(scale, s)
	if err != nil {
		return nil, err
	}
	xyz, lab := s.XYZ(view), s.Lab(view)
	hex, inGamut := lab.SRGB()
	a := &spectrumAnswer{view: view, over: q.undyed != nil, XYZ: reals(xyz.X, xyz.Y, xyz.Z), Lab: reals(lab.L, lab.A, lab.B), SRGB: hex, InGamut: inGamut,
		KSMax: ksMax{real(depth.MaxNM), real(depth.Max)}, KSSum: real(depth.Sum)}
	a.first, a.last = s.Range()
	return a, nil
}

func (q *spectrumQuestion) depth(scale colour.Wavelengths, s colour.Spectrum) (colour.Depth, error) {
	if q.undyed == nil {
		return s.Depth()
	}
	undyed, err := scale.Spectrum("undyed", q.undyed)
	if err != nil {
		return colour.Depth{}, err
	}
	return s.DepthOver(undyed)
}

// viewOf reads the light and the eye.
func viewOf(field, illuminant string, observer int64) (v colour.View, err error) {
	if v.Illuminant, err = colour.NewIlluminant(field, illuminant); err != nil {
		return v, err
	}
	if observer != int64(int8(observer)) { // NewObserver takes an int, whatever its size
		return v, fault.BadField("observer", "the observer is %d°, but it must be 2 or 10", observer)
	}
	v.Observer, err = colour.NewObserver("observer", int(observer))
	return v, err
}

type ksMax struct {
	NM    real `json:"nm"`
	Value real `json:"value"`
}

type spectrumAnswer struct {
	view        colour.View
	over        bool
	first, last float64

	XYZ     []real `json:"xyz"`
	Lab     []real `json:"lab"`
	SRGB    string `json:"srgb"`
	InGamut bool   `json:"in_gamut"`
	KSMax   ksMax  `json:"ks_max"`
	KSSum   real   `json:"ks_sum"`
}

func (a *spectrumAnswer) tell(p *page) {
	p.note("L* %s, a* %s, b* %s in %s.", two(a.Lab[0]), two(a.Lab[1]), two(a.Lab[2]), a.view)
	screen := a.SRGB + ", taking L*a*b* as D65/2°"
	if a.view != (colour.View{Illuminant: colour.D65, Observer: colour.TwoDegrees}) {
		screen += ": approximate beside " + a.view.String()
	}
	if !a.InGamut {
		screen += "; no screen shows it fully, so it is clipped"
	}
	of := ""
	if a.over {
		of = ", the undyed cloth's taken off"
	}
	span := fmt.Sprintf("%s–%s"+nbsp+"nm", shown(a.first, 1), shown(a.last, 1))
	p.rows(
		[2]string{"view", fmt.Sprintf("illuminant %s, %d° observer; white by the same sums, 380–780"+nbsp+"nm (CIE 015)", a.view.Illuminant, a.view.Observer.Degrees())},
		[2]string{"seen as", p.swatch(a.view, a.colour()) + colour.Words(a.colour())},
		[2]string{"XYZ", fmt.Sprintf("%s %s %s, a perfect white having Y 100", two(a.XYZ[0]), two(a.XYZ[1]), two(a.XYZ[2]))},
		[2]string{"screen", screen},
		[2]string{"K/S", fmt.Sprintf("at most %s, at %s"+nbsp+"nm; %s added up over %s%s", shown(float64(a.KSMax.Value), 4), shown(float64(a.KSMax.NM), 1), shown(float64(a.KSSum), 4), span, of)},
		[2]string{"readings", span + "; beyond them the end values are held, so a short range gives a guess"},
	)
	p.note("K/S after Kubelka & Munk 1931. Compare sums only over the same wavelengths. At a shallow depth K/S grows in step with the dye; near saturation it does not.")
	p.legend()
}

func (a *spectrumAnswer) colour() colour.Lab {
	return colour.Lab{L: float64(a.Lab[0]), A: float64(a.Lab[1]), B: float64(a.Lab[2])}
}
