package trace_test

import (
	"fmt"

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
