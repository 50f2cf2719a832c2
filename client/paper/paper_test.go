package paper

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Run with -update to write what is printed now; then read it before keeping it.
var update = flag.Bool("update", false, "write the golden files")

func oslo(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Oslo")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// printed is what a sheet reads, by someone in Oslo.
func printed(t testing.TB, o Options, write func(*Sheet)) string {
	t.Helper()
	var out bytes.Buffer
	o.Zone = func() *time.Location { return oslo(t) }
	s := New(&out, o)
	write(s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// sheets are the pages of the studio's days in stories.md; each has its golden
// file.
var sheets = map[string]func(*Sheet){
	"stock":             func(s *Sheet) { s.Stock(shelf()) },
	"items":             func(s *Sheet) { s.Items(items()) },
	"parcel":            func(s *Sheet) { s.Parcel(weld()) },
	"received":          func(s *Sheet) { s.Received(delivery()) },
	"made":              func(s *Sheet) { s.Made(liquorMade()) },
	"counted":           func(s *Sheet) { s.Counted(count()) },
	"reorder":           func(s *Sheet) { s.Reorder(reorder()) },
	"standards":         func(s *Sheet) { s.Standards(standards()) },
	"colourways":        func(s *Sheet) { s.Colourways(colourways(), standards().GetStandards()) },
	"recipe":            func(s *Sheet) { s.Recipe(gold()) },
	"plan":              func(s *Sheet) { s.Planned(plan()) },
	"card":              func(s *Sheet) { s.Card(card(), "22 59 13 00") },
	"card-no-number":    func(s *Sheet) { s.Card(card(), "") },
	"lot":               func(s *Sheet) { s.Lot(lotB()) },
	"recorded":          func(s *Sheet) { s.Recorded(recorded()) },
	"recorded-unknown":  func(s *Sheet) { s.Recorded(linenOver()) },
	"added":             func(s *Sheet) { s.Added(added()) },
	"lot-added":         func(s *Sheet) { s.Lot(lotAdded()) },
	"proposed":          func(s *Sheet) { s.Proposed(proposed()) },
	"baths":             func(s *Sheet) { s.Baths(baths()) },
	"bath":              func(s *Sheet) { s.Bath(tub()) },
	"bath-spent":        func(s *Sheet) { s.BathLogged(spentTub()) },
	"bath-undone":       func(s *Sheet) { s.EntryUndone(entryUndone()) },
	"vat-set":           func(s *Sheet) { s.VatSet(vatSet()) },
	"vat":               func(s *Sheet) { s.Bath(vat()) },
	"recorded-again":    func(s *Sheet) { s.Recorded(recordedAgain()) },
	"judged":            func(s *Sheet) { s.Judged(judgedB(false)) },
	"judged-overridden": func(s *Sheet) { s.Judged(judgedB(true)) },
	"house":             func(s *Sheet) { s.House(house()) },
	"methods":           func(s *Sheet) { s.Methods(methods()) },
	"trace":             func(s *Sheet) { s.TracedGarment(traceB()) },
	"trace-parcel":      func(s *Sheet) { s.TracedParcel(traceLiquor()) },
	"today":             func(s *Sheet) { s.Today(today()) },
	"studio":            func(s *Sheet) { s.Studio(studio()) },
	"vessels":           func(s *Sheet) { s.Vessels(vessels()) },
	"tokens":            func(s *Sheet) { s.Tokens(tokens()) },
	"verified":          func(s *Sheet) { s.Verified(notWhole()) },
	"card-again":        func(s *Sheet) { s.Card(cardAgain(), "22 59 13 00") },
	"trace-again":       func(s *Sheet) { s.TracedGarment(traceShirt()) },
	"lot-moved-on":      func(s *Sheet) { s.Lot(lotMovedOn()) },
	"cloth":             func(s *Sheet) { s.Cloth(cloth()) },
	"shelved":           func(s *Sheet) { s.Shelved(&dyelotv1.ShelveLotResponse{Cloth: cloth().GetCloth()[0]}) },
	"plan-leaves-out":   func(s *Sheet) { s.Planned(leavesOut()) },
	"mended":            func(s *Sheet) { s.Mended(&dyelotv1.MendGarmentResponse{Garment: shirt("L1", "returned")}) },
	"audit":             func(s *Sheet) { s.Audit(audit()) },
}

func TestSheetsReadAsTheyDid(t *testing.T) {
	t.Parallel()
	for name, write := range sheets {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := printed(t, Options{}, write)
			file := filepath.Join("testdata", name+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// 80 columns on paper, fewer on a narrow terminal; colour adds none.
func TestNoLineIsWiderThanTheSheet(t *testing.T) {
	t.Parallel()
	for name, write := range sheets {
		for _, width := range []int{0, 80, 60, 200} {
			limit := width
			if width == 0 || width > 80 {
				limit = 80
			}
			for _, l := range strings.Split(printed(t, Options{Width: width}, write), "\n") {
				if n := utf8.RuneCountInString(l); n > limit {
					t.Errorf("%s at %d: %d columns: %s", name, width, n, l)
				}
				if strings.TrimRight(l, " ") != l {
					t.Errorf("%s at %d: blanks at the end of %q", name, width, l)
				}
			}
		}
	}
}

// Colour says nothing that the words do not say: without it the text is the
// same, and plain text holds no escape.
func TestColourIsOnlyColour(t *testing.T) {
	t.Parallel()
	for name, write := range sheets {
		plainText, coloured := printed(t, Options{}, write), printed(t, Options{Colour: true}, write)
		if strings.Contains(plainText, "\x1b") {
			t.Errorf("%s: an escape in plain text", name)
		}
		if bare := uncoloured(coloured); bare != plainText {
			t.Errorf("%s: colour changes the words:\n%s", name, cmp.Diff(plainText, bare))
		}
	}
}
