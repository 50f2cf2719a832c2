package season

// none stands for "no such step".
const none = -1

// shop is a job shop turned into arrays. Steps are numbered job by job.
type shop struct {
	dur     []int64 // duration of each step
	job     []int   // job of each step
	machine []int   // machine of each step, those in use numbered from 0
	prev    []int   // step before it in its job, or none
	next    []int   // step after it in its job, or none
	queue   [][]int // the steps of each machine, a job's in their order
	rank    []int   // place of each step in its machine's queue
}

// newShop numbers the steps, and the machines that are used at all.
func newShop(jobs [][]Step) *shop {
	s := &shop{}
	number := map[int]int{}
	for j, steps := range jobs {
		for k, step := range steps {
			m, known := number[step.Machine]
			if !known {
				m = len(s.queue)
				number[step.Machine] = m
				s.queue = append(s.queue, nil)
			}
			i := len(s.dur)
			prev, next := i-1, i+1
			if k == 0 {
				prev = none
			}
			if k == len(steps)-1 {
				next = none
			}
			s.dur = append(s.dur, step.Duration)
			s.job = append(s.job, j)
			s.machine = append(s.machine, m)
			s.rank = append(s.rank, len(s.queue[m]))
			s.prev = append(s.prev, prev)
			s.next = append(s.next, next)
			s.queue[m] = append(s.queue[m], i)
		}
	}
	return s
}

// alone returns the start each step would have, and the time that would
// follow its end, if its job had the whole studio for itself.
func (s *shop) alone() (head, tail []int64) {
	head, tail = make([]int64, len(s.dur)), make([]int64, len(s.dur))
	for i := range s.dur {
		if p := s.prev[i]; p != none {
			head[i] = head[p] + s.dur[p]
		}
	}
	for i := len(s.dur) - 1; i >= 0; i-- {
		if n := s.next[i]; n != none {
			tail[i] = tail[n] + s.dur[n]
		}
	}
	return head, tail
}

// plainBound is the longest job or the longest machine, whichever is longer:
// no plan ends sooner.
func (s *shop) plainBound() int64 {
	var bound int64
	head, tail := s.alone()
	for i := range head {
		bound = max(bound, head[i]+s.dur[i]+tail[i])
	}
	for _, q := range s.queue {
		var work int64
		for _, i := range q {
			work += s.dur[i]
		}
		bound = max(bound, work)
	}
	return bound
}
