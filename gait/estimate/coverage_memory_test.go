package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// memory draws fractional Gaussian noise with standard deviation 1: weights[t]
// are those of the values before t in the mean of the next, latest first, sd[t]
// is what is left to chance.
type memory struct {
	weights [][]float64
	sd      []float64
}

// longMemory prepares n values by the Durbin–Levinson recursion (Hosking, 1984,
// Water Resour. Res. 20, 1898–1908).
func longMemory(n int, hurst float64) memory {
	rho := func(k int) float64 {
		x, h := float64(k), 2*hurst
		return (math.Pow(x+1, h) - 2*math.Pow(x, h) + math.Pow(math.Abs(x-1), h)) / 2
	}
	m := memory{weights: [][]float64{nil}, sd: []float64{1}}
	for t := 1; t < n; t++ {
		last, variance, sum := m.weights[t-1], m.sd[t-1]*m.sd[t-1], rho(t)
		for j, w := range last {
			sum -= w * rho(t-1-j)
		}
		partial := sum / variance
		row := make([]float64, t)
		for j, w := range last {
			row[j] = w - partial*last[len(last)-1-j]
		}
		row[t-1] = partial
		m.weights, m.sd = append(m.weights, row), append(m.sd, math.Sqrt(variance*(1-partial*partial)))
	}
	return m
}

func (m memory) draw(r *rand.Rand) []float64 {
	x := make([]float64, len(m.sd))
	for t := range x {
		for j, w := range m.weights[t] {
			x[t] += w * x[t-1-j]
		}
		x[t] += m.sd[t] * r.NormFloat64()
	}
	return x
}

// Intervals between strides have memory without end (Hausdorff et al., 1995, J.
// Appl. Physiol. 78, 349–358: exponent near 0.75 in walking). Then scatter and
// drift are one, the process's median is beyond what a session can tell, and
// intervals cover it less the more steps there are (about 86, 62, 54 % at 25, 100, 300).
// The package comment therefore promises the session's median only.
func TestCoverageUnderLongMemoryIsKnown(t *testing.T) {
	for i, n := range []int{25, 100, 300} {
		r, m := rand.New(rand.NewPCG(judging+5, uint64(i))), longMemory(n, 0.75)
		var one, difference tally
		for range sessions() {
			a, b := m.draw(r), m.draw(r)
			one.add(MedianInterval(a, Config{}), 0, 0, sessions())
			sideA, sideB := Series{scatterTimes(n, 0), a}, Series{scatterTimes(n, 0.35), b}
			difference.add(PairedDifferenceInterval(sideA, sideB, Config{}), 0, 0, sessions())
		}
		t.Logf("exponent 0.75 n %3d  median %s | difference of independent sides %s", n, one, difference)
		if n == 25 {
			require.GreaterOrEqual(t, one.process, 0.85-3*math.Sqrt(0.85*0.15/float64(sessions())))
		}
	}
}
