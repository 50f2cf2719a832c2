package client

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"
	"pgregory.net/rapid"

	"dyelot/client/paper"
	"dyelot/inventory/recipe"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func dose(item string, basis recipe.Basis, value string) *dyelotv1.Dose {
	return &dyelotv1.Dose{ItemCode: item, Basis: string(basis), Value: value}
}

func TestStagesInSmallWords(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]*dyelotv1.RecipeStage{
		"dye":                                  {Kind: "dye"},
		"mordant shared 55C 60min alum=15%":    {Kind: "mordant", Shared: true, Celsius: 55, Minutes: 60, Doses: []*dyelotv1.Dose{dose("alum", recipe.OnFibre, "15")}},
		"brew shared 90C 60min weld=60%":       {Kind: "brew", Shared: true, Celsius: 90, Minutes: 60, Doses: []*dyelotv1.Dose{dose("weld", recipe.OnFibre, "60")}},
		"after-dip 45C 15min iron-liquor=1%":   {Kind: "after-dip", Celsius: 45, Minutes: 15, Doses: []*dyelotv1.Dose{dose("iron-liquor", recipe.OnFibre, "1")}},
		"scour 45°C 30MIN soap=1g/L":           {Kind: "scour", Celsius: 45, Minutes: 30, Doses: []*dyelotv1.Dose{dose("soap", recipe.InBath, "1")}},
		"after-dip 40c 10min old-iron=40mL/kg": {Kind: "after-dip", Celsius: 40, Minutes: 10, Doses: []*dyelotv1.Dose{dose("old-iron", recipe.OfLiquor, "40")}},
		"vat-dip pH=9-9.5 ratio=30 3min":       {Kind: "vat-dip", PhLow: "9", PhHigh: "9.5", LiquorRatio: "30", Minutes: 3},
		"neutralise ph=-7":                     {Kind: "neutralise", PhHigh: "7"},
		"scour pH=8-":                          {Kind: "scour", PhLow: "8"},
		"scour pH=7":                           {Kind: "scour", PhLow: "7", PhHigh: "7"},
		"cure 24h":                             {Kind: "cure", Minutes: 1440},
		"dye 1h30min":                          {Kind: "dye", Minutes: 90},
		"tannin gall=2pc/kg":                   {Kind: "tannin", Doses: []*dyelotv1.Dose{dose("gall", recipe.Counted, "2")}},
		"mordant alum=15% cream-of-tartar=5% # lid on, keep the bath": {Kind: "mordant", Doses: []*dyelotv1.Dose{dose("alum", recipe.OnFibre, "15"), dose("cream-of-tartar", recipe.OnFibre, "5")},
			Note: "lid on, keep the bath"},
		"  dye   60C  #  it may   boil = 100% at 99C ": {Kind: "dye", Celsius: 60, Note: "it may boil = 100% at 99C"},
	} {
		got, err := stageOf(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if diff := cmp.Diff(want, got, protocmp.Transform()); diff != "" {
			t.Errorf("%q (-want +got):\n%s", text, diff)
		}
	}
}

func TestStagesThatAreRefused(t *testing.T) {
	t.Parallel()
	for text, says := range map[string]string{
		"":                          "an empty stage",
		"# only a note":             "an empty stage",
		"55C mordant":               "no kind of stage",
		"Mordant 55C":               "no kind of stage",
		"mordant 55C 60C":           "the temperature is given twice",
		"mordant 1h 60min":          "the time is given twice",
		"mordant shared shared":     "shared is given twice",
		"mordant alum=15% alum=5%":  "alum is given twice",
		"mordant ratio=30 ratio=40": "ratio is given twice",
		"mordant pH=4 pH=5":         "pH is given twice",
		"mordant alum":              "is none of shared",
		"mordant alum=15":           "a dose is written as 15%",
		"mordant alum=%":            "a dose is written as 15%",
		"mordant alum=1e3%":         "is not a number",
		"mordant alum=-5%":          "alum=-5%",
		"mordant alum=0%":           "alum=0%",
		"mordant alum=1,5%":         "has a comma",
		"mordant Alum=15%":          "no item code",
		"mordant =15%":              "no item code",
		"mordant pH=acid":           "is not a limit",
		"mordant pH=-":              "pH has no limit",
		"mordant ratio=thick":       "is not a number",
		"dye 0C":                    "0C is no bath",
		"dye 0min":                  "is no time",
		"dye 200F":                  "is none of shared",
	} {
		st, err := stageOf(text)
		if err == nil {
			t.Errorf("%q is read as %v", text, st)
		} else if !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
}

// What recipe show prints can be typed back and means the same.
func TestShownStagesCanBeTyped(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := someStage(t)
		text := paper.StageWords(want)
		got, err := stageOf(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if !proto.Equal(want, got) {
			t.Fatalf("%q: %s", text, cmp.Diff(want, got, protocmp.Transform()))
		}
	})
}

func someStage(t *rapid.T) *dyelotv1.RecipeStage {
	st := &dyelotv1.RecipeStage{
		Kind:    rapid.SampledFrom([]string{"scour", "mordant", "wet-out", "brew", "dye", "after-dip", "chalk-bath"}).Draw(t, "kind"),
		Shared:  rapid.Bool().Draw(t, "shared"),
		Celsius: rapid.Int32Range(0, 100).Draw(t, "celsius"),
		Minutes: rapid.Int32Range(0, 6000).Draw(t, "minutes"),
		Note:    rapid.SampledFrom([]string{"", "lid on", "two = one, 99C # really"}).Draw(t, "note"),
	}
	decimal := rapid.StringMatching(`[1-9][0-9]?(\.[1-9])?`)
	if rapid.Bool().Draw(t, "has a ratio") {
		st.LiquorRatio = decimal.Draw(t, "ratio")
	}
	if rapid.Bool().Draw(t, "has a low pH") {
		st.PhLow = decimal.Draw(t, "low")
	}
	if rapid.Bool().Draw(t, "has a high pH") {
		st.PhHigh = decimal.Draw(t, "high")
	}
	for _, item := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"alum", "weld", "old-iron", "soap", "gall"}), 0, 4, rapid.ID).Draw(t, "items") {
		basis := rapid.SampledFrom(recipe.Bases()).Draw(t, "basis")
		value := decimal.Draw(t, "dose")
		if basis == recipe.Counted {
			value, _, _ = strings.Cut(value, ".")
		}
		st.Doses = append(st.Doses, dose(item, basis, value))
	}
	return st
}

// Whatever is typed, a stage is read or refused; what was read means the same
// once it is shown and typed again.
func FuzzStageWords(f *testing.F) {
	for _, text := range []string{"mordant shared 55C 60min alum=15%", "scour 45°C soap=1g/L # note", "after-dip old-iron=40mL/kg pH=-9.5", "dye 1h30min ratio=30", "a=b", "dye \xff=1%"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		st, err := stageOf(text)
		if err != nil {
			return
		}
		again, err := stageOf(paper.StageWords(st))
		if err != nil || !proto.Equal(st, again) {
			t.Errorf("%q is read as %v, shown as %q, and read again as %v (%v)", text, st, paper.StageWords(st), again, err)
		}
	})
}

func TestBlanksInSmallWords(t *testing.T) {
	t.Parallel()
	grams := func(values ...string) (masses []*dyelotv1.Amount) {
		for _, v := range values {
			masses = append(masses, &dyelotv1.Amount{Value: v, Unit: "g"})
		}
		return masses
	}
	for text, want := range map[string]*dyelotv1.Blanks{
		"P3=105,104,106":    {ParcelCode: "P3", Masses: grams("105", "104", "106")},
		" P3 = 104.5 , 106": {ParcelCode: "P3", Masses: grams("104.5", "106")},
		"P3=0.105kg":        {ParcelCode: "P3", Masses: []*dyelotv1.Amount{{Value: "0.105", Unit: "kg"}}},
		"P3x10":             {ParcelCode: "P3", Count: 10},
		"p12X1":             {ParcelCode: "p12", Count: 1},
	} {
		if got, err := blanksOf(text); err != nil || !proto.Equal(got, want) {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "P3", "P3=", "P3=,", "=105", "P3x0", "P3x", "P3=105,heavy", "P3x9999999999"} {
		if got, err := blanksOf(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
	for _, text := range []string{"", "pot-40", ":P3x2", "pot-40:"} {
		if got, err := addLoad(nil, text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}
