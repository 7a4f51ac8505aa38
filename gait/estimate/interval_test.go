package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The order statistics of a median have a known confidence: of 25 independent
// values the 8th and 18th hold it with 95.7 % (binomial, Conover 1980, table
// A3: 2.2 % below the 8th). The interval must lie between the 7th and 9th, 17th
// and 19th on average over the estimated correlation.
func TestIntervalOfIndependentValuesIsTheOrderStatisticInterval(t *testing.T) {
	side := ranked{sorted: make([]float64, 25)}
	for i := range side.sorted {
		side.sorted[i] = float64(i + 1)
	}
	low, high := side.interval(25, Config{}.z())
	require.InDelta(t, 8.1, low, 0.1) // 25(½ − 1.96/(2·5)) + ½
	require.InDelta(t, 17.9, high, 0.1)
}

func TestTooFewValuesSayHowManyAreNeeded(t *testing.T) {
	e := MedianInterval([]float64{3, 1, 2}, Config{})
	require.Equal(t, 3, e.N)
	require.Equal(t, 2.0, e.Center)
	require.False(t, e.HasInterval())
	require.Equal(t, MinValues, e.Needed)
	require.True(t, math.IsNaN(MedianInterval(nil, Config{}).Center))
	require.Equal(t, 25, DifferenceInterval(make([]float64, 20), make([]float64, 40), Config{MinValues: 25}).Needed)
	require.Equal(t, MinValues, Proportion([]bool{true}, Config{}).Needed)
	require.Equal(t, MinValues, ProportionDifference([]bool{true}, nil, Config{}).Needed)
}

func TestBadValuesPanic(t *testing.T) {
	require.Panics(t, func() { MedianInterval([]float64{1, math.NaN()}, Config{}) })
	require.Panics(t, func() { MedianInterval(make([]float64, 20), Config{Confidence: 2}) })
	require.Panics(t, func() {
		PairedDifferenceInterval(Series{Times: []float64{1}, Values: make([]float64, 20)},
			Series{Times: []float64{1}, Values: make([]float64, 20)}, Config{})
	})
}

func TestEqualValuesHaveNoWidth(t *testing.T) {
	e := MedianInterval(make([]float64, 30), Config{})
	require.Equal(t, []float64{0, 0, 0}, []float64{e.Low, e.Center, e.High})
	same := Series{Times: scatterTimes(30, 0), Values: make([]float64, 30)}
	d := PairedDifferenceInterval(same, same, Config{})
	require.Equal(t, []float64{0, 0, 0}, []float64{d.Low, d.Center, d.High})
}

func scatterTimes(n int, shift float64) []float64 {
	times := make([]float64, n)
	for i := range times {
		times[i] = 0.7*float64(i) + shift
	}
	return times
}

func TestIntervalMovesAndScalesWithTheValues(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	x := scatter(60, 0.4, r)
	moved := make([]float64, len(x))
	for i, v := range x {
		moved[i] = 100 - 3*v
	}
	a, b := MedianInterval(x, Config{}), MedianInterval(moved, Config{})
	require.InDelta(t, 100-3*a.Center, b.Center, 1e-9)
	require.InDelta(t, 100-3*a.High, b.Low, 1e-9)
	require.InDelta(t, 100-3*a.Low, b.High, 1e-9)
}

func TestSwappingSidesTurnsTheDifference(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	a := Series{scatterTimes(60, 0), scatter(60, 0.4, r)}
	b := Series{scatterTimes(60, 0.35), scatter(60, 0.4, r)}
	ab, ba := DifferenceInterval(a.Values, b.Values, Config{}), DifferenceInterval(b.Values, a.Values, Config{})
	require.InDelta(t, -ab.Low, ba.High, 1e-12)
	require.InDelta(t, -ab.High, ba.Low, 1e-12)
	ab, ba = PairedDifferenceInterval(a, b, Config{}), PairedDifferenceInterval(b, a, Config{})
	require.InDelta(t, -ab.Low, ba.High, 1e-12)
	require.InDelta(t, -ab.High, ba.Low, 1e-12)
}

func TestPairsAlternateAndLeaveLoneStepsOut(t *testing.T) {
	a := Series{Times: []float64{0, 1, 2, 3, 9, 10}, Values: make([]float64, 6)}
	b := Series{Times: []float64{0.5, 2.5, 8.6, 9.5}, Values: make([]float64, 4)}
	// 1.0 has no step of b before 2.0; 3.0 is followed only after a gap.
	require.Equal(t, []pair{{0, 0}, {2, 1}, {4, 3}}, pairs(a, b))
	require.Nil(t, pairs(a, Series{Values: b.Values}))
}

func TestSharedDriftCancels(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	const n = 200
	a := Series{scatterTimes(n, 0), scatter(n, 0, r)}
	b := Series{scatterTimes(n, 0.35), scatter(n, 0, r)}
	alone := PairedDifferenceInterval(a, b, Config{})
	for i := range n {
		drift := 2 * math.Sin(float64(i)/30)
		a.Values[i] += drift
		b.Values[i] += drift
	}
	paired, apart := PairedDifferenceInterval(a, b, Config{}), DifferenceInterval(a.Values, b.Values, Config{})
	require.Less(t, paired.High-paired.Low, 1.6*(alone.High-alone.Low))
	require.Greater(t, apart.High-apart.Low, 1.5*(paired.High-paired.Low))
}

// Wilson, 1927; Newcombe, 1998, Stat. Med. 17, 873–890, table II, example (a),
// method 10: 56/70 − 48/80 = 0.2 with 95 % 0.0524 to 0.3339.
func TestScoreIntervalsReachThePublishedExample(t *testing.T) {
	const z = 1.959964
	lowA, highA := wilson(56.0/70, 70, z)
	lowB, highB := wilson(48.0/80, 80, z)
	require.InDelta(t, 0.0524, 0.2-math.Hypot(0.8-lowA, highB-0.6), 5e-5)
	require.InDelta(t, 0.3339, 0.2+math.Hypot(highA-0.8, 0.6-lowB), 5e-5)
}

func TestSharesStayBetweenNoneAndAll(t *testing.T) {
	all := make([]bool, 40)
	e := Proportion(all, Config{})
	require.Equal(t, 0.0, e.Low)
	require.Greater(t, e.High, 0.05)
	for i := range all {
		all[i] = true
	}
	e = Proportion(all, Config{})
	require.Equal(t, 1.0, e.High)
	require.Less(t, e.Low, 0.95)
}
