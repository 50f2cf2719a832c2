package lot_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// potted is one lot of 500 g in 20 L with everything that a recipe may dose: weld
// of a strength of 90 %, soap by the litre, a liquor of unknown strength, galls.
type potted struct {
	parcels map[int64]stock.Parcel
	stage   recipe.Stage
	main    lot.Standing
}

func pottedLot() potted {
	item := func(id int64, code string, kind stock.Kind, unit quantity.Unit) stock.Item {
		return stock.Item{ID: id, Code: code, Name: code, Kind: kind, Unit: unit, Resolution: quantity.Amount{N: 100_000, Unit: unit}}
	}
	galls := item(4, "galls", stock.Dyestuff, quantity.Count)
	galls.Resolution = quantity.Pieces(1)
	d := potted{parcels: map[int64]stock.Parcel{
		1: {ID: 1, Item: item(1, "weld", stock.Dyestuff, quantity.Mass), Strength: quantity.WholePercent(90)},
		2: {ID: 2, Item: item(2, "soap", stock.Auxiliary, quantity.Mass)},
		3: {ID: 3, Item: item(3, "old-iron", stock.Solution, quantity.Volume), StrengthUnknown: true},
		4: {ID: 4, Item: galls},
		5: {ID: 5, Item: item(1, "weld", stock.Dyestuff, quantity.Mass), Strength: quantity.WholePercent(100)},
	}}
	d.stage = recipe.Stage{Position: 1, Kind: "dye", Minutes: 60}
	d.main = lot.Standing{ID: 1, Position: 1, Kind: kind("dye"), BathID: 1, BathUse: 1, Volume: litres(20), Lots: []lot.BathLot{{LotID: 7, Fibre: g(500)}}}
	return d
}

func (d *potted) asks(item int64, basis recipe.Basis, value string) {
	ask, err := recipe.ParseAsk(string(basis), value)
	if err != nil {
		panic(err)
	}
	p := d.parcels[item]
	d.stage.Doses = append(d.stage.Doses, recipe.Line{ItemID: p.Item.ID, ItemCode: p.Item.Code, Ask: ask})
}

func (d potted) propose(more ...lot.Standing) lot.Proposal {
	return lot.Propose([]recipe.Stage{d.stage}, nil, append([]lot.Standing{d.main}, more...), d.parcels, 7)
}

func taken(parcel int64, a quantity.Amount) lot.Taken { return lot.Taken{ParcelID: parcel, Amount: a} }

func doses(p lot.Proposal) string {
	var words []string
	for _, s := range p.Stages {
		for _, l := range s.Doses {
			words = append(words, l.ItemCode+"="+l.Ask.String())
		}
	}
	return strings.Join(words, " ")
}

// By hand, on 500 g in 20 L: 330 g of weld of 90 % are 297 g of the reference,
// 59.4 %; 33 g added of a full one make 330 g, 66 %. 25 g of soap in 20 L are
// 1.25 g/L. 22 mL are 44 mL to a kilogram, 3 galls 6.
func TestDosesAreReadBackAsTheyWereWeighed(t *testing.T) {
	t.Parallel()
	d := pottedLot()
	d.asks(1, recipe.OnFibre, "60")
	d.asks(2, recipe.InBath, "1")
	d.asks(3, recipe.OfLiquor, "40")
	d.main.Used = []lot.Taken{taken(1, g(330)), taken(2, g(25)), taken(3, quantity.Millilitres(22)), taken(4, quantity.Pieces(3))}
	if got, want := doses(d.propose()), "weld=59.4 % WOF soap=1.25 g/L old-iron=44 mL/kg galls=6 pc/kg"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	more := lot.Standing{ID: 2, AdditionTo: 1, Position: 1, Kind: d.main.Kind, BathID: 1, BathUse: 1, Lots: d.main.Lots, Minutes: 20, Used: []lot.Taken{taken(5, g(33))}}
	p := d.propose(more)
	if got, want := doses(p), "weld=66 % WOF soap=1.25 g/L old-iron=44 mL/kg galls=6 pc/kg"; got != want || p.Stages[0].Minutes != 80 {
		t.Errorf("%s, %d min, want %s", got, p.Stages[0].Minutes, want)
	}
	want := []string{"1 dye: weld 66 % WOF, was 60 % WOF, of it added 33 g (S2)", "1 dye: soap 1.25 g/L, was 1 g/L", "1 dye: old-iron 44 mL/kg, was 40 mL/kg", "1 dye: galls 6 pc/kg is new", "1 dye: 80 min, was 60 min"}
	if diff := cmp.Diff(want, p.Changes); diff != "" {
		t.Error(diff)
	}
	more.Undone = true
	if got := doses(d.propose(more)); !strings.HasPrefix(got, "weld=59.4 % WOF") {
		t.Errorf("what was taken back counts: %s", got)
	}
}

func TestWhatStaysAsTheRecipeHasIt(t *testing.T) {
	t.Parallel()
	d := pottedLot()
	d.asks(1, recipe.OnFibre, "60")
	d.main.Used = []lot.Taken{taken(1, quantity.Amount{N: 333_300_000, Unit: quantity.Mass})} // 60 % at 90 % is 333.33 g, weighed to 0.1 g
	if p := d.propose(); doses(p) != "weld=60 % WOF" || len(p.Changes) != 0 || p.Note("L7", 2) != "from lot L7, done as version 2 has it" {
		t.Errorf("what the scale rounds is no change: %v", p.Changes)
	}
	again := d
	again.main.BathUse, again.main.Used = 3, nil
	if p := again.propose(); doses(p) != "weld=60 % WOF" || !strings.Contains(strings.Join(p.Changes, ""), "its use 3") {
		t.Errorf("nobody knows what a bath used before brought: %s, %v", doses(p), p.Changes)
	}
	left := d
	left.main.Used = nil
	if p := left.propose(); doses(p) != "" || !strings.Contains(strings.Join(p.Changes, ""), "weld 60 % WOF left out") {
		t.Errorf("%s, %v", doses(p), p.Changes)
	}
	if p := lot.Propose([]recipe.Stage{d.stage}, nil, nil, d.parcels, 7); doses(p) != "weld=60 % WOF" || !strings.Contains(strings.Join(p.Changes, ""), "not recorded") {
		t.Errorf("%v", p)
	}
	skipped := d
	skipped.main.Skipped, skipped.main.Reason = true, "pale enough"
	if p := skipped.propose(); len(p.Stages) != 0 || !strings.Contains(strings.Join(p.Changes, ""), "left out, pale enough") {
		t.Errorf("%v", p)
	}
}

// Dosed again by what is offered, a lot of the same fibre gets what this one got,
// to the half of 0.01 % WOF that the offer is rounded to.
func TestWhatIsOfferedGivesTheSameDose(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		d := pottedLot()
		d.asks(1, recipe.OnFibre, "60")
		d.main.Lots[0].Fibre = quantity.Amount{N: rapid.Int64Range(50_000_000, 5_000_000_000).Draw(rt, "fibre"), Unit: quantity.Mass}
		used := quantity.Amount{N: rapid.Int64Range(d.main.Lots[0].Fibre.N/1000, d.main.Lots[0].Fibre.N*2).Draw(rt, "used"), Unit: quantity.Mass}
		d.main.Used = []lot.Taken{taken(1, used)}
		line := d.propose().Stages[0].Doses[0]
		got, err := lot.Dose{Item: stock.Item{Unit: quantity.Mass}, Ask: line.Ask}.In(d.parcels[1], lot.Bath{Lots: d.main.Lots, Volume: litres(20)})
		if err != nil {
			rt.Fatal(err)
		}
		// 0.005 % of the fibre, at a strength of 90 %, and the scale's 0.05 g where the recipe stands.
		if off, most := got.Sub(used).N, d.main.Lots[0].Fibre.N/20_000*100/90+50_001; off > most || -off > most {
			rt.Fatalf("%s was used, and %s gives %s", used, line.Ask, got)
		}
	})
}
