package recording

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"setdown/signal/unit"
)

// Rules for a sensor at rest, where it reads 1 g and nothing else. The margins are
// the project's own: wider than any offset of a sensor in use, narrower than a
// factor of 2 in its scale.
const (
	// restSpread is how far, as a share, the size of the acceleration may vary at
	// rest, within a window and from one to the next.
	restSpread = 0.03
	// restRun is how many windows in a row are rest: 0.3 s at one size are in no
	// swing, and restLeast how many there must be to count.
	restRun, restLeast = 3, 10
	// fallShare is the size, as a share of the median, below which an accelerometer
	// reads next to nothing, and fallMost how long, s, it may: a fall of 1 s is one of
	// 5 m, so that gravity is not in what reads so for longer.
	fallShare, fallMost = 0.1, 1
	// restWithin is how far, as a share, the reading at rest may lie from 1 g.
	restWithin = 0.25
)

// gravity is the size of the acceleration in the file's units: when stillest, in
// the median, and at rest; NaN where the sensor is not known to rest. none tells that
// gravity is not in it.
type gravity struct {
	still, median, rest float64
	none                bool
}

// window is a short stretch of the size of the acceleration.
type window struct{ mean, spread float64 }

// gravity measures the size of the acceleration: in the stillest windows, its median
// over all, and at rest. A foot that runs all the time has steady windows in
// swing, at several g: there the calm windows of stance count.
func (h *head) gravity(rate float64) gravity {
	a := h.size(0)
	if len(a) == 0 {
		return gravity{math.NaN(), math.NaN(), math.NaN(), false}
	}
	ws := windows(a, max(3, int(stillWindow*rate)))
	median := nth(a, len(a)/2)
	if len(ws) == 0 {
		return gravity{median, median, math.NaN(), false}
	}
	rest := restOf(ws)
	// One that rests elsewhere, at 1 g, was only off for a while.
	none := math.IsNaN(rest) && falls(ws, fallShare*median)
	calm := nth(meansOf(ws), int(calmShare*float64(len(ws)-1)))
	slices.SortFunc(ws, func(p, q window) int { return cmp.Compare(p.spread, q.spread) })
	ws = ws[:max(1, int(math.Ceil(stillShare*float64(len(ws)))))]
	still := nth(meansOf(ws), len(ws)/2)
	if calm < still/1.5 {
		still = calm
	}
	return gravity{still, median, rest, none}
}

// falls tells whether the windows, in order of time, stay below a size for longer than
// any fall lasts.
func falls(ws []window, size float64) bool {
	run := 0
	for _, w := range ws {
		if run++; w.mean >= size {
			run = 0
		}
		if float64(run)*stillWindow > fallMost {
			return true
		}
	}
	return false
}

// windows cuts sizes into whole windows of n.
func windows(a []float64, n int) []window {
	ws := make([]window, 0, len(a)/n)
	for i := 0; i+n <= len(a); i += n {
		lo, hi, sum := a[i], a[i], 0.0
		for _, x := range a[i : i+n] {
			if x < lo {
				lo = x
			} else if x > hi {
				hi = x
			}
			sum += x
		}
		ws = append(ws, window{sum / float64(n), hi - lo})
	}
	return ws
}

func meansOf(ws []window) []float64 {
	m := make([]float64, len(ws))
	for i := range ws {
		m[i] = ws[i].mean
	}
	return m
}

// restOf is the median size over the windows, in order of time, in which the sensor
// rests; NaN where there are too few.
func restOf(ws []window) float64 {
	var at []float64
	run := 0
	for i, w := range ws {
		if quiet := w.mean > 0 && w.spread <= restSpread*w.mean; !quiet || run > 0 && math.Abs(w.mean-ws[i-1].mean) > restSpread*w.mean {
			run = 0
			continue
		}
		if run++; run == restRun {
			for _, q := range ws[i+1-restRun : i+1] {
				at = append(at, q.mean)
			}
		} else if run > restRun {
			at = append(at, w.mean)
		}
	}
	if len(at) < restLeast {
		return math.NaN()
	}
	return nth(at, len(at)/2)
}

// fits tells whether the sizes, in unit u, can be those that gravity makes.
func (g gravity) fits(u unit.Unit) bool {
	if off := math.Abs(g.rest*u.Factor/unit.StandardGravity - 1); off > restWithin {
		return false
	}
	return passes(g.still*u.Factor, g.median*u.Factor)
}

// Rules for an acceleration that never rests; the project's own. Where a foot or a shin
// turns least it stands or hangs still for a moment: in 18 open recordings of both,
// walking and running, and in 160 simulated ones of feet at 0.8 to 5.2 m/s, the size of
// its acceleration was then 0.95 to 1.07 g, and 0.97 of it or more pointed one way.
// Without gravity it was 0.66 g at most.
const (
	leastTurn  = 0.03 // s, over which turning is averaged
	leastShare = 0.02 // of the rows, those that turn least
	leastRows  = 40   // fewer say nothing
	leastLow   = 0.75 // g
	leastHigh  = 1.33 // g
	leastOne   = 0.9  // the share that points one way
)

// turnsLeast tells of an acceleration, over the rows in which the gyroscope turns least,
// the median size, in its unit, and what share of it is in the median vector; NaN where
// the rows are too few.
func (h *head) turnsLeast(rate float64) (size, oneWay float64) {
	turn := h.size(3)
	n, wide := len(turn), max(1, int(leastTurn*rate))
	if int(leastShare*float64(n)) < leastRows {
		return math.NaN(), math.NaN()
	}
	sums := turn[:n-wide+1] // each of its own: a damaged number spoils no other
	for i := range sums {
		sums[i] = floats.Sum(turn[i : i+wide])
	}
	limit := nth(slices.Clone(sums), int(leastShare*float64(len(sums))))
	var at [4][]float64
	for i, m := range sums {
		if m > limit {
			continue
		}
		k := i + wide/2
		x, y, z := h.v[0][k], h.v[1][k], h.v[2][k]
		at[0], at[1], at[2], at[3] = append(at[0], x), append(at[1], y), append(at[2], z), append(at[3], math.Sqrt(x*x+y*y+z*z))
	}
	var v [4]float64
	for c := range v {
		v[c] = nth(at[c], len(at[c])/2)
	}
	return v[3], math.Sqrt(v[0]*v[0]+v[1]*v[1]+v[2]*v[2]) / v[3]
}
