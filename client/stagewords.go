package client

import (
	"strconv"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// stageHelp explains the small words of --stage; it stands in the help of
// `dyelot recipe add`.
const stageHelp = `A stage is written in small words, its kind first, the rest in any order:
  shared           one bath for all lots of the run, divided by fibre mass
  55C              temperature of the bath
  60min, 1h30min   how long
  ITEM=DOSE        what goes in; as many as you like
  ratio=30         litres per kilogram, where it differs from the recipe's
  pH=9-9.5         limits; pH=9- is from 9 up, pH=-9.5 up to 9.5
  # words          a note, to the end
A dose is one of:
  15%              % WOF: grams for 100 g of air-dry fibre; of a liquor, of the
                   salt dissolved in it
  1g/L             grams a litre of bath
  40mL/kg          millilitres a kilogram of air-dry fibre: for a liquor of
                   unknown strength, found by swatch
  2pc/kg           pieces a kilogram of air-dry fibre: galls, onions
Kinds: dyelot recipe stages.`

// stageOf reads a stage written in small words: "mordant shared 55C 60min
// alum=15%". Refused (fault.Invalid): a word that is none of those in
// stageHelp, and one that is given twice.
func stageOf(text string) (*dyelotv1.RecipeStage, error) {
	text, note, _ := strings.Cut(text, "#")
	words := strings.Fields(text)
	if len(words) == 0 {
		return nil, fault.BadField("", "an empty stage: begin with its kind, such as mordant or dye")
	}
	st := &dyelotv1.RecipeStage{Kind: words[0], Note: strings.Join(strings.Fields(note), " ")}
	if !stageKind().MatchString(words[0]) {
		return nil, fault.BadField("", "%.40q is no kind of stage: begin with one, such as mordant or dye", words[0])
	}
	for _, word := range words[1:] {
		if err := stageWord(st, word); err != nil {
			return nil, err
		}
	}
	return st, nil
}

var (
	stageKind = pattern(`^[a-z]+(-[a-z]+)*$`)
	degrees   = pattern(`^(?i)(\d{1,3})°?C$`)
	clocked   = pattern(`^(?i)(?:(\d{1,4})h)?(?:(\d{1,6})min)?$`)
)

func stageWord(st *dyelotv1.RecipeStage, word string) error {
	switch m := degrees().FindStringSubmatch(word); {
	case word == "shared":
		if st.Shared {
			return twice("shared")
		}
		st.Shared = true
		return nil
	case m != nil:
		if st.Celsius != 0 {
			return twice("the temperature")
		}
		n, _ := strconv.Atoi(m[1]) // at most three digits
		if n == 0 {
			return fault.BadField("", "0C is no bath")
		}
		st.Celsius = int32(n)
		return nil
	case strings.Contains(word, "="):
		return stagePair(st, word)
	}
	if m := clocked().FindStringSubmatch(word); m != nil {
		if st.Minutes != 0 {
			return twice("the time")
		}
		hours, _ := strconv.Atoi("0" + m[1]) // digits, and few of them
		minutes, _ := strconv.Atoi("0" + m[2])
		if st.Minutes = int32(hours*60 + minutes); st.Minutes == 0 {
			return fault.BadField("", "%q is no time", word)
		}
		return nil
	}
	return fault.BadField("", "%.40q is none of shared, 55C, 60min, ITEM=DOSE, ratio=30, pH=9-9.5; a note comes after #", word)
}

func twice(what string) error { return fault.BadField("", "%s is given twice", what) }

// stagePair reads a word with "=" in it: ratio, pH, or a dose.
func stagePair(st *dyelotv1.RecipeStage, word string) error {
	name, value, _ := strings.Cut(word, "=")
	switch {
	case name == "ratio":
		if st.LiquorRatio != "" {
			return twice("ratio")
		}
		if _, err := quantity.ParseRatio(value); err != nil {
			return sentence(err)
		}
		st.LiquorRatio = value
	case strings.EqualFold(name, "ph"):
		if st.PhLow != "" || st.PhHigh != "" {
			return twice("pH")
		}
		return stagePH(st, value)
	default:
		d, err := doseOf(name, value)
		if err != nil {
			return err
		}
		for _, other := range st.Doses {
			if other.GetItemCode() == name {
				return twice(name)
			}
		}
		st.Doses = append(st.Doses, d)
	}
	return nil
}

// stagePH reads "9-9.5", "9-", "-9.5" or "9", which is both limits.
func stagePH(st *dyelotv1.RecipeStage, value string) error {
	low, high, ranged := strings.Cut(value, "-")
	if !ranged {
		high = low
	}
	for _, limit := range []string{low, high} {
		if limit != "" && !acidity().MatchString(limit) {
			return fault.BadField("", "pH %.20q is not a limit such as 9-9.5", value)
		}
	}
	if low == "" && high == "" {
		return fault.BadField("", "pH has no limit: write it as 9-9.5")
	}
	st.PhLow, st.PhHigh = low, high
	return nil
}

var (
	acidity  = pattern(`^\d{1,2}(\.\d{1,2})?$`)
	itemCode = pattern(`^[a-z0-9]+(-[a-z0-9]+)*$`)
)

// bases are how a dose is meant, by what stands behind its number.
var bases = []struct {
	suffix string
	basis  recipe.Basis
}{
	{"mL/kg", recipe.OfLiquor},
	{"g/L", recipe.InBath},
	{"%", recipe.OnFibre},
	{"pc/kg", recipe.Counted},
}

func doseOf(item, text string) (*dyelotv1.Dose, error) {
	if !itemCode().MatchString(item) {
		return nil, fault.BadField("", "%.40q is no item code: small letters, digits and hyphens", item)
	}
	for _, b := range bases {
		n := len(text) - len(b.suffix)
		if n <= 0 || !strings.EqualFold(text[n:], b.suffix) {
			continue
		}
		if _, err := recipe.ParseAsk(string(b.basis), text[:n]); err != nil {
			return nil, fault.BadField("", "%s=%.40s: %s", item, text, said(err))
		}
		return &dyelotv1.Dose{ItemCode: item, Basis: string(b.basis), Value: text[:n]}, nil
	}
	return nil, fault.BadField("", "%s=%.40s: a dose is written as 15%% (WOF), 1g/L, 40mL/kg or 2pc/kg", item, text)
}

// said is a fault's sentence without its field.
func said(err error) string { return sentence(err).Error() }
