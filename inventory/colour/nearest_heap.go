package colour

// heap keeps first what is above all others: each entry i is above 2i+1 and 2i+2
// or their equal. (The standard library's boxes every entry in an interface.)
type heap[T interface{ above(T) bool }] []T

func (h *heap[T]) push(x T) {
	s := append(*h, x)
	for i := len(s) - 1; i > 0 && s[i].above(s[(i-1)/2]); i = (i - 1) / 2 {
		s[i], s[(i-1)/2] = s[(i-1)/2], s[i]
	}
	*h = s
}

// pop takes the first away.
func (h *heap[T]) pop() T {
	s := *h
	first, last := s[0], len(s)-1
	s[0] = s[last]
	*h = s[:last]
	h.settle()
	return first
}

// settle lets the first sink to its place after it was replaced.
func (h heap[T]) settle() {
	for i := 0; ; {
		child := 2*i + 1
		if child >= len(h) {
			return
		}
		if child+1 < len(h) && h[child+1].above(h[child]) {
			child++
		}
		if !h[child].above(h[i]) {
			return
		}
		h[i], h[child] = h[child], h[i]
		i = child
	}
}
