package instrument

import (
	"regexp"
	"strconv"
	"strings"
)

// role is what a column holds.
type role int

const (
	other role = iota
	band
	lightness
	redGreen
	yellowBlue
	tristimulusX
	tristimulusY
	tristimulusZ
	name
	ofIlluminant
	ofObserver
	ofSpecular
)

// field is a column's heading, understood.
type field struct {
	role  role
	nm    float64 // of a band
	scale Scale   // that the heading of a band says
	rank  int     // of a name: the lowest is taken
	said  said    // that the heading of a colour says
}

// squeeze takes out what spellings differ in.
var squeeze = strings.NewReplacer("_", "", " ", "", "\t", "", "\u00a0", "", "*", "", "-", "")

// headings are columns by their squeezed names in capitals, beside the bands.
var headings = map[string]field{
	"LABL": {role: lightness}, "L": {role: lightness}, "CIEL": {role: lightness}, "CIELABL": {role: lightness},
	"LABA": {role: redGreen}, "A": {role: redGreen}, "CIEA": {role: redGreen}, "CIELABA": {role: redGreen},
	"LABB": {role: yellowBlue}, "B": {role: yellowBlue}, "CIEB": {role: yellowBlue}, "CIELABB": {role: yellowBlue},
	"XYZX": {role: tristimulusX}, "X": {role: tristimulusX},
	"XYZY": {role: tristimulusY}, "Y": {role: tristimulusY},
	"XYZZ": {role: tristimulusZ}, "Z": {role: tristimulusZ},

	"SAMPLENAME": {role: name, rank: 1}, "NAME": {role: name, rank: 2}, "SAMPLE": {role: name, rank: 3}, "SAMPLEID": {role: name, rank: 4},
	"ID": {role: name, rank: 5}, "LABEL": {role: name, rank: 6}, "SAMPLELOC": {role: name, rank: 7}, "DESCRIPTION": {role: name, rank: 8}, "NO": {role: name, rank: 9},

	"ILLUMINANT": {role: ofIlluminant}, "OBSERVER": {role: ofObserver}, "SPECULAR": {role: ofSpecular}, "SPECULARCOMPONENT": {role: ofSpecular},
}

var (
	bandName = regexp.MustCompile(`^(SPECTRAL(?:NM|PCT|DEC)?|SPEC|NM|REFLECTANCE|REFL|R%|%R|R|%)?(\d{3,4}(?:[.,]\d+)?)(?:NM)?(\(%\)|\[%\]|%)?$`)
	brackets = regexp.MustCompile(`^(.*?)[(\[](.+)[)\]]$`)
)

// longest is more bytes than any heading that is understood has.
const longest = 60

// understand reads a heading: SPECTRAL_NM400, SPEC_400, nm400, "R 400 nm",
// 400nm, 400; LAB_L, L*, "L*(D65/10°)"; XYZ_X; and what a sample is called.
func understand(text string) field {
	if len(text) > longest {
		return field{}
	}
	h := strings.ToUpper(squeeze.Replace(strings.TrimSpace(text)))
	if m := bandName.FindStringSubmatch(h); m != nil {
		nm, err := strconv.ParseFloat(strings.Replace(m[2], ",", ".", 1), 64)
		if err == nil && nm >= lowestNM && nm <= highestNM {
			f := field{role: band, nm: nm}
			switch {
			case strings.HasSuffix(m[1], "PCT"), strings.Contains(m[1], "%"), m[3] != "":
				f.scale = Percent
			case strings.HasSuffix(m[1], "DEC"):
				f.scale = Fraction
			}
			return f
		}
	}
	if f, known := headings[h]; known {
		return f
	}
	if m := brackets.FindStringSubmatch(strings.TrimSpace(text)); m != nil {
		if f, known := headings[strings.ToUpper(squeeze.Replace(m[1]))]; known && f.role >= lightness && f.role <= tristimulusZ {
			f.said.light(m[2])
			return f
		}
	}
	return field{}
}

// said is what a file says about how something was measured or computed, in its
// own words.
type said struct{ illuminant, observer, specular string }

var (
	illuminantName = regexp.MustCompile(`(?:^|[^A-Za-z0-9])([Dd]\d\d|FL?\d{1,2}|[ACE])(?:$|[^A-Za-z0-9])`)
	observerName   = regexp.MustCompile(`(?:^|[^A-Za-z0-9.])(2|10)(?:$|[^0-9.])`)
)

// light finds an illuminant and an observer in words: "D65/10°", "ILLUMINANT,
// D50", "2_Degree".
func (s *said) light(text string) {
	if m := illuminantName.FindStringSubmatch(text); m != nil {
		s.illuminant = strings.Replace(strings.ToUpper(m[1]), "FL", "F", 1) // CIE 015 writes FL2 for F2
	}
	if m := observerName.FindStringSubmatch(text); m != nil {
		s.observer = m[1]
	}
}

// gloss are words for the specular component, squeezed. The first to be found
// decides; d:8 stands for the CIE's geometries di:8° and de:8° (CIE 015).
var gloss = []struct{ word, means string }{
	{"SPECULARINCLUDED=FALSE", "excluded"}, {"SPECULAREXCLUDED=FALSE", "included"},
	{"EXCLUD", "excluded"}, {"INCLUD", "included"}, {"SCE", "excluded"}, {"SCI", "included"},
	{"SPEX", "excluded"}, {"SPIN", "included"}, {"RSEX", "excluded"}, {"RSIN", "included"},
	{"DE:8", "excluded"}, {"DI:8", "included"}, {"D/8:E", "excluded"}, {"D/8:I", "included"},
}

func specularOf(text string) string {
	t := strings.ToUpper(squeeze.Replace(text))
	for _, g := range gloss {
		if strings.Contains(t, g.word) {
			return g.means
		}
	}
	return ""
}

// about are what a header says under its keys, squeezed. The formats may use
// each other's.
var about = map[string]func(f *found, line int, key, value string) error{
	"INSTRUMENTATION": isInstrument, "INSTRUMENT": isInstrument, "DEVICE": isInstrument, "MEASUREMENTDEVICE": isInstrument, "TARGETINSTRUMENT": isInstrument,
	"CREATED": isDate, "DATE": isDate, "CREATIONDATE": isDate, "MEASURED": isDate, "MEASUREMENTDATE": isDate,
	"ILLUMINANT": isIlluminant, "OBSERVER": isObserver, "OBSERVERANGLE": isObserver,
	"WEIGHTINGFUNCTION": isView, "MEASUREMENTSOURCE": isView, "VIEW": isView, "LIGHT": isView,
	"SPECULAR": isGloss, "SPECULARCOMPONENT": isGloss, "MEASUREMENTGEOMETRY": isGloss, "GEOMETRY": isGloss,
	"SPECTRALNORM": isScale, "SCALE": isScale, "UNIT": isScale, "REFLECTANCE": isScale,
	"MEASTYPE": func(f *found, _ int, _, value string) error { f.measures = value; return nil },
}

func isInstrument(f *found, _ int, _, value string) error { f.Instrument = value; return nil }
func isDate(f *found, _ int, _, value string) error       { f.Date = value; return nil }
func isView(f *found, _ int, _, value string) error       { f.said.light(value); return nil }

// isIlluminant keeps an unknown name too: it is refused once it is needed.
func isIlluminant(f *found, _ int, _, value string) error {
	f.said.illuminant = value
	f.said.also(lightOf(value))
	return nil
}

func isObserver(f *found, _ int, _, value string) error {
	f.said.observer = value
	f.said.also(said{observer: lightOf(value).observer})
	return nil
}

func isGloss(f *found, _ int, _, value string) error {
	f.said.also(said{specular: specularOf(value)})
	return nil
}

func lightOf(text string) (s said) { s.light(text); return s }

// header takes what a header says under a key; an unknown one is passed over.
func (f *found) header(line int, key, value string) error {
	value = tidy(value)
	take, known := about[strings.ToUpper(squeeze.Replace(strings.TrimSpace(key)))]
	if value == "" || !known {
		return nil
	}
	return take(f, line, key, value)
}

// scales are ways to say the scale: SPECTRAL_NORM is what a perfect white reads.
var scales = map[string]Scale{"100": Percent, "%": Percent, "PERCENT": Percent, "PER CENT": Percent, "PCT": Percent, "R%": Percent, "%R": Percent, "0-100": Percent, "0–100": Percent,
	"1": Fraction, "FRACTION": Fraction, "DECIMAL": Fraction, "0-1": Fraction, "0–1": Fraction, "0..1": Fraction, "SHARE": Fraction}

func isScale(f *found, line int, key, value string) error {
	v := strings.ToUpper(value)
	if strings.Contains(v, ".") && !strings.Contains(v, "..") {
		v = strings.TrimRight(strings.TrimRight(v, "0"), ".") // 100.000 is 100
	}
	scale, known := scales[v]
	switch {
	case !known && strings.EqualFold(squeeze.Replace(key), "SPECTRALNORM"):
		f.oddNorm, f.oddNormLine = value, line
	case !known:
	case f.scale != Unsaid && f.scale != scale:
		return refuse(line, "says that reflectance is in %s, and line %d says %s", scaleWords[scale], f.scaleLine, scaleWords[f.scale])
	default:
		f.scale, f.scaleLine = scale, line
	}
	return nil
}

var scaleWords = map[Scale]string{Percent: "per cent", Fraction: "shares of 1"}
