package recording

import (
	"math"
	"slices"

	"setdown/signal/remark"
)

// gridRows is how many raw rows are worked on at a time: few enough to stay near
// the processor. Some more wait for their place on the time axis.
const gridRows = 1024

// gridder puts the rows of one feed on an even grid, span by span. Rows go in
// one by one; samples come out through a blockWriter. What comes out depends on
// the rows only, not on how the file was cut into blocks.
type gridder struct {
	f     *feed
	tally *tally
	w     *blockWriter
	chans []int // the channels that are present
	// The raw rows of the present span that are still needed.
	t    []float64
	v    [6][]float64
	void []Void
	line []int
	// x is each row's place on the grid, in samples from the span's start; the
	// first ready of them are final.
	x     []float64
	ready int
	// next is the grid index of the sample that comes next; k the raw row before it.
	next int
	k    int
	fit  fitter
	// t0 is the first stamp of the span, s; start is its first sample's time.
	t0, start float64
	// lackFrom is the first of the rows of a sensor that wait for a sound row to
	// be filled from; −1 when none do.
	lackFrom [2]int
	// lacking tells that the sensor's last row had no value.
	lacking [2]bool
	used    int
	gap     float64
	// asStamped tells that the stamps no longer follow an even axis: each is taken as
	// it is from here on.
	asStamped bool
	clip      clipper
}

func newGridder(f *feed, t *tally, w *blockWriter) *gridder {
	g := &gridder{f: f, tally: t, w: w}
	for c := range f.col {
		if f.col[c] >= 0 {
			g.chans = append(g.chans, c)
			g.v[c] = make([]float64, 0, 2*gridRows)
		}
	}
	g.t, g.x = make([]float64, 0, 2*gridRows), make([]float64, 0, 2*gridRows)
	g.void, g.line = make([]Void, 0, 2*gridRows), make([]int, 0, 2*gridRows)
	g.clip.init(f, t)
	g.reset()
	return g
}

// reset empties the span.
func (g *gridder) reset() {
	g.t, g.void, g.line, g.x = g.t[:0], g.void[:0], g.line[:0], g.x[:0]
	for c := range g.v {
		g.v[c] = g.v[c][:0]
	}
	g.ready, g.next, g.k = 0, 0, 0
	g.lackFrom, g.lacking = [2]int{-1, -1}, [2]bool{}
	g.fit.reset()
	g.clip.reset()
}

// row takes the next row in time order.
func (g *gridder) row(r *row) error {
	g.used++
	if n := len(g.t); n > 0 {
		if dt := r.t - g.t[n-1]; dt > g.f.stamps.hole {
			if err := g.hole(r, dt); err != nil {
				return err
			}
		}
	}
	g.f.markBeyond(r, g.tally)
	if r.missing != 0 || g.lacking != [2]bool{} {
		g.mend(r)
	}
	g.t = append(g.t, r.t)
	g.line = append(g.line, r.line)
	g.void = append(g.void, r.missing)
	for _, c := range g.chans {
		g.v[c] = append(g.v[c], r.v[c])
	}
	g.w.freeRows(1)
	g.clip.see(g, len(g.t)-1)
	g.x = append(g.x, 0)
	g.place(len(g.t) - 1)
	if g.ready-g.k >= gridRows {
		return g.work(false)
	}
	return nil
}

// batch takes several rows that follow on each other without a hole.
func (g *gridder) batch(b *batch) (used int, err error) {
	calm := g.clip.allCalm(b)
	wild := !calm && g.f.anyBeyond(b)
	for ; (wild || g.lacking != [2]bool{}) && used < len(b.t); used++ {
		var r row
		b.row(used, &r)
		if err := g.row(&r); err != nil {
			return used + 1, err
		}
	}
	from, n := len(g.t), len(b.t)-used
	g.used += n
	g.t = append(g.t, b.t[used:]...)
	for _, c := range g.chans {
		g.v[c] = append(g.v[c], b.v[c][used:]...)
	}
	g.void, g.x, g.line = extend(g.void, n), extend(g.x, n), extend(g.line, n)
	for i := range n {
		g.line[from+i] = b.line + used + i
	}
	g.w.freeRows(n)
	g.clip.seeAll(g, from, calm)
	for i := from; i < len(g.t); i++ {
		g.place(i)
	}
	if g.ready-g.k >= gridRows {
		err = g.work(false)
	}
	return len(b.t), err
}

// extend returns x with n zeros more.
func extend[T any](x []T, n int) []T {
	from := len(x)
	x = slices.Grow(x, n)[:from+n]
	clear(x[from:])
	return x
}

// hole deals with missing rows before r: a short hole is filled, a long one
// ends the span.
func (g *gridder) hole(r *row, dt float64) error {
	missing := dt - 1/g.f.stamps.rate
	last := g.t[len(g.t)-1]
	if g.f.stamps.packets {
		missing = dt - g.f.stamps.jitter
	}
	at := remark.At(g.f.f.name, r.line, last)
	if missing <= BridgeSeconds+1e-9 {
		g.fit.endRun(g)
		if missing <= QuietSeconds+1e-9 {
			g.tally.add("hole", remark.Note, at, "holes of at most 20 ms, filled and marked: %d")
		} else {
			g.tally.add("hole-long", remark.Loss, at, "holes of 20 to 150 ms, filled and marked; what they hide is withheld: %d")
		}
		return nil
	}
	g.gap += missing
	g.tally.add("gap", remark.Loss, at, "gaps without samples: %d; nothing is computed across them")
	return g.endSpan()
}

// place finds where row i stands on the grid.
func (g *gridder) place(i int) {
	if i == 0 && g.k == 0 && g.next == 0 {
		g.t0, g.start = g.t[0], g.t[0]
	}
	if g.f.stamps.mode == stampsMeant || g.asStamped {
		g.x[i] = (g.t[i] - g.start) * g.f.stamps.rate
		g.ready = i + 1
		return
	}
	g.fit.add(g, i)
}

// asTheyStand ends the even time axis: the rows from here on come at another rate.
func (g *gridder) asTheyStand() {
	if len(g.t) > 0 {
		g.fit.endRun(g)
	}
	g.asStamped = true
}

// endSpan works off everything that is held and closes the span.
func (g *gridder) endSpan() error {
	if len(g.t) == 0 {
		return nil
	}
	g.fit.endRun(g)
	if err := g.work(true); err != nil {
		return err
	}
	first := remark.At(g.f.f.name, g.w.line, g.start)
	dropped, err := g.w.endSpan()
	if dropped {
		g.tally.add("span-short", remark.Loss, first, "stretches shorter than 1 s between gaps, left out: %d")
	}
	g.reset()
	return err
}

// end closes the last span and returns what the reading came to.
func (g *gridder) end() (Summary, error) {
	err := g.endSpan()
	sum := g.w.summary
	sum.Samples, sum.GapSeconds = g.used, g.gap
	if sum.Spans == 0 {
		sum.Begin, sum.End = math.NaN(), math.NaN()
	}
	return sum, err
}
