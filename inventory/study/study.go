package study

import (
	"slices"
	"strings"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

// Study is one published table.
type Study struct {
	Key       string // "nayak2014"
	Citation  string
	Licence   string
	Dye       string
	Substrate string
	Caveats   []string // to be shown with each result
}

// Result is one printed cell.
type Result struct {
	Study      string
	Line       int    // from 1, in the order of the table and its columns
	Table      string // of the paper: "5"
	Sample     string // as the paper calls it; empty where it does not
	Mordant    string // as printed
	Salt       string // the formula without its water, to compare by; empty where none fits
	SaltName   string // our word for it: "copper sulfate 5-hydrate"
	Metal      string // symbol of the mordant metal; empty where there is none or nobody knows
	Fibre      string // as printed
	Fibres     []string
	Conditions string
	Component  string // a key of [Components]
	Printed    string
	Grade      fastness.Grade // zero where the cell is no grade
	Scale      fastness.Scale // empty where the paper does not say
	Note       string         // about this very cell
}

// Component is one column of the tables.
type Component struct {
	Key    string // "wash-change"
	Family string // "wash"
	Title  string
	Scale  fastness.Scale // empty where it cannot be told
}

// components is the one table of columns.
var components = []Component{
	{"wash-1", "wash", "washing, first column (change or staining, its order could not be seen)", ""},
	{"wash-2", "wash", "washing, second column (change or staining, its order could not be seen)", ""},
	{"wash-3", "wash", "washing, third column (change or staining, its order could not be seen)", ""},
	{"wash-change", "wash", "change of shade in the wash", fastness.GreyChange},
	{"wash-staining", "wash", "staining in the wash", fastness.GreyStaining},
	{"rub-1", "rub", "rubbing, first column (dry or wet, its order could not be seen)", fastness.GreyStaining},
	{"rub-2", "rub", "rubbing, second column (dry or wet, its order could not be seen)", fastness.GreyStaining},
	{"rub-dry", "rub", "rubbing, dry", fastness.GreyStaining},
	{"rub-wet", "rub", "rubbing, wet", fastness.GreyStaining},
	{"perspiration", "perspiration", "perspiration (change or staining, the table does not say)", ""},
	{"light", "light", "light", ""},
	{"reflectance", "colour", "reflectance at 400 nm, per cent", ""},
	{"ks", "colour", "K/S at 400 nm, as printed", ""},
	{"ks-recomputed", "colour", "K/S at 400 nm, recomputed from the printed reflectance", ""},
	{"l", "colour", "L*", ""},
	{"a", "colour", "a*", ""},
	{"b", "colour", "b*", ""},
}

// Components lists the columns.
func Components() []Component { return slices.Clone(components) }

func componentOf(key string) Component {
	i := slices.IndexFunc(components, func(c Component) bool { return c.Key == key })
	if i < 0 {
		panic("study: no component " + key) // a fault of this package's tables, which the first test shows
	}
	return components[i]
}

// Asked finds the columns that a search means: a component's key, or a family
// (wash, rub, perspiration, light, colour). Empty is all. An unknown word is an
// INVALID_FIELD fault on "component" that lists the known.
func Asked(word string) ([]string, error) {
	word = strings.ToLower(strings.TrimSpace(word))
	var keys, known []string
	for _, c := range components {
		if word == "" || c.Key == word || c.Family == word {
			keys = append(keys, c.Key)
		}
		if !slices.Contains(known, c.Family) {
			known = append(known, c.Family)
		}
	}
	if len(keys) > 0 {
		return keys, nil
	}
	for _, c := range components {
		if !slices.Contains(known, c.Key) {
			known = append(known, c.Key)
		}
	}
	return nil, fault.BadField("component", "%.40q is no column of the studies: use one of %s", word, strings.Join(known, ", "))
}

// LeastGrade reads the grade that a search asks for at the least, written 3-4. A
// search across families would compare scales that are not compared, so it is
// refused on "least_grade" unless the columns asked for are of one; so are
// figures of colour, which are no grades.
func LeastGrade(text string, keys []string) (fastness.Grade, error) {
	if text = strings.TrimSpace(text); text == "" {
		return 0, nil
	}
	family := ""
	for _, key := range keys {
		switch f := componentOf(key).Family; {
		case family != "" && f != family:
			return 0, fault.BadField("least_grade", "say which component it is for: a grade of washing and one of light are not compared")
		case f == "colour":
			return 0, fault.BadField("least_grade", "a colour has no grade")
		default:
			family = f
		}
	}
	scale := fastness.GreyChange
	if family == "light" {
		scale = fastness.BlueWool
	}
	g, err := fastness.Parse(text, scale)
	if f, bad := fault.Of(err); bad {
		return 0, f.At("least_grade")
	}
	return g, nil
}
