package recording

import "math"

// thin leaves one row in the head of those that hold the same value of the slower
// sensor.
func (h *head) thin(p *lostPlan) {
	t := thinner{plan: p}
	n := 0
	for i := range h.t {
		if t.keeps(&h.v, i) {
			h.move(n, i)
			n++
		}
	}
	h.cut(n)
}

// clear leaves out of the head the rows that are taken for lost samples.
func (h *head) clear(f *feed) {
	all := batch{t: h.t, v: h.v}
	s := newScreen(f, nil, nil)
	if s.plain(&all, 0) == len(h.t) {
		return
	}
	left := &remaining{head: h}
	s.out = left
	if _, err := s.batch(&all); err == nil && s.end() == nil && left.n > 2 {
		h.cut(left.n)
	}
}

// remaining moves the rows that it takes to the front of the head they come from.
type remaining struct {
	*head
	n int
}

func (r *remaining) row(in *row) error {
	r.t[r.n] = in.t
	for c := range r.v {
		if r.v[c] != nil {
			r.v[c][r.n] = in.v[c]
		}
	}
	r.n++
	return nil
}

func (r *remaining) batch(b *batch) (int, error) {
	copy(r.t[r.n:], b.t)
	for c := range r.v {
		if r.v[c] != nil {
			copy(r.v[c][r.n:], b.v[c])
		}
	}
	r.n += len(b.t)
	return len(b.t), nil
}

// move puts row i of the head at index n.
func (h *head) move(n, i int) {
	h.t[n] = h.t[i]
	for c := range h.v {
		if h.v[c] != nil {
			h.v[c][n] = h.v[c][i]
		}
	}
}

// cut leaves the first n rows of the head.
func (h *head) cut(n int) {
	h.t = h.t[:n]
	for c := range h.v {
		if h.v[c] != nil {
			h.v[c] = h.v[c][:n]
		}
	}
}

// someRows is how many rows tell what needs no more.
const someRows = 200

// some returns the size of the acceleration in some of the rows.
func (h *head) some() []float64 {
	every := 1 + len(h.t)/someRows
	out := h.numbers()[:0]
	for i := 0; i < len(h.t); i += every {
		a := 0.0
		for _, v := range h.v[:3] {
			if v != nil {
				a += v[i] * v[i]
			}
		}
		out = append(out, math.Sqrt(a))
	}
	return out
}

// repeats tells whether any row repeats the one before, or is all zeros.
func (h *head) repeats() bool {
	for _, first := range h.v {
		if first == nil {
			continue
		}
		last := math.NaN()
		for i, x := range first {
			if (x == last || x == 0) && (i > 0 && sameRow(&h.v, i, 0, 6) || h.zero(i)) {
				return true
			}
			last = x
		}
		break
	}
	return false
}

// zero tells whether all channels of row i are 0.
func (h *head) zero(i int) bool {
	for _, v := range h.v {
		if v != nil && v[i] != 0 {
			return false
		}
	}
	return true
}
