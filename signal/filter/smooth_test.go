package filter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The integer weights as printed in handbooks (Savitzky and Golay 1964,
// tables; computed again with SciPy 1.10.1).
func TestSavitzkyGolayTables(t *testing.T) {
	for _, c := range []struct {
		window, degree, derivative int
		weights                    []float64
		divisor                    float64
	}{
		{5, 2, 0, []float64{-3, 12, 17, 12, -3}, 35},
		{5, 2, 1, []float64{-2, -1, 0, 1, 2}, 10},
		{7, 2, 0, []float64{-2, 3, 6, 7, 6, 3, -2}, 21},
		{1, 0, 0, []float64{1}, 1},
		{3, 0, 0, []float64{1, 1, 1}, 3},
	} {
		for i, w := range SavitzkyGolay(c.window, c.degree, c.derivative) {
			require.InDelta(t, c.weights[i]/c.divisor, w, 1e-15)
		}
	}
	require.Panics(t, func() { SavitzkyGolay(4, 2, 0) })
	require.Panics(t, func() { SavitzkyGolay(5, 5, 0) })
	require.Panics(t, func() { SavitzkyGolay(5, 2, 3) })
}

// A polynomial of the fitted degree comes out unchanged up to the ends.
func TestSmoothKeepsPolynomials(t *testing.T) {
	const rate = 50.0
	x := make([]float64, 30)
	for i := range x {
		s := float64(i) / rate
		x[i] = 2 - 3*s + 40*s*s - 7*s*s*s
	}
	y, err := Smooth(nil, x, 9, 3, 0, rate)
	require.NoError(t, err)
	require.InDeltaSlice(t, x, y, 1e-12)
	slope, err := Smooth(nil, x, 9, 3, 1, rate)
	require.NoError(t, err)
	bend, err := Smooth(nil, x, 9, 3, 2, rate)
	require.NoError(t, err)
	for i := range x {
		s := float64(i) / rate
		require.InDelta(t, -3+80*s-21*s*s, slope[i], 1e-9)
		require.InDelta(t, 80-42*s, bend[i], 1e-7)
	}
	_, err = Smooth(nil, x[:8], 9, 3, 0, rate)
	require.ErrorIs(t, err, ErrTooShort)
}

// Values computed with SciPy 1.10.1, signal.detrend.
func TestDetrend(t *testing.T) {
	x := []float64{1, 2, 4, 7, 11, 16}
	want := []float64{1.666667, -.333333, -1.333333, -1.333333, -.333333, 1.666667}
	require.InDeltaSlice(t, want, Detrend(x, x), 1e-6)
	require.Equal(t, []float64{0}, Detrend(nil, []float64{4}))
	require.Empty(t, Detrend(nil, nil))
}

// The series and values of a worked residual analysis, computed with SciPy
// 1.10.1; the first draws of the generator are checked too.
func TestResidualAnalysis(t *testing.T) {
	x := make([]float64, 500)
	first := []float64{-.479597314, -.483452152, .043155794, .134904056, .410029514}
	var seed uint32 = 12345
	for i := range x {
		seed = 1664525*seed + 1013904223
		u := float64(seed)/(1<<32) - .5
		if i < len(first) {
			require.InDelta(t, first[i], u, 1e-9)
		}
		s := float64(i) / 100
		x[i] = 10*math.Sin(2*math.Pi*s) + 3*math.Sin(6*math.Pi*s+.5) + u
	}
	var cutoffs []float64
	for f := 1.0; f <= 30; f++ {
		cutoffs = append(cutoffs, f)
	}
	r, err := Analyze(x, cutoffs, 12, func(f float64) (SOS, error) { return LowPass(2, f, 100) })
	require.NoError(t, err)
	want := []float64{4.011860, 1.845643, 1.111544, .584112, .363373, .292384, .269777, .260779, .255787, .252081}
	require.InDeltaSlice(t, want, r.Removed[:10], 1e-6)
	require.InDelta(t, .245651, r.Removed[11], 1e-6)
	require.InDelta(t, .218914, r.Removed[19], 1e-6)
	require.InDelta(t, .179725, r.Removed[29], 1e-6)
	require.InDelta(t, .291266462, r.Intercept, 1e-9)
	require.InDelta(t, -.003664383, r.Slope, 1e-9)
	require.InDelta(t, 6.049446, r.Chosen, 1e-6)
}

func TestResidualAnalysisWithoutAnAnswer(t *testing.T) {
	design := func(f float64) (SOS, error) { return ZeroPhaseLowPass(2, f, 100) }
	// All the power lies at half the sampling rate: every cut-off removes all
	// of it, and R never crosses the line.
	x := make([]float64, 300)
	for i := range x {
		x[i] = float64(i % 2)
	}
	r, err := Analyze(x, []float64{5, 10, 15, 20}, 5, design)
	require.NoError(t, err)
	require.True(t, math.IsNaN(r.Chosen), "%v", r)
	_, err = Analyze(x, []float64{5, 10, 50}, 5, design)
	require.ErrorIs(t, err, ErrCutoff)
	_, err = Analyze(x[:5], []float64{5, 10}, 5, design)
	require.ErrorIs(t, err, ErrTooShort)
	require.Panics(t, func() { _, _ = Analyze(x, []float64{5, 10}, 8, design) })
	require.Panics(t, func() { _, _ = Analyze(x, []float64{5, 5, 10}, 5, design) })
}
