package swatch

import (
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// BathText is a bath taken apart as it is typed: "mordant alum=15%", "after-dip
// vinegar iron", "tannin acorn=20 metal none". Percent is a plain number, empty
// where none was said. Errors are fault.Invalid without a field.
func BathText(text string) (kind, substance, percent, metal string, err error) {
	kind, rest, _ := strings.Cut(strings.Join(strings.Fields(text), " "), " ")
	if i := strings.LastIndex(" "+rest, " metal "); i >= 0 {
		metal = strings.TrimSpace(rest[i+len("metal "):])
		rest = strings.TrimSpace(rest[:max(i-1, 0)])
	}
	substance, percent, dosed := strings.Cut(rest, "=")
	substance, percent = strings.TrimSpace(substance), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(percent), "%"))
	if kind == "" || substance == "" || dosed && percent == "" {
		return "", "", "", "", fault.BadField("", "%.60q is no bath such as mordant alum=15%%, or after-dip vinegar iron", text)
	}
	return kind, substance, percent, metal, nil
}

// ParseBath reads a bath as it is typed; Page.Check then holds it against the
// tables.
func ParseBath(text string) (Bath, error) {
	kind, substance, percent, metal, err := BathText(text)
	if err != nil {
		return Bath{}, err
	}
	b := Bath{Kind: kind, Substance: substance, Metal: metal}
	if percent != "" {
		if b.WOF, err = quantity.ParsePercent(percent); err != nil {
			return b, err
		}
		if b.WOF <= 0 {
			return b, fault.BadField("percent_wof", "%s is no dose: leave it out where nobody knows", b.WOF)
		}
	}
	return b, nil
}

// GradesText takes one test apart as it is typed: "studio-window light=3-4", with
// edition and variant where the method has them: "iso-105-x12 dry=4 wet=3
// edition=2016". Errors are fault.Invalid without a field.
func GradesText(text string) (method, edition, variant string, grades map[string]string, err error) {
	words := strings.Fields(text)
	if len(words) < 2 {
		return "", "", "", nil, fault.BadField("", "%.60q is no test such as studio-window light=3-4", text)
	}
	grades = map[string]string{}
	for _, w := range words[1:] {
		key, value, ok := strings.Cut(w, "=")
		switch {
		case !ok || key == "" || value == "":
			return "", "", "", nil, fault.BadField("", "%.40q is no component with its grade, such as light=3-4", w)
		case key == "edition":
			edition = value
		case key == "variant":
			variant = value
		case grades[key] != "":
			return "", "", "", nil, fault.BadField("", "%s is graded twice", key)
		default:
			grades[key] = value
		}
	}
	return words[0], edition, variant, grades, nil
}
