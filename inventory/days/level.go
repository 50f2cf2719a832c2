package days

import "sort"

// level is how much of something is free over time: hands, burners, rack. at[k]
// is where free[k] begins to hold; the last holds for ever.
type level struct {
	at   []Minute
	free []int64
	// rest are shifts not yet laid out: a change moves all that lies behind it, so
	// a long season is laid out as it is reached.
	rest Calendar
}

func flatLevel(n int64) *level { return &level{at: []Minute{-Never}, free: []int64{n}} }

// handsOf is people by the hour.
func handsOf(c Calendar) *level {
	l := flatLevel(0)
	l.rest = c
	return l
}

// reach lays shifts out until t lies before the last that is.
func (l *level) reach(t Minute) {
	for len(l.rest) > 0 && l.at[len(l.at)-1] <= t {
		s := l.rest[0]
		l.at, l.free, l.rest = append(l.at, s.From, s.To), append(l.free, int64(s.People), 0), l.rest[1:]
	}
}

// index is the piece that t lies in. What is being planned lies near the end of
// what is laid out, so the search comes from there in doubling steps.
func (l *level) index(t Minute) int {
	high, step := len(l.at), 1
	for high-step > 0 && l.at[high-step] > t {
		high, step = high-step, 2*step
	}
	low := max(0, high-step)
	return low + sort.Search(high-low, func(i int) bool { return l.at[low+i] > t }) - 1
}

// earliest is the first start, not before t, from which so much is free for so
// long; Never where there is none.
func (l *level) earliest(t, length Minute, need int64) Minute {
	if length <= 0 || need <= 0 {
		return t
	}
	l.reach(t + length)
	start := t
	for k := l.index(t); k < len(l.at); k++ {
		if k+1 == len(l.at) {
			l.reach(l.at[k])
		}
		if l.free[k] < need {
			if k+1 == len(l.at) {
				return Never
			}
			start = l.at[k+1]
			continue
		}
		if k+1 == len(l.at) || l.at[k+1] >= start+length {
			return start
		}
	}
	return Never
}

// take changes what is free from one time to another.
func (l *level) take(from, to Minute, n int64) {
	if from >= to || n == 0 {
		return
	}
	l.reach(to)
	a := l.cut(from)
	b := l.cut(to)
	for k := a; k < b; k++ {
		l.free[k] -= n
	}
	l.join(b)
	l.join(a)
}

// cut makes t the beginning of a piece and returns which.
func (l *level) cut(t Minute) int {
	k := l.index(t)
	if l.at[k] == t {
		return k
	}
	k++
	l.at, l.free = append(l.at, 0), append(l.free, 0)
	copy(l.at[k+1:], l.at[k:])
	copy(l.free[k+1:], l.free[k:])
	l.at[k], l.free[k] = t, l.free[k-1]
	return k
}

// join drops a beginning at which nothing changes.
func (l *level) join(k int) {
	if k > 0 && l.free[k] == l.free[k-1] {
		l.at, l.free = append(l.at[:k], l.at[k+1:]...), append(l.free[:k], l.free[k+1:]...)
	}
}
