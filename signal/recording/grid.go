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
	clip    clipper
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
	for ; g.lacking != [2]bool{} && used < len(b.t); used++ {
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
	g.clip.seeAll(g, from)
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
		if missing <= quietHole+1e-9 {
			g.tally.add("hole", remark.Note, at, "holes of at most 20 ms, filled and marked: %d")
		} else {
			g.tally.add("hole-long", remark.Loss, at, "holes of 20 to 150 ms, filled and marked; steps in them are left out: %d")
		}
		return nil
	}
	g.gap += missing
	g.tally.add("gap", remark.Loss, at, "gaps without samples: %d; nothing is computed across them")
	return g.endSpan()
}

// mend fills the channels of a sensor whose cells are missing: a line between
// the sound rows on both sides, or beyond BridgeSeconds the last sound value.
// Either way the rows stay marked void.
func (g *gridder) mend(r *row) {
	for s, bit := range [2]Void{VoidAcc, VoidGyr} {
		n := len(g.t)
		switch from := g.lackFrom[s]; {
		case r.missing&bit != 0 && n == 0:
			// Nothing sound before: hold 0 until the first sound row.
			g.hold(r, s)
		case r.missing&bit != 0:
			if from < 0 && !g.lacking[s] {
				g.lackFrom[s] = n
			} else if from >= 0 && r.t-g.t[from] > BridgeSeconds {
				g.lackFrom[s] = -1
			}
			g.lacking[s] = true
			g.hold(r, s)
			continue
		case from >= 0:
			g.fill(r, s, from)
			g.lackFrom[s] = -1
		}
		g.lacking[s] = false
	}
}

// hold puts the last value of a sensor into a row that lacks it.
func (g *gridder) hold(r *row, sensor int) {
	for c := 3 * sensor; c < 3*sensor+3; c++ {
		if r.v[c] = 0; g.f.col[c] >= 0 && len(g.v[c]) > 0 {
			r.v[c] = g.v[c][len(g.v[c])-1]
		}
	}
}

// fill interpolates the rows of a sensor from index from up to the sound row r.
func (g *gridder) fill(r *row, sensor, from int) {
	for c := 3 * sensor; c < 3*sensor+3; c++ {
		if g.f.col[c] < 0 || from == 0 {
			continue
		}
		a, ta := g.v[c][from-1], g.t[from-1]
		for i := from; i < len(g.t); i++ {
			g.v[c][i] = a + (r.v[c]-a)*(g.t[i]-ta)/(r.t-ta)
		}
	}
}

// place finds where row i stands on the grid.
func (g *gridder) place(i int) {
	if i == 0 && g.k == 0 && g.next == 0 {
		g.t0, g.start = g.t[0], g.t[0]
	}
	if g.f.stamps.mode == stampsMeant {
		g.x[i] = (g.t[i] - g.t0) * g.f.stamps.rate
		g.ready = i + 1
		return
	}
	g.fit.add(g, i)
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

// work makes all grid samples that the ready rows allow, then forgets the rows
// that are no longer needed.
func (g *gridder) work(end bool) error {
	if !g.w.open {
		g.w.begin(g.start, g.line[0])
	}
	limit := g.ready - 3 // a clipped run is known two rows later
	if end {
		limit = g.ready
	}
	for g.k+1 < limit {
		if n := g.straight(limit); n > 0 {
			if err := g.copyRows(n); err != nil {
				return err
			}
			continue
		}
		if err := g.between(g.k); err != nil {
			return err
		}
		g.k++
	}
	if end && limit > 0 && g.x[limit-1] >= float64(g.next)-evenWithin {
		if err := g.copyRow(limit - 1); err != nil {
			return err
		}
	}
	g.forget()
	return nil
}

// straight counts the rows from k on, before limit, that are the next samples as
// they stand, one each: what between does row by row.
func (g *gridder) straight(limit int) int {
	k := g.k
	for at := float64(g.next); k+1 < limit; k++ {
		a, b := g.x[k], g.x[k+1]-evenWithin
		if !(at < b) || at-a >= evenWithin || at+1 < b {
			break
		}
		at++
	}
	return k - g.k
}

// copyRows takes the next n rows as samples, as they stand.
func (g *gridder) copyRows(n int) error {
	for n > 0 {
		from, m := g.w.slots(n)
		copy(g.w.void[from:from+m], g.void[g.k:g.k+m])
		for _, c := range g.chans {
			copy(g.w.v[c][from:from+m], g.v[c][g.k:g.k+m])
		}
		n -= m
		g.k += m
		g.next += m
	}
	return g.w.full()
}

// between makes the samples that stand at or after row k and before row k+1.
func (g *gridder) between(k int) error {
	a, b := g.x[k], g.x[k+1]
	for float64(g.next) < b-evenWithin {
		at := float64(g.next)
		if at-a < evenWithin {
			if err := g.copyRow(k); err != nil {
				return err
			}
			continue
		}
		if err := g.interpolate(k, at); err != nil {
			return err
		}
	}
	return nil
}

// copyRow takes row k as the next sample, as it stands.
func (g *gridder) copyRow(k int) error {
	s := g.w.slot(g.void[k])
	for _, c := range g.chans {
		g.w.v[c][s] = g.v[c][k]
	}
	g.next++
	return g.w.full()
}

// interpolate makes the sample at grid place at, between rows k and k+1: a cubic
// through four rows, or a line beside a hole or where stamps nearly coincide.
func (g *gridder) interpolate(k int, at float64) error {
	x := g.x
	void := g.void[k] | g.void[k+1]
	wide := g.f.stamps.hole * g.f.stamps.rate
	if g.f.stamps.packets {
		wide = gapPeriods
	}
	if x[k+1]-x[k] > wide {
		void |= VoidAcc | VoidGyr
	}
	var w [4]float64
	cubic := k > 0 && k+2 < g.ready && lagrange(&w, x[k-1:k+3], at, wide)
	s := g.w.slot(void)
	u := (at - x[k]) / (x[k+1] - x[k])
	for _, c := range g.chans {
		v := g.v[c]
		if cubic {
			g.w.v[c][s] = w[0]*v[k-1] + w[1]*v[k] + w[2]*v[k+1] + w[3]*v[k+2]
		} else {
			g.w.v[c][s] = v[k] + u*(v[k+1]-v[k])
		}
	}
	g.next++
	return g.w.full()
}

// lagrange sets the weights of the cubic through the four places x at the place
// at. False when the places are too uneven for a cubic: two of them nearer than
// a quarter of a period, or further apart than wide periods.
func lagrange(w *[4]float64, x []float64, at, wide float64) bool {
	for i := range 3 {
		if d := x[i+1] - x[i]; d < 0.25 || d > wide {
			return false
		}
	}
	for i := range 4 {
		p := 1.0
		for j := range 4 {
			if j != i {
				p *= (at - x[j]) / (x[i] - x[j])
			}
		}
		w[i] = p
	}
	return true
}

// forget moves the rows that are still needed to the front.
func (g *gridder) forget() {
	drop := g.k - 2
	for _, from := range g.lackFrom {
		if from >= 0 {
			drop = min(drop, from-1)
		}
	}
	if drop <= 0 {
		return
	}
	shift := func(s []float64) []float64 { return s[:copy(s, s[drop:])] }
	g.t, g.x = shift(g.t), shift(g.x)
	for _, c := range g.chans {
		g.v[c] = shift(g.v[c])
	}
	g.void = g.void[:copy(g.void, g.void[drop:])]
	g.line = g.line[:copy(g.line, g.line[drop:])]
	g.k -= drop
	g.ready -= drop
	g.fit.shift(drop)
	for s := range g.lackFrom {
		if g.lackFrom[s] >= 0 {
			g.lackFrom[s] -= drop
		}
	}
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
