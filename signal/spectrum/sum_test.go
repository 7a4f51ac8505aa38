package spectrum_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/spectrum"
)

// Summed over segments, AddPower is Welch's power density up to its scale
// (2/(fs Σ w² K) inside the band), which is checked against SciPy.
func TestAddPowerIsWelchsPowerDensity(t *testing.T) {
	const rate, n, segments = 200.0, 200, 7
	x := make([]float64, n*segments)
	for i := range x {
		at := float64(i) / rate
		x[i] = 3 + math.Sin(2*math.Pi*7*at) + 0.3*math.Sin(2*math.Pi*41*at+1) + 0.01*float64(i*i%17)
	}
	want, err := spectrum.PowerDensity(x, rate, n, 0)
	require.NoError(t, err)
	var a spectrum.Analyzer
	var sum []float64
	for k := range segments {
		sum = a.AddPower(sum, x[k*n:(k+1)*n])
	}
	weight := 0.0
	for _, w := range spectrum.Hann(n) {
		weight += w * w
	}
	for k := 1; k < n/2; k++ {
		require.InEpsilon(t, want.Power[k], 2*sum[k]/(rate*weight*segments), 1e-9, "%g Hz", want.Frequency[k])
	}
	require.InEpsilon(t, (sum[6]+sum[7]+sum[8])/3, spectrum.Level(sum, 1, 5.5, 8.2), 1e-12)
	require.True(t, math.IsNaN(spectrum.Level(sum, 1, 99, 101)))
	require.True(t, math.IsNaN(spectrum.Level(sum, 1, 7.2, 7.8)))
	require.Equal(t, sum, a.AddPower(append([]float64(nil), sum...), make([]float64, n)), "what is constant has no power")
	for _, odd := range []int{2, 5} {
		require.Panics(t, func() { a.AddPower(nil, x[:odd]) })
	}
	require.Panics(t, func() { a.AddPower(sum, x[:n-2]) })
}
