package recording_test

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// sine writes a file whose channels are sines of time, sampled at the times at
// and stamped with the text of stamp.
func sine(at []float64, stamp func(t float64) string) string {
	var b strings.Builder
	b.WriteString("time_s,ax,ay,az,gx,gy,gz\n")
	for _, t := range at {
		fmt.Fprintf(&b, "%s,%.6f,0,9.8,%.6f,0,0\n", stamp(t), 3*wave(t), 4*wave(t))
	}
	return b.String()
}

// wave is a sine of 3 Hz.
func wave(t float64) float64 { return math.Sin(2 * math.Pi * 3 * t) }

func evenly(rate float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) / rate
	}
	return out
}

// worst reads a file of sine and returns the largest error of the angular rate
// as a time error, s: error over the steepest slope.
func worst(t *testing.T, data string) (float64, *recording.Track) {
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("foot.csv", []byte(data), recording.Left)}, recording.Options{})
	require.NoError(t, err)
	k := set.Tracks[0]
	samples, err := samplesOf(k)
	require.NoError(t, err)
	largest := 0.0
	for _, s := range samples {
		largest = max(largest, math.Abs(s.v[3]-4*wave(s.t))/(4*2*math.Pi*3))
	}
	return largest, k
}

func TestTimeAxisIsTrueWhateverTheStamps(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	micro := func(t float64) string { return fmt.Sprintf("%.6f", t) }
	jitter := evenly(200, 6000)
	for i := range jitter {
		jitter[i] += r.NormFloat64() * 0.0004
	}
	drift := evenly(200, 6000)
	for i, x := range drift {
		drift[i] = x + 2e-6*x*x // the clock's rate changes by 120 ppm
	}
	for _, c := range []struct {
		name  string
		data  string
		rate  float64
		limit float64 // s
	}{
		{"even", sine(evenly(200, 4000), micro), 200, 1e-6},
		{"128 Hz in whole ms", sine(evenly(128, 4000), func(t float64) string { return fmt.Sprintf("%.3f", t) }), 128, 5e-5},
		{"104 Hz in hundredths", sine(evenly(104, 4000), func(t float64) string { return fmt.Sprintf("%.2f", t) }), 104, 3e-4},
		{"200 Hz in tenths of s", sine(evenly(200, 6000), func(t float64) string { return fmt.Sprintf("%.1f", math.Floor(t*10)/10) }), 200, 1e-3},
		{"a crystal 300 ppm fast", sine(scaled(evenly(200, 4000), 1/1.0003), micro), 200.06, 2e-5},
		{"a clock whose rate changes", sine(drift, micro), 199.99, 2e-5},
		{"jitter of the sampling", sine(jitter, micro), 200, 2e-5},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, k := worst(t, c.data)
			require.InDelta(t, c.rate, k.Rate, 0.02)
			require.LessOrEqual(t, got, c.limit)
		})
	}
}

func scaled(v []float64, by float64) []float64 {
	for i := range v {
		v[i] *= by
	}
	return v
}

func TestSamplesDoNotDependOnHowTheFileIsCut(t *testing.T) {
	s := dialects.Swinging(200, 40, 0)
	l := cut(cut(linesOf(t, s, dialects.Dialect{}), 3000, 3020), 5000, 5300)
	data := strings.Join(l, "\r\n")
	whole := recording.Bytes("foot.csv", []byte(data), recording.Left)
	byByte := whole
	byByte.Open = func() (io.ReadCloser, error) {
		r, err := whole.Open()
		return io.NopCloser(iotest.OneByteReader(r)), err
	}
	var got [2][]grid
	for i, src := range []recording.Source{whole, byByte} {
		set, err := recording.Open(t.Context(), []recording.Source{src}, recording.Options{})
		require.NoError(t, err)
		got[i], err = samplesOf(set.Tracks[0])
		require.NoError(t, err)
	}
	require.True(t, slices.Equal(got[0], got[1]))
}

func TestSeparateClocksAreJoinedOrSaidToBeApart(t *testing.T) {
	s, r := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for name, c := range map[string]struct {
		d    dialects.Dialect
		same bool
		code string
	}{
		"begin together": {dialects.Dialect{}, true, "clock-joined"},
		"absolute":       {dialects.Dialect{TimeHead: []string{"unix_ms"}, Time: func(_ int, t float64) []string { return []string{fmtInt(1.7e12 + t*1000)} }}, true, ""},
		"wide":           {dialects.Dialect{Shape: dialects.Wide}, true, ""},
	} {
		set, err := recording.Open(t.Context(), c.d.Sources(s, r), recording.Options{})
		require.NoError(t, err, name)
		require.Equal(t, c.same, set.Tracks[0].Clock == set.Tracks[1].Clock, name)
		if c.code != "" {
			require.Equal(t, c.code, set.Remarks.Sorted()[0].Code, name)
		}
	}
	left := dialects.Dialect{}.Sources(s, r)[0]
	right := dialects.Dialect{Begin: 500}.Sources(s, r)[1]
	set, err := recording.Open(t.Context(), []recording.Source{left, right}, recording.Options{})
	require.NoError(t, err)
	require.NotEqual(t, set.Tracks[0].Clock, set.Tracks[1].Clock)
	require.Equal(t, "sensors whose clocks are not joined give no left-right timing", set.Remarks.Sorted()[0].Text)
}

func TestAbsoluteTimesCountFromTheEarliestSample(t *testing.T) {
	s := dialects.Swinging(200, 6, 0)
	stamp := func(shift float64) dialects.Dialect {
		return dialects.Dialect{TimeHead: []string{"unix_ms"}, Time: func(_ int, t float64) []string { return []string{fmtInt(1.7e12 + (t+shift)*1000)} }}
	}
	set, err := recording.Open(t.Context(), []recording.Source{stamp(2.5).Sources(s, s)[0], stamp(0).Sources(s, dialects.Swinging(200, 6, 0.3))[1]}, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, "2023-11-14T22:13:20Z", set.Start.Format("2006-01-02T15:04:05.999Z07:00"))
	for i, want := range []float64{2.5, 0} {
		sum, err := set.Tracks[i].Read(nil, func(*recording.Block) error { return nil })
		require.NoError(t, err)
		require.InDelta(t, want, sum.Begin, 1e-9)
	}
}
