package season

import "testing"

// A thousand kinds of pots have half a billion sums of two hundred pots. The
// list is given up for base + n·step before it takes gigabytes, or the minute
// in which nobody could stop the search; a studio's few pots are still listed.
func TestSumsOfManyKindsOfPotsAreGivenUp(t *testing.T) {
	t.Parallel()
	many := make([]int64, 1000)
	for i := range many {
		many[i] = 500 + int64(i)*int64(i)
	}
	if s := sumsOf(many, 200); s.list != nil || s.up(100_001) != 100_001 {
		t.Errorf("%d sums are listed, up from 100001 is %d", len(s.list), s.up(100_001))
	}
	if s := sumsOf([]int64{500, 600, 800}, 40); len(s.list) == 0 || s.up(20_050) != 20_100 || s.below(20_050) != 20_000 {
		t.Errorf("%d sums, up %d, below %d", len(s.list), s.up(20_050), s.below(20_050))
	}
}
