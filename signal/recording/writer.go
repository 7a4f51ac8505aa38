package recording

import "math"

// BlockLen is the largest number of samples in a Block.
const BlockLen = 4096

// blockWriter gathers samples into blocks and spans.
type blockWriter struct {
	yield   func(*Block) error
	rate    float64
	has     [6]bool
	v       [6][]float64
	owns    bool // v is the writer's own
	void    []Void
	n       int
	first   int // samples of the span that are already handed out
	start   float64
	line    int
	open    bool
	span    int
	err     error
	block   Block
	summary Summary
	// lent is room for size samples, in which they stay. at counts those that were
	// handed out of it; rows stand in it from free on.
	lent           [6][]float64
	lends          bool
	size, at, free int
}

func newBlockWriter(rate float64, acc, gyr bool, yield func(*Block) error) *blockWriter {
	w := &blockWriter{yield: yield, rate: rate, void: make([]Void, BlockLen)}
	w.has = [6]bool{acc, acc, acc, gyr, gyr, gyr}
	return w
}

// lend gives the writer room for its samples, which nobody else uses afterwards
// but the block's readers.
func (w *blockWriter) lend(v [6][]float64) {
	for c := range v {
		if w.has[c] && v[c] == nil {
			return
		}
	}
	w.lent, w.lends, w.size = v, true, math.MaxInt
	for c := range v {
		if w.has[c] {
			w.size = min(w.size, cap(v[c]))
		}
	}
	w.window()
}

// freeRows tells that n more of the rows in the lent room have been taken.
func (w *blockWriter) freeRows(n int) { w.free = min(w.free+n, w.size) }

// freeAll tells that no rows are left in the lent room.
func (w *blockWriter) freeAll() { w.free = w.size }

// window lets the next block begin after the samples that stay.
func (w *blockWriter) window() {
	for c := range w.v {
		if w.has[c] {
			w.v[c] = w.lent[c][:cap(w.lent[c])][w.at:]
		}
	}
}

// own gives the writer room of its own, which each block uses again.
func (w *blockWriter) own() {
	for c := range w.v {
		if w.has[c] {
			v := make([]float64, BlockLen)
			copy(v, w.v[c][:w.n])
			w.v[c] = v
		}
	}
	w.lent, w.lends, w.owns = [6][]float64{}, false, true
}

// begin opens a span whose first sample stands at start, s.
func (w *blockWriter) begin(start float64, line int) {
	w.start, w.line, w.open, w.n, w.first = start, line, true, 0, 0
}

// ready makes room for a sample.
func (w *blockWriter) ready() {
	if w.n == BlockLen {
		w.flush(false)
	}
	if !w.owns && (!w.lends || w.at+w.n >= w.free) {
		w.own()
	}
}

// slot returns the index of the next sample in the block's slices.
func (w *blockWriter) slot(void Void) int {
	w.ready()
	w.void[w.n] = void
	w.n++
	return w.n - 1
}

// slots returns the index of the next samples in the block's slices and how
// many of n there is room for.
func (w *blockWriter) slots(n int) (from, room int) {
	w.ready()
	from, room = w.n, min(n, BlockLen-w.n)
	if w.lends {
		room = min(room, w.free-w.at-w.n)
	}
	w.n += room
	return from, room
}

// full returns the error of a block that was handed out.
func (w *blockWriter) full() error { return w.err }

// flush hands the block out.
func (w *blockWriter) flush(last bool) {
	if w.err != nil {
		w.n = 0
		return
	}
	b := &w.block
	*b = Block{Span: w.span, First: w.first, Start: w.start, Void: w.void[:w.n], Last: last, Stays: w.lends}
	for c := range 3 {
		if w.v[c] != nil {
			b.Acc[c] = w.v[c][:w.n]
		}
		if w.v[c+3] != nil {
			b.Gyr[c] = w.v[c+3][:w.n]
		}
	}
	w.err = w.yield(b)
	w.first += w.n
	if w.lends {
		w.at += w.n
		w.window()
	}
	w.n = 0
}

// endSpan closes the span. A span shorter than MinSpan is dropped.
func (w *blockWriter) endSpan() (dropped bool, err error) {
	if !w.open {
		return false, w.err
	}
	w.open = false
	total := w.first + w.n
	if float64(total) < MinSpan*w.rate {
		w.n = 0
		return total > 0, w.err
	}
	if w.span == 0 {
		w.summary.Begin = w.start
	}
	w.summary.End = w.start + float64(total-1)/w.rate
	w.summary.Spans++
	w.flush(true)
	w.span++
	return false, w.err
}
