package recording

import "math"

// batchRows is how many plain rows are handed on together.
const batchRows = 256

// batch is some rows that follow on each other in the file, one a line, each with
// a number in every cell of its feed.
type batch struct {
	line int // of the first
	t    []float64
	v    [6][]float64 // nil where the feed has no such channel
	// ends are where the rows' lines end, in bytes of text.
	ends []int64
}

// row sets out to row i.
func (b *batch) row(i int, out *row) {
	out.line, out.t, out.missing = b.line+i, b.t[i], 0
	for c, v := range b.v {
		if out.v[c] = math.NaN(); v != nil {
			out.v[c] = v[i]
		}
	}
}

// part returns the rows from index from up to to, without the ends of their lines.
func (b *batch) part(from, to int) batch {
	out := batch{line: b.line + from, t: b.t[from:to]}
	for c, v := range b.v {
		if v != nil {
			out.v[c] = v[from:to]
		}
	}
	return out
}

// sink takes the rows of a feed, in the order of the file.
type sink interface {
	// row takes one row; it may change it.
	row(r *row) error
	// batch takes several. used counts those that were taken, up to the one that
	// ended the reading where there is an error.
	batch(b *batch) (used int, err error)
}

// oneByOne takes the rows of batches one by one.
type oneByOne func(*row) error

func (use oneByOne) row(r *row) error { return use(r) }

func (use oneByOne) batch(b *batch) (int, error) {
	var r row
	for i := range b.t {
		b.row(i, &r)
		if err := use(&r); err != nil {
			return i + 1, err
		}
	}
	return len(b.t), nil
}
