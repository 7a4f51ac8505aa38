package orient

import "slices"

// Room is memory that calls one after the other work in. The zero Room is ready;
// it grows to what is asked for.
type Room struct{ values []float64 }

// Values returns n values of any content. The next call returns the same memory.
func (r *Room) Values(n int) []float64 {
	r.values = slices.Grow(r.values[:0], n)[:n]
	return r.values
}

// boxes are the running sums of three signals of one length, each with one value
// more than its signal: the mean of any stretch is one division away.
type boxes struct{ x, y, z []float64 }

// fill makes b the running sums of x.
func (b boxes) fill(x [3][]float64) {
	n := len(b.x) - 1
	xs, ys, zs := x[0][:n], x[1][:n], x[2][:n]
	var p, q, r float64
	b.x[0], b.y[0], b.z[0] = 0, 0, 0
	for i := range n {
		p, q, r = p+xs[i], q+ys[i], r+zs[i]
		b.x[i+1], b.y[i+1], b.z[i+1] = p, q, r
	}
}

// mean returns the centred running means at sample i of a box of half samples on
// either side; at the ends it has what there is.
func (b boxes) mean(i, half int) (x, y, z float64) {
	lo, hi := max(0, i-half), min(len(b.x)-1, i+half+1)
	n := float64(hi - lo)
	return (b.x[hi] - b.x[lo]) / n, (b.y[hi] - b.y[lo]) / n, (b.z[hi] - b.z[lo]) / n
}

// sumMeans makes b the running sums of the running means of c. Both may lie in
// one memory where b begins at least half+1 values before c: a sum is read for
// the last time just before its place is written.
func (b boxes) sumMeans(c boxes, half int) {
	var p, q, r float64
	b.x[0], b.y[0], b.z[0] = 0, 0, 0
	for i := range len(b.x) - 1 {
		x, y, z := c.mean(i, half)
		p, q, r = p+x, q+y, r+z
		b.x[i+1], b.y[i+1], b.z[i+1] = p, q, r
	}
}
