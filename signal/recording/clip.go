package recording

import (
	"math"
	"slices"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Rules for clipped peaks. The ranges are those that sensor makers offer (common
// practice, no source); the shares are the project's own.
const (
	// clipHard is the share of the largest value within which values of a flat
	// top lie; clipSoft is the same for a sensor that was calibrated after it
	// clipped, so that its tops differ a little.
	clipHard, clipSoft = 1e-3, 0.015
	// clipRun is how many equal extreme samples in a row are a flat top.
	clipRun = 3
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
		top := 0.0
		for _, x := range v[c] {
			if a := math.Abs(x); a > top {
				top = a
			}
		}
		p.near[c] = max(clipFloor[c/3], clipNear*top)
		if lim, ok := flatTop(v[c], 1, clipFloor[c/3]); ok {
			p.high[c] = lim
		}
		if lim, ok := flatTop(v[c], -1, clipFloor[c/3]); ok {
			p.low[c] = -lim
		}
	}
	return p
}

// flatTop finds the size beyond which the values of one sign pile up: within a
// narrow band under the largest value lie several times as many as in the next
// band of twice the width, and several of them stand side by side. A smooth peak
// has about as many in the second band as in the first.
func flatTop(v []float64, sign, floor float64) (limit float64, ok bool) {
	top := 0.0
	for _, x := range v {
		top = max(top, sign*x)
	}
	if top < floor {
		return 0, false
	}
	for _, rule := range []struct {
		band    float64
		n, runs int
	}{{clipHard, 3, 1}, {clipSoft, 6, 2}} {
		in, next, runs, before := 0, 0, 0, false
		for _, x := range v {
			x *= sign
			inside := x >= top*(1-rule.band)
			if inside {
				in++
				if before {
					runs++
				}
			} else if x >= top*(1-3*rule.band) {
				next++
			}
			before = inside
		}
		if in >= rule.n && in >= 3*next && runs >= rule.runs {
			return top * (1 - rule.band), true
		}
	}
	return 0, false
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

// nominalRange returns the usual range within 2 % of x, in base units, or x.
func nominalRange(x, factor float64, usual []float64) float64 {
	i := slices.IndexFunc(usual, func(r float64) bool { return math.Abs(x/(r*factor)-1) < 0.02 })
	if i < 0 || x == 0 {
		return x
	}
	return usual[i] * factor
}

// clipper marks the samples of flat tops.
type clipper struct {
	plan  *clipPlan
	tally *tally
	// run counts, per channel, how many rows lie within clipHard of the value at
	// the run's start; from is the row at which it starts.
	run   [6]int
	value [6]float64
}

func (c *clipper) init(f *feed, t *tally) { c.plan, c.tally = &f.clip, t }

func (c *clipper) reset() { c.run = [6]int{} }

func (c *clipper) shift(int) {}

// see judges row i of the gridder, and the rows before it that it makes a run.
func (c *clipper) see(g *gridder, i int) {
	for _, ch := range g.chans {
		v := g.v[ch][i]
		if v >= c.plan.high[ch] || v <= c.plan.low[ch] {
			c.mark(g, ch, i, 1)
			continue
		}
		if a := math.Abs(v); a < c.plan.near[ch] {
			c.run[ch] = 0
			continue
		}
		if c.run[ch] > 0 && math.Abs(v-c.value[ch]) <= clipHard*math.Abs(c.value[ch]) {
			c.run[ch]++
		} else {
			c.run[ch], c.value[ch] = 1, v
		}
		if c.run[ch] == clipRun {
			c.mark(g, ch, i, clipRun)
		} else if c.run[ch] > clipRun {
			c.mark(g, ch, i, 1)
		}
	}
}

// mark sets the void bit of rows i−n+1 … i.
func (c *clipper) mark(g *gridder, ch, i, n int) {
	bit := sensorBit(ch)
	for k := max(0, i-n+1); k <= i; k++ {
		if g.void[k]&bit != 0 {
			continue
		}
		g.void[k] |= bit
		at := remark.At(g.f.f.name, g.line[k], g.t[k])
		if bit == VoidAcc {
			c.tally.add("clipped-acc", remark.Loss, at, "samples at the end of the accelerometer's range: %d; their true peaks are larger, the measures that need them are left out")
		} else {
			c.tally.add("clipped-gyr", remark.Loss, at, "samples at the end of the gyroscope's range: %d; their true peaks are larger, the measures that need them are left out")
		}
	}
}
