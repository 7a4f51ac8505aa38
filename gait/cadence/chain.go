package cadence

import (
	"math"

	"setdown/signal/filter"
)

// How strides follow each other. Own choices.
const (
	// reach is how far, as a share of the stride, the next stride may come early
	// or late; distrust is how much of the correlation a stride at that border
	// loses.
	reach, distrust = 0.3, 0.3
	// sound is the least correlation of a stride with those before it.
	sound = 0.35
	// fresh is the weight of the latest stride in the pattern.
	fresh = 0.3
	// lost is how many strides in a row may fall short of sound within gait.
	lost = 2
)

// mark is one moment of the chain: the same phase of every stride.
type mark struct {
	// at is the fractional sample, fit the correlation with the pattern.
	at, fit float64
}

// chain follows the strides through a stretch.
type chain struct {
	channels [][]float64
	periods  []period
	within   stretch
}

// newChain prepares the channels: the force, and the turning on the same scale.
func newChain(m *Motion, s stretch, p []period) *chain {
	c := &chain{periods: p, within: s}
	acc, gyr := spread(m.Acc, s), spread(m.Gyr, s)
	c.add(m.Acc, s, acc)
	c.add(m.Gyr, s, gyr)
	c.add([][]float64{m.Size}, s, acc)
	return c
}

func (c *chain) add(axes [][]float64, s stretch, scale float64) {
	for _, x := range axes {
		y := make([]float64, s.len())
		for i := range y {
			y[i] = x[s.from+i] / scale
		}
		c.channels = append(c.channels, y)
	}
}

// spread is the scatter of all axes together, at least a tiny one.
func spread(axes [][]float64, s stretch) float64 {
	sum := 0.0
	for _, x := range axes {
		mean, square := 0.0, 0.0
		for _, v := range x[s.from:s.to] {
			mean += v
			square += v * v
		}
		n := float64(s.len())
		sum += square/n - mean*mean/n/n
	}
	return math.Sqrt(math.Max(sum, 1e-12))
}

// stride is the expected stride, in samples, at a sample of the stretch.
func (c *chain) stride(at float64) float64 {
	best, gap := 0.0, math.Inf(1)
	for _, p := range c.periods {
		if d := math.Abs(float64(p.at-c.within.from) - at); p.stride > 0 && d < gap {
			best, gap = p.stride, d
		}
	}
	return best
}

// shortStretch is the length, in strides, up to which the strides are followed in
// several phases, shortPhases of them.
const (
	shortStretch = 16
	shortPhases  = 8
)

// follow returns the marks of a stretch, in samples of the span: one run of
// marks for each part of it that keeps its rhythm, in order of time.
func (c *chain) follow(part stretch) [][]mark {
	best := -1
	for i, p := range c.periods {
		at := p.at - c.within.from
		if p.stride > 0 && at >= part.from && at < part.to && (best < 0 || p.strength > c.periods[best].strength) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	stride := c.periods[best].stride
	run := c.longest(float64(c.periods[best].at-c.within.from), stride, part)
	if len(run) <= leastStrides {
		return nil
	}
	// What is lost before and behind the run may have a rhythm of its own.
	before := stretch{part.from, int(run[0].at - stride)}
	behind := stretch{int(run[len(run)-1].at + stride), part.to}
	var out [][]mark
	if float64(before.len()) > 2*leastStrides*stride {
		out = append(out, c.follow(before)...)
	}
	out = append(out, run)
	if float64(behind.len()) > 2*leastStrides*stride {
		out = append(out, c.follow(behind)...)
	}
	return out
}

// longest is the run of marks through a sample of the part. Where the part is so
// short that the share of a stride that whole strides leave over at its ends
// counts, it is the mean of those runs with most marks that go through the sample
// and through others beside it: together they reach over all of the part.
func (c *chain) longest(at, stride float64, part stretch) []mark {
	if float64(part.len()) >= shortStretch*stride {
		return c.through(mark{at, 1}, part)
	}
	var most [][]mark
	for k := range shortPhases {
		run := c.through(mark{at + float64(k)/shortPhases*stride, 1}, part)
		switch {
		case len(most) == 0 || len(run) > len(most[0]):
			most = [][]mark{run}
		case len(run) == len(most[0]):
			most = append(most, run)
		}
	}
	return meanRun(most)
}

// meanRun is the mean of runs with equally many marks.
func meanRun(runs [][]mark) []mark {
	out := make([]mark, len(runs[0]))
	n := float64(len(runs))
	for _, run := range runs {
		for i, m := range run {
			out[i].at += m.at / n
			out[i].fit += m.fit / n
		}
	}
	return out
}

// through is the run of marks through one, in both directions of time.
func (c *chain) through(start mark, part stretch) []mark {
	back := c.walk(start, -1, part)
	out := make([]mark, 0, 2*len(back))
	for i := len(back) - 1; i >= 0; i-- {
		out = append(out, back[i])
	}
	return append(append(out, start), c.walk(start, 1, part)...)
}

// walk follows the strides from a mark in one direction of time to the border
// of the part, or until the rhythm is lost.
func (c *chain) walk(from mark, direction float64, part stretch) []mark {
	var out []mark
	kept := 0 // marks up to the last sound one
	length := c.stride(from.at)
	pattern := c.snippet(from.at, length)
	at := from.at
	for {
		stride := c.stride(at)
		if math.Abs(stride/length-1) > 0.15 { // another gait: another pattern
			length = stride
			pattern = c.snippet(at, length)
		}
		next := c.next(pattern, at, direction*stride, length)
		if next.at < float64(part.from) || next.at > float64(part.to-1) || len(out)-kept > lost {
			return out[:kept]
		}
		out = append(out, next)
		at = next.at
		if next.fit >= sound {
			c.blend(pattern, next.at, length)
			kept = len(out)
		}
	}
}

// next looks for the pattern about one stride further. Where it is not found,
// the expected moment stands, with the fit that was seen.
func (c *chain) next(pattern [][]float64, at, stride, length float64) mark {
	expected := at + stride
	span := int(reach*math.Abs(stride)) + 1
	fits := make([]float64, 2*span+1)
	best := span
	for k := range fits {
		d := float64(k - span)
		fits[k] = c.fit(pattern, expected+d, length) - distrust*(d/float64(span))*(d/float64(span))
		if fits[k] > fits[best] {
			best = k
		}
	}
	d := float64(best - span)
	fit := fits[best] + distrust*(d/float64(span))*(d/float64(span))
	// A best place beside one that cannot be judged is no top: the true one may
	// lie beyond the border.
	if !(fit >= sound) || best == 0 || best == 2*span || math.IsInf(fits[best-1], -1) || math.IsInf(fits[best+1], -1) {
		return mark{expected, math.Min(fit, sound/2)}
	}
	offset, _ := filter.PeakOffset(fits[best-1], fits[best], fits[best+1])
	return mark{expected + d + offset, fit}
}

// snippet is one stride around a moment, each channel without its mean.
func (c *chain) snippet(at, length float64) [][]float64 {
	n := int(length)
	out := make([][]float64, len(c.channels))
	for k, x := range c.channels {
		out[k] = make([]float64, n)
		sum := 0.0
		for i := range out[k] {
			out[k][i] = filter.Linear(x, at-length/2+float64(i))
			sum += out[k][i]
		}
		for i := range out[k] {
			out[k][i] -= sum / float64(n)
		}
	}
	return out
}

// fit is the correlation of the pattern with what is around a moment. What
// lies beyond the stretch is left out; with less than half a stride there is
// no fit.
func (c *chain) fit(pattern [][]float64, at, length float64) float64 {
	begin := at - length/2
	first := int(math.Floor(begin))
	part := begin - float64(first)
	n := len(pattern[0])
	lo, hi := max(0, -first), min(n, len(c.channels[0])-1-first)
	if hi-lo < n/2 {
		return math.Inf(-1)
	}
	var cross, one, two float64
	m := float64(hi - lo)
	for k, x := range c.channels {
		var sx, sp, sxx, spp, sxp float64
		y := x[first+lo : first+hi+1]
		for i, p := range pattern[k][lo:hi] {
			v := y[i] + part*(y[i+1]-y[i])
			sx, sp, sxx, spp, sxp = sx+v, sp+p, sxx+v*v, spp+p*p, sxp+v*p
		}
		cross += sxp - sx*sp/m
		one += sxx - sx*sx/m
		two += spp - sp*sp/m
	}
	if one <= 0 || two <= 0 {
		return -1
	}
	return cross / math.Sqrt(one*two)
}

// blend lets the pattern follow slow changes of gait.
func (c *chain) blend(pattern [][]float64, at, length float64) {
	for k, x := range c.snippet(at, length) {
		for i, v := range x {
			pattern[k][i] += fresh * (v - pattern[k][i])
		}
	}
}
