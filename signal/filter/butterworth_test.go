package filter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Values computed with SciPy 1.10.1, scipy.signal.butter. The first row is also
// Winter's handbook example (that from memory).
func TestSecondOrderCoefficients(t *testing.T) {
	const tol = 1e-15
	for _, c := range []struct {
		cutoff, rate float64
		want         Section
	}{
		{6, 60, Section{.06745527388907192, .13491054777814385, .06745527388907192, -1.1429805025399011, .41280159809618877}},
		{10, 100, Section{.06745527388907192, .13491054777814385, .06745527388907192, -1.1429805025399011, .41280159809618877}},
		{20, 200, Section{.06745527388907192, .13491054777814385, .06745527388907192, -1.1429805025399011, .41280159809618877}},
		{10, 200, Section{.020083365564211236, .04016673112842247, .020083365564211236, -1.5610180758007182, .6413515380575631}},
		{12, 100, Section{.09131490043583196, .18262980087166392, .09131490043583196, -.9824057931083952, .34766539485172315}},
		{.5, 100, Section{.00024135904904198073, .00048271809808396145, .00024135904904198073, -1.9555782403150352, .9565436765112031}},
		{30, 400, Section{.04125353724172031, .08250707448344062, .04125353724172031, -1.3489677452527948, .5139818942196759}},
	} {
		s, err := LowPass(2, c.cutoff, c.rate)
		require.NoError(t, err)
		require.Len(t, s, 1)
		sameSection(t, c.want, s[0], tol)
	}
	s, err := HighPass(2, 20, 200)
	require.NoError(t, err)
	sameSection(t, Section{.638945525159022, -1.277891050318045, .638945525159022, -1.1429805025399011, .41280159809618877}, s[0], tol)
}

func sameSection(t *testing.T, want, got Section, tol float64) {
	t.Helper()
	require.InDeltaSlice(t, []float64{want.B0, want.B1, want.B2, want.A1, want.A2}, []float64{got.B0, got.B1, got.B2, got.A1, got.A2}, tol)
}

// Values computed with SciPy 1.10.1.
func TestFourthOrderPolynomials(t *testing.T) {
	s, err := LowPass(4, 10, 100)
	require.NoError(t, err)
	b, a := polynomials(s, 4)
	require.InDeltaSlice(t, []float64{.004824343357716231, .019297373430864923, .028946060146297387, .019297373430864923, .004824343357716231}, b, 1e-15)
	require.InDeltaSlice(t, []float64{1, -2.3695130071820376, 2.31398841441588, -1.0546654058785676, .18737949236818488}, a, 1e-14)
}

// Values computed with SciPy 1.10.1: lfilter of ones, lfilter_zi, filtfilt of
// the squares 0, 1, 4 … 225 with odd padding over 9 samples.
func TestWinterExample(t *testing.T) {
	s := winter(t)
	require.Equal(t, 9, PadLen(s))
	ones := []float64{1, 1, 1, 1, 1, 1}
	y := make([]float64, 6)
	s[0].forward(&memory{}, y, ones)
	require.InDeltaSlice(t, []float64{.067455273889, .279465884516, .561399507822, .796125823390, .948030775261, 1.024759775306}, y, 1e-12)

	// The steady state of the transposed form, z1 = b1 x + b2 x − a1 y − a2 y,
	// from this form's memory.
	m := s[0].steady(1)
	z2 := s[0].B2*m.x1 - s[0].A2*m.y1
	z1 := s[0].B1*m.x1 - s[0].A1*m.y1 + z2
	require.InDeltaSlice(t, []float64{.932544726110928, -.345346324207117}, []float64{z1, z2}, 1e-14)

	squares := make([]float64, 16)
	for i := range squares {
		squares[i] = float64(i * i)
	}
	want := []float64{
		.131579553890, 2.543814285906, 5.707338369860, 10.305928261640, 16.772064134830, 25.319587243407, 36.018997470525, 48.871037225754,
		63.859639252659, 80.979438363416, 100.238254746752, 121.635276092947, 145.115483280621, 170.504481726286, 197.439188508464, 225.331244382505,
	}
	y, err := ZeroPhase(nil, s, squares)
	require.NoError(t, err)
	require.InDeltaSlice(t, want, y, 1e-11)
	z, err := ZeroPhaseSpan(nil, s, squares, squares, squares)
	require.NoError(t, err)
	require.InDeltaSlice(t, want, z[2], 1e-11)
}

// |H|² = 1/(1 + (tan(π f/fs)/tan(π fc/fs))^2n) for the low-pass (Butterworth,
// 1930, with the bilinear transform's frequencies), its complement for the
// high-pass.
func TestGainIsTheAnalyticOne(t *testing.T) {
	for order := 1; order <= 9; order++ {
		for _, fc := range []float64{1, 12.5, 50, 87} {
			low, err := LowPass(order, fc, 200)
			require.NoError(t, err)
			high, err := HighPass(order, fc, 200)
			require.NoError(t, err)
			for _, f := range []float64{.5, 1, 3, 12.5, 40, 50, 87, 99} {
				ratio := math.Pow(math.Tan(math.Pi*f/200)/math.Tan(math.Pi*fc/200), float64(2*order))
				require.InDelta(t, math.Sqrt(1/(1+ratio)), low.Gain(f, 200), 1e-10, "order %d, %g of %g Hz", order, f, fc)
				require.InDelta(t, math.Sqrt(ratio/(1+ratio)), high.Gain(f, 200), 1e-10, "order %d, %g of %g Hz", order, f, fc)
			}
		}
	}
}

// .802 is Winter's; the digits are computed with NumPy 1.24.2.
func TestPassFactor(t *testing.T) {
	for passes, want := range map[int]float64{1: 1, 2: .8022432629231502, 3: .7140199776854697, 4: .6595297127848617} {
		require.InDelta(t, want, PassFactor(2, passes), 1e-15)
	}
	require.InDelta(t, .8956803352, PassFactor(4, 2), 1e-10)
	require.Panics(t, func() { PassFactor(0, 2) })
}

// Cut-offs computed with SciPy 1.10.1; gains from the definition.
func TestDualPassCutoff(t *testing.T) {
	for _, c := range []struct{ fc, fs, want float64 }{{10, 200, 12.409009}, {20, 200, 24.498481}, {10, 100, 12.249241}, {6, 60, 7.349544}, {12, 400, 14.933646}} {
		f, err := DualPassCutoff(2, c.fc, c.fs)
		require.NoError(t, err)
		require.InDelta(t, c.want, f, 1e-6)
	}
	for order := 1; order <= 5; order++ {
		for _, fc := range []float64{.5, 20, 50, 99} {
			low, err := ZeroPhaseLowPass(order, fc, 200)
			require.NoError(t, err)
			require.InDelta(t, math.Sqrt2/2, math.Pow(low.Gain(fc, 200), 2), 1e-9)
			high, err := ZeroPhaseHighPass(order, fc, 200)
			require.NoError(t, err)
			require.InDelta(t, math.Sqrt2/2, math.Pow(high.Gain(fc, 200), 2), 1e-9)
		}
	}
	// Dividing fc by C without warping misses: 0.710921 instead of 0.707107.
	s, err := LowPass(2, 10/PassFactor(2, 2), 200)
	require.NoError(t, err)
	require.InDelta(t, .710921, math.Pow(s.Gain(10, 200), 2), 1e-6)
}

// A sine in the middle of a long span comes out with the gain of two passes and
// without delay.
func TestZeroPhaseOfASine(t *testing.T) {
	s, err := ZeroPhaseLowPass(2, 50, 200)
	require.NoError(t, err)
	for _, f := range []float64{3, 20, 50, 80} {
		x := make([]float64, 4000)
		for i := range x {
			x[i] = math.Sin(2*math.Pi*f*float64(i)/200 + .3)
		}
		y, err := ZeroPhaseSpan(nil, s, x)
		require.NoError(t, err)
		gain := math.Pow(s.Gain(f, 200), 2)
		for i := range x {
			x[i] *= gain
		}
		require.Less(t, farthest(x[500:3500], y[0][500:3500]), 1e-12, "%g Hz", f)
	}
}

func TestCutoffOutOfRange(t *testing.T) {
	for _, fc := range []float64{0, -1, 100, 101, math.NaN(), math.Inf(1)} {
		_, err := LowPass(2, fc, 200)
		require.ErrorIs(t, err, ErrCutoff)
		_, err = HighPass(2, fc, 200)
		require.ErrorIs(t, err, ErrCutoff)
		_, err = DualPassCutoff(2, fc, 200)
		require.ErrorIs(t, err, ErrCutoff)
		_, err = ZeroPhaseHighPass(2, fc, 200)
		require.ErrorIs(t, err, ErrCutoff)
	}
	require.Panics(t, func() { _, _ = LowPass(0, 10, 200) })
}
