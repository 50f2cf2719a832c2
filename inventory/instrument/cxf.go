package instrument

import (
	"math"
	"slices"
	"strings"
)

// exchange is a CxF3 document: its specifications, and the objects that point
// at them.
type exchange struct {
	*found
	specs map[string]specification
	kinds []string // kinds of colour that were left aside
}

// specification is how something was measured, read once.
type specification struct {
	said
	kind   *element // what was measured
	within *element // where spectra begin, and their step
}

// cxf reads CxF3 (ISO 17972-1), with or without its name space.
func (f *found) cxf(text string) error {
	doc, err := tree(text)
	if err != nil {
		return err
	}
	root := doc.one("CxF")
	if root.name == "" {
		first := doc.one()
		if len(doc.kids) > 0 {
			first = doc.kids[0]
		}
		return refuse(first.line, "begins XML of another kind, %s: of XML only CxF3 is read", clip(first.name))
	}
	x := &exchange{found: f, specs: map[string]specification{}}
	f.Date = tidy(root.one("FileInformation", "CreationDate").text)
	resources := root.one("Resources")
	for _, spec := range resources.all("ColorSpecificationCollection", "ColorSpecification") {
		x.specs[spec.attr["id"]] = specified(spec)
		if device := spec.one("MeasurementSpec", "Device"); f.Instrument == "" {
			f.Instrument = tidy(device.one("Manufacturer").text + " " + device.one("Model").text)
		}
	}
	objects := resources.all("ObjectCollection", "Object")
	if len(objects) == 0 {
		return refuse(root.line, "begins CxF without any Resources, ObjectCollection, Object: there is no sample in it")
	}
	for _, o := range objects {
		if err := x.object(o); err != nil {
			return err
		}
	}
	if len(x.kinds) > 0 {
		f.note("kinds of colour left aside: %s", strings.Join(x.kinds, ", "))
	}
	if len(f.drafts) == 0 {
		return refuse(objects[0].line, "begins the first of %d objects, and none has a ReflectanceSpectrum, ColorCIELab or ColorCIEXYZ", len(objects))
	}
	return nil
}

// object reads what was measured of one thing: each of its spectra, or else one
// colour.
func (x *exchange) object(o *element) error {
	called := o.attr["name"]
	if called == "" {
		called = o.attr["id"]
	}
	called, err := named(o.line, called)
	if err != nil {
		return err
	}
	var spectra, labs, xyzs []*element
	for _, values := range o.kids {
		for _, v := range values.kids {
			switch {
			case !strings.HasSuffix(strings.ToLower(values.name), "colorvalues"):
			case strings.EqualFold(v.name, "ReflectanceSpectrum"):
				spectra = append(spectra, v)
			case strings.EqualFold(v.name, "ColorCIELab"):
				labs = append(labs, v)
			case strings.EqualFold(v.name, "ColorCIEXYZ"):
				xyzs = append(xyzs, v)
			default:
				x.aside(v.name)
			}
		}
	}
	switch {
	case len(spectra) > 0:
		if len(labs)+len(xyzs) > 0 {
			x.note("the file's own L*a*b* or XYZ were left aside where a spectrum stands beside: they follow from it, in any light")
		}
		return x.spectra(o, called, spectra)
	case len(labs) > 0:
		return x.colourOf(o, called, x.choose(labs), "L", "A", "B")
	case len(xyzs) > 0:
		return x.colourOf(o, called, x.choose(xyzs), "X", "Y", "Z")
	}
	x.note("objects without a spectrum or a colour were passed over, such as %s on line %d", clip(called), o.line)
	return nil
}

func (x *exchange) aside(kind string) {
	if kind = clip(kind); !slices.Contains(x.kinds, kind) && len(x.kinds) < 12 {
		x.kinds = append(x.kinds, kind)
	}
}

// spec is the specification that a value points at; of a file with only one,
// that one where it points at none.
func (x *exchange) spec(v *element) (specification, error) {
	id, points := v.attr["colorspecification"]
	if s, known := x.specs[id]; known {
		return s, nil
	}
	if points && id != "" {
		return specification{}, refuse(v.line, "points at the specification %s, which the file does not have", clip(id))
	}
	if len(x.specs) == 1 {
		for _, s := range x.specs {
			return s, nil
		}
	}
	return specification{kind: &element{}, within: &element{}}, nil
}

// specified reads what a specification says of light, eye, gloss and bands.
func specified(spec *element) specification {
	s := specification{kind: spec.one("MeasurementSpec", "MeasurementType"), within: spec.one("MeasurementSpec", "WavelengthRange")}
	s.illuminant = tidy(spec.one("TristimulusSpec", "Illuminant").text)
	s.also(lightOf(s.illuminant))
	s.also(said{observer: lightOf(spec.one("TristimulusSpec", "Observer").text).observer})
	var geometry strings.Builder
	spec.one("MeasurementSpec", "GeometryChoice").words(&geometry)
	s.specular = specularOf(geometry.String())
	return s
}

func (x *exchange) spectra(o *element, called string, spectra []*element) error {
	for i, v := range spectra {
		spec, err := x.spec(v)
		if err != nil {
			return err
		}
		if kind := spec.kind; kind.text != "" && !strings.Contains(strings.ToLower(kind.text), "reflect") {
			return refuse(kind.line, "says that %s was measured, but only reflectance is a colour of cloth", clip(kind.text))
		}
		d := draft{name: called, line: v.line, said: spec.said}
		if len(spectra) > 1 { // measured in two ways: specular included and excluded, say
			d.name = joinName(called, otherwise(v.attr["colorspecification"], itoa(i+1)))
			x.note("objects with more than one spectrum became a sample for each, with the specification behind its name")
		}
		first, step, err := x.wavelengths(v, spec.within)
		if err != nil {
			return err
		}
		values := strings.Fields(v.text)
		if len(values) == 0 || len(values) > MaxFields {
			return refuse(v.line, "has %d readings, but must have 4 to %d", len(values), MaxFields)
		}
		for n, text := range values {
			nm := first + float64(n)*step
			if nm > highestNM {
				return refuse(v.line, "reaches beyond %d nm", highestNM)
			}
			r, err := x.number(v.line, "the reading at "+short(nm)+" nm", text)
			if err != nil {
				return err
			}
			d.nm, d.r = append(d.nm, nm), append(d.r, r)
		}
		if err := x.keep(o, d); err != nil {
			return err
		}
	}
	return nil
}

func joinName(called, of string) string {
	n := []rune(strings.TrimSpace(called + " (" + tidy(of) + ")"))
	return string(n[:min(len(n), MaxName)])
}

func otherwise(text, instead string) string {
	if text == "" {
		return instead
	}
	return text
}

// wavelengths are where a spectrum begins, and its step: on itself, or in its
// specification.
func (x *exchange) wavelengths(v, within *element) (first, step float64, err error) {
	read := func(attr string) float64 {
		value := math.NaN()
		for _, e := range []*element{v, within} {
			text := e.attr[attr]
			if text == "" || err != nil {
				continue
			}
			var n float64
			n, err = x.number(e.line, attr, text)
			switch {
			case err == nil && math.IsNaN(value):
				value = n
			case err == nil && n != value:
				err = refuse(v.line, "says %s %v, but its specification says %v", attr, value, n)
			}
		}
		return value
	}
	first, step = read("startwl"), read("increment")
	switch {
	case err != nil:
		return 0, 0, err
	case math.IsNaN(first):
		return 0, 0, refuse(v.line, "has no StartWL, and neither has its specification: nobody knows where the spectrum begins")
	case math.IsNaN(step):
		return 0, 0, refuse(v.line, "has no Increment, and its specification no WavelengthRange: nobody knows how far apart its bands lie")
	case first < lowestNM || first > highestNM || step <= 0:
		return 0, 0, refuse(v.line, "begins at %v nm and rises by %v nm, but must begin at %d to %d nm and rise", first, step, lowestNM, highestNM)
	}
	return first, step, nil
}

// choose takes one of several colours of an object: D65/10° where it is there,
// for cloth is judged by it, else the first.
func (x *exchange) choose(all []*element) *element {
	if len(all) == 1 {
		return all[0]
	}
	x.note("of several colours of one object, D65/10° was taken where it is there, else the first")
	for _, v := range all {
		if spec, err := x.spec(v); err == nil && spec.illuminant == "D65" && spec.observer == "10" {
			return v
		}
	}
	return all[0]
}

func (x *exchange) colourOf(o *element, called string, v *element, axes ...string) error {
	spec, err := x.spec(v)
	if err != nil {
		return err
	}
	d := draft{name: called, line: v.line, said: spec.said}
	var three []float64
	for _, axis := range axes {
		n, err := x.number(v.line, axis, v.one(axis).text)
		if err != nil {
			return err
		}
		three = append(three, n)
	}
	if axes[0] == "L" {
		d.lab = three
	} else {
		d.xyz = three
	}
	return x.keep(o, d)
}

func (x *exchange) keep(o *element, d draft) error {
	if len(x.drafts) == MaxSamples {
		return refuse(o.line, "is one sample too many: at most %d are read at once", MaxSamples)
	}
	x.drafts = append(x.drafts, d)
	return nil
}
