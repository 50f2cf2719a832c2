package recipe

import "strings"

// Family is a chemistry of dyestuffs. Knowing it tells what iron will do, and
// what to expect of light, before a swatch says so.
type Family struct {
	Key      string
	Colour   string
	Iron     string // what iron does to it
	Fugitive bool   // fades or washes out fast
	Note     string // what else a dyer is told, empty where nothing is
	Source   Source
}

// families in the order of the trade's list; all of it common practice.
var families = []Family{
	{"flavonoid", "yellows", "iron turns them olive", false, "green comes by iron on yellow, or by yellow over blue", practice},
	{"anthraquinone", "reds", "iron turns them purple-brown and duller", false, "", practice},
	{"tannin", "tans", "iron turns them grey to black", false, "needs no metal; dark iron on tannin tenders cellulose", practice},
	{"naphthoquinone", "browns", "iron darkens them", false, "reputed the fastest to light and washing", practice},
	{"indigoid", "blues", "iron does not change them", false, "needs no mordant; may crock", practice},
	{"anthocyanin", "pinks to blues, by pH", "iron turns them blue-grey", true, "shifts with pH, in the wash and on the skin", practice},
	{"curcuminoid", "bright yellows", "iron turns them dull brown", true, "", practice},
}

// Families lists the table in its order.
func Families() []Family { return append([]Family(nil), families...) }

// Dye is one plant part, or insect, that colour is taken from.
type Dye struct {
	Key    string // "walnut hull"
	Also   []string
	Family string
	Part   Part
	Cap    Celsius // brewed and dyed no hotter; 0 where only the fibre limits
}

// The caps: madder browns above 70 °C, and barks and hulls are brewed at 90 to
// 95 °C and then dyed at the fibre's limit [CP].
var dyes = []Dye{
	{"weld", words("weld tops; dyer's weld"), "flavonoid", Leaf, 0},
	{"birch leaf", words("birch"), "flavonoid", Leaf, 0},
	{"onion skin", words("onion"), "flavonoid", 0, 0},
	{"goldenrod", nil, "flavonoid", Flower, 0},
	{"heather", nil, "flavonoid", Leaf, 0},
	{"marigold", nil, "flavonoid", Flower, 0},
	{"fustic", nil, "flavonoid", 0, 0},
	{"madder", words("madder root"), "anthraquinone", Root, Degrees(70)},
	{"cochineal", nil, "anthraquinone", 0, 0},
	{"alder bark", words("alder"), "tannin", Bark, Degrees(95)},
	{"oak gall", words("gall; galls"), "tannin", 0, 0},
	{"willow bark", words("willow"), "tannin", Bark, Degrees(95)},
	{"walnut leaf", nil, "tannin", Leaf, 0},
	{"walnut hull", words("walnut; walnut hulls"), "naphthoquinone", Bark, Degrees(95)},
	{"woad", words("woad leaf"), "indigoid", Leaf, 0},
	{"indigo", nil, "indigoid", 0, 0},
	{"red cabbage", nil, "anthocyanin", Leaf, 0},
	{"berries", words("elderberry; blackberry; bilberry"), "anthocyanin", 0, 0},
	{"turmeric", nil, "curcuminoid", 0, 0},
}

// Dyes lists the table in its order.
func Dyes() []Dye { return append([]Dye(nil), dyes...) }

// DyeOf finds a dyestuff by name. A studio forages more plants than any table
// holds, so an unknown one is no fault: nothing is known of it, and ok is false.
func DyeOf(name string) (d Dye, ok bool) {
	word := strings.ToLower(strings.Join(strings.Fields(name), " "))
	for _, d := range dyes {
		if d.Key == word {
			return d, true
		}
		for _, also := range d.Also {
			if also == word {
				return d, true
			}
		}
	}
	return Dye{}, false
}

// FamilyOf is the family of a dyestuff.
func (d Dye) FamilyOf() (f Family, ok bool) {
	for _, f := range families {
		if f.Key == d.Family {
			return f, true
		}
	}
	return Family{}, false
}

// Study is what a published work found about light and washing. It warns; it
// never grades a lot: only that lot's own witness swatch does.
type Study struct {
	On     []string // families or dyestuffs it speaks of; empty for nearly all
	Found  string
	Source Source
}

var studies = []Study{
	{nil, "nearly all natural dyes are light 5 or below, and most below 4", Source{Published, "Padfield & Landi 1966"}},
	{nil, "14 dyes on 5 mordants on wool sat near blue wool 3", Source{Published, "Guérin, Tse & Dignard 2023"}},
	{words("flavonoid; curcuminoid"), "on 18 yellows on wool the mordant mattered more than the dye, and alum and tin faded most", Source{Published, "Crews 1982"}},
	{words("turmeric; fustic; marigold"), "turmeric, fustic and marigold were the worst of 18 yellows on wool", Source{Published, "Crews 1982"}},
	{words("madder; cochineal"), "madder outlasted cochineal, and cochineal brazilwood", Source{Published, "Kirby & Saunders 2025"}},
	{words("anthocyanin"), "on silk without mordant light was 1.5 to 2 at every pH", Source{Published, "J. Textiles 2014, 587497"}},
}

// Studies are the works that speak of this dyestuff, those on nearly all dyes
// first.
func (d Dye) Studies() []Study {
	var of []Study
	for _, s := range studies {
		spoken := len(s.On) == 0
		for _, on := range s.On {
			spoken = spoken || on == d.Key || on == d.Family
		}
		if spoken {
			of = append(of, s)
		}
	}
	return of
}
