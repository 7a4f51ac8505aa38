package orient

// boxes are the running sums of three signals of one length, each with one value
// more than its signal: the mean of any stretch is one division away.
type boxes struct{ x, y, z []float64 }

func newBoxes(x [3][]float64) boxes {
	n := len(x[0])
	b := boxes{make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)}
	xs, ys, zs := x[0][:n], x[1][:n], x[2][:n]
	var p, q, r float64
	for i := range n {
		p, q, r = p+xs[i], q+ys[i], r+zs[i]
		b.x[i+1], b.y[i+1], b.z[i+1] = p, q, r
	}
	return b
}

// mean returns the centred running means at sample i of a box of half samples on
// either side; at the ends it has what there is.
func (b boxes) mean(i, half int) (x, y, z float64) {
	lo, hi := max(0, i-half), min(len(b.x)-1, i+half+1)
	n := float64(hi - lo)
	return (b.x[hi] - b.x[lo]) / n, (b.y[hi] - b.y[lo]) / n, (b.z[hi] - b.z[lo]) / n
}

// sumMeans makes b the running sums of the running means of c, in b's room.
func (b boxes) sumMeans(c boxes, half int) {
	var p, q, r float64
	for i := range len(b.x) - 1 {
		x, y, z := c.mean(i, half)
		p, q, r = p+x, q+y, r+z
		b.x[i+1], b.y[i+1], b.z[i+1] = p, q, r
	}
}
