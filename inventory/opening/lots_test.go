package opening_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/opening"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// withLots are books in which a colourway, a pot and a parcel stand.
func withLots() opening.Books {
	b := bare()
	dose := func(code string) []recipe.Line { return []recipe.Line{{ItemCode: code}} }
	b.Colourways = map[string]opening.Colourway{"olive": {ID: 1, StandardID: 1, Versions: []recipe.Recipe{
		{ID: 4, Code: "olive", Version: 1, Fibre: "silk", Ratio: 40_000, Stages: []recipe.Stage{{Position: 1, Kind: "dye"}}},
		{ID: 5, Code: "olive", Version: 2, Fibre: "silk", Ratio: 40_000, Stages: []recipe.Stage{
			{Position: 1, Kind: "mordant", Doses: dose("alum")}, {Position: 2, Kind: "brew", Doses: dose("weld")}, {Position: 3, Kind: "dye"},
			{Position: 4, Kind: "after-dip", Doses: dose("iron-liquor")}, {Position: 5, Kind: "dry"}}},
	}}}
	b.Vessels = map[string]lot.Pot{"pot-40": {ID: 9, Code: "pot-40"}}
	liquor := b.Items["iron-liquor"]
	liquor.ID = 3
	b.Parcels = map[string]stock.Parcel{"P7": {ID: 7, Item: liquor, Concentration: 200_000, OnHand: quantity.Millilitres(100)}}
	b.Refs = map[string][]string{"the bottle": {"P7"}, "either": {"P7", "P8"}}
	b.Lots = map[string][]string{"2022-1": {"L4"}}
	return b
}

const shelfCSV = "ref;item;amount;arrived_on\nstack;tunic;0;2024-01-10\nalum;alum;100 g;2024-01-10\nweld;weld;0 g;\n"

func readLots(t interface {
	Fatal(...any)
	Helper()
}, parcels, lots string) opening.Understood {
	t.Helper()
	var off opening.Notes
	var s opening.Sheets
	var err error
	if s.Parcels, err = opening.Read(opening.Parcels, strings.NewReader(parcels), &off); err != nil {
		t.Fatal(err)
	}
	if s.Lots, err = opening.Read(opening.Lots, strings.NewReader(lots), &off); err != nil {
		t.Fatal(err)
	}
	return opening.Understand(s, withLots(), opening.Form{}, off)
}

// What went in goes to the stage that asks for it, what no stage asks for into
// the pot, and every parcel comes in with what it gave.
func TestAPastLotTakesWhatItsRowSays(t *testing.T) {
	t.Parallel()
	u := readLots(t, shelfCSV, "ref;colourway;vessel;dyed_on;pieces;blanks;dry_mass;used\n"+
		"2022-1;olive;pot-40;2024-05-01;10;Stack;1044 g;\"alum=162 g\nweld = 720 g; P7=54 mL\"\n")
	if u.Off.Count > 0 {
		t.Fatal(lines(u.Off))
	}
	l := u.Plan.Lots[0]
	var got []string
	for _, r := range l.Records {
		for _, taken := range r.Used {
			got = append(got, fmt.Sprintf("%d %s, in the pot %t: %s", r.Position, r.Kind.Key, r.InPot, taken.Amount))
		}
	}
	want := []string{"1 mordant, in the pot false: 162 g", "2 brew, in the pot false: 720 g", "4 after-dip, in the pot false: 54 mL"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if l.Mass() != quantity.Grams(1044) || len(l.Masses) != 10 || l.Recipe.Version != 2 || l.State() != lot.Passed || l.Bath != quantity.Millilitres(41_760) {
		t.Errorf("%v %d %v %v %v", l.Mass(), len(l.Masses), l.Recipe.Version, l.State(), l.Bath)
	}
	in := []quantity.Amount{}
	for _, p := range u.Plan.Parcels {
		in = append(in, p.Received)
	}
	if diff := cmp.Diff([]quantity.Amount{quantity.Pieces(10), quantity.Grams(262), quantity.Grams(720)}, in); diff != "" {
		t.Error(diff)
	}
	if at := u.Plan.Parcels[2].ArrivedAt; at != day("2024-05-01") {
		t.Errorf("the weld came %v: without a day it was there when it was used", at)
	}
	// 54 mL of 200 g/L are 10.8 g of copperas, 1.034 % of the silk: below its
	// line of 2 % (common practice), so nobody takes anything on.
	minded := lines(u.Mind)
	if l.IronOverride || len(minded) != 2 || !strings.Contains(minded[0], "imported before, as L4") || !strings.Contains(minded[1], "P7 is booked as found") {
		t.Errorf("%v", minded)
	}
}

// Iron above the fibre's line (2 % on silk, common practice) is taken on by name.
func TestIronOfAPastLotIsTakenOnByName(t *testing.T) {
	t.Parallel()
	u := readLots(t, "ref;item;amount\nstack;tunic;0\n", "colourway;vessel;dyed_on;pieces;blanks;used;passed_by\nolive;pot-40;2024-05-01;2;stack;the  bottle=30 mL;owner-then\n")
	if u.Off.Count > 0 || !u.Plan.Lots[0].IronOverride {
		t.Fatal(lines(u.Off), u.Plan.Lots)
	}
	if minded := strings.Join(lines(u.Mind), "\n"); !strings.Contains(minded, "owner-then takes it on") {
		t.Error(minded)
	}
}

func TestWhatAPastLotCannotHaveBeen(t *testing.T) {
	t.Parallel()
	for row, want := range map[string]string{
		"gold;pot-40;2024-05-01;2;stack;;;;;":                           `colourway: there is no colourway "gold" in the books: add it first`,
		"olive;pot-4;2024-05-01;2;stack;;;;;":                           `vessel: there is no vessel "pot-4" in the books: add it first`,
		"olive;pot-40;;2;stack;;;;;":                                    "dyed_on: is empty, and every row needs it",
		"olive;pot-40;2024-05-01;0;stack;;;;;":                          `pieces: "0" is not a whole number from 1 to 10000`,
		"olive;pot-40;2024-05-01;2,5;stack;;;;;":                        `pieces: "2,5" is not a whole number from 1 to 10000`,
		"olive;pot-40;2024-05-01;2;heap;;;;;":                           `blanks: there is no parcel "heap": it is neither a ref of the parcels sheet nor a code in the books`,
		"olive;pot-40;2024-05-01;2;alum;;;;;":                           "blanks: alum is a mordant: garments come from blanks",
		"olive;pot-40;2024-05-01;2;stack;either=5 mL;;;;":               `used: "either" is the word for P7 and P8: name one of them by its code`,
		"olive;pot-40;2024-05-01;2;stack;alum;;;;":                      `used: "alum" is no parcel with its amount: write alum-2023=60.8 g, and | between two`,
		"olive;pot-40;2024-05-01;2;stack;alum=5;;;;":                    `used: "alum=5" has no unit: write 60.8 g`,
		"olive;pot-40;2024-05-01;2;stack;alum=5 mL;;;;":                 "used: 5 mL is a volume: give it in g",
		"olive;pot-40;2024-05-01;2;stack;alum=0 g;;;;":                  `used: "alum=0 g" is nothing`,
		"olive;pot-40;2024-05-01;2;stack;alum=1 g|Alum=2 g;;;;":         "used: Alum is named twice: add up what it gave",
		"olive;pot-40;2024-05-01;2;stack;stack=2 pc;;;;":                "used: stack are blanks: they stand in blanks",
		"olive;pot-40;2024-05-01;2;stack;;3;;;":                         "recipe_version: its recipe has the versions 1 to 2, and no 3",
		"olive;pot-40;2023-12-31;2;stack;;;;;":                          "blanks: the parcel of line 2 came on 2024-01-10, after that",
		"olive;pot-40;2024-05-01;2;stack;;;2024-04-30;;":                "passed_on: 2024-04-30 is before dyed_on, 2024-05-01",
		"olive;pot-40;2024-05-01;2;stack;;;;2;":                         "order: is empty, and 2 were sold: give the order's own reference, so that a recall finds who has them",
		"olive;pot-40;2024-05-01;2;stack;;;;3;choir-7":                  `sold: "3" is not a whole number from 0 to 2`,
		"olive;pot-40;2024-05-01;2;stack;;;;;a@b.example":               "order: holds an address: who bought it is kept elsewhere, only the order's own reference stands here",
		"olive;pot-40;2024-05-01;2;stack;P99999999999999999999=1 g;;;;": `used: there is no parcel "P99999999999999999999": it is neither a ref of the parcels sheet nor a code in the books`,
		"olive;pot-40;2024-05-01;10000;stack;alum=999999999999 kg;;;;":  "used: 999999999999 kg is beyond what is kept here (at most 1000000 kg)",
	} {
		u := readLots(t, shelfCSV, "colourway;vessel;dyed_on;pieces;blanks;used;recipe_version;passed_on;sold;order\n"+row+"\n")
		var got []string
		for _, n := range u.Off.List {
			if n.Sheet == opening.Lots {
				got = append(got, n.Column+": "+n.Text)
			}
		}
		if diff := cmp.Diff([]string{want}, got); diff != "" {
			t.Errorf("%s: %s", row, diff)
		}
	}
}

// Law 4, for what comes in: whatever the lots took, each parcel received what
// it holds and what they took, and the garments weigh what the row says.
func TestLaw4ReceivedIsUsedAndOnHand(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		has := rapid.Int64Range(0, 10_000).Draw(t, "on the shelf")
		n := rapid.IntRange(1, 20).Draw(t, "lots")
		var rows strings.Builder
		rows.WriteString("colourway,vessel,dyed_on,pieces,blanks,dry_mass,used\n")
		used, mass, pieces := int64(0), int64(0), int64(0)
		for range n {
			u, m, p := rapid.Int64Range(1, 5000).Draw(t, "mg"), rapid.Int64Range(1000, 5_000_000).Draw(t, "mass"), rapid.Int64Range(1, 30).Draw(t, "pieces")
			used, mass, pieces = used+u, mass+m, pieces+p
			fmt.Fprintf(&rows, "olive,pot-40,2024-05-01,%d,stack,%d mg,alum=%d mg\n", p, m, u)
		}
		u := readLots(t, fmt.Sprintf("ref,item,amount\nstack,tunic,3\nalum,alum,%d mg\n", has), rows.String())
		if u.Off.Count > 0 {
			t.Fatal(lines(u.Off))
		}
		p := u.Plan.Parcels[1]
		if p.Received.N != (has+used)*1000 || p.Gone().N != 0 || u.Plan.Parcels[0].Received != quantity.Pieces(pieces+3) || u.Sums[0].Used.N != used*1000 {
			t.Fatalf("in %v: %d mg there and %d mg used", p.Received, has, used)
		}
		weigh := quantity.Amount{Unit: quantity.Mass}
		for _, l := range u.Plan.Lots {
			weigh = weigh.Add(l.Mass())
			for _, m := range l.Masses {
				if m.N <= 0 {
					t.Fatalf("a garment of %v", m)
				}
			}
		}
		if weigh.N != mass*1000 {
			t.Fatalf("the garments weigh %v, not %d mg", weigh, mass)
		}
	})
}
