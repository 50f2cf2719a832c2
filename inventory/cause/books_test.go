package cause_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/cause"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

var noon = time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC) // a Monday: ISO 8601 week 19

func kindOf(t testing.TB, key string) lot.Kind {
	t.Helper()
	k, err := lot.KindOf(key)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// twoBags is a tub that was used twice, the second time with another bag that
// one supplier printed the same lot on, and a lot that skipped its scour.
func twoBags(t testing.TB) cause.Books {
	alum := stock.Item{Code: "alum", Name: "alum", Kind: stock.Mordant}
	tub := func(id int64, use int, by string, day int) lot.Standing {
		return lot.Standing{ID: id, Kind: kindOf(t, "mordant"), BathID: 1, BathUse: use, By: by, HappenedAt: noon.AddDate(0, 0, day), Vessel: lot.Pot{Code: "tub-60"}}
	}
	skipped := lot.Standing{ID: 3, Kind: kindOf(t, "scour"), Skipped: true, By: "dyer-1", HappenedAt: noon}
	undone := lot.Standing{ID: 4, Kind: kindOf(t, "mordant"), BathID: 2, BathUse: 1, By: "dyer-9", HappenedAt: noon, Undone: true}
	over := tub(2, 2, "bench-1", 7)
	over.Override = lot.Override{By: "owner", Reason: "a trial"}
	return cause.Books{
		Zone: time.UTC,
		Parcels: map[int64]stock.Parcel{
			1: {ID: 1, Item: alum, Origin: stock.FromDelivery, Supplier: "Northern Salts", SupplierLot: "NS-118"},
			2: {ID: 2, Item: alum, Origin: stock.FromDelivery, Supplier: "northern salts", SupplierLot: "ns-118"},
			4: {ID: 4, Item: stock.Item{Code: "tunic", Name: "tunic", Kind: stock.Blank}, Origin: stock.FromDelivery},
			5: {ID: 5, Item: stock.Item{Code: "strip", Kind: stock.WitnessCloth}, Origin: stock.FromDelivery},
		},
		Lots: map[int64]cause.LotPast{
			1: {Code: "L1", Recipe: "gold", Version: 1, Pot: "pot-40", Records: []lot.Standing{tub(1, 1, "dyer-1", 0), skipped, undone}, Parcels: []int64{1, 5}, Iron: recipe.Iron{Copperas: quantity.WholePercent(2)}},
			2: {Code: "L2", Recipe: "gold", Version: 2, Pot: "pot-40", Records: []lot.Standing{over}, Parcels: []int64{1, 2}, Overridden: []string{"light"}, Iron: recipe.Iron{Copperas: quantity.WholePercent(1)}},
		},
		Water: []cause.WaterRead{{Code: "J1", Source: "rain butt", At: noon.AddDate(0, 0, -1), Found: "3.2 °dH"}, {Code: "J2", Source: "tap", At: noon.AddDate(0, 0, 3), Found: "12 °dH"}},
	}
}

// What a garment was exposed to in its whole life, kind by kind. Iron adds up
// over both lots: 2 % and 1 % of copperas is 3 %, above silk's line of 2 %
// (common practice; trade.md), and of wool exactly on its line.
func TestAWholeLifeIsRead(t *testing.T) {
	t.Parallel()
	b := twoBags(t)
	had := func(fibre string, lots ...int64) []string {
		c := b.Case([]cause.Piece{{ID: 1, Tag: "T1", Returned: true, Lots: lots, Blank: []int64{4}, Fibres: []string{fibre}, Shade: "2 of R1"}})
		var all []string
		for _, f := range c.Garments[0].Exposed {
			all = append(all, string(c.Factors[f].Kind)+" "+c.Factors[f].Code)
		}
		slices.Sort(all)
		return all
	}
	want := []string{"bath B1", "bath-use S1", "iron below", "parcel P1", "parcel P4", "person dyer-1 at mordant", "recipe gold version 1", "shade-group 2 of R1", "skipped scour",
		"supplier-lot Northern Salts, lot NS-118", "vessel pot-40", "vessel tub-60", "water J1", "week 2026-W19"}
	if diff := cmp.Diff(want, had("silk", 1)); diff != "" {
		t.Errorf("the first lot: %s", diff)
	}
	dyedOver := had("silk", 1, 2)
	for _, f := range []string{"bath-use S1", "bath-use S2", "iron above", "override row light", "override stage mordant", "parcel P1", "parcel P2", "recipe gold version 1", "recipe gold version 2", "water J1", "water J2", "week 2026-W19", "week 2026-W20", "person bench-1 at mordant"} {
		if !slices.Contains(dyedOver, f) {
			t.Errorf("dyed over, it had no %s: %v", f, dyedOver)
		}
	}
	if !slices.Contains(had("wool", 1, 2), "iron below") || !slices.Contains(had("wool"), "iron none") {
		t.Error("3 % on wool is on the line, and no lot is no iron")
	}
	b.Lots[2] = cause.LotPast{Iron: recipe.Iron{Unknown: true}}
	if !slices.Contains(had("wool", 2), "iron unknown") {
		t.Errorf("%v", had("wool", 2))
	}
}

// One supplier's lot in two bags is one supplier's lot, however it is spelled.
func TestASuppliersLotIsOneHoweverItIsSpelled(t *testing.T) {
	t.Parallel()
	c := twoBags(t).Case([]cause.Piece{{ID: 1, Tag: "T1", Returned: true, Lots: []int64{1}}, {ID: 2, Tag: "T2", Lots: []int64{2}}})
	n := 0
	for _, f := range c.Factors {
		if f.Kind == cause.SupplierLot {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d suppliers' lots: %v", n, c.Factors)
	}
}

// The witness cloth has what its lot had, and no blank, shade or iron sum.
func TestTheWitnessClothHasWhatItsLotHad(t *testing.T) {
	t.Parallel()
	b := twoBags(t)
	a := found(t, b.Case([]cause.Piece{{ID: 1, Tag: "T1", Returned: true, Lots: []int64{2}}, {ID: 2, Tag: "T2", Lots: nil}}))
	got := a.Apart(b.Cloths(map[int64]string{1: "20 g of P5"}))
	if len(got) == 0 || len(got[0].OnlyA.Cloths) != 1 || got[0].OnlyA.Cloths[0].Lot != "L1" || got[0].A.Code != "P1" || got[0].B.Code != "P2" {
		t.Errorf("%+v", got)
	}
}

func TestAnActionChangesOneThing(t *testing.T) {
	t.Parallel()
	today := time.Date(2026, 6, 14, 0, 0, 0, 0, time.UTC)
	whole := func(change func(*cause.Action)) cause.Action {
		a := cause.Action{Because: "spots", By: "owner", RecordedOn: today, DueOn: today}
		change(&a)
		return a
	}
	for _, c := range []struct {
		name, field, says string
		a                 cause.Action
	}{
		{"a method", "", "", whole(func(a *cause.Action) { a.Method = "hot water" })},
		{"a recipe", "", "", whole(func(a *cause.Action) { a.Recipe, a.Version = "gold", 2 })},
		{"a lot", "", "", whole(func(a *cause.Action) { a.SupplierLot, a.Supplier = "NS-118", "Northern Salts" })},
		{"nothing", "change", "say what is changed", whole(func(*cause.Action) {})},
		{"blanks are nothing", "change", "say what is changed", whole(func(a *cause.Action) { a.Method = "  " })},
		{"two things", "change", "changes one thing", whole(func(a *cause.Action) { a.Method, a.Parcels = "hot water", []string{"P3"} })},
		{"parcels and a lot", "change", "not both", whole(func(a *cause.Action) { a.SupplierLot, a.Parcels = "NS-118", []string{"P3"} })},
		{"a supplier alone", "supplier", "name the supplier's lot too", whole(func(a *cause.Action) { a.Method, a.Supplier = "hot water", "Northern Salts" })},
		{"no reason", "because", "is needed", whole(func(a *cause.Action) { a.Method, a.Because = "hot water", " " })},
		{"no day", "due_on", "is needed", whole(func(a *cause.Action) { a.Method, a.DueOn = "hot water", time.Time{} })},
		{"yesterday", "due_on", "2026-06-13 is over", whole(func(a *cause.Action) { a.Method, a.DueOn = "hot water", today.AddDate(0, 0, -1) })},
	} {
		err := c.a.Check(today)
		f, is := fault.Of(err)
		if c.field == "" && err != nil || c.field != "" && (!is || f.Field != c.field || !strings.Contains(f.Say, c.says)) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	open := whole(func(a *cause.Action) { a.Parcels = []string{"P3"} })
	for _, c := range []struct {
		name, want string
		a          cause.Action
		d          cause.Done
	}{
		{"done", "", open, cause.Done{On: today, Found: "soda"}},
		{"nothing found", "found", open, cause.Done{On: today}},
		{"too early", "done_on", open, cause.Done{On: today.AddDate(0, 0, -1), Found: "soda"}},
		{"twice", "ACTION_DONE", whole(func(a *cause.Action) { a.Done = cause.Done{On: today, By: "owner"} }), cause.Done{On: today, Found: "soda"}},
	} {
		err := c.a.MayComplete("A4", c.d)
		f, _ := fault.Of(err)
		if c.want == "" && err != nil || c.want != "" && (f == nil || f.Field != c.want && f.Reason != c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	states := fmt.Sprint(open.State(today), open.State(today.AddDate(0, 0, 1)), whole(func(a *cause.Action) { a.Done.On = today }).State(today.AddDate(1, 0, 0)))
	if states != "openlatedone" {
		t.Error(states)
	}
	if got := open.BlockReason("A4") + "; " + open.Change(); got != "A4: spots; block P3" {
		t.Error(got)
	}
}
