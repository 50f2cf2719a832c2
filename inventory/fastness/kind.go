package fastness

import (
	"strings"

	"dyelot/inventory/fault"
)

// Kind is one thing a house standard can ask about: how much the shade changed in
// the wash, how much a wet rub came off, and so on.
type Kind struct {
	Key    string // our own slug: "wash-staining"
	Family string // what is done to the cloth: "wash"
	Title  string // in words for a person
	Scales []Scale
	// Parts are the conditions that must each have a grade before the kind counts
	// as tested: sweat is tried acid and alkaline, and one does not stand for the
	// other. Kinds tried one way have the single part "".
	Parts []string
}

var (
	oneWay = []string{""}
	sweats = []string{"acid", "alkaline"}
)

// kinds is the one table of test kinds, in the order they are shown.
var kinds = []Kind{
	{"wash-change", "wash", "change of shade in the wash", []Scale{GreyChange}, oneWay},
	{"wash-staining", "wash", "staining of white cloth in the wash", []Scale{GreyStaining}, oneWay},
	{"rubbing-dry", "rubbing", "colour rubbed off dry", []Scale{GreyStaining}, oneWay},
	{"rubbing-wet", "rubbing", "colour rubbed off wet", []Scale{GreyStaining}, oneWay},
	{"light", "light", "fading in light", []Scale{BlueWool, AATCCLight}, oneWay},
	{"perspiration-change", "perspiration", "change of shade by sweat", []Scale{GreyChange}, sweats},
	{"perspiration-staining", "perspiration", "staining of white cloth by sweat", []Scale{GreyStaining}, sweats},
	{"water-change", "water", "change of shade in water", []Scale{GreyChange}, oneWay},
	{"water-staining", "water", "staining of white cloth in water", []Scale{GreyStaining}, oneWay},
}

// Kinds lists every test kind.
func Kinds() []Kind {
	out := make([]Kind, len(kinds))
	for i, k := range kinds {
		k.Scales = append([]Scale(nil), k.Scales...)
		k.Parts = append([]string(nil), k.Parts...)
		out[i] = k
	}
	return out
}

// KindOf finds a kind by its key, or is an INVALID_FIELD fault on "kind" that
// lists the known ones.
func KindOf(key string) (Kind, error) {
	var known []string
	for _, k := range Kinds() {
		if k.Key == key {
			return k, nil
		}
		known = append(known, k.Key)
	}
	return Kind{}, fault.BadField("kind", "there is no test kind %q; the kinds are %s", key, strings.Join(known, ", "))
}
