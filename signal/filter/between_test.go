package filter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func sampled(n int, f func(p float64) float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = f(float64(i))
	}
	return x
}

// places are fractional indices over 0 … n−1, ends included.
func places(n int) []float64 {
	var p []float64
	for q := 0.0; q < float64(n-1); q += .137 {
		p = append(p, q)
	}
	return append(p, float64(n-1))
}

func TestLinearIsExactForLinesAndHoldsTheEnds(t *testing.T) {
	f := func(p float64) float64 { return 3 - .7*p }
	x := sampled(12, f)
	for _, p := range places(12) {
		require.InDelta(t, f(p), Linear(x, p), 1e-12)
	}
	require.Equal(t, x[0], Linear(x, -.1))
	require.Equal(t, x[11], Linear(x, 11.1))
	require.Equal(t, 7.0, Linear([]float64{7}, .5))
	require.Panics(t, func() { Linear(nil, 0) })
}

func TestCubicIsExactForCubics(t *testing.T) {
	f := func(p float64) float64 { return 1 - p + .2*p*p - .03*p*p*p }
	x := sampled(12, f)
	for _, p := range places(12) {
		require.InDelta(t, f(p), Cubic(x, p), 1e-12)
	}
	require.InDelta(t, 2.5, Cubic([]float64{1, 4}, .5), 1e-15)
	require.InDelta(t, .25, Cubic([]float64{0, 1, 4}, .5), 1e-15)
	require.Equal(t, 7.0, Cubic([]float64{7}, 0))
	require.Panics(t, func() { Cubic(x, -.1) })
	require.Panics(t, func() { Cubic(x, 11.1) })
	require.Panics(t, func() { Cubic(x, math.NaN()) })
}

func TestCubicErrorBound(t *testing.T) {
	for _, cycles := range []float64{.01, .05, .1} { // per sample
		w := 2 * math.Pi * cycles
		x := sampled(200, func(p float64) float64 { return math.Sin(w*p + 1) })
		for _, p := range places(198) {
			require.InDelta(t, math.Sin(w*(p+1)+1), Cubic(x, p+1), 3.0/128*math.Pow(w, 4)+1e-15)
		}
	}
}

func TestSincOfSines(t *testing.T) {
	for _, cycles := range []float64{.01, .1, .2, .3, .35} {
		w := 2 * math.Pi * cycles
		x := sampled(300, func(p float64) float64 { return math.Sin(w*p + 1) })
		for _, p := range places(260) {
			require.InDelta(t, math.Sin(w*(p+20)+1), Sinc(x, p+20), 1e-3, "%g cycles per sample", cycles)
		}
	}
}

func TestSincOfConstantsAndLines(t *testing.T) {
	line := func(p float64) float64 { return 3 - 2*p }
	x := sampled(40, line)
	for _, p := range places(40) {
		require.InDelta(t, line(p), Sinc(x, p), .01)
		require.InDelta(t, 5, Sinc(sampled(3, func(float64) float64 { return 5 }), p/20), 1e-12)
	}
	require.Equal(t, 7.0, Sinc([]float64{7}, 0))
	require.Panics(t, func() { Sinc(x, 39.5) })
}

func TestPeakOffset(t *testing.T) {
	for _, vertex := range []float64{-.5, -.2, 0, .31, .5} {
		for _, sign := range []float64{1, -1} {
			f := func(p float64) float64 { return sign * (4 - 3*(p-vertex)*(p-vertex)) }
			offset, value := PeakOffset(f(-1), f(0), f(1))
			require.InDelta(t, vertex, offset, 1e-15)
			require.InDelta(t, sign*4, value, 1e-14)
		}
	}
	offset, value := PeakOffset(2, 2, 2)
	require.Equal(t, []float64{0, 2}, []float64{offset, value})
	offset, value = PeakOffset(1, 2, 3)
	require.Equal(t, []float64{0, 2}, []float64{offset, value}, "no extreme in the middle")
}

func TestCrossing(t *testing.T) {
	x := []float64{0, 1, 3, 2, 2}
	require.Equal(t, 1.5, Crossing(x, 1, 2))
	require.Equal(t, 3.0, Crossing(x, 2, 2))
	require.Equal(t, 3.0, Crossing(x, 3, 2))
	require.Panics(t, func() { Crossing(x, 0, 2) })

	f := func(p float64) float64 { return .1*(p-4.3)*(p-4.3)*(p-4.3) + .2*(p-4.3) + 1 }
	rising := sampled(10, f)
	falling := sampled(10, func(p float64) float64 { return -f(p) })
	require.InDelta(t, 4.3, CubicCrossing(rising, 4, 1), 1e-11)
	require.InDelta(t, 4.3, CubicCrossing(falling, 4, -1), 1e-11)
	require.Equal(t, 3.0, CubicCrossing(x, 3, 2))
}

func BenchmarkBetween(b *testing.B) {
	x := noise(1000, 1)
	b.Run("Cubic", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Cubic(x, 500.3)
		}
	})
	b.Run("Sinc", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Sinc(x, 500.3)
		}
	})
	b.Run("CubicCrossing", func(b *testing.B) {
		at := 0
		for ; (x[at] < 9.81) == (x[at+1] < 9.81); at++ {
		}
		b.ReportAllocs()
		for b.Loop() {
			CubicCrossing(x, at, 9.81)
		}
	})
}

func BenchmarkSmooth(b *testing.B) {
	x := noise(4096, 1)
	y := make([]float64, len(x))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Smooth(y, x, 11, 3, 1, 200); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnalyze(b *testing.B) {
	x := noise(24000, 1) // 120 s at 200 Hz
	cutoffs := sampled(30, func(p float64) float64 { return 5 + 3*p })
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Analyze(x, cutoffs, 60, func(f float64) (SOS, error) { return LowPass(2, f, 200) }); err != nil {
			b.Fatal(err)
		}
	}
}
