package colour

import "strings"

// hueWord is a range of hue angles with the plain words for it. Below deep the
// colour is dark and above pale it is light; some hues have words of their own
// there, for a dark yellow is called olive and a light red pink.
type hueWord struct {
	from       float64 // degrees; to the next row's
	word       string
	deep, pale float64 // L*
	deepWord   string  // instead of "dark word"
	paleWord   string  // instead of "light word"
	dullWord   string  // of middling lightness and less chroma than half-bright
}

// hueWords is this house's own table, for screens without colour: plain words,
// laid around the four hues that eyes take as pure, near 20° red, 90° yellow,
// 164° green and 238° blue (the unique hues of CIECAM02, from memory; blue is
// wider here, since CIELAB bends a strong blue towards violet). It is no standard
// and nobody's notation; a colour is its numbers.
var hueWords = []hueWord{
	{from: 0, word: "red", deep: 35, pale: 60, paleWord: "pink"},
	{from: 45, word: "orange", deep: 50, pale: 80, deepWord: "brown", dullWord: "light brown"},
	{from: 80, word: "yellow", deep: 55, pale: 90, deepWord: "olive"},
	{from: 107, word: "yellow green", deep: 45, pale: 80, deepWord: "olive green"},
	{from: 130, word: "green", deep: 40, pale: 70},
	{from: 190, word: "blue green", deep: 35, pale: 70},
	{from: 220, word: "blue", deep: 30, pale: 60},
	{from: 308, word: "violet", deep: 30, pale: 60},
	{from: 321, word: "purple", deep: 30, pale: 60},
	{from: 344, word: "red", deep: 35, pale: 60, paleWord: "pink"},
}

// Chroma C* at which the words change, our own too: below noHue a colour is a
// grey; then it is greyish, dull, plain and bright.
const (
	noHue    = 5
	greyish  = 12
	dull     = 25
	halfWay  = 35
	bright   = 65
	blackest = 12 // L* below which nobody tells a hue that is not strong
	whitest  = 88 // L* from which such a hue is only a cast: undyed wool, raw linen
)

// greyWords are the greys by L*: the words of the first row that is not below.
var greyWords = []struct {
	below float64
	word  string
}{{22, "black"}, {40, "dark grey"}, {65, "grey"}, {whitest, "light grey"}, {200, "white"}}

// Words says a colour in two or three plain words, "dull olive" or "dark blue",
// for whoever cannot see it. They are this house's own, coarse, and decide
// nothing: two colours of one word may be far apart. Any illuminant and observer;
// a colour that is no number has no words.
func Words(c Lab) string {
	if c.Check() != nil {
		return ""
	}
	lch := c.LCh()
	if lch.L >= whitest && lch.C >= noHue && lch.C < greyish {
		return "off white"
	}
	if lch.C < noHue || lch.L < blackest && lch.C < greyish {
		for _, g := range greyWords {
			if lch.L < g.below {
				return g.word
			}
		}
	}
	hue := hueWords[0]
	for _, h := range hueWords {
		if lch.H >= h.from {
			hue = h
		}
	}
	return strings.TrimSpace(chromaWord(lch, hue))
}

func chromaWord(c LCh, hue hueWord) string {
	light, word := hue.lightness(c)
	strength := ""
	switch {
	case c.C < greyish:
		strength = "greyish "
	case c.C < dull && word != hue.dullWord && (light == "" || word != hue.paleWord): // a light pink is never strong
		strength = "dull "
	case c.C >= bright:
		strength = "bright "
	}
	return light + strength + word
}

// lightness is the word for how light a colour is, and for its hue at that.
func (h hueWord) lightness(c LCh) (light, word string) {
	switch {
	case c.L < h.deep && h.deepWord != "":
		if c.L < h.deep/2 { // a dark brown is darker than a brown
			return "dark ", h.deepWord
		}
		return "", h.deepWord
	case c.L < h.deep:
		return "dark ", h.word
	case c.L >= h.pale && h.paleWord != "":
		if c.L >= (h.pale+100)/2 {
			return "light ", h.paleWord
		}
		return "", h.paleWord
	case c.L >= h.pale:
		return "light ", h.word
	case h.dullWord != "" && c.C < halfWay:
		return "", h.dullWord
	}
	return "", h.word
}
