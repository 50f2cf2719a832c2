package season_test

import (
	"fmt"

	"dyelot/inventory/season"
)

// Thirty a day, give or take 5, ten days of waiting, z = 1.65: Russell &
// Taylor, Operations Management, ch. 16 (answer from memory).
func Example() {
	const service = 0.950528531966352 // the share below z = 1.65
	safety, point, _ := season.ReorderPoint(season.Use{PerDay: 30, SD: 5, LeadDays: 10}, service)
	fmt.Printf("safety %.1f, order when %.1f are left\n", safety, point)
	// Output: safety 26.1, order when 326.1 are left
}
