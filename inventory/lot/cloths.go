package lot

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fault"
)

// Sample is what an instrument's file calls one spot, and the line it begins on.
type Sample struct {
	Name string
	Line int
}

// Cloth is one garment or one lot's witness cloth, and its spots among the
// samples of a file.
type Cloth struct {
	Code    string // a tag, or a lot's code
	Samples []int  // indexes
}

// most is how many names a refusal lists.
const most = 5

// Cloths tells which samples of a file are spots of which cloth, by their names:
// "16JD", "16JD 2", "16JD-2" and "16jd/left cuff" are spots of garment 16JD,
// "L1/3" is one of lot L1's witness cloth. known are the tags and codes that may
// be meant. Cloths come in the order in which the file names them first.
//
// A name that is none of them is a fault.BadField on field, with its line.
func Cloths(field string, samples []Sample, known []string) ([]Cloth, error) {
	by := map[string]string{}
	for _, k := range known {
		by[plainCode(k)] = k
	}
	var cloths []Cloth
	var strange []string
	for i, s := range samples {
		code, ok := clothOf(s.Name, by)
		if !ok {
			strange = append(strange, fmt.Sprintf("line %d: %.60q", s.Line, s.Name))
			continue
		}
		at := slices.IndexFunc(cloths, func(c Cloth) bool { return c.Code == code })
		if at < 0 {
			cloths, at = append(cloths, Cloth{Code: code}), len(cloths)
		}
		cloths[at].Samples = append(cloths[at].Samples, i)
	}
	if n := len(strange); n > 0 {
		if n > most {
			strange = append(strange[:most], fmt.Sprintf("and %d more", n-most))
		}
		return nil, fault.BadField(field, "%s: no lot and no garment of what was named; a sample is called by its tag or lot, with a number behind it (16JD 2, L1/3), and those of several lots are read in by their run", strings.Join(strange, ", "))
	}
	return cloths, nil
}

// OneCloth is Cloths for a file that was read on one cloth, whatever its samples
// are called. But where some of them are named by what is known, all must be.
func OneCloth(field, code string, samples []Sample, known []string) ([]Cloth, error) {
	by := map[string]string{}
	for _, k := range known {
		by[plainCode(k)] = k
	}
	one := Cloth{Code: code}
	for i, s := range samples {
		if _, named := clothOf(s.Name, by); named {
			return Cloths(field, samples, known)
		}
		one.Samples = append(one.Samples, i)
	}
	return []Cloth{one}, nil
}

// clothOf finds the shortest beginning of a name, up to the end or something that
// is no letter and no digit, that is known.
func clothOf(name string, known map[string]string) (code string, ok bool) {
	name = strings.TrimSpace(name)
	for i, r := range name + " " {
		if r != ' ' && r != '\t' && !strings.ContainsRune("-_/#.:,;(", r) {
			continue
		}
		if code, ok = known[plainCode(name[:i])]; ok {
			return code, true
		}
	}
	return "", false
}

// plainCode is a code as it may be typed: in any case, with hyphens and spaces,
// and on a tag with O for 0 and I or L for 1, which stand on none.
func plainCode(text string) string {
	text = strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(text))
	if rest, isLot := strings.CutPrefix(text, "L"); isLot && rest != "" && strings.Trim(rest, "0123456789") == "" {
		return "L" + strings.TrimLeft(rest, "0")
	}
	return strings.NewReplacer("O", "0", "I", "1", "L", "1").Replace(text)
}
