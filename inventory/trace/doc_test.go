package trace_test

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

// Crockford, Base 32: 1234 is written 16J, with the check character D.
func Example() {
	tag, _ := trace.Tag(1234)
	fmt.Println(tag)
	serial, _ := trace.ParseTag("i6-jd")
	fmt.Println(serial)
	next, _ := trace.NextSerial(31) // 32 to 36 would end in * ~ $ = U
	fmt.Println(next)
	// Output:
	// 16JD
	// 1234
	// 37
}

// The choir's second lot got 30 mL of an iron liquor, made of 100 g of copperas
// in 500 mL: 6.0 g, worked by hand by two people.
func ExampleHistory_Sources() {
	const copperas, liquor, lotB, afterDip = 4, 6, 2, 7
	h := trace.History{
		Given:   []trace.Given{{Lot: lotB, Through: trace.RecordNode(afterDip), Parcel: liquor, Share: quantity.Millilitres(30)}},
		Makings: []trace.Making{{Parent: copperas, Child: liquor, Amount: quantity.Grams(100), Made: quantity.Millilitres(500)}},
	}
	sources, _ := h.Sources()
	for _, s := range sources {
		fmt.Println(trace.ParcelNode(s.Parcel), s.Share, s.Through, s.Depth)
	}
	// Output:
	// P6 30 mL [S7] 0
	// P4 6 g [S7] 1
}
