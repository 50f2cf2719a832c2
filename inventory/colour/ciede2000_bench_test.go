package colour_test

import (
	"math/rand/v2"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"dyelot/inventory/colour"
)

// BenchmarkCIEDE2000 runs the same 1024 pairs through ours and through
// go-colorful v1.4.1. That library holds colours as RGB and converts both to
// L*a*b* in every call; "conversion" shows how much of its time that is.
func BenchmarkCIEDE2000(b *testing.B) {
	const n = 1024
	rng := rand.New(rand.NewPCG(2005, 21))
	var theirs [n]colorful.Color
	var ours [n]colour.Lab
	for i := range theirs {
		theirs[i] = colorful.Color{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
		ours[i] = labOf(theirs[i])
	}
	var sum float64
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			sum += colour.CIEDE2000(ours[i%n], ours[(i+1)%n])
		}
	})
	b.Run("go-colorful", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			sum += theirs[i%n].DistanceCIEDE2000(theirs[(i+1)%n])
		}
	})
	b.Run("go-colorful-conversion", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			l1, _, _ := theirs[i%n].Lab()
			l2, _, _ := theirs[(i+1)%n].Lab()
			sum += l1 + l2
		}
	})
	if sum == 0 {
		b.Fatal("the pairs did not differ")
	}
}

// labOf takes a go-colorful colour to our scale; it counts L*a*b* in hundredths.
func labOf(c colorful.Color) colour.Lab {
	l, a, b := c.Lab()
	return colour.Lab{L: 100 * l, A: 100 * a, B: 100 * b}
}
