package spectrum

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"github.com/mjibson/go-dsp/spectral"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/stat"
)

// sine returns n samples of amplitude·sin(2π f i/rate + phase).
func sine(n int, amplitude, f, rate, phase float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = amplitude * math.Sin(2*math.Pi*f*float64(i)/rate+phase)
	}
	return x
}

// white returns n reproducible normal values.
func white(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// mixed is the worked series of the reference values.
func mixed() []float64 {
	x := make([]float64, 64)
	for i := range x {
		x[i] = math.Sin(2*math.Pi*8*float64(i)/64) + .25*float64((7*i)%5)
	}
	return x
}

// Values computed with SciPy 1.10.1, scipy.signal.welch.
func TestPowerDensityOfASine(t *testing.T) {
	d, err := PowerDensity(sine(1000, 2, 3, 100, 0), 100, 200, 100)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{2.5, 3, 3.5}, d.Frequency[5:8], 1e-12)
	require.InDeltaSlice(t, []float64{.666667, 2.666667, .666667}, d.Power[5:8], 1e-6)
	require.InDelta(t, 2.0, d.Between(0, 50), 1e-9, "A²/2")
	require.InDelta(t, 2.0/(1.5*.5), d.Power[6], 1e-9, "(A²/2)/(1.5 df)")
	require.InDelta(t, 2.0, d.Between(2.5, 3.5), 1e-9)
}

// Values computed with SciPy 1.10.1.
func TestPowerDensityOfAWorkedSeries(t *testing.T) {
	d, err := PowerDensity(mixed(), 64, 32, 16)
	require.NoError(t, err)
	want := []float64{
		6.2388564e-5, 2.9005270e-5, 1.59400e-7, .041728630890, .166284816954, .043899809182, .009345472347, .007162589917, .000168105078,
		4.635240e-6, 3.032040e-6, 6.4262415e-5, .012728241314, .028632440369, .003782112664, 1.4436525e-5, 1.005788e-6,
	}
	require.InDeltaSlice(t, want, d.Power, 1e-12)
	require.InDelta(t, .627822288, d.Between(0, 32), 1e-9)
	require.InDeltaSlice(t, []float64{0, .146446609, .5, .853553391, 1, .853553391, .5, .146446609}, Hann(8), 1e-9)
}

// Every value of the reference file, computed with SciPy 1.10.1 by
// testdata/scipy/regenerate.py.
func TestPowerDensityAgainstSciPy(t *testing.T) {
	type density struct{ X, Frequency, Power []float64 }
	var ref struct {
		Values struct {
			Hann              []float64 `json:"hann_8"`
			Sine, Mixed, Wave density
		}
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "scipy", "welch.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &ref))
	v := ref.Values
	for _, c := range []struct {
		x                []float64
		rate             float64
		segment, overlap int
		want             density
	}{
		{sine(1000, 2, 3, 100, 0), 100, 200, 100, v.Sine},
		{mixed(), 64, 32, 16, v.Mixed},
		{v.Wave.X, 200, 100, 75, v.Wave},
	} {
		d, err := PowerDensity(c.x, c.rate, c.segment, c.overlap)
		require.NoError(t, err)
		require.InDeltaSlice(t, c.want.Frequency, d.Frequency, 1e-12)
		require.InDeltaSlice(t, c.want.Power, d.Power, 1e-12)
	}
	require.InDeltaSlice(t, v.Hann, Hann(8), 1e-15)
}

// Parseval: the integral over all frequencies is the variance.
func TestPowerDensityIntegratesToTheVariance(t *testing.T) {
	x := white(200000, 1)
	for i := range x {
		x[i] += 9.81 // an offset must not leak
	}
	d, err := PowerDensity(x, 200, 256, 128)
	require.NoError(t, err)
	// The mean of each segment takes 1/256 of the variance of white noise away,
	// the window's neighbours of 0 Hz a little more; the estimate itself scatters
	// by √(2/200000) = 0.3 %.
	require.InEpsilon(t, stat.Variance(x, nil), d.Between(0, 100), .015)
	require.InEpsilon(t, 1.0/100, d.Power[64], .1, "white noise: variance over half the rate")
}

func TestPowerDensityRefusesShortSignals(t *testing.T) {
	_, err := PowerDensity(make([]float64, 31), 64, 32, 16)
	require.ErrorIs(t, err, ErrTooShort)
	x := mixed()
	_, err = PowerDensity(x, 64, 64, 0)
	require.NoError(t, err)
	require.Equal(t, mixed(), x, "the input is not changed")
	for _, bad := range [][2]int{{31, 0}, {32, 32}, {32, -1}, {2, 0}} {
		require.Panics(t, func() { _, _ = PowerDensity(x, 64, bad[0], bad[1]) })
	}
}

// What PowerDensity keeps away from: these hold for the library as it is, and
// the day one of them fails the care can go.
func TestTrapsOfTheLibrary(t *testing.T) {
	x := sine(4096, 1, 16, 256, 0) // variance 0.5
	total := func(x []float64, o spectral.PwelchOptions) float64 {
		p, f := spectral.Pwelch(x, 256, &o)
		return Density{f, p}.Between(0, 128)
	}
	require.InDelta(t, .5, total(x, spectral.PwelchOptions{NFFT: 256, Window: Hann}), 1e-6)
	require.Less(t, total(x, spectral.PwelchOptions{NFFT: 256, Pad: 1024, Window: Hann}), .3, "padding changes the power")
	require.Less(t, total(x[:128], spectral.PwelchOptions{NFFT: 256, Window: Hann}), .3, "a short signal loses power")
	for i := range x {
		x[i] += 10
	}
	require.Greater(t, total(x, spectral.PwelchOptions{NFFT: 256, Window: Hann}), 50.0, "a mean is not removed")
}

// Two independent transforms agree.
func TestTransformsAgree(t *testing.T) {
	for _, n := range []int{64, 90, 97, 4096} {
		x := white(n, uint64(n))
		want := fft.FFTReal(x)
		for i, c := range fourier.NewFFT(n).Coefficients(nil, x) {
			require.InDelta(t, real(want[i]), real(c), 1e-9)
			require.InDelta(t, imag(want[i]), imag(c), 1e-9)
		}
	}
}
