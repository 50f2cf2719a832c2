package days

import "math"

// Minute counts minutes from the midnight at which a plan begins.
type Minute = int64

const (
	// Day is 24 hours. The clocks' change is the caller's to smooth over.
	Day Minute = 24 * 60
	// Never is later than any plan.
	Never Minute = math.MaxInt64 / 4
)

// dice is a small random walk with a fixed start, so that the same question has
// the same answer (SplitMix64, Steele, Lea and Flood 2014).
type dice uint64

func (d *dice) roll(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

// Limit ends a long search; the best so far comes back.
type Limit struct {
	Nodes int         // stages placed and branchings at most; 0 takes a usual number
	Stop  func() bool // asked now and then; true ends the search; nil never does
}

// usualNodes is about a second of one core.
const usualNodes = 400_000

type budget struct {
	left int
	stop func() bool
	over bool
}

func (l Limit) budget() *budget {
	if l.Nodes == 0 {
		l.Nodes = usualNodes
	}
	return &budget{left: l.Nodes, stop: l.Stop}
}

// spend takes nodes and says whether any are left.
func (b *budget) spend(n int) bool {
	if b.over {
		return false
	}
	b.left -= n
	b.over = b.left < 0 || b.stop != nil && b.stop()
	return !b.over
}
