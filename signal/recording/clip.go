package recording

import (
	"math"
	"slices"

	"setdown/signal/unit"
)

// Rules for clipped peaks. The ranges are those that sensor makers offer (common
// practice, no source); the shares are the project's own.
const (
	// clipHard is the share of the largest value within which values of a flat
	// top lie; clipSoft is the same for a sensor that was calibrated after it
	// clipped, so that its tops differ a little.
	clipHard, clipSoft = 1e-3, 0.02
	// clipKin is how near, as a share, the largest value of another axis must come
	// to a full scale that was recognised, to be taken for the same one.
	clipKin = 0.06
	// clipRun is how many equal extreme samples in a row are a flat top.
	clipRun = 3
	// clipEdge is how many times the spread of a flat top its edges fall off.
	clipEdge = 10
	// clipSame is the difference, as a share, up to which samples are equal.
	clipSame = 1e-6
	// clipNear is the share of the head's largest value from which a run counts.
	clipNear = 0.98
)

// clipFloor is the smallest full scale looked for: a little below ±2 g and
// ±250 deg/s, the smallest ranges on offer.
var clipFloor = [2]float64{0.95 * 2 * unit.StandardGravity, 0.95 * 250 * math.Pi / 180}

// clipPlan holds what the head told about clipping.
type clipPlan struct {
	// low and high are the values of each channel at and beyond which it is
	// clipped; infinite when nothing clipped.
	low, high [6]float64
	// near is the size from which a run of equal values is a flat top.
	near [6]float64
}

// noClip is a plan without limits.
func noClip() clipPlan {
	var p clipPlan
	for c := range 6 {
		p.low[c], p.high[c] = math.Inf(-1), math.Inf(1)
		p.near[c] = clipFloor[c/3]
	}
	return p
}

// planClip looks for flat tops in the values of each channel.
func planClip(v [6][]float64) clipPlan {
	p := noClip()
	for c := range v {
		low, high := extremes(v[c])
		p.near[c] = max(clipFloor[c/3], clipNear*max(-low, high))
		if lim, ok := flatTop(v[c], 1, high, clipFloor[c/3]); ok {
			p.high[c] = lim
		}
		if lim, ok := flatTop(v[c], -1, -low, clipFloor[c/3]); ok {
			p.low[c] = -lim
		}
	}
	p.spread(v)
	return p
}

// spread takes a full scale that one axis shows for the other axes of the
// sensor, where their largest values come near it.
func (p *clipPlan) spread(v [6][]float64) {
	for s := range 2 {
		full := 0.0
		for c := 3 * s; c < 3*s+3; c++ {
			for _, lim := range []float64{p.high[c], -p.low[c]} {
				if !math.IsInf(lim, 0) {
					full = max(full, lim)
				}
			}
		}
		if full == 0 {
			continue
		}
		for c := 3 * s; c < 3*s+3; c++ {
			low, high := extremes(v[c])
			if math.IsInf(p.high[c], 0) && high > full*(1-clipKin) {
				p.high[c] = high * (1 - clipSoft/2)
			}
			if math.IsInf(p.low[c], 0) && -low > full*(1-clipKin) {
				p.low[c] = low * (1 - clipSoft/2)
			}
		}
	}
}

// extremes returns the lowest and the highest value, or 0 where it is beyond it.
func extremes(v []float64) (low, high float64) {
	for _, x := range v {
		if x < low {
			low = x
		} else if x > high {
			high = x
		}
	}
	return low, high
}

// flatTop finds the size beyond which the values of one sign, of which top is the
// size of the largest, are cut off, by either of two signs. One top of three or
// more samples is far flatter than it is steep at its edges: a smooth peak through
// three samples falls off by about four times their spread at the next sample. Or
// the values of many peaks pile up in a narrow band under the largest value, with
// several times fewer in the next band of twice the width, while the samples
// before the tops differ: peaks that are merely alike have like samples before
// them.
func flatTop(v []float64, sign, top, floor float64) (limit float64, ok bool) {
	if top < floor {
		return 0, false
	}
	near := nearTop(v, sign, top)
	for _, band := range []float64{clipHard, clipSoft / 2, clipSoft} {
		var p pile
		p.count(v, near, sign, top, band)
		if band == clipHard && p.flat || p.high(band) {
			return top * (1 - band), true
		}
	}
	return 0, false
}

// nearTop returns the indices of the values that lie in the widest band or the
// next, or by rounding just below.
func nearTop(v []float64, sign, top float64) []int32 {
	least := top * (1 - 3*clipSoft) * (1 - 1e-9)
	var near []int32
	for i, x := range v {
		if sign*x >= least {
			near = append(near, int32(i))
		}
	}
	return near
}

// pile is what lies in a band under the largest value.
type pile struct {
	// in and next count the samples in the band and in the next of twice its
	// width; pairs counts neighbours in the band.
	in, next, pairs int
	// before are the samples before each run in the band, as shares of the top.
	before []float64
	// flat tells that one run is flat by its shape.
	flat bool
}

// count counts the values of v, of which near has all that can matter.
func (p *pile) count(v []float64, near []int32, sign, top, band float64) {
	i := 0 // what lies before is counted
	for _, k := range near {
		if int(k) < i {
			continue
		}
		i = int(k)
		x := sign * v[i] / top
		if x < 1-band {
			if x >= 1-3*band {
				p.next++
			}
			continue
		}
		from, low := i, x
		for i < len(v) && sign*v[i]/top >= 1-band {
			low = min(low, sign*v[i]/top)
			i++
		}
		p.run(v, from, i, sign, top, low)
	}
}

// run counts the values from from up to to, which lie in the band; low is the
// lowest of them, as a share of the top.
func (p *pile) run(v []float64, from, to int, sign, top, low float64) {
	n := to - from
	p.in += n
	p.pairs += n - 1
	if from == 0 || to == len(v) {
		return
	}
	p.before = append(p.before, sign*v[from-1]/top)
	edge := low - max(sign*v[from-1], sign*v[to])/top
	high := 0.0
	for _, y := range v[from:to] {
		high = max(high, sign*y/top)
	}
	p.flat = p.flat || n >= clipRun && edge > clipEdge*max(high-low, clipHard/clipEdge)
}

// high tells whether the values pile up.
func (p *pile) high(band float64) bool {
	few, times := 8, 2
	if band == clipHard {
		few, times = 4, 3
	}
	if p.in < few || p.in < times*p.next || p.pairs < 2 || len(p.before) < 3 {
		return false
	}
	slices.Sort(p.before)
	n := len(p.before)
	return p.before[n-1-n/10]-p.before[n/10] > 4*band
}

// ranges returns the full scales at which clipping was recognised, m/s² and
// rad/s; 0 when nothing clipped.
func (p *clipPlan) ranges() (acc, gyr float64) {
	var out [2]float64
	for c := range 6 {
		for _, lim := range []float64{p.high[c], -p.low[c]} {
			if !math.IsInf(lim, 0) {
				out[c/3] = max(out[c/3], lim)
			}
		}
	}
	return nominalRange(out[0], unit.StandardGravity, []float64{2, 3, 4, 6, 8, 12, 16, 24, 32, 100, 200}),
		nominalRange(out[1], math.Pi/180, []float64{125, 245, 250, 300, 500, 1000, 1500, 2000, 4000})
}

// nominalRange returns the usual range nearest to x, in base units, where it lies
// within 2 % of it; else x.
func nominalRange(x, factor float64, usual []float64) float64 {
	best, off := x, 0.02
	for _, r := range usual {
		if d := math.Abs(x/(r*factor) - 1); x != 0 && d < off {
			best, off = r*factor, d
		}
	}
	return best
}
