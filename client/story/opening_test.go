package story_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A studio of years brings its sheets: tried first, put right, brought in, and
// what it sold before these books began is traced.
func TestOldSheetsComeInThroughTheRealPrograms(t *testing.T) {
	t.Parallel()
	s := open(t)
	s.do("vessel", "add", "pot-40", "--volume", "40L", "--use", "dye")
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	items := file("items.csv", "\ufeffitem;kind;name;fibre;piece_mass;family\r\nalum;mordant;potassium alum;;;\r\nweld;dyestuff;weld;;;flavonoid\r\ncap-wool;blank;wool cap;wool;84 g;\r\n")
	shelf := file("shelf.csv", "ref;item;amount;picked_on;fresh (kg)\r\ncaps;cap-wool;3;;\r\nbag;alum;8 oz;;\r\nsack;weld;96 g;2023-06-20;2,1\r\n")
	// Items first: the recipe that the past lots were dyed by names them.
	out := s.show("opening", "import", "--items", items)
	if !strings.Contains(out, "3 items, 0 parcels, 0 past lots") {
		t.Fatal(out)
	}
	s.do("standard", "add", "gold", "--lab", "68,-3,46", "--tolerance", "2.0", "--dated", "2020-03-01")
	s.do("recipe", "add", "weld-wool", "--fibre", "wool", "--ratio", "30", "--stage", "mordant 80C alum=12%", "--stage", "brew 90C weld=60%", "--stage", "dye 75C")
	s.do("colourway", "add", "harbour-gold", "--standard", "gold", "--recipe", "weld-wool")
	lots := file("lots.csv", "colourway;vessel;dyed_on;pieces;blanks;used;order\r\nharbour-gold;pot-40;2023-07-04;6;caps;bag=1,234 g | sack=304 g;market-3\r\n")
	out, said, code := s.call("opening", "import", "--parcels", shelf, "--lots", lots, "--dry-run")
	if code != 2 || !strings.Contains(out, "may be a thousand times") || !strings.Contains(said, "1 in all") {
		t.Fatalf("exit code %d\n%s%s", code, out, said)
	}
	out, said, code = s.call("opening", "import", "--parcels", shelf, "--lots", lots)
	if code != 2 || out != "" || !strings.Contains(said, "one thing is off, and nothing was imported") {
		t.Fatalf("exit code %d\n%s%s", code, out, said)
	}
	lots = file("lots.csv", "colourway;vessel;dyed_on;pieces;blanks;used;order\r\nharbour-gold;pot-40;2023-07-04;6;caps;bag=60,8 g | sack=304 g;market-3\r\n")
	done := s.do("opening", "import", "--parcels", shelf, "--lots", lots)
	tag := done.at("opened_lots", 0, "tags", 0).text()
	out = s.show("trace", tag)
	for _, want := range []string{"sold", "order market-3", "60.8 g", "304 g", "harvest 2023-06-20", "Sisters, of the same lot: 5"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in the trace:\n%s", want, out)
		}
	}
	if _, said, code := s.call("opening", "import", "--parcels", shelf); code != 4 || !strings.Contains(said, "--again") {
		t.Errorf("the same sheet again: exit code %d: %s", code, said)
	}
	s.do("verify")
}
