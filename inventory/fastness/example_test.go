package fastness_test

import (
	"fmt"

	"dyelot/inventory/fastness"
)

// The worked number of the package: a window of 400 lux, 10 hours a day, with its
// ultraviolet.
func Example() {
	f, err := fastness.Fade(3, 400, 10, 365, true)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f Mlx·h in a year; blue wool 3 fades visibly after %.1f Mlx·h, %.0f days\n",
		f.MegaluxHours, f.JustNoticeableMegaluxHours, f.JustNoticeableAfterDays)
	between, err := fastness.FadeBetween(fastness.Half(2), 400, 10, 365, true)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("blue wool 2-3:", between)
	// Output:
	// 1.46 Mlx·h in a year; blue wool 3 fades visibly after 1.5 Mlx·h, 375 days
	// blue wool 2-3: between 150 and 375 days
}

// A weld-dyed witness cloth before and after a wash, measured.
func ExampleChangeGrade() {
	change, err := fastness.ChangeGrade(fastness.Lab{75, -2, 62}, fastness.Lab{77, -3, 50})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("ΔE_F %.2f, grade %v\n", change.DeltaEF, change.Grade)
	// Output: ΔE_F 5.78, grade 2-3
}
