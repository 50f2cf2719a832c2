package store

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// add writes a parcel and returns it as it is read.
func (s *shelf) add(p stock.Parcel) stock.Parcel {
	s.t.Helper()
	s.do(func(tx *Tx) (err error) {
		if p.ArrivedAt.IsZero() {
			p.ArrivedAt = date("2026-05-10")
		}
		p.ID, err = tx.AddParcel(p)
		return err
	})
	return s.parcel(p.ID)
}

func (s *shelf) post(m stock.Movement) (id int64) {
	s.t.Helper()
	s.do(func(tx *Tx) (err error) {
		m.HappenedAt = tx.Now
		id, err = tx.Post(m)
		return err
	})
	return id
}

func TestAnItemReadsBackWhole(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	wool, silk := stock.FibrePart{Fibre: "wool", Percent: quantity.WholePercent(70)}, stock.FibrePart{Fibre: "silk", Percent: quantity.WholePercent(30)}
	want, _, err := stock.Item{
		Code: "tunic-m", Name: "tunic", Kind: stock.Blank, Style: "tunic", Size: "M", Fibres: []stock.FibrePart{wool, silk}, PieceMass: grams(105),
		Terms: stock.Terms{Minimum: quantity.Pieces(10), Pack: quantity.Pieces(5), Supplier: "weaver", LeadDays: 21},
	}.Check()
	if err != nil {
		t.Fatal(err)
	}
	got := s.item(want)
	want.ID, want.OnHand, want.Promised, want.Usable = got.ID, want.Zero(), want.Zero(), want.Zero()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	terms := stock.Terms{Minimum: quantity.Pieces(1), Pack: quantity.Pieces(0)}
	s.do(func(tx *Tx) error { return tx.SetReorderTerms(got.ID, terms) })
	s.do(func(tx *Tx) error {
		items, err := tx.ItemsByID([]int64{got.ID})
		if diff := cmp.Diff(terms, items[got.ID].Terms); diff != "" {
			t.Error(diff)
		}
		return err
	})
	err = s.try(func(tx *Tx) error { _, err := tx.CreateItem(want); return err })
	if f, ok := fault.Of(err); !ok || f.Kind != fault.Exists || f.Field != "item.code" {
		t.Errorf("the same code again: %v", err)
	}
}

func TestAParcelReadsBackWhole(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	weld := s.item(weldItem())
	want := stock.Parcel{
		Item: weld, Origin: stock.FromHarvest, Supplier: "x", SupplierLot: "y", Cost: quantity.Money{Micro: 12_500_000, Currency: "EUR"},
		Harvest: stock.Harvest{Part: "tops", Place: "lane behind the boathouse", Ripeness: "in seed", PickedOn: date("2026-07-02"), Permission: "owner", Fresh: grams(14600)},
		// a concentration on weld is no more than a number here
		Concentration: 200_000, PieceMass: grams(3), ArrivedAt: date("2026-07-02"), UsableUntil: date("2028-07-01"), Note: "by the wall",
	}
	got := s.add(want)
	want.ID, want.RecordedBy = got.ID, "dyer-1"
	want.Item.OnHand, want.Item.Promised, want.Item.Usable = quantity.Amount{}, quantity.Amount{}, quantity.Amount{}
	want.OnHand, want.Promised = weld.Zero(), weld.Zero()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestTheNewestFindingIsInForce(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p := s.add(stock.Parcel{Item: s.item(weldItem()), Origin: stock.FromDelivery})
	for _, f := range []struct {
		percent int64
		day     string
		want    int64
	}{{90, "2026-05-02", 90}, {80, "2026-05-01", 90}, {95, "2026-05-02", 95}, {100, "2026-05-03", 100}} {
		s.do(func(tx *Tx) error {
			return tx.SetStrength(p.ID, quantity.WholePercent(f.percent), "test dips", date(f.day))
		})
		if got := s.parcel(p.ID).Strength; got != quantity.WholePercent(f.want) {
			t.Errorf("after %d %% of %s: %s", f.percent, f.day, got)
		}
	}
	for _, want := range []string{"mould", ""} {
		s.do(func(tx *Tx) error { return tx.BlockParcel(p.ID, "mould", want == "") })
		if got := s.parcel(p.ID).Blocked; got != want {
			t.Errorf("blocked: %q, want %q", got, want)
		}
	}
}

// A harvest is damp until it is booked from the field, and again when that
// booking is reversed.
func TestAHarvestIsDampUntilItIsBooked(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p := s.add(stock.Parcel{Item: s.item(weldItem()), Origin: stock.FromHarvest, Harvest: stock.Harvest{PickedOn: date("2026-07-02"), Fresh: grams(14600)}})
	if !p.Damp() {
		t.Error("a fresh harvest is not damp")
	}
	booked := stock.Movement{Kind: stock.ActHarvest, Legs: []stock.Leg{{ParcelID: p.ID, From: stock.Field, To: stock.Shelf, Amount: grams(2700)}}}
	booked.ID = s.post(booked)
	if p = s.parcel(p.ID); p.Damp() || p.Harvest.Dry != grams(2700) || p.OnHand != grams(2700) {
		t.Errorf("dried: %+v", p)
	}
	back, err := stock.Reverse(booked, []stock.Parcel{p}, "weighed damp")
	if err != nil {
		t.Fatal(err)
	}
	s.post(back)
	if p = s.parcel(p.ID); !p.Damp() {
		t.Errorf("weighed damp and reversed: %+v", p)
	}
	s.whole()
}

func TestParcelsAreListedAndLocked(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	alum, weld := s.item(alumItem()), s.item(weldItem())
	full, _ := s.bag(alum, grams(500))
	empty := s.add(stock.Parcel{Item: alum, Origin: stock.FromDelivery}).ID
	damp := s.add(stock.Parcel{Item: weld, Origin: stock.FromHarvest, Harvest: stock.Harvest{PickedOn: date("2026-07-02"), Fresh: grams(10)}}).ID
	ids := func(ps []stock.Parcel, err error) (ids []int64) {
		if err != nil {
			t.Error(err)
		}
		for _, p := range ps {
			ids = append(ids, p.ID)
		}
		return ids
	}
	s.do(func(tx *Tx) error {
		for _, c := range []struct {
			name      string
			got, want []int64
		}{
			{"all that hold something or are damp", ids(tx.ListParcels(ParcelFilter{}, 0, 10)), []int64{full, damp}},
			{"of an item, typed in capitals", ids(tx.ListParcels(ParcelFilter{ItemCode: must(tx.ItemByCode("ALUM ")).Code}, 0, 10)), []int64{full}},
			{"empty ones too", ids(tx.ListParcels(ParcelFilter{Empty: true}, 0, 10)), []int64{full, empty, damp}},
			{"a page", ids(tx.ListParcels(ParcelFilter{Empty: true}, full, 1)), []int64{empty}},
			{"of an item", ids(tx.ListParcels(ParcelFilter{ItemCode: "weld"}, 0, 10)), []int64{damp}},
			{"of a kind", ids(tx.ListParcels(ParcelFilter{Kind: "mordant"}, 0, 10)), []int64{full}},
			{"to pick from", ids(tx.ParcelsOfItems([]int64{alum.ID, weld.ID})), []int64{full}},
			{"to pick from, locked", ids(tx.LockParcelsOfItems([]int64{alum.ID, weld.ID})), []int64{full}},
			{"locked, by id, once each", ids(tx.LockParcels([]int64{damp, full, damp})), []int64{full, damp}},
		} {
			if diff := cmp.Diff(c.want, c.got); diff != "" {
				t.Errorf("%s: %s", c.name, diff)
			}
		}
		return nil
	})
	err := s.try(func(tx *Tx) error { _, err := tx.LockParcels([]int64{full, 99}); return err })
	if f, ok := fault.Of(err); !ok || f.Kind != fault.NotFound || f.Say != `there is no parcel "P99"` {
		t.Errorf("an unknown one: %v", err)
	}
}

// What is blocked or past its date lies on the shelf and may not be promised.
func TestItemsSumTheirParcels(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	alum := s.item(alumItem())
	good, _ := s.bag(alum, grams(500))
	blocked, _ := s.bag(alum, grams(30))
	past := s.add(stock.Parcel{Item: alum, Origin: stock.FromDelivery, UsableUntil: date("2020-01-01")})
	s.post(stock.Movement{Kind: stock.ActDelivery, Legs: []stock.Leg{{ParcelID: past.ID, From: stock.Supplier, To: stock.Shelf, Amount: grams(7)}}})
	s.do(func(tx *Tx) error {
		if err := tx.BlockParcel(blocked, "mould", false); err != nil {
			return err
		}
		_, err := tx.MakePromises([]stock.Promise{{ParcelID: good, Outstanding: grams(20)}, {ParcelID: good, Outstanding: grams(80)}})
		return err
	})
	s.do(func(tx *Tx) error {
		items, err := tx.Items("mordant", "", 10)
		if len(items) != 1 || items[0].OnHand != grams(537) || items[0].Promised != grams(100) || items[0].Usable != grams(400) {
			t.Errorf("%+v", items)
		}
		if none, _ := tx.Items("blank", "", 10); len(none) != 0 {
			t.Errorf("blanks: %v", none)
		}
		if none, _ := tx.Items("", "alum", 10); len(none) != 0 {
			t.Errorf("after alum: %v", none)
		}
		return err
	})
	s.whole()
}

func TestAMadeParcelKnowsWhatItWasMadeFrom(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	weld := s.item(weldItem())
	first, _ := s.bag(weld, grams(600))
	second, _ := s.bag(weld, grams(500))
	made, err := stock.Make(weld, grams(800), []stock.Given{{Parcel: s.parcel(first), Amount: grams(600)}, {Parcel: s.parcel(second), Amount: grams(200)}}, false)
	if err != nil {
		t.Fatal(err)
	}
	blend := s.add(made.Parcel)
	s.post(made.Movement(blend.ID))
	s.do(func(tx *Tx) error {
		from, err := tx.MadeFrom([]int64{blend.ID, first})
		want := map[int64][]stock.Leg{blend.ID: {{ParcelID: first, From: stock.Shelf, To: stock.InMaking, Amount: grams(600)}, {ParcelID: second, From: stock.Shelf, To: stock.InMaking, Amount: grams(200)}}}
		if diff := cmp.Diff(want, from); diff != "" {
			t.Error(diff)
		}
		return err
	})
	if got := s.parcel(blend.ID); got.OnHand != grams(800) {
		t.Errorf("the blend holds %s", got.OnHand)
	}
	s.whole()
}
