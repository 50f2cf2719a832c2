package cost_test

import (
	"fmt"

	"dyelot/inventory/cost"
	"dyelot/inventory/quantity"
)

// By hand: 10 kg at 6 and 20 kg at 12, then 15 kg are used.
func Example() {
	kilos := func(n, price int64) cost.Layer {
		return cost.Layer{
			Amount: quantity.Grams(n * 1000),
			Cost:   quantity.Money{Micro: n * price * 1_000_000, Currency: "EUR"},
		}
	}
	used, _, _ := cost.FirstIn([]cost.Layer{kilos(10, 6), kilos(20, 12)}, quantity.Grams(15_000))
	fmt.Println("first in, first out:", used)

	heap, _ := kilos(10, 6).Receive(kilos(20, 12))
	used, _, _ = cost.MovingAverage(heap, quantity.Grams(15_000))
	fmt.Println("moving average:", used)
	// Output:
	// first in, first out: 120.00 EUR
	// moving average: 150.00 EUR
}
