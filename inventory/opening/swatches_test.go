package opening

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var spring = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func cards(t testing.TB, text string, f Form) ([]SwatchCard, Notes, Notes) {
	t.Helper()
	var off, mind Notes
	s, err := Read(Swatches, strings.NewReader(text), &off)
	if err != nil {
		t.Fatal(err)
	}
	return SwatchCards(s, f, spring, "owner", &off, &mind), off, mind
}

// A card as a spreadsheet with decimal commas saves it, its words brought to those
// of the tables.
func TestACardIsReadAsItStands(t *testing.T) {
	t.Parallel()
	got, off, mind := cards(t, "Fibre;Dyed on;Plant;percent wof;baths;lab;grades;tested_on;by\nflax;02.07.2024;onion skins;;tannin galls=8% + mordant alum=12,5;62,5/-2/38;studio-home-wash change=4 stain-wool=3-4;01.09.2024;dyer-1\n"+
		"silk;03.07.2024;moon moss;12;;;;;\nsilk;03.07.2024;moon moss;12;;;;;\n", Form{Days: "dmy"})
	if off.Count != 0 || mind.Count != 1 || mind.List[0].Column != "plant" || len(got) != 3 {
		t.Fatalf("%v %v %v", got, off, mind)
	}
	c := got[0]
	want := "linen: tannin oak gall 8 % WOF; mordant potassium alum 12.5 % WOF; onion (skin), how much nobody knows"
	if c.Line != 2 || c.String() != want || c.By != "dyer-1" || got[1].By != "owner" || c.Measured.Lab.L != 62.5 || len(c.Grades) != 2 || c.Grades[1].Text() != "3-4" {
		t.Errorf("%s\n%s\n%+v", c, want, c)
	}
}

// Whatever a sheet holds, each row is a card or is told of, and a card is a page
// that stands.
func TestEachRowIsACardOrIsToldOf(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cell := func(label string, good ...string) string {
			if rapid.IntRange(0, 3).Draw(t, label+"?") == 0 {
				return strings.Map(func(r rune) rune {
					if strings.ContainsRune("\";\n\r", r) || r < ' ' {
						return '.'
					}
					return r
				}, rapid.StringN(0, 12, 40).Draw(t, label))
			}
			return rapid.SampledFrom(good).Draw(t, label)
		}
		text := "fibre;dyed_on;plant;percent_wof;baths;lab;grades;tested_on"
		rows := rapid.IntRange(1, 4).Draw(t, "rows")
		for range rows {
			text += "\n" + strings.Join([]string{cell("fibre", "silk", "wool"), cell("dyed", "2024-07-02"), cell("plant", "weld", "walnut"), cell("wof", "", "60", "60,5"), cell("baths", "", "mordant alum=15 | after-dip copperas"),
				cell("lab", "", "62/-2/38"), cell("grades", "", "studio-window light=3"), cell("tested", "2025-01-01")}, ";")
		}
		var off, mind Notes
		s, err := Read(Swatches, strings.NewReader(text), &off)
		if err != nil {
			t.Fatal(err)
		}
		ofSheet := len(off.List) // control characters: told where the sheet was read
		read := SwatchCards(s, Form{}, spring, "owner", &off, &mind)
		told := map[int]bool{}
		for _, n := range off.List[ofSheet:] {
			told[n.Line] = true
		}
		for _, c := range read {
			if c.Fibre == "" || c.Dyed.IsZero() || c.String() == "" {
				t.Fatalf("no page: %+v", c)
			}
			if told[c.Line] {
				t.Fatalf("line %d is a card and off as well: %v", c.Line, off.List)
			}
			told[c.Line] = true
		}
		for _, r := range s.Rows {
			if !told[r.Line] {
				t.Fatalf("nothing is said of line %d of\n%s", r.Line, text)
			}
		}
	})
}
