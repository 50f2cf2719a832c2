package stock_test

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// A jar booked at 100 g, of which the dyer weighed out 118 g.
func ExampleTake() {
	jar := stock.Parcel{ID: 7, OnHand: quantity.Grams(100)}
	for _, l := range stock.Take(jar, quantity.Grams(118)) {
		fmt.Println(l.From, "→", l.To, l.Amount)
	}
	// Output:
	// shelf → process 118 g
	// difference → shelf 18 g
}
