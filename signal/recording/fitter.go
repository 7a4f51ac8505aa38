package recording

import "math"

// fitter bends an even time axis to stamps that only round: per run without a
// hole, the mean deviation of each segment of samples from the even axis makes
// one knot, and the axis runs straight from knot to knot. Rounding averages out,
// a drifting clock is followed.
type fitter struct {
	// j is the grid index of the last row, counted from the span's start.
	j float64
	// sum, at and n gather the present segment: deviations in s, row indexes.
	sum, at float64
	n, rows int
	// knot is the last knot of the run, at row index knotAt; slope leads on from
	// it, s per row. knots counts them.
	knot, knotAt, slope float64
	knots               int
	// done is the first row without a final place.
	done int
	// base is the deviation of the span's start, s.
	base    float64
	hasBase bool
	newRun  bool
	// shared counts the rows of each stamp, where that tells something.
	shared counting
}

func (f *fitter) reset() { *f = fitter{j: -1} }

// add counts row i in.
func (f *fitter) add(g *gridder, i int) {
	p := &g.f.stamps
	if p.counted {
		f.shared.count(g, i)
	}
	step := 1.0
	if f.newRun && i > 0 {
		last := g.t0 + f.j/p.rate + f.knot
		step = max(1, math.Round((g.t[i]-last)*p.rate))
		f.newRun = false
	}
	f.j += step
	g.x[i] = f.j
	f.rows++
	if !p.packets || i > 0 && g.t[i] > g.t[i-1] {
		f.sum += g.t[i] - g.t0 - f.j/p.rate
		f.at += float64(i)
		f.n++
	}
	if f.rows >= segmentRows && (!p.packets || f.n >= 4) {
		f.close(g)
	}
}

// close makes a knot of the present segment. The rows up to it are placed on the
// line from the knot before; those before the first knot wait for the second,
// on whose line they lie too.
func (f *fitter) close(g *gridder) {
	m, c := f.sum/float64(f.n), f.at/float64(f.n)
	if f.knots > 0 && c > f.knotAt {
		f.slope = (m - f.knot) / (c - f.knotAt)
		f.place(g, int(c)+1)
	}
	f.knot, f.knotAt = m, c
	f.knots++
	f.sum, f.at, f.n, f.rows = 0, 0, 0, 0
}

// place gives final places to the rows before index to, on the line through the
// last knot.
func (f *fitter) place(g *gridder, to int) {
	rate := g.f.stamps.rate
	for ; f.done < to && f.done < len(g.x); f.done++ {
		dev := f.knot + f.slope*(float64(f.done)-f.knotAt)
		if !f.hasBase {
			f.hasBase = true
			if f.base = dev; math.Abs(dev)*rate < evenWithin {
				f.base = 0
			}
			g.start = g.t0 + f.base
		}
		g.x[f.done] += (dev - f.base) * rate
	}
	g.ready = f.done
}

// endRun places all rows that are left, before a hole or the end of a span.
func (f *fitter) endRun(g *gridder) {
	if g.f.stamps.mode == stampsMeant || g.asStamped {
		return
	}
	if f.n > 0 && (f.n >= segmentRows/8 || f.knots == 0 || g.f.stamps.packets && f.n >= 4) {
		f.close(g)
	}
	f.place(g, len(g.x))
	f.sum, f.at, f.n, f.rows, f.knots, f.slope, f.newRun = 0, 0, 0, 0, 0, 0, true
}

// shift follows the rows when the first drop of them are forgotten.
func (f *fitter) shift(drop int) {
	f.done -= drop
	f.at -= float64(drop * f.n)
	f.knotAt -= float64(drop)
}
