package opening

import (
	"regexp"
	"strings"

	"dyelot/inventory/fault"
)

// Mark is which of comma and point is the decimal mark.
type Mark rune

// The marks.
const (
	Unsaid Mark = 0
	Comma  Mark = ','
	Point  Mark = '.'
)

// MarkOf reads the word for a mark; empty is unsaid. fault.Invalid, field
// decimal_mark.
func MarkOf(word string) (Mark, error) {
	marks := map[string]Mark{"": Unsaid, "comma": Comma, "point": Point}
	m, ok := marks[word]
	if !ok {
		return Unsaid, fault.BadField("decimal_mark", "%.40q is neither comma nor point", word)
	}
	return m, nil
}

var (
	digitGroups = regexp.MustCompile(`^[+-]?\d{1,3}(?:[ \x{a0}\x{202f}\x{2009}]\d{3})+(?:[.,]\d+)?$`)
	spaces      = strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", "\u2009", "")
	// thousand is what a mark between groups of three digits looks like. Groups
	// do not begin with a lone zero: 0,234 is a decimal.
	thousand = map[Mark]*regexp.Regexp{
		Comma: regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(?:,\d{3})+$`),
		Point: regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(?:\.\d{3})+$`),
	}
)

// Number brings a number as a spreadsheet writes it to a plain decimal with a
// point. Digits in groups of three with spaces between are one number (ISO
// 80000-1, 7.3.1). What a comma or a point means is said by mark; unsaid, a
// comma is a decimal comma and a point a decimal point, but never where it
// could stand for thousands as well: 1,234, and 1.234 in a sheet whose
// separator is not the comma. Errors are fault.Invalid, without a field.
func Number(text string, mark Mark, separator rune) (string, error) {
	t := strings.TrimSpace(text)
	if digitGroups.MatchString(t) {
		t = spaces.Replace(t)
	}
	commas, points := strings.Count(t, ","), strings.Count(t, ".")
	if commas == 0 && points == 0 {
		return t, nil
	}
	if mark != Unsaid {
		return withMark(t, text, mark)
	}
	switch {
	case commas > 1 || points > 1:
		return "", fault.BadField("", "%q has a thousands mark: write it without, or say which is the decimal mark", clip(text))
	case commas > 0 && points > 0:
		return "", fault.BadField("", "%q has a comma and a point: write it without a thousands mark, or say which is the decimal mark", clip(text))
	case thousand[Comma].MatchString(t), separator != ',' && thousand[Point].MatchString(t):
		return "", fault.BadField("", "%q may be a thousand times less or more: say which is the decimal mark, comma or point", clip(text))
	}
	return strings.Replace(t, ",", ".", 1), nil
}

// withMark reads a number whose decimal mark was said: the other one may only
// stand between thousands.
func withMark(t, text string, mark Mark) (string, error) {
	other := Comma
	if mark == Comma {
		other = Point
	}
	whole, decimals, has := strings.Cut(t, string(mark))
	if strings.ContainsRune(whole, rune(other)) {
		if !thousand[other].MatchString(whole) {
			return "", fault.BadField("", "%q: the decimal mark was said to be the other one", clip(text))
		}
		whole = strings.ReplaceAll(whole, string(other), "")
	}
	if !has {
		return whole, nil
	}
	if strings.ContainsAny(decimals, ".,") {
		return "", fault.BadField("", "%q has a mark too many", clip(text))
	}
	return whole + "." + decimals, nil
}

// suffixed splits a number from the word behind it: "12,5 oz".
func suffixed(text string) (number, word string) {
	t := strings.TrimSpace(text)
	cut := strings.IndexFunc(t, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789 \u00a0\u202f\u2009'", r) })
	if cut < 0 {
		return t, ""
	}
	return strings.TrimSpace(t[:cut]), strings.TrimSpace(t[cut:])
}
