package recording

// BlockLen is the largest number of samples in a Block.
const BlockLen = 4096

// blockWriter gathers samples into blocks and spans.
type blockWriter struct {
	yield   func(*Block) error
	rate    float64
	v       [6][]float64
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
}

func newBlockWriter(rate float64, acc, gyr bool, yield func(*Block) error) *blockWriter {
	w := &blockWriter{yield: yield, rate: rate, void: make([]Void, BlockLen)}
	for c := range w.v {
		if c < 3 && acc || c >= 3 && gyr {
			w.v[c] = make([]float64, BlockLen)
		}
	}
	return w
}

// begin opens a span whose first sample stands at start, s.
func (w *blockWriter) begin(start float64, line int) {
	w.start, w.line, w.open, w.n, w.first = start, line, true, 0, 0
}

// slot returns the index of the next sample in the block's slices.
func (w *blockWriter) slot(void Void) int {
	if w.n == BlockLen {
		w.flush(false)
	}
	w.void[w.n] = void
	w.n++
	return w.n - 1
}

// slots returns the index of the next samples in the block's slices and how
// many of n there is room for.
func (w *blockWriter) slots(n int) (from, room int) {
	if w.n == BlockLen {
		w.flush(false)
	}
	from, room = w.n, min(n, BlockLen-w.n)
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
	*b = Block{Span: w.span, First: w.first, Start: w.start, Void: w.void[:w.n], Last: last}
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
