package cadence

import (
	"math"
	"slices"
)

// What counts as moving; times in s. Own choices, set on the open phone walks
// and on simulated recordings.
const (
	// energyBox is the width of the running variance: longer than a foot rests
	// in stance.
	energyBox = 1.2
	// leastForce is the scatter of the specific force, m/s², below which a sensor
	// rests; leastOfUsual is the same as a share of its usual scatter on the move.
	leastForce   = 0.5
	leastOfUsual = 0.2
	usualPart    = 0.75 // the usual scatter is this quantile
	// leastActive is the shortest movement that is looked at, joined the longest
	// rest within it.
	leastActive = 2.0
	joined      = 1.0
	// edge is how far the box reaches beyond the movement at a border.
	edge = 0.45
)

// stretch is a range of samples, [from, to).
type stretch struct{ from, to int }

func (s stretch) len() int { return s.to - s.from }

// active returns the stretches in which the sensor moves.
func (m *Motion) active(level float64) []stretch {
	e := m.energy()
	var out []stretch
	from := -1
	for i := 0; i <= len(e); i++ {
		on := i < len(e) && e[i] > level
		switch {
		case on && from < 0:
			from = i
		case !on && from >= 0:
			out = join(out, stretch{from, i}, int(joined*m.Rate))
			from = -1
		}
	}
	return m.trimmed(out)
}

// join appends s, or lengthens the last stretch where the rest between is short.
func join(all []stretch, s stretch, rest int) []stretch {
	if n := len(all); n > 0 && s.from-all[n-1].to < rest {
		all[n-1].to = s.to
		return all
	}
	return append(all, s)
}

// trimmed takes the reach of the box off borders inside the span and drops
// what is too short.
func (m *Motion) trimmed(all []stretch) []stretch {
	cut := int(edge * m.Rate)
	var out []stretch
	for _, s := range all {
		if s.from > cut {
			s.from += cut
		}
		if s.to < m.Len()-cut {
			s.to -= cut
		}
		if float64(s.len()) >= leastActive*m.Rate {
			out = append(out, s)
		}
	}
	return out
}

// energy is the scatter of the specific force around its mean, m/s², in a box
// around each sample.
func (m *Motion) energy() []float64 {
	n := m.Len()
	out := make([]float64, n)
	sum, square := make([]float64, n+1), make([]float64, n+1)
	h := int(energyBox * m.Rate / 2)
	for _, x := range m.Acc {
		for i, v := range x {
			sum[i+1], square[i+1] = sum[i]+v, square[i]+v*v
		}
		for i := range out {
			lo, hi := max(0, i-h), min(n, i+h+1)
			k := float64(hi - lo)
			mean := (sum[hi] - sum[lo]) / k
			out[i] += math.Max(0, (square[hi]-square[lo])/k-mean*mean)
		}
	}
	for i, v := range out {
		out[i] = math.Sqrt(v)
	}
	return out
}

// restLevel is the scatter below which the sensor of these spans rests.
func restLevel(spans []*Motion) float64 {
	var all []float64
	for _, m := range spans {
		for i, v := range m.energy() {
			if i%8 == 0 && v > leastForce {
				all = append(all, v)
			}
		}
	}
	if len(all) == 0 {
		return leastForce
	}
	slices.Sort(all)
	return math.Max(leastForce, leastOfUsual*all[int(usualPart*float64(len(all)-1))])
}
