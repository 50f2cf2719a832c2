package logbook_test

import (
	"fmt"

	"dyelot/inventory/logbook"
	"dyelot/inventory/quantity"
)

// A kitchen scale that shows steps of 0.1 g reads 199.8 g for 200 g.
func ExampleScale() {
	tenth := quantity.Amount{N: 100_000, Unit: quantity.Mass}
	c := logbook.Scale{Mass: quantity.Grams(200), Read: quantity.Amount{N: 199_800_000, Unit: quantity.Mass}, Step: tenth}
	fmt.Println(c.Error(), "=", c.Percent(), "=", c.PerMille(), "‰ of the check mass")
	// Output:
	// -0.2 g = -0.1 % = -1 ‰ of the check mass
}
