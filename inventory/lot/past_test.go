package lot_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func worn(tag, had string, grams int64, fibres ...string) lot.Worn {
	return lot.Worn{Tag: tag, Dry: g(grams), Fibres: fibres, Iron: recipe.Iron{Copperas: pct(had)}}
}

// The linen shirt, over-dyed: 2 % from its first lot and 1.5 % in this one are
// 8.40 g of copperas and 1.687 g of iron, as the story has it.
func TestIronOverTwoLots(t *testing.T) {
	t.Parallel()
	before := shirtBefore(recipe.Iron{})
	before.Past = map[int64]lot.Past{1: {Worn: []lot.Worn{worn("1000X", "2", 240, "linen")}, All: true}}
	june := lot.Done{Used: used(bag(5, powder, g(100), g(0)), mg(3600))}
	_, err := lot.Record(before, june)
	f := wantFault(t, err, fault.Refused, "OVERRIDE_NEEDED", "copperas offered to 1000X so far is 3.5 % (8.4 g, holding 1.687 g or 0.703 % of iron), above 2 % on linen")
	if f.Numbers["so_far"] != "3.5 %" || f.Numbers["offered"] != "1.5 %" {
		t.Errorf("%v", f.Numbers)
	}
	june.Override = owner
	if dec, err := lot.Record(before, june); err != nil || len(dec.Warnings) != 1 {
		t.Errorf("%+v %v", dec.Warnings, err)
	}
	before.Iron[1] = recipe.Iron{Copperas: pct("1.5")}
	_, err = lot.Record(before, lot.Done{Used: used(bottle(6, vinegar, mL(900), 0), mL(40))})
	if f = wantFault(t, err, fault.Refused, "OVERRIDE_NEEDED", "at least 3.5 % + unknown (8.4 g known of"); f.Numbers["so_far"] != "at least 3.5 % + unknown" {
		t.Errorf("%v", f.Numbers)
	}
}

// A lot of fresh and worn garments: each is held against the lines of its own
// fibres; the one that had most is named first; those alike are named together.
func TestAMixedLotsWorstGarmentDecides(t *testing.T) {
	t.Parallel()
	past := lot.Past{Worn: []lot.Worn{worn("A", "1", 100, "silk"), worn("B", "2.5", 100, "wool"), worn("C", "1", 104, "silk"), worn("D", "0.5", 100, "silk")}}
	var said []string
	for _, w := range past.Warnings([]string{"wool"}, recipe.Iron{Copperas: pct("1.2")}) {
		said = append(said, w.Text)
	}
	if len(said) != 2 || !strings.HasPrefix(said[0], "copperas offered to B so far is 3.7 % (3.7 g, holding 0.743 g or 0.743 % of iron), above 3 % on wool") ||
		!strings.HasPrefix(said[1], "copperas offered to A, C so far is 2.2 % (0.442 % of iron), above 2 % on silk") {
		t.Errorf("%q", said)
	}
	fresh := past.Warnings([]string{"silk"}, recipe.Iron{Copperas: pct("2.1")})
	if last := fresh[len(fresh)-1].Text; !strings.HasPrefix(last, "copperas offered to this garment so far is 2.1 %, above 2 % on silk") {
		t.Errorf("the fresh ones: %s", last)
	}
	past.All = true
	for _, w := range past.Warnings([]string{"silk"}, recipe.Iron{Copperas: pct("2.1")}) {
		if strings.Contains(w.Text, "this garment") {
			t.Errorf("there is no fresh garment: %s", w.Text)
		}
	}
	if none := (lot.Past{All: true}).Warnings([]string{"silk"}, recipe.Iron{Copperas: pct("2.1")}); len(none) != 0 {
		t.Errorf("nobody is there: %v", none)
	}
}

// Law 9: what a garment had in lots before adds up with what this lot gives,
// however it is divided between the two; and a lot warns exactly where one of
// its garments is above its line, or nobody knows.
func TestLaw9IronAddsUpOverLots(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		had := recipe.Iron{Copperas: pct("0"), Unknown: rapid.IntRange(0, 4).Draw(t, "vinegar before") == 0}
		had.Copperas += quantity.Percent(rapid.Int64Range(0, 40_000).Draw(t, "had"))
		so := recipe.Iron{Copperas: quantity.Percent(rapid.Int64Range(1, 40_000).Draw(t, "so"))}
		past := lot.Past{Worn: []lot.Worn{{Tag: "1000X", Dry: g(240), Fibres: []string{"linen"}, Iron: had}}, All: true}
		sum := had.Add(so)
		over := sum.Copperas > pct("2") || sum.Unknown
		warned := past.Warnings([]string{"wool"}, so)
		if over != (len(warned) > 0) {
			t.Fatalf("%s is told of %d times", sum, len(warned))
		}
		for _, w := range warned {
			if !strings.Contains(w.Text, "1000X so far is "+sum.String()) {
				t.Fatalf("%s: %s", sum, w.Text)
			}
		}
	})
}
