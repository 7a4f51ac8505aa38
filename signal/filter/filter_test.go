package filter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// winter is the order-2 low-pass at a tenth of the sampling rate, Winter's
// handbook example (coefficients from memory there, confirmed below).
func winter(t testing.TB) SOS {
	s, err := LowPass(2, 20, 200)
	require.NoError(t, err)
	return s
}

// noise returns n reproducible values from -0.5 to 0.5 on a slow wave.
func noise(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.Float64() - 0.5 + 3*math.Sin(float64(i)/40) + 9.81
	}
	return x
}

// Every cut gives the same bits; the whole-span function too; and the plain
// filter over the whole span differs by rounding only.
func TestStreamDoesNotDependOnBlocks(t *testing.T) {
	designs := []struct {
		order  int
		high   bool
		cutoff float64
	}{{2, false, 50}, {4, false, 6}, {1, false, 20}, {3, true, 20}, {2, true, 0.5}, {2, false, 0.5}, {5, false, 95}}
	for _, d := range designs {
		s, err := LowPass(d.order, d.cutoff, 200)
		if d.high {
			s, err = HighPass(d.order, d.cutoff, 200)
		}
		require.NoError(t, err)
		for _, n := range []int{PadLen(s) + 1, 500, 1024, 1100, 30000} {
			t.Run(fmt.Sprintf("%+v n=%d", d, n), func(t *testing.T) {
				checkStream(t, s, n)
			})
		}
	}
}

func checkStream(t *testing.T, s SOS, n int) {
	x := [][]float64{noise(n, 1), noise(n, 2), noise(n, 3)}
	want, err := ZeroPhaseSpan(nil, s, x...)
	require.NoError(t, err)
	for ch := range x {
		plain, err := ZeroPhase(nil, s, x[ch])
		require.NoError(t, err)
		require.Less(t, farthest(plain, want[ch]), 1e-10)
	}
	r := rand.New(rand.NewPCG(uint64(n), 7))
	for _, channels := range []int{1, 3} {
		st := NewStream(s, channels)
		for span := range 3 {
			got := make([][]float64, channels)
			for from := 0; from < n; {
				to := min(n, from+r.IntN(1+r.IntN(3000)))
				block := make([][]float64, channels)
				for ch := range block {
					block[ch] = x[ch][from:to]
				}
				require.Equal(t, len(got[0]), st.Emitted())
				join(got, st.Push(block...))
				require.LessOrEqual(t, to-len(got[0]), st.Delay())
				from = to
			}
			rest, err := st.Flush()
			require.NoError(t, err)
			join(got, rest)
			for ch := range got {
				require.True(t, slices.Equal(want[ch], got[ch]), "span %d channel %d of %d", span, ch, channels)
			}
		}
	}
}

// farthest returns the largest difference between a and b, infinity if their
// lengths differ or one holds NaN.
func farthest(a, b []float64) float64 {
	if len(a) != len(b) {
		return math.Inf(1)
	}
	most := 0.0
	for i := range a {
		d := math.Abs(a[i] - b[i])
		if math.IsNaN(d) {
			return math.Inf(1)
		}
		most = max(most, d)
	}
	return most
}

func join(dst, out [][]float64) {
	for ch := range out {
		dst[ch] = append(dst[ch], out[ch]...)
	}
}

func TestZeroPhaseOfAConstantAndALine(t *testing.T) {
	line := make([]float64, 5000)
	for i := range line {
		line[i] = 3 - 0.25*float64(i)
	}
	for _, cutoff := range []float64{1, 20, 90} {
		s, err := LowPass(2, cutoff, 200)
		require.NoError(t, err)
		y, err := ZeroPhase(nil, s, line)
		require.NoError(t, err)
		z, err := ZeroPhaseSpan(nil, s, line)
		require.NoError(t, err)
		// A line passes unchanged where the ends' start-up has died away.
		require.Less(t, farthest(line[1500:3500], y[1500:3500]), 1e-8)
		require.Less(t, farthest(line[1500:3500], z[0][1500:3500]), 1e-8)
	}
	s, err := HighPass(2, 20, 200)
	require.NoError(t, err)
	constant := make([]float64, 100)
	for i := range constant {
		constant[i] = 9.80665
	}
	y, err := ZeroPhase(nil, s, constant)
	require.NoError(t, err)
	require.InDeltaSlice(t, make([]float64, 100), y, 1e-12)
}

func TestZeroPhaseMayWriteOverItsInput(t *testing.T) {
	s := winter(t)
	x := noise(3000, 4)
	want, err := ZeroPhaseSpan(nil, s, x)
	require.NoError(t, err)
	over := append([]float64(nil), x...)
	_, err = ZeroPhaseSpan([][]float64{over}, s, over)
	require.NoError(t, err)
	require.Equal(t, want[0], over)
}

func TestZeroPhaseErrors(t *testing.T) {
	s := winter(t)
	_, err := ZeroPhase(nil, s, make([]float64, 9))
	require.ErrorIs(t, err, ErrTooShort)
	require.ErrorContains(t, err, "at least 10")
	_, err = ZeroPhaseSpan(nil, s, make([]float64, 9))
	require.ErrorIs(t, err, ErrTooShort)

	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, at := range []int{0, 17, 99} {
			x := make([]float64, 100)
			x[at] = bad
			_, err = ZeroPhase(nil, s, x)
			require.ErrorIs(t, err, ErrNotFinite)
			require.ErrorContains(t, err, fmt.Sprintf("sample %d", at))
			st := NewStream(s, 1)
			st.Push(x)
			_, err = st.Flush()
			require.ErrorIs(t, err, ErrNotFinite)
			st.Push(make([]float64, 100))
			_, err = st.Flush()
			require.NoError(t, err, "the next span starts afresh")
		}
	}
	_, err = NewStream(s, 2).Flush()
	require.NoError(t, err, "a span without samples")
	require.Panics(t, func() { _, _ = ZeroPhase(make([]float64, 3), s, make([]float64, 20)) })
	require.Panics(t, func() { _, _ = ZeroPhaseSpan(nil, s, make([]float64, 20), make([]float64, 21)) })
	require.Panics(t, func() { _, _ = ZeroPhaseSpan(make([][]float64, 1), s, make([]float64, 20)) })
	require.Panics(t, func() { NewStream(s, 4) })
	require.Panics(t, func() { NewStream(s, 2).Push(make([]float64, 1)) })
	require.Panics(t, func() { NewStream(s, 2).Push(make([]float64, 1), make([]float64, 2)) })
}

func TestStreamDoesNotAllocate(t *testing.T) {
	st := NewStream(winter(t), 3)
	x := noise(4096, 5)
	st.Push(x, x, x)
	require.Zero(t, testing.AllocsPerRun(20, func() { st.Push(x, x, x) }))
}

// One op is one sample of one axis through both passes.
func BenchmarkStream(b *testing.B) {
	const block = 4096
	for _, order := range []int{2, 4} {
		for _, channels := range []int{1, 3} {
			b.Run(fmt.Sprintf("order=%d/channels=%d", order, channels), func(b *testing.B) {
				s, err := LowPass(order, 50, 200)
				require.NoError(b, err)
				st := NewStream(s, channels)
				x := make([][]float64, channels)
				for ch := range x {
					x[ch] = noise(block, uint64(ch))
				}
				b.ReportAllocs()
				for b.Loop() {
					st.Push(x...)
				}
				perSample := float64(b.Elapsed().Nanoseconds()) / float64(b.N) / float64(block*channels)
				b.ReportMetric(perSample, "ns/sample")
			})
		}
	}
}
