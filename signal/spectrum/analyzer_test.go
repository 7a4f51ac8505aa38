package spectrum

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A clean sine of at least 10 s is found to 0.005 Hz at any frequency, phase
// and rate, with its amplitude, on any offset.
func TestDominantFrequencyOfASine(t *testing.T) {
	var a Analyzer
	worst := 0.0
	for _, rate := range []float64{25, 100, 128, 200} {
		for _, seconds := range []float64{10, 10.03, 17.7} {
			for f := .7; f < 4; f += .0931 {
				n := int(seconds * rate)
				x := sine(n, 2, f, rate, 17*f)
				for i := range x {
					x[i] += 9.81
				}
				p, ok, err := a.DominantFrequency(x, rate, .5, 5)
				require.NoError(t, err)
				require.True(t, ok)
				worst = max(worst, math.Abs(p.Frequency-f))
				require.InDelta(t, 2, p.Amplitude, .03)
				require.Greater(t, p.Prominence, 1000.0)
			}
		}
	}
	t.Logf("largest error %.5f Hz", worst)
	require.Less(t, worst, .005)
}

func TestDominantFrequencyInNoise(t *testing.T) {
	var a Analyzer
	highest := 0.0
	for seed := range uint64(50) {
		x := white(2000, seed)
		p, _, err := a.DominantFrequency(x, 100, .5, 5)
		require.NoError(t, err)
		highest = max(highest, p.Prominence)
		require.Less(t, p.Prominence, 40.0, "noise alone")
		for i, v := range sine(2000, 1, 1.37, 100, 0) {
			x[i] += v
		}
		p, ok, err := a.DominantFrequency(x, 100, .5, 5)
		require.NoError(t, err)
		require.True(t, ok)
		// The Cramér–Rao bound is √(24 σ²/(A² n³)) fs/2π = 0.0009 Hz, and the
		// window costs a quarter more: the limit is over four deviations.
		require.InDelta(t, 1.37, p.Frequency, .005)
		require.Greater(t, p.Prominence, 40.0)
	}
	t.Logf("highest prominence of noise alone %.1f", highest)
}

func TestDominantFrequencyStaysInTheBand(t *testing.T) {
	x := sine(2000, 5, 8, 100, 0)
	for i, v := range sine(2000, 1, 1.5, 100, 0) {
		x[i] += v
	}
	p, ok, err := DominantFrequency(x, 100, .5, 4)
	require.NoError(t, err)
	require.True(t, ok)
	require.InDelta(t, 1.5, p.Frequency, .001)
}

func TestDominantFrequencyOfNothing(t *testing.T) {
	x := make([]float64, 1000)
	for i := range x {
		x[i] = 9.81
	}
	_, ok, err := DominantFrequency(x, 100, .5, 4)
	require.NoError(t, err)
	require.False(t, ok)
	_, ok, err = Periodicity(x, 100, .5, 4)
	require.NoError(t, err)
	require.False(t, ok)
	_, _, err = DominantFrequency(x[:599], 100, .5, 4)
	require.ErrorIs(t, err, ErrTooShort)
	_, _, err = Periodicity(x[:399], 100, .5, 4)
	require.ErrorIs(t, err, ErrTooShort)
	require.ErrorContains(t, err, "400")
	require.Panics(t, func() { _, _, _ = DominantFrequency(x, 100, 4, 4) })
	require.Panics(t, func() { _, _, _ = Periodicity(x, 100, 1, 51) })
}

// The period of a signal is found whatever its shape: here the third harmonic
// is the strongest and the first is missing.
func TestPeriodicityOfAnyShape(t *testing.T) {
	var a Analyzer
	for f := .6; f < 1.9; f += .037 {
		x := sine(3000, 3, 3*f, 200, 0)
		for i, v := range sine(3000, 1, 2*f, 200, 1) {
			x[i] += v + 9.81
		}
		p, ok, err := a.Periodicity(x, 200, .5, 2)
		require.NoError(t, err)
		require.True(t, ok)
		require.InEpsilon(t, f, p.Frequency(), .001)
		require.Greater(t, p.Strength, .99)
	}
}

func TestPeriodicityOfNoiseIsWeak(t *testing.T) {
	for seed := range uint64(50) {
		p, _, err := Periodicity(white(3000, seed), 200, .5, 2)
		require.NoError(t, err)
		require.Less(t, p.Strength, .15)
	}
}

// The definition, summed directly.
func TestAutocorrelation(t *testing.T) {
	var a Analyzer
	x := white(143, 9)
	a.Autocorrelation(nil, white(300, 8), 299) // leaves its work arrays dirty
	got := a.Autocorrelation(nil, x, 142)
	mean := 0.0
	for _, v := range x {
		mean += v / 143
	}
	for k := range 142 {
		var product, early, late float64
		for i := range 143 - k {
			u, v := x[i]-mean, x[i+k]-mean
			product += u * v
			early += u * u
			late += v * v
		}
		require.InDelta(t, product/math.Sqrt(early*late), got[k], 1e-12)
	}
	require.InDelta(t, 1, got[0], 1e-14)
	require.Panics(t, func() { a.Autocorrelation(nil, x, 143) })
	require.Panics(t, func() { a.Autocorrelation(make([]float64, 3), x, 3) })
}

func TestSmoothLength(t *testing.T) {
	for n, want := range map[int]int{0: 2, 1: 2, 2: 2, 3: 4, 7: 8, 13: 16, 97: 100, 1021: 1024, 8011: 8100} {
		require.Equal(t, want, SmoothLength(n), n)
	}
}

func TestAnalyzerDoesNotAllocateAgain(t *testing.T) {
	var a Analyzer
	x := sine(1600, 1, 1.4, 200, 0)
	r := make([]float64, 400)
	work := func() {
		_, _, _ = a.Periodicity(x, 200, .5, 4)
		_, _, _ = a.DominantFrequency(x, 200, .5, 4)
		a.Autocorrelation(r, x, 399)
	}
	work()
	require.Zero(t, testing.AllocsPerRun(10, work))
}

// Windows of 8 s at 200 Hz.
func BenchmarkAnalyzer(b *testing.B) {
	var a Analyzer
	x := sine(1600, 1, 1.4, 200, 0)
	b.Run("DominantFrequency", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, _, _ = a.DominantFrequency(x, 200, .5, 4)
		}
	})
	b.Run("Periodicity", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, _, _ = a.Periodicity(x, 200, .5, 4)
		}
	})
	b.Run("PowerDensity", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, _ = PowerDensity(x, 200, 256, 128)
		}
	})
}
