package opening_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/opening"
)

// Fibres as labels and sheets write them come to the same parts.
func TestFibresAsSheetsWriteThem(t *testing.T) {
	t.Parallel()
	for cell, want := range map[string]string{
		"silk": "100 % of silk", "Silk=100": "100 % of silk", "100 % silk": "100 % of silk",
		"cotton=60 | linen=40": "60 % of cotton, 40 % of linen", "60% cotton, 40% linen": "60 % of cotton, 40 % of linen",
		"cotton 62,5 + linen 37,5": "62.5 % of cotton, 37.5 % of linen", "cotton: 60; linen: 40": "60 % of cotton, 40 % of linen",
		"cotton=60,linen=40": "60 % of cotton, 40 % of linen",
	} {
		u := readAll(t, opening.Sheets{}, opening.Form{}, map[opening.Kind]string{opening.Items: "item\tkind\tfibre\tpiece_mass (g)\nshirt\tblank\t" + cell + "\t240\n"})
		if u.Off.Count > 0 {
			t.Errorf("%q: %v", cell, lines(u.Off))
			continue
		}
		if got := u.Plan.InWords()[0].Text; got != `shirt: blank "shirt", counted in pc, `+want+", 240 g a piece" {
			t.Errorf("%q: %s", cell, got)
		}
	}
}

func TestItemsThatAreOff(t *testing.T) {
	t.Parallel()
	text := strings.Join([]string{"item;kind;fibre;piece_mass;unit;resolution;substance;minimum",
		"copperas;mordant;;;;;copperas;100 g", "copperas;mordant;;;;;;", "alum;mordant;;;;;;", "Bad Code;mordant;;;;;;", "x;spice;;;;;;",
		"shirt;blank;linen=90;240 g;;;;", "cap;blank;wool;;;;;", "madder;dyestuff;;;pc;;;", "salt;auxiliary;;;;0 g;;", "soap;auxiliary;;;;;;5 pc", "thread;blank;moss=100;1 g;;;;",
	}, "\n")
	u := readAll(t, opening.Sheets{}, opening.Form{}, map[opening.Kind]string{opening.Items: text,
		opening.Parcels: "item;amount\ncopperas;5 g\nx;5 g\nnone;5 g\n"})
	got := lines(u.Off)
	want := []string{"3 item: copperas stands in line 2 already", "4 item: alum is in the books already: leave this row out", "5 item: ", "6 kind: ",
		"7 fibre: the parts sum to 90 %, not to 100 %", "8 piece_mass: ", "9 unit: ", "10 resolution: ", "11 minimum: ", "12 fibre: ",
		`4 item: there is no item "none"`}
	if len(got) != len(want) {
		t.Fatal(cmp.Diff(want, got))
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("%s\nwant %s", got[i], want[i])
		}
	}
}
