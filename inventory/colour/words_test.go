package colour_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
)

// Obvious colours. L*a*b* of the web's named colours (CSS Color 4, from memory,
// rounded) and of what a dyer's pots give (common practice).
func TestWordsOfObviousColours(t *testing.T) {
	t.Parallel()
	for want, cs := range map[string][]colour.Lab{
		"black":               {{}, {L: 15, A: 1, B: 2}, {L: 8, A: 4, B: 6}},
		"dark grey":           {{L: 30}},
		"grey":                {{L: 54}, {L: 50, A: 3, B: -3}},
		"light grey":          {{L: 75}},
		"white":               {{L: 100}, {L: 94, A: 0, B: 2}},
		"off white":           {{L: 91, A: 0.5, B: 9}},                        // undyed wool
		"bright red":          {{L: 53, A: 80, B: 67}},                        // red
		"red":                 {{L: 44.1, A: 49.8, B: 35.2}},                  // the made-up madder curve
		"dark red":            {{L: 26, A: 48, B: 15}, {L: 30, A: 38, B: -5}}, // maroon; cochineal, saddened
		"light pink":          {{L: 84, A: 24, B: 3}},                         // pink
		"bright orange":       {{L: 75, A: 24, B: 79}},                        // orange
		"brown":               {{L: 37, A: 26, B: 41}},                        // saddlebrown
		"dull brown":          {{L: 35, A: 8, B: 15}},                         // walnut hull
		"dark dull brown":     {{L: 20, A: 8, B: 12}},
		"light brown":         {{L: 75, A: 5, B: 24.4}},      // tan
		"bright yellow":       {{L: 80, A: -5, B: 75}},       // weld with alum
		"light bright yellow": {{L: 97, A: -22, B: 94}},      // yellow
		"yellow":              {{L: 62, A: -2, B: 38}},       // the choir's gold
		"dull olive":          {{L: 46.3, A: -2.8, B: 24.4}}, // the same, saddened with iron
		"light bright green":  {{L: 88, A: -86, B: 83}},      // lime
		"green":               {{L: 46, A: -40, B: 20}},
		"dark green":          {{L: 30, A: -30, B: 15}},
		"dull blue green":     {{L: 50, A: -20, B: -8}},
		"blue":                {{L: 40, A: -2, B: -35}},
		"bright blue":         {{L: 32.3, A: 79.2, B: -107.9}}, // blue
		"dark blue":           {{L: 22, A: 3, B: -26}},         // woad, many dips
		"light blue":          {{L: 79, A: -11, B: -28}},       // skyblue, a little stronger
		"bright violet":       {{L: 42, A: 70, B: -74}},        // blueviolet
		"bright purple":       {{L: 30, A: 59, B: -36}},        // purple
	} {
		for _, c := range cs {
			if got := colour.Words(c); got != want {
				t.Errorf("%+v (%+v) is called %q, want %q", c, c.LCh(), got, want)
			}
		}
	}
}

// Every colour has words, of the table, and a colour that is none has none.
func TestEveryColourHasWords(t *testing.T) {
	t.Parallel()
	known := map[string]bool{}
	for _, w := range strings.Fields("black white off grey dark light greyish dull bright red pink orange brown yellow olive green blue violet purple") {
		known[w] = true
	}
	rapid.Check(t, func(t *rapid.T) {
		c := colour.Lab{L: rapid.Float64Range(0, 100).Draw(t, "L"), A: rapid.Float64Range(-150, 150).Draw(t, "a"), B: rapid.Float64Range(-150, 150).Draw(t, "b")}
		words := strings.Fields(colour.Words(c))
		if len(words) < 1 || len(words) > 4 {
			t.Fatalf("%+v: %q", c, words)
		}
		for i, w := range words {
			if !known[w] || i > 0 && w == words[i-1] {
				t.Fatalf("%+v: %q", c, words)
			}
		}
	})
	if got := colour.Words(colour.Lab{L: 500}); got != "" {
		t.Errorf("no colour is called %q", got)
	}
}
