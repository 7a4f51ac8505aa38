package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// Efron & Tibshirani, 1993, An Introduction to the Bootstrap, table 3.1: 15 law
// schools, and table 2.1: survival of 16 mice. The reference figures come from
// 2,000,000 resamples made apart from this code; their third digit is safe.
var (
	lsat = []float64{576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594}
	gpa  = []float64{3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96}

	treated = []float64{94, 197, 16, 38, 99, 141, 23}
	control = []float64{52, 104, 146, 10, 51, 30, 40, 27, 46}
)

func lawCorrelation(index []int) float64 {
	x, y := make([]float64, len(index)), make([]float64, len(index))
	for i, k := range index {
		x[i], y[i] = lsat[k], gpa[k]
	}
	return stat.Correlation(x, y, nil)
}

func TestBootstrapOfTheLawSchools(t *testing.T) {
	const resamples = 100000
	// Three standard errors: of an SD of 100,000 values for the SE, and of
	// quantiles 2.5 % and 97.5 % of this long-tailed distribution.
	const tolSE, tolLow, tolHigh = 0.0012, 0.008, 0.002
	r := Bootstrap(len(lsat), 1, lawCorrelation, Config{Resamples: resamples, Seed: 3})
	require.InDelta(t, 0.776374491289, r.Center, 1e-12)
	require.InDelta(t, -0.006473623, r.JackknifeBias(), 5e-10)
	require.InDelta(t, 0.142518619, r.JackknifeSE(), 5e-10)
	require.InDelta(t, -0.075671565, r.Acceleration(), 5e-10)
	require.InDelta(t, 0.13370, r.SE(), tolSE)
	require.InDelta(t, -0.00585, r.Bias(), 0.0013)
	require.InDelta(t, -0.0967, r.BiasCorrection(), 0.012)

	ninety := Config{Confidence: 0.9}
	for _, c := range []struct {
		name      string
		e         Estimate
		low, high float64
	}{
		{"percentile 95 %", r.Percentile(Config{}), 0.4588, 0.9618},
		{"percentile 90 %", r.Percentile(ninety), 0.5226, 0.9476},
		{"BCa 95 %", r.BCa(Config{}), 0.3311, 0.9418},
		{"BCa 90 %", r.BCa(ninety), 0.4286, 0.9270},
	} {
		require.InDelta(t, c.low, c.e.Low, tolLow, c.name)
		require.InDelta(t, c.high, c.e.High, tolHigh, c.name)
		require.Equal(t, 15, c.e.N)
	}
}

func TestSummariesOfTheMice(t *testing.T) {
	require.InDelta(t, 86.857143, Mean(treated), 5e-7)
	require.InDelta(t, 56.222222, Mean(control), 5e-7)
	require.InDelta(t, 25.235490, SD(treated)/math.Sqrt(7), 5e-7)
	require.InDelta(t, 14.158603, SD(control)/math.Sqrt(9), 5e-7)
	require.Equal(t, 94.0, Median(treated))
	require.Equal(t, 46.0, Median(control))
	// The ideal bootstrap SE of a difference of means is known exactly.
	of := func(x []float64) Statistic {
		return func(index []int) float64 {
			sum := 0.0
			for _, k := range index {
				sum += x[k] / float64(len(index))
			}
			return sum
		}
	}
	a := Bootstrap(len(treated), 1, of(treated), Config{Resamples: 50000, Seed: 1})
	b := Bootstrap(len(control), 1, of(control), Config{Resamples: 50000, Seed: 2})
	require.InDelta(t, 26.908108, math.Hypot(a.SE(), b.SE()), 0.25)
}

func TestBootstrapRepeatsForASeedAndFollowsIt(t *testing.T) {
	first := Bootstrap(len(lsat), 3, lawCorrelation, Config{Resamples: 50, Seed: 9})
	again := Bootstrap(len(lsat), 3, lawCorrelation, Config{Resamples: 50, Seed: 9})
	other := Bootstrap(len(lsat), 3, lawCorrelation, Config{Resamples: 50, Seed: 10})
	require.Equal(t, first, again)
	require.NotEqual(t, first.Sorted, other.Sorted)
}

func TestBlocksKeepNeighboursTogether(t *testing.T) {
	const n, length = 20, 5
	index := make([]int, n)
	newDraw(1).fill(index, n, length)
	for i := 1; i < n; i++ {
		if i%length != 0 {
			require.Equal(t, (index[i-1]+1)%n, index[i])
		}
	}
}

// Politis & White, 2004, give the length for AR(1) in closed form; for φ = 0.5
// and n = 1000 it is (1.5·(4/3)²·1000)^(1/3) = 13.9.
func TestBlockLengthGrowsWithCorrelation(t *testing.T) {
	require.Equal(t, 1, BlockLength([]float64{1, -1, 1, -1, 1, -1, 1, -1, 1, -1})) // bounded below
	g := 2 * 0.5 / (1 - 0.25)
	require.InDelta(t, 13.87, math.Cbrt(1.5*g*g*1000), 0.01)
}
