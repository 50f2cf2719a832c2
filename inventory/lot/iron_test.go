package lot_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// shirtBefore is the linen shirt of 240 g at its after-dip, with what it had.
func shirtBefore(had recipe.Iron) lot.Before {
	shirt := lot.Lot{ID: 1, Code: "L1", State: lot.InWork, GarmentMass: g(240)}
	bath := lot.Bath{Position: 4, Kind: kind("after-dip"), Lots: []lot.BathLot{{LotID: 1, Fibre: g(240)}}}
	return lot.Before{Lots: []lot.Lot{shirt}, Baths: []lot.Bath{bath}, Open: map[int64]int{1: 2}, Iron: map[int64]recipe.Iron{1: had}, Fibres: []string{"linen"}}
}

var owner = lot.Override{By: "owner", Reason: "the customer was told that it may tear sooner"}

// The shirt's three baths, with the story's figures: 2 % is on the line and does
// not warn; 1.5 % more make 3.5 % (0.703 % of iron), warned; then a liquor of
// unknown strength.
func TestTheLinenShirtsIron(t *testing.T) {
	t.Parallel()
	salt, jar := bag(5, powder, g(100), g(0)), bottle(6, vinegar, mL(900), 0)
	had := recipe.Iron{}
	for _, c := range []struct {
		day    string
		used   []lot.Used
		so     string
		metal  string
		reason string
	}{
		{"3 April", used(salt, mg(4800)), "2 %", "0.402 %", ""},
		{"8 June", used(salt, mg(3600)), "3.5 %", "0.703 %", "copperas offered to this garment so far is 3.5 %, above 2 % on linen: iron with tannin rots cellulose; go on only with a named override"},
		{"4 August", used(jar, mL(40)), "at least 3.5 % + unknown", "0.703 %", "copperas offered to this garment so far is at least 3.5 % + unknown, above 2 % on linen"},
	} {
		before := shirtBefore(had)
		dec, err := lot.Record(before, lot.Done{Used: c.used})
		if c.reason == "" {
			if err != nil || dec.Warnings != nil {
				t.Errorf("%s: %v %v", c.day, dec.Warnings, err)
			}
		} else {
			f := wantFault(t, err, fault.Refused, "OVERRIDE_NEEDED", "override_by: "+c.reason)
			if f.Numbers["so_far"] != c.so || f.Numbers["lot"] != "L1" {
				t.Errorf("%s: %v", c.day, f.Numbers)
			}
			for _, half := range []lot.Override{{By: "owner"}, {Reason: "it is lovely"}, {By: " ", Reason: " "}} {
				_, err := lot.Record(before, lot.Done{Used: c.used, Override: half})
				wantFault(t, err, fault.Refused, "OVERRIDE_NEEDED", "")
			}
			if dec, err = lot.Record(before, lot.Done{Used: c.used, Override: owner}); err != nil || len(dec.Warnings) == 0 {
				t.Errorf("%s, overridden: %v %v", c.day, dec.Warnings, err)
			}
		}
		offered, err := lot.Iron(c.used, dec.Lots)
		if err != nil {
			t.Fatal(err)
		}
		if had = had.Add(offered); had.String() != c.so || had.Metal().String() != c.metal {
			t.Errorf("%s: %s, %s of iron", c.day, had, had.Metal())
		}
	}
}

func TestIronOfABath(t *testing.T) {
	t.Parallel()
	lotB := []lot.BathLot{{LotID: 2, Fibre: g(539)}}
	nameless := bag(7, liquor, mL(500), mL(0)) // bought, and nobody wrote its g/L down
	doubtful, thin := bottle(7, liquor, mL(500), 200), bottle(7, liquor, mL(500), 200)
	doubtful.StrengthUnknown, thin.Concentration = true, 1
	weak := bag(5, powder, g(100), g(0))
	weak.Strength = quantity.WholePercent(50)
	for _, c := range []struct {
		what string
		used []lot.Used
		want string
	}{
		{"pot B: 30 mL of 200 g/L on 539 g", used(bottle(4, liquor, mL(500), 200), mL(30)), "1.113 %"},
		{"what was planned: 27 mL", used(bottle(4, liquor, mL(500), 200), mL(27)), "1.002 %"},
		{"dry and dissolved add up", append(used(bottle(4, liquor, mL(500), 200), mL(30)), used(bag(5, powder, g(100), g(0)), mg(5390))...), "2.113 %"},
		{"half strength", used(weak, mg(5390)), "0.5 %"},
		{"alum and weld bring none", append(used(bag(1, alum, g(155), g(0)), g(81)), used(bag(3, weld, g(900), g(0)), g(361))...), "0 %"},
		{"vinegar and scrap", used(bottle(6, vinegar, mL(900), 0), mL(40)), "at least 0 % + unknown"},
		{"a liquor without g/L", used(nameless, mL(10)), "at least 0 % + unknown"},
		{"a bottle that nobody trusts", used(doubtful, mL(10)), "at least 0 % + unknown"},
		{"a drop of next to no iron", used(thin, quantity.Amount{N: 1, Unit: quantity.Volume}), "0 %"},
		{"a drop of next to nothing", used(bottle(4, liquor, mL(500), 200), quantity.Amount{N: 1, Unit: quantity.Volume}), "0 %"},
		{"nothing", nil, "0 %"},
	} {
		got, err := lot.Iron(c.used, lotB)
		if err != nil || got.String() != c.want {
			t.Errorf("%s: %s, %v, want %s", c.what, got, err, c.want)
		}
	}
	_, err := lot.Iron(used(bag(5, powder, g(100), g(0)), g(1)), nil)
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", "0 g of fibre")
}

// Wool bears 3 % of copperas and silk 2 % (common practice): cloth of both is
// held to silk's line, whatever the recipe is for.
func TestTheStrictestFibreHasTheLine(t *testing.T) {
	t.Parallel()
	salt := bag(5, powder, g(100), g(0))
	for _, c := range []struct {
		fibres []string
		warns  bool
	}{{[]string{"wool"}, false}, {[]string{"wool", "silk"}, true}, {[]string{"wool", "unobtainium"}, false}, {nil, false}} {
		before := shirtBefore(recipe.Iron{})
		before.Fibres = c.fibres
		dec, err := lot.Record(before, lot.Done{Used: used(salt, g(6)), Override: owner}) // 2.5 %
		if err != nil || (len(dec.Warnings) > 0) != c.warns {
			t.Errorf("%v: %v %v", c.fibres, dec.Warnings, err)
		}
	}
}

// Of two lots in one bath, the one that has had iron before is the one that is
// over.
func TestTheLotThatIsOverIsNamed(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.iron = map[int64]recipe.Iron{2: {Copperas: pct("1.5")}}
	both := lot.Done{Used: used(*b.parcel(4), mL(54))}
	_, err := lot.Record(b.before(4, 1, 2), both)
	f := wantFault(t, err, fault.Refused, "OVERRIDE_NEEDED", "copperas offered to this garment so far is 2.5 %, above 2 % on silk")
	if diff := cmp.Diff(map[string]string{"lot": "L2", "offered": "1 %", "so_far": "2.5 %"}, f.Numbers); diff != "" {
		t.Error(diff)
	}
	b.iron[1] = b.iron[2]
	both.Override = owner
	if dec, err := lot.Record(b.before(4, 1, 2), both); err != nil || len(dec.Warnings) != 1 {
		t.Errorf("both are over by as much, and it is said once: %v %v", dec.Warnings, err)
	}
	b.iron[1] = recipe.Iron{}
	if _, err := lot.Record(b.before(3, 2), lot.Done{Vessel: potB}); err != nil {
		t.Errorf("a bath without iron asks nobody: %v", err)
	}
	if _, err := lot.Record(b.before(4, 1), lot.Done{Used: used(*b.parcel(4), mL(27))}); err != nil {
		t.Errorf("the other lot alone is not over: %v", err)
	}
}

// What a plan will offer: by the parcel where one is picked, and by the recipe
// where none is.
func TestPlannedIron(t *testing.T) {
	t.Parallel()
	dips := func(lines ...lot.Line) []lot.Stage {
		stages := []lot.Stage{stage(1, "dye", false)}
		for i, l := range lines {
			stages = append(stages, stage(i+2, "after-dip", i == 1, l))
		}
		return stages
	}
	one, two := lot.Line{Item: liquor, Ask: wof("1")}, lot.Line{Item: powder, Ask: wof("1.5")}
	strong := bottle(4, liquor, mL(500), 200)
	salt, vinegarJar := bag(5, powder, g(100), g(0)), bottle(6, vinegar, mL(900), 0)
	for _, c := range []struct {
		what     string
		lines    []lot.Line
		parcels  []stock.Parcel
		a, b     string
		warnings int
	}{
		{"none", nil, nil, "0 %", "0 %", 0},
		{"1 %, by whole millilitres", []lot.Line{one}, []stock.Parcel{strong}, "0.998 %", "1.002 %", 0},
		{"and a shared bath of 1.5 %", []lot.Line{one, two}, []stock.Parcel{strong, salt}, "2.498 %", "2.502 %", 1},
		{"short, so by the recipe", []lot.Line{{Item: powder, Ask: wof("1")}, two}, nil, "2.5 %", "2.5 %", 1},
		{"short, in g/L: 0.5 g/L at 1 : 40 are 2 %", []lot.Line{{Item: powder, Ask: recipe.Ask{Basis: recipe.InBath, PerLitre: 500}}}, nil, "2 %", "2 %", 0},
		{"vinegar and scrap", []lot.Line{{Item: vinegar, Ask: perKilo(40)}}, []stock.Parcel{vinegarJar}, "at least 0 % + unknown", "at least 0 % + unknown", 1},
		{"mL/kg of a liquor that nobody has picked", []lot.Line{{Item: liquor, Ask: perKilo(40)}}, nil, "at least 0 % + unknown", "at least 0 % + unknown", 1},
		{"mL/kg of a bottle whose g/L is known", []lot.Line{{Item: liquor, Ask: perKilo(50)}}, []stock.Parcel{strong}, "0.998 %", "1.002 %", 0},
		{"alum is short and holds none", []lot.Line{{Item: alum, Ask: wof("15")}}, nil, "0 %", "0 %", 0},
	} {
		b, err := open(choirLots(), dips(c.lines...), nil, c.parcels, false)
		if err != nil {
			t.Fatal(err)
		}
		byID := map[int64]stock.Parcel{}
		for _, p := range c.parcels {
			byID[p.ID] = p
		}
		for id, want := range map[int64]string{1: c.a, 2: c.b} {
			iron, err := lot.PlannedIron(b.baths, id, byID)
			if err != nil || iron.String() != want {
				t.Errorf("%s, lot %d: %s, %v, want %s", c.what, id, iron, err, want)
			}
			if ws := lot.IronWarnings([]string{"silk"}, iron); len(ws) != c.warnings {
				t.Errorf("%s, lot %d: %v", c.what, id, ws)
			}
		}
	}
}

// A dose that lost part of what it was promised is still asked for whole.
func TestPlannedIronOfADoseThatLostItsPromise(t *testing.T) {
	t.Parallel()
	bath := oneBath()
	salt := bag(5, powder, g(100), g(0))
	bath.Doses = []lot.Dose{{Item: powder, Ask: wof("2"), Amount: g(20), Short: g(15), Picks: []lot.Pick{{ParcelID: 5, Code: "P5", Amount: g(5)}}}}
	iron, err := bath.Iron(map[int64]stock.Parcel{5: salt})
	if err != nil || iron.String() != "2 %" {
		t.Errorf("%s, %v", iron, err)
	}
}

// Law 9: iron adds up over a garment's life, whatever the order, and once a
// liquor of unknown strength was among it the sum says so for ever.
func TestLaw9IronAddsUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		fibre := []lot.BathLot{{LotID: 1, Fibre: g(rapid.Int64Range(50, 900).Draw(t, "fibre"))}}
		var all []lot.Used
		var sum recipe.Iron
		grams, unknown := int64(0), false
		for range rapid.IntRange(0, 6).Draw(t, "baths") {
			u := lot.Used{Parcel: bag(5, powder, g(100), g(0)), Amount: mg(rapid.Int64Range(1, 9000).Draw(t, "mg"))}
			if rapid.IntRange(0, 3).Draw(t, "vinegar") == 0 {
				u = lot.Used{Parcel: bottle(6, vinegar, mL(900), 0), Amount: mL(40)}
				unknown = true
			} else {
				grams += u.Amount.N
			}
			more, err := lot.Iron([]lot.Used{u}, fibre)
			if err != nil {
				t.Fatal(err)
			}
			sum, all = sum.Add(more), append(all, u)
		}
		once, err := lot.Iron(all, fibre)
		if err != nil || once != sum || sum.Unknown != unknown {
			t.Fatalf("%s in all, %s bath by bath, %v", once, sum, err)
		}
		if off := int64(sum.Copperas) - grams*1_000_000/fibre[0].Fibre.N; off > 6 || off < -6 {
			t.Fatalf("%d µg on %s is not %s", grams, fibre[0].Fibre, sum)
		}
	})
}
