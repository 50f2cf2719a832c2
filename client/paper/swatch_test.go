package paper

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/colour"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func colourways() *dyelotv1.ListColourwaysResponse {
	return &dyelotv1.ListColourwaysResponse{Colourways: []*dyelotv1.Colourway{
		{Code: "harbour-gold", Name: "harbour gold", StandardCode: "harbour-gold", RecipeCode: "gold-on-silk"},
		{Code: "slate", StandardCode: "slate", RecipeCode: "gall-and-iron"},
		{Code: "lost", StandardCode: "nobody-knows", RecipeCode: "gall-and-iron"},
	}}
}

// swatched are the pages on which colours of cloth are seen.
var swatched = map[string]func(*Sheet){
	"standards":  func(s *Sheet) { s.Standards(standards()) },
	"judged":     func(s *Sheet) { s.Judged(judgedB(false)) },
	"colourways": func(s *Sheet) { s.Colourways(colourways(), standards().GetStandards()) },
	"reading": func(s *Sheet) {
		s.ReadingAdded(&dyelotv1.RecordReadingResponse{Reading: judgement(false).Readings[0]})
	},
}

var inColour = Options{Colour: true, Swatches: true}

func TestSwatchesOnATerminalOf24Bits(t *testing.T) {
	t.Parallel()
	for name, write := range swatched {
		got := printed(t, inColour, write)
		file := filepath.Join("testdata", name+"-swatches.txt")
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
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
		for _, l := range strings.Split(got, "\n") {
			if n := ansi.StringWidth(l); n > columns {
				t.Errorf("%s: %d columns: %q", name, n, l)
			}
		}
		// A block says nothing that numbers or words do not.
		for _, word := range strings.Fields(printed(t, Options{}, write)) {
			if !strings.Contains(uncoloured(got), word) {
				t.Errorf("%s: %q is not said where there are swatches", name, word)
			}
		}
	}
}

// Nothing but 24-bit colour shows a swatch: not 16 colours, not a pipe.
func TestNoSwatchElsewhere(t *testing.T) {
	t.Parallel()
	for name, write := range swatched {
		for _, o := range []Options{{}, {Colour: true}, {Swatches: true}} {
			if got := printed(t, o, write); strings.ContainsAny(got, "█≈") || strings.Contains(got, "38;2;") {
				t.Errorf("%s, %+v: %q", name, o, got)
			}
		}
	}
}

// The hexadecimal values are of checks.md: L*a*b* 42.1, 41.3, 27.9 (D65) is
// #a84238, 78.4, -3.2, 61.5 is #ddc149, and 85, -5, 95 lies outside sRGB; two
// programs agree. Beside a 10° colour it says "approximate".
func TestBlocksAreOfTheirColour(t *testing.T) {
	t.Parallel()
	two := colour.View{Observer: colour.TwoDegrees}
	for _, c := range []struct {
		lab   colour.Lab
		view  colour.View
		has   string
		marks string
	}{
		{colour.Lab{L: 42.1, A: 41.3, B: 27.9}, two, "38;2;168;66;56", ""},
		{colour.Lab{L: 78.4, A: -3.2, B: 61.5}, two, "38;2;221;193;73", ""},
		{colour.Lab{L: 78.4, A: -3.2, B: 61.5}, colour.View{}, "38;2;221;193;73", "≈"},
		{colour.Lab{L: 78.4, A: -3.2, B: 61.5}, colour.View{Illuminant: colour.A, Observer: colour.TwoDegrees}, "38;2;221;193;73", "≈"},
		{colour.Lab{L: 85, A: -5, B: 95}, two, "38;2;", "!"},
		{colour.Lab{L: 85, A: -5, B: 95}, colour.View{}, "38;2;", "≈!"},
	} {
		got := Block(c.view, c.lab)
		if !strings.Contains(got, c.has) || ansi.Strip(got) != "██"+c.marks {
			t.Errorf("%+v in %s: %q, want %s and %q", c.lab, c.view, got, c.has, c.marks)
		}
		legend := strings.Join(Legend(got), " ")
		if strings.Contains(legend, "approximate") != strings.Contains(c.marks, "≈") || strings.Contains(legend, "beyond what this screen") != strings.Contains(c.marks, "!") {
			t.Errorf("%q has the legend %q", got, legend)
		}
	}
}

// Two colours touch, and their marks stand behind both.
func TestTwoBlocksTouch(t *testing.T) {
	t.Parallel()
	got := Block(colour.View{}, colour.Lab{L: 42.1, A: 41.3, B: 27.9}, colour.Lab{L: 85, A: -5, B: 95})
	if ansi.Strip(got) != "████≈!" || strings.Count(got, "38;2;") != 2 {
		t.Errorf("%q", got)
	}
}

// What is no colour has no block and no words, and is shown all the same.
func TestNoColourNoSwatch(t *testing.T) {
	t.Parallel()
	for _, c := range []*dyelotv1.Lab{{L: 500}, {L: 50, Illuminant: "moonlight"}, nil} {
		got := printed(t, inColour, func(s *Sheet) { s.Line("%s", s.shade(c)) })
		if strings.ContainsAny(got, "█≈") || !strings.HasPrefix(got, "L* ") {
			t.Errorf("%v: %q", c, got)
		}
	}
}
