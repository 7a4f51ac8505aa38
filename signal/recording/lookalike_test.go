package recording_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// besides adds columns behind the others; cells makes those of the sample at t s.
func besides(heads string, cells string) dialects.Dialect {
	return dialects.Dialect{TailHead: strings.Split(heads, ","), Tail: strings.Split(cells, ",")}
}

// inHead puts time columns of sample i at t s before the channels.
func inHead(heads string, cells func(i int, t float64) string) dialects.Dialect {
	return dialects.Dialect{TimeHead: strings.Split(heads, ","), Time: func(i int, t float64) []string { return strings.Split(cells(i, t), ",") }}
}

// Names and lines that resemble a form which is read in another way must change
// nothing of a file that is plain without it.
func TestWhatOnlyLooksLikeAnotherFormIsReadAsItStands(t *testing.T) {
	ms := inHead("time", func(_ int, t float64) string { return fmt.Sprintf("%.0f", 1000*t) })
	ms.Preamble = []string{"# clock rate: 200 Hz"}
	for name, d := range map[string]dialects.Dialect{
		"a vertical acceleration computed besides":   besides("vertical_acc", "0.3"),
		"a vertical acceleration with a unit":        besides("Vertical Acceleration (m/s2)", "0.3"),
		"the sampling rate called that of the clock": ms,
		"one time in s, ms and us": inHead("s,ms,us", func(_ int, t float64) string {
			return fmt.Sprintf("%.3f,%.0f,%.0f", t, 1000*t, 1e6*t)
		}),
		"one time in hours, minutes and seconds": inHead("hours,minutes,seconds", func(_ int, t float64) string {
			return fmt.Sprintf("%.9f,%.7f,%.3f", t/3600, t/60, t)
		}),
		"the least of a value besides": {TimeHead: []string{"Seconds"}, TailHead: []string{"min", "max"}, Tail: []string{"0", "1"}},
		"a height and a depth besides": {TimeHead: []string{"sec"}, TailHead: []string{"h", "d"}, Tail: []string{"0", "1"}},
		"minutes and seconds beside a heart rate": inHead("minutes,seconds,hr", func(_ int, t float64) string {
			return fmt.Sprintf("%d,%.3f,72", int(t/60), t)
		}),
	} {
		t.Run(name, func(t *testing.T) {
			want, _ := readLines(t, lines(t), recording.Options{})
			got, k := readLines(t, linesOf(t, dialects.Swinging(200, 8, 0), d), recording.Options{})
			require.InDelta(t, 200, k.Rate, 1e-9)
			require.Equal(t, want.acc, got.acc)
			require.Equal(t, want.gyr, got.gyr)
		})
	}
}

// Added up, times since the start make a recording of hours.
func TestTimesSinceTheStartAreNotAddedUp(t *testing.T) {
	for _, head := range []string{"delta_t", "interval", "dt"} {
		data := text(t, inHead(head, func(_ int, t float64) string { return fmt.Sprintf("%.3f", t) }))
		_, _, _, err := readAll(t, data, recording.Options{})
		require.ErrorContains(t, err, "no time column and no sampling rate", head)
	}
}

// A foot that runs for most of a recording reads several g in the median without
// gravity, too; where it stands, it reads 0.
func TestARunWithoutGravityIsRefused(t *testing.T) {
	s := dialects.Swinging(200, 30, 0)
	for i := range s.Acc[0] {
		for c := range 3 {
			s.Acc[c][i] = 15 * math.Sin(float64(i*(c+2))/20)
			if i < 800 {
				s.Acc[c][i] /= 1000
			}
		}
	}
	for _, head := range []string{"acc_", "acceleration (m/s2) "} {
		d := dialects.Dialect{AccHead: func(axis string) string { return head + axis }}
		_, _, _, err := readAll(t, strings.Join(linesOf(t, s, d), "\n"), recording.Options{})
		require.ErrorContains(t, err, "the acceleration reads nearly 0 for more than 1 s")
	}
}

// Where gravity was taken out, coarse steps read 0 at rest; left out, the rest no longer
// tells that there is no gravity in it.
func TestZerosThatAreMeasuredAtRestStay(t *testing.T) {
	s := dialects.Swinging(200, 30, 0)
	for i := range s.Acc[0] {
		for c := range 3 {
			shake := float64((i*(7+c)/3)%5-2) / 50 // m/s²: over a step now and then
			if i >= 4400 {
				shake *= 100
			}
			s.Acc[c][i], s.Gyr[c][i] = shake, shake/40
		}
	}
	data := strings.Join(linesOf(t, s, dialects.Dialect{Digits: 1}), "\n")
	_, _, _, err := readAll(t, data, recording.Options{})
	require.ErrorContains(t, err, "reads 0 when stillest")
}
