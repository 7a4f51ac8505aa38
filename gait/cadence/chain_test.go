package cadence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pace that slows down in the last part of a stride shows in the mean of runs
// of marks that reach into it, and not in one that ends before.
func TestAShortStretchIsCoveredToItsEnds(t *testing.T) {
	const stride, slower, strides = 50.0, 60.0, 6
	at := func(phase float64) float64 { // sample at which a phase, in strides, is reached
		return stride*math.Min(phase, strides) + slower*math.Max(0, phase-strides)
	}
	c := &chain{channels: [][]float64{nil, nil}, within: stretch{0, int(at(strides + 0.9))}}
	phase := 0.0
	for i := range c.within.len() {
		for phase < strides+1 && at(phase) < float64(i) {
			phase += 1e-3
		}
		// Two channels of one stride a turn, so that each phase is unlike all others.
		c.channels[0] = append(c.channels[0], math.Cos(2*math.Pi*phase))
		c.channels[1] = append(c.channels[1], math.Sin(2*math.Pi*phase))
	}
	c.periods = []period{{at: 150, stride: stride, strength: 1}}
	run := c.longest(150, stride, stretch{0, c.within.len()})
	require.Len(t, run, strides+1)
	mean := (run[strides].at - run[0].at) / strides
	alone := c.through(mark{150, 1}, stretch{0, c.within.len()})
	require.InDelta(t, stride, (alone[len(alone)-1].at-alone[0].at)/float64(len(alone)-1), 0.3, "whole strides end where the slower part begins, and see half of it")
	require.Greater(t, mean, stride+0.5)
	require.Less(t, mean, at(strides+0.9)/(strides+0.9))
}

func TestTheMeanOfRuns(t *testing.T) {
	a, b := []mark{{0, 1}, {10, 0.5}}, []mark{{4, 0.5}, {16, 0.9}}
	got := meanRun([][]mark{a, b})
	require.InDelta(t, 2, got[0].at, 1e-12)
	require.InDelta(t, 13, got[1].at, 1e-12)
	require.InDelta(t, 0.7, got[1].fit, 1e-12)
}
