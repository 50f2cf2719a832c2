package cause

import (
	"fmt"
	"strconv"
	"strings"
)

// Counts are the plain counts of a suspect, which come before any test: "6 of 9
// returns came from the 24 garments that had potassium alum P3 in them; 0.9
// expected of 245".
func (a Answer) Counts(s Suspect) string {
	return fmt.Sprintf("%d of %s came from the %s %s; %s expected of %d", s.ExposedReturned, counted(a.Returned, "return"), counted(s.Exposed, "garment"), s.Factors[0].Had, tenths(s.Expected), a.Garments)
}

// Relations say what else is known of a suspect: what it cannot be told from,
// and among whose garments its own are.
func (a Answer) Relations(s Suspect) []string {
	var said []string
	for _, f := range s.Factors[1:] {
		said = append(said, "inseparable here from "+f.Name+": exactly the same garments had both")
	}
	for _, i := range s.Within {
		o := a.Suspects[i]
		said = append(said, fmt.Sprintf("all %d are among the %d of %s", s.Exposed, o.Exposed, o.Factors[0].Name))
	}
	return said
}

// Notes say what the whole answer rests on, and what it cannot bear.
func (a Answer) Notes() []string {
	var notes []string
	if a.Few() {
		are := "are"
		if a.Returned == 1 {
			are = "is"
		}
		notes = append(notes, fmt.Sprintf("%s %s few: even what all of them share may be chance, so take this as questions to ask", several(a.Returned, "return"), are))
	}
	switch {
	case a.Returned == a.Garments:
		notes = append(notes, "every garment of this population came back, so there is none to compare with: take a wider one")
	case len(a.Suspects) == 0:
		notes = append(notes, "no two of the returns share anything that the others have not")
	case !a.Suspects[0].WorthALook():
		notes = append(notes, fmt.Sprintf("none stands out from chance: with %s looked at, the best gives %s, and up to %s is worth a look", counted(a.LookedAt, "exposure"), rough(a.Suspects[0].Corrected), rough(Worth)))
	}
	return notes
}

// Method is how it was tested, in words.
func (a Answer) Method() string {
	return fmt.Sprintf("Fisher's exact test, one-sided (Fisher 1935), of %s among %s; corrected for %s looked at (Holm 1979); up to %s is worth a look, and never a proof", counted(a.Returned, "return"), counted(a.Garments, "garment"), counted(a.LookedAt, "exposure"), rough(Worth))
}

// Rough is a probability or a count as it is read: two figures.
func Rough(x float64) string { return rough(x) }

func rough(x float64) string {
	if x >= 10 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', 2, 64)
}

// tenths is a count that is expected: 0.9, or 0.04 where it is less than a tenth.
func tenths(x float64) string {
	if x >= 0.05 {
		return strconv.FormatFloat(x, 'f', 1, 64)
	}
	return rough(x)
}

var numerals = []string{"no", "one", "two", "three"}

// several is "one return", "three returns", "9 returns".
func several(n int, what string) string {
	if n < len(numerals) {
		_, unit, _ := strings.Cut(counted(n, what), " ")
		return numerals[n] + " " + unit
	}
	return counted(n, what)
}

// counted is "1 return", "9 returns".
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}
