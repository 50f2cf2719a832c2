package fastness

import "slices"

const (
	hotLiquor = "hot liquor scalds; tongs, gloves, and let the pot cool before it is opened"
	chlorine  = "chlorine bleach frees poisonous gas with vinegar or any acid: keep them apart, open the window, read the supplier's safety sheet first"
	perborate = "perborate irritates eyes and lungs as dust; read the supplier's safety sheet first"
)

// methods is the one table of fastness methods: a row adds one, and nothing else
// has to learn of it. Titles are our own words; conditions are from memory and
// only help to pick the right variant: the edition in force decides.
var methods = []Method{
	{
		Key: "iso-105-c06", Standard: "ISO 105-C06", Family: "wash",
		Title:      "household and commercial laundering, with steel balls to rub",
		Components: changeAndStrips("wash", ""),
		Variants: []Variant{
			{Key: "A1S", Title: "40 °C, 30 min, one wash"},
			{Key: "A1M", Title: "40 °C, 45 min, as several washes"},
			{Key: "A2S", Title: "40 °C, 30 min, with perborate", Caution: perborate},
			{Key: "B1S", Title: "50 °C, 30 min, one wash"},
			{Key: "B1M", Title: "50 °C, 45 min, as several washes"},
			{Key: "B2S", Title: "50 °C, 30 min, with perborate", Caution: perborate},
			{Key: "C1S", Title: "60 °C, 30 min, one wash"},
			{Key: "C1M", Title: "60 °C, 45 min, as several washes"},
			{Key: "C2S", Title: "60 °C, 30 min, with perborate", Caution: perborate},
			{Key: "D1S", Title: "70 °C, 30 min, one wash"},
			{Key: "D1M", Title: "70 °C, 45 min, as several washes"},
			{Key: "D2S", Title: "70 °C, 30 min, with perborate", Caution: perborate},
			{Key: "D3S", Title: "70 °C, 30 min, with chlorine", Caution: chlorine},
			{Key: "D3M", Title: "70 °C, 45 min, with chlorine, as several washes", Caution: chlorine},
			{Key: "E1S", Title: "95 °C, 30 min, one wash"},
			{Key: "E2S", Title: "95 °C, 30 min, with perborate", Caution: perborate},
		},
		Caution: hotLiquor,
	},
	{
		Key: "iso-105-c10", Standard: "ISO 105-C10", Family: "wash",
		Title:      "washing with soap, or soap and soda",
		Components: changeAndStrips("wash", ""),
		Variants: []Variant{
			{Key: "A", Title: "40 °C, 30 min, soap"},
			{Key: "B", Title: "50 °C, 45 min, soap"},
			{Key: "C", Title: "60 °C, 30 min, soap and soda"},
			{Key: "D", Title: "95 °C, 30 min, soap and soda, steel balls"},
			{Key: "E", Title: "95 °C, 4 h, soap and soda, steel balls"},
		},
		Caution: hotLiquor,
	},
	{
		Key: "aatcc-61", Standard: "AATCC 61", Family: "wash",
		Title:      "hastened laundering: one run stands for about five home washes",
		Components: changeAndStrips("wash", ""),
		Variants: []Variant{
			{Key: "1A", Title: "40 °C, 45 min, as careful hand washing"},
			{Key: "2A", Title: "49 °C, 45 min, as warm machine washing"},
			{Key: "3A", Title: "71 °C, 45 min, as hot washing"},
			{Key: "4A", Title: "71 °C, 45 min, as hot washing with chlorine", Ungraded: []string{"wash-staining"}, Caution: chlorine},
			{Key: "5A", Title: "49 °C, 45 min, as warm washing with chlorine", Ungraded: []string{"wash-staining"}, Caution: chlorine},
		},
		Caution: hotLiquor,
	},
	{
		Key: "iso-105-b02", Standard: "ISO 105-B02", Family: "light",
		Title:      "a xenon lamp behind glass, beside blue wools 1 to 8",
		Components: []Component{{"light", "fading in light", "light", "", BlueWool}},
		Variants: []Variant{
			{Key: "1", Title: "each specimen watched beside a full set of blue wools"},
			{Key: "2", Title: "many specimens, the blue wools watched instead"},
			{Key: "3", Title: "held against the blue wool a buyer agreed; record that grade only if it was met"},
			{Key: "4", Title: "held against an agreed reference cloth of known grade"},
			{Key: "5", Title: "exposed to an agreed dose of light"},
		},
		Caution: "never look into the lamp; its ultraviolet burns eyes and skin",
	},
	{
		Key: "aatcc-16-3", Standard: "AATCC 16.3", Family: "light",
		Title:      "a xenon lamp, beside the AATCC blue wools L2 to L9, on their own scale",
		Components: []Component{{"light", "fading in light", "light", "", AATCCLight}},
		Caution:    "never look into the lamp; its ultraviolet burns eyes and skin",
	},
	{
		Key: "iso-105-x12", Standard: "ISO 105-X12", Family: "rubbing",
		Title: "rubbed with white cotton, dry and wet",
		Components: []Component{
			{"dry", "staining of the dry rubbing cloth", "rubbing-dry", "", GreyStaining},
			{"wet", "staining of the wet rubbing cloth", "rubbing-wet", "", GreyStaining},
		},
	},
	{
		Key: "iso-105-e04", Standard: "ISO 105-E04", Family: "perspiration",
		Title:      "pressed and kept warm in made-up sweat, acid and alkaline",
		Components: slices.Concat(changeAndStrips("perspiration", "acid"), changeAndStrips("perspiration", "alkaline")),
		Caution:    "the liquors are set with acid and lye: goggles, gloves, and the supplier's safety sheets first",
	},
	{
		Key: "iso-105-e01", Standard: "ISO 105-E01", Family: "water",
		Title:      "soaked in water, pressed and kept warm",
		Components: changeAndStrips("water", ""),
	},
	{
		Key: "studio-window", Family: "light", StudioOwn: true,
		Title:      "the studio's own window test: half covered behind glass beside blue wools, no standard and no laboratory",
		Components: []Component{{"light", "fading in light", "light", "", BlueWool}},
	},
	{
		Key: "studio-home-wash", Family: "wash", StudioOwn: true,
		Title:      "the studio's own home wash: washed as the care words say, beside a strip of white cloths, no standard and no laboratory",
		Components: changeAndStrips("wash", ""),
		Caution:    hotLiquor,
	},
}
