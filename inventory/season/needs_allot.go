package season

// Allot gives lines, the earliest first, the pieces that runs of their
// collection took; what is beyond all of them stays with the last: 15 taken of
// lines of 10 and 8 are 10 and 5, 20 are 10 and 10.
func Allot(pieces []int64, taken int64) []int64 {
	given := make([]int64, len(pieces))
	for i, n := range pieces {
		given[i] = min(n, taken)
		taken -= given[i]
	}
	if len(given) > 0 {
		given[len(given)-1] += taken
	}
	return given
}
