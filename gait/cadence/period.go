package cadence

import (
	"math"
	"slices"

	"setdown/signal/spectrum"
	"setdown/signal/unit"
)

// Windows in which the stride is looked for, s.
const (
	window = 6.0
	hop    = 1.5
	// smooth is the box width in which the motion is averaged first: impacts
	// shorter than the time between samples do not look alike twice.
	smooth = 0.05
)

// What tells a stride from a step. Lags in s, forces in m/s². Own choices with
// their reasons; set on the open recordings and judged on simulated ones.
const (
	// shortestLag and longestLag bound a step (230 steps a minute) and a stride
	// (52 steps a minute).
	shortestLag, longestLag = 0.26, 2.3
	// nearBest is the share of the strongest correlation from which a shorter
	// repetition is preferred.
	nearBest = 0.9
	// A repetition faster than surelyStep can only be a step: as a stride it
	// would mean more than 222 steps a minute. One slower than surelyStride is a
	// stride: as a step it would mean fewer than 66.
	surelyStep, surelyStride = 0.54, 0.91
	// Between them a running stride and a walking step meet. Running shakes any
	// sensor more than runningForce/lag; walking steps of that rate shake less.
	runningForce = 3.0
	// halfway is the share of the correlation of the size of the force that is
	// found at half of a stride, where the other foot lands.
	halfway = 0.75
	// faintForce is the scatter that a stride shows at least; a slow repetition
	// that is fainter, with nothing at its half, is a step.
	faintForce, faintHalf = 0.9, 0.2
	// rhythmic is the least correlation of gait.
	rhythmic = 0.30
)

// period is the stride found in one window.
type period struct {
	// at is the middle sample of the window; stride is in samples, 0 where there
	// is no rhythm.
	at       int
	stride   float64
	strength float64
	// force is the scatter of the specific force, m/s²; half is the correlation
	// of its size after half a stride, against that after a whole one.
	force, half float64
	// quiet is the share of the window in which nothing but gravity is felt.
	quiet float64
}

// finder looks for the stride in windows of one span.
type finder struct {
	m  *Motion
	an spectrum.Analyzer
	x  []float64
}

// periods looks through one stretch of movement.
func (f *finder) periods(s stretch) []period {
	n := min(s.len(), int(window*f.m.Rate))
	step := max(1, int(hop*f.m.Rate))
	var out []period
	for from := s.from; ; from += step {
		from = min(from, s.to-n)
		out = append(out, f.period(stretch{from, from + n}))
		if from+n >= s.to {
			return sameOctave(out)
		}
	}
}

// period finds the stride in one window.
func (f *finder) period(s stretch) period {
	p := period{at: (s.from + s.to) / 2}
	longest := min(int(longestLag*f.m.Rate), s.len()*9/20)
	first := int(math.Ceil(shortestLag * f.m.Rate))
	if longest <= first+1 {
		return p
	}
	all, size, energy := f.likeness(s, longest+1)
	p.force = math.Sqrt(energy / float64(s.len()))
	p.quiet = f.quiet(s)
	lag := repetition(all, first, longest)
	if lag == 0 || all[lag] < rhythmic {
		return p
	}
	p.strength = all[lag]
	stride := lag
	if f.isStep(float64(lag)/f.m.Rate, p.force, size, lag) {
		stride = min(2*lag, longest)
	}
	p.stride = peakNear(all, stride, longest)
	if 2*lag > longest && stride == longest {
		p.stride = 2 * float64(lag)
	}
	p.half = size[int(p.stride/2+0.5)]
	if whole := size[min(longest, int(p.stride+0.5))]; whole > 0 {
		p.half /= whole
	}
	return p
}

// quietWithin is how near to gravity, m/s², the size of the force of a foot is
// that stands.
const quietWithin = 1.5

// quiet is the share of samples that feel gravity alone.
func (f *finder) quiet(s stretch) float64 {
	n := 0
	for _, v := range f.m.Size[s.from:s.to] {
		if math.Abs(v-unit.StandardGravity) < quietWithin {
			n++
		}
	}
	return float64(n) / float64(s.len())
}

// isStep tells whether the shortest repetition is a step rather than a stride.
func (f *finder) isStep(seconds, force float64, size []float64, lag int) bool {
	half := size[lag/2]
	switch {
	case seconds < surelyStep:
		return true
	case seconds < surelyStride:
		return force < runningForce/seconds && !(half >= halfway*size[lag] && half > 0)
	}
	return force < faintForce && half < faintHalf*size[lag]
}

// octaveWithin is how near to a multiple of the usual stride another one is
// taken for that multiple.
const octaveWithin = 0.12

// sameOctave corrects windows that took a step for a stride or several strides
// for one against the rest: nobody doubles the step rate from one moment to the next.
func sameOctave(all []period) []period {
	var found []float64
	for _, p := range all {
		if p.stride > 0 {
			found = append(found, p.stride)
		}
	}
	if len(found) < 3 {
		return all
	}
	slices.Sort(found)
	middle := found[len(found)/2]
	for i := range all {
		x := all[i].stride / middle
		if k := math.Round(x); k >= 2 && math.Abs(x/k-1) < octaveWithin {
			all[i].stride /= k
		}
		if x > 0 && math.Abs(2*x-1) < octaveWithin {
			all[i].stride *= 2
		}
	}
	return all
}
