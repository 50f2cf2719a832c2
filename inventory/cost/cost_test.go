package cost_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/cost"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

func euros(n int64) quantity.Money { return quantity.Money{Micro: n * 1_000_000, Currency: "EUR"} }

// layer is so many grams for so many whole euros in all.
func layer(grams, paid int64) cost.Layer {
	return cost.Layer{Amount: quantity.Grams(grams), Cost: euros(paid)}
}

func wantField(t *testing.T, err error, field string) {
	t.Helper()
	if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != field {
		t.Errorf("got %v, want %s refused", err, field)
	}
}

func total(layers []cost.Layer) (grams, micro int64) {
	for _, l := range layers {
		grams += l.Amount.N
		micro += l.Cost.Micro
	}
	return grams, micro
}

// 10 at 6, 20 at 12, 15 sold, 15 bought at 14: recomputed by hand.
func TestBothCustomsOnOneShelf(t *testing.T) {
	t.Parallel()
	used, left, err := cost.FirstIn([]cost.Layer{layer(10, 60), layer(20, 240)}, quantity.Grams(15))
	if err != nil {
		t.Fatal(err)
	}
	left = append(left, layer(15, 210))
	if _, value := total(left); used != euros(120) || value != euros(390).Micro {
		t.Errorf("first in, first out: used %s, left %d", used, value)
	}
	if d := cmp.Diff([]cost.Layer{layer(15, 180), layer(15, 210)}, left); d != "" {
		t.Error(d)
	}

	heap, err := cost.Layer{}.Receive(layer(10, 60))
	if err == nil {
		heap, err = heap.Receive(layer(20, 240))
	}
	if err != nil {
		t.Fatal(err)
	}
	used, heap, err = cost.MovingAverage(heap, quantity.Grams(15))
	if err != nil {
		t.Fatal(err)
	}
	if heap, err = heap.Receive(layer(15, 210)); err != nil {
		t.Fatal(err)
	}
	if used != euros(150) || heap != layer(30, 360) {
		t.Errorf("moving average: used %s, left %v", used, heap)
	}
}

// What was paid is what was used and what is left, whatever the divisions
// leave over, and neither custom takes less or more than was asked.
func TestNothingPaidIsLost(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var layers []cost.Layer
		var heap cost.Layer
		for range rapid.IntRange(1, 6).Draw(t, "receipts") {
			l := cost.Layer{
				Amount: quantity.Amount{N: rapid.Int64Range(1, 1000).Draw(t, "amount"), Unit: quantity.Mass},
				Cost:   quantity.Money{Micro: rapid.Int64Range(0, 1000).Draw(t, "cost"), Currency: "EUR"},
			}
			layers = append(layers, l)
			var err error
			if heap, err = heap.Receive(l); err != nil {
				t.Fatal(err)
			}
		}
		amount, paid := total(layers)
		usedFirstIn, usedAverage := int64(0), int64(0)
		for amount > 0 {
			use := quantity.Amount{N: rapid.Int64Range(0, amount).Draw(t, "use"), Unit: quantity.Mass}
			if rapid.Bool().Draw(t, "all of it") {
				use.N = amount
			}
			c, left, err := cost.FirstIn(layers, use)
			if err != nil {
				t.Fatal(err)
			}
			layers, usedFirstIn = left, usedFirstIn+c.Micro
			if c, heap, err = cost.MovingAverage(heap, use); err != nil {
				t.Fatal(err)
			}
			usedAverage += c.Micro
			amount -= use.N
			there, value := total(layers)
			if there != amount || value+usedFirstIn != paid || c.Micro < 0 {
				t.Fatalf("first in, first out: %d left at %d, used %d of %d", there, value, usedFirstIn, paid)
			}
			if heap.Amount.N != amount || heap.Cost.Micro+usedAverage != paid || heap.Cost.Micro < 0 {
				t.Fatalf("moving average: %v left, used %d of %d", heap, usedAverage, paid)
			}
		}
		if usedFirstIn != paid || usedAverage != paid {
			t.Fatalf("all is used, at %d and %d, paid %d", usedFirstIn, usedAverage, paid)
		}
	})
}

func TestValuationRefuses(t *testing.T) {
	t.Parallel()
	water := cost.Layer{Amount: quantity.Millilitres(5), Cost: euros(1)}
	crowns := cost.Layer{Amount: quantity.Grams(5), Cost: quantity.Money{Micro: 1, Currency: "DKK"}}
	for _, c := range []struct {
		field  string
		layers []cost.Layer
		used   quantity.Amount
	}{
		{"used", []cost.Layer{layer(5, 1)}, quantity.Grams(-1)},
		{"used", []cost.Layer{layer(5, 1)}, quantity.Millilitres(1)},
		{"used", nil, quantity.Amount{}},
		{"layers[0].amount", []cost.Layer{layer(0, 1)}, quantity.Grams(1)},
		{"layers[1].amount", []cost.Layer{layer(5, 1), layer(-5, 1)}, quantity.Grams(1)},
		{"layers[1].amount", []cost.Layer{layer(5, 1), water}, quantity.Grams(1)},
		{"layers[1].cost", []cost.Layer{layer(5, 1), layer(5, -1)}, quantity.Grams(1)},
		{"layers[1].cost", []cost.Layer{layer(5, 1), crowns}, quantity.Grams(1)},
		{"layers[0].cost", []cost.Layer{{Amount: quantity.Grams(1)}}, quantity.Grams(1)},
	} {
		_, _, err := cost.FirstIn(c.layers, c.used)
		wantField(t, err, c.field)
	}
	_, _, err := cost.MovingAverage(layer(5, -1), quantity.Grams(1))
	wantField(t, err, "heap.cost")
	_, _, err = cost.MovingAverage(layer(5, 1), quantity.Pieces(1))
	wantField(t, err, "used")
	_, err = layer(5, 1).Receive(water)
	wantField(t, err, "received.amount")
	_, err = layer(5, 1).Receive(crowns)
	wantField(t, err, "received.cost.currency")
	_, err = layer(5, 1).Receive(cost.Layer{Amount: quantity.Amount{N: quantity.Max, Unit: quantity.Mass}, Cost: euros(1)})
	wantField(t, err, "received")
}

func TestMoreThanThereIsCannotBeValued(t *testing.T) {
	t.Parallel()
	_, _, layers := cost.FirstIn([]cost.Layer{layer(5, 1), layer(4, 1)}, quantity.Grams(10))
	_, _, noLayers := cost.FirstIn(nil, quantity.Grams(10))
	_, _, heap := cost.MovingAverage(layer(9, 2), quantity.Grams(10))
	_, _, noHeap := cost.MovingAverage(cost.Layer{}, quantity.Grams(10))
	for _, c := range []struct {
		err   error
		there string
	}{{layers, "9 g"}, {noLayers, "0 g"}, {heap, "9 g"}, {noHeap, "0 g"}} {
		f, ok := fault.Of(c.err)
		if !ok || f.Kind != fault.Refused || f.Reason != "STOCK_SHORT" || f.Numbers["asked"] != "10 g" || f.Numbers["there"] != c.there {
			t.Errorf("got %v, want %s there", c.err, c.there)
		}
	}
}

// A heap that was emptied takes the next receipt, at that receipt's price.
func TestAnEmptiedHeapStartsAnew(t *testing.T) {
	t.Parallel()
	used, heap, err := cost.MovingAverage(layer(9, 2), quantity.Grams(9))
	if err != nil || used != euros(2) || heap != (cost.Layer{}) {
		t.Fatal(used, heap, err)
	}
	if heap, err = heap.Receive(layer(4, 7)); err != nil || heap != layer(4, 7) {
		t.Error(heap, err)
	}
}

// Horngren, Cost Accounting (from memory): 400 000 over 25 000 sold at 8 and
// 75 000 sold at 4.
func TestJointCostOfHorngren(t *testing.T) {
	t.Parallel()
	byAmount, err := cost.SplitByAmount(euros(400_000), []quantity.Amount{quantity.Pieces(25_000), quantity.Pieces(75_000)})
	if d := cmp.Diff([]quantity.Money{euros(100_000), euros(300_000)}, byAmount); err != nil || d != "" {
		t.Error(err, d)
	}
	byValue, err := cost.SplitByValue(euros(400_000), []quantity.Money{euros(25_000 * 8), euros(75_000 * 4)})
	if d := cmp.Diff([]quantity.Money{euros(160_000), euros(240_000)}, byValue); err != nil || d != "" {
		t.Error(err, d)
	}
}

// Shares sum to the joint cost, and none is a millionth or more off its part.
func TestSharesSumToTheJointCost(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		joint := quantity.Money{Micro: rapid.Int64Range(0, quantity.Max).Draw(t, "joint"), Currency: "EUR"}
		weights := rapid.SliceOfN(rapid.Int64Range(0, 1000), 1, 9).Draw(t, "weights")
		amounts := []quantity.Amount{}
		sum := int64(0)
		for _, w := range weights {
			amounts = append(amounts, quantity.Amount{N: w, Unit: quantity.Mass})
			sum += w
		}
		shares, err := cost.SplitByAmount(joint, amounts)
		if sum == 0 {
			if err == nil {
				t.Fatal("shared by nothing")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		shared := int64(0)
		for i, s := range shares {
			shared += s.Micro
			// share/joint is within a millionth of weight/sum: |share·sum − joint·weight| < sum.
			if off := s.Micro*sum - joint.Micro*weights[i]; joint.Micro < 1e12 && (off >= sum || off <= -sum) {
				t.Fatalf("share %d of %v is %d", i, weights, s.Micro)
			}
		}
		if shared != joint.Micro {
			t.Fatalf("shares sum to %d, not %d", shared, joint.Micro)
		}
	})
}

func TestSplitRefuses(t *testing.T) {
	t.Parallel()
	five := []quantity.Amount{quantity.Grams(5)}
	_, err := cost.SplitByAmount(euros(-1), five)
	wantField(t, err, "joint_cost")
	_, err = cost.SplitByAmount(quantity.Money{Micro: 1}, five)
	wantField(t, err, "joint_cost")
	_, err = cost.SplitByAmount(euros(1), nil)
	wantField(t, err, "amounts")
	_, err = cost.SplitByAmount(euros(1), []quantity.Amount{quantity.Grams(0)})
	wantField(t, err, "amounts")
	_, err = cost.SplitByAmount(euros(1), append(five, quantity.Grams(-1)))
	wantField(t, err, "amounts[1]")
	_, err = cost.SplitByAmount(euros(1), append(five, quantity.Pieces(1)))
	wantField(t, err, "amounts[1]")
	_, err = cost.SplitByValue(euros(1), nil)
	wantField(t, err, "values")
	_, err = cost.SplitByValue(euros(1), []quantity.Money{euros(1), euros(-1)})
	wantField(t, err, "values[1]")
	_, err = cost.SplitByValue(euros(1), []quantity.Money{euros(1), {Micro: 1, Currency: "DKK"}})
	wantField(t, err, "values[1]")
}
