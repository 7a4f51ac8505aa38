package recording_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// At 200 Hz a hole of some ms lacks a fifth of that many rows. Holes up to 150 ms
// are filled and marked; longer ones part the recording.
func TestGapsFrom20MillisecondsTo60SecondsAreNamedByLength(t *testing.T) {
	l := lines(t)
	for _, c := range []struct {
		ms    float64
		code  string
		spans int
		want  string
	}{
		{20, "hole", 1, "left_foot.csv:500 (at 2.485 s): holes of at most 20 ms, filled and marked: 1"},
		{25, "hole-long", 1, "left_foot.csv:500 (at 2.485 s): holes of 20 to 150 ms, filled and marked; what they hide is withheld: 1"},
		{50, "hole-long", 1, "left_foot.csv:500 (at 2.485 s): holes of 20 to 150 ms, filled and marked; what they hide is withheld: 1"},
		{100, "hole-long", 1, "left_foot.csv:500 (at 2.485 s): holes of 20 to 150 ms, filled and marked; what they hide is withheld: 1"},
		{150, "hole-long", 1, "left_foot.csv:500 (at 2.485 s): holes of 20 to 150 ms, filled and marked; what they hide is withheld: 1"},
		{155, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{200, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{500, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{1000, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{5000, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{10000, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{30000, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
		{60000, "gap", 2, "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them"},
	} {
		t.Run(fmt.Sprintf("%g ms", c.ms), func(t *testing.T) {
			data := strings.Join(shifted(l, 500, 9999, c.ms/1000), "\n") + "\n"
			rs, sum, void, err := readAll(t, data, recording.Options{})
			require.NoError(t, err)
			require.Equal(t, c.want, rs[c.code].String())
			require.Equal(t, c.spans, sum.Spans)
			filled := 0
			for _, v := range void {
				if v != 0 {
					filled++
				}
			}
			if c.spans == 2 {
				require.Zero(t, filled)
				require.InDelta(t, c.ms/1000, sum.GapSeconds, 1e-6)
				return
			}
			require.Equal(t, int(math.Round(c.ms/5)), filled, "every filled sample is marked, and no other")
		})
	}
}

func TestFeetWhoseClocksDriftApartAreRemarked(t *testing.T) {
	stretched := func(ppm float64) dialects.Dialect {
		return dialects.Dialect{Time: func(_ int, t float64) []string { return []string{fmt.Sprintf("%.6f", t*(1+ppm*1e-6))} }}
	}
	for _, c := range []struct {
		ppm  float64
		want string
	}{
		{0, ""},
		{10, ""}, // any two quartz clocks differ by that much
		{100, "right_foot.csv: its time runs 100 ppm apart from that of left_foot.csv, 60 ms in 10 min; each follows its own stamps, so left-right timing is right only if one clock stamped both"},
		{-300, "right_foot.csv: its time runs 300 ppm apart from that of left_foot.csv, 180 ms in 10 min; each follows its own stamps, so left-right timing is right only if one clock stamped both"},
	} {
		left, right := dialects.Swinging(200, 60, 0), dialects.Swinging(200, 60, 0.5)
		sources := append(dialects.Dialect{}.Sources(left, left)[:1], stretched(c.ppm).Sources(right, right)[1])
		set, err := recording.Open(t.Context(), sources, recording.Options{})
		require.NoError(t, err)
		got := ""
		for _, r := range set.Remarks.Sorted() {
			if r.Code == "clock-drift" {
				got = r.String()
			}
		}
		require.Equal(t, c.want, got, "%g ppm", c.ppm)
	}
}

func TestEveryUsualRangeThatClipsGetsAdviceThatCanBeFollowed(t *testing.T) {
	const g, deg = 9.80665, math.Pi / 180
	for full, advice := range map[float64]string{
		2: "the accelerometer clips at 2 g; choose 16 g or more", 4: "the accelerometer clips at 4 g; choose 16 g or more", 8: "the accelerometer clips at 8 g; choose 16 g or more",
		16: "the accelerometer clips at 16 g; choose a range above 16 g if the sensor has one, or fasten it where it is hit less hard, over the laces",
	} {
		s := loud(full*g*1.3, 0)
		clip(s.Acc[:], full*g)
		requireClipped(t, s, "clipped-acc", `^left_foot\.csv:\d+ \(at [\d.]+ s\): samples at the end of the accelerometer's range: \d+; their true peaks are larger, the measures that need them are left out$`, advice)
	}
	for full, advice := range map[float64]string{
		250: "the gyroscope clips at 250 deg/s; choose 1000 deg/s or more", 500: "the gyroscope clips at 500 deg/s; choose 1000 deg/s or more",
		1000: "the gyroscope clips at 1000 deg/s; choose 2000 deg/s or more",
		2000: "the gyroscope clips at 2000 deg/s; choose a range above 2000 deg/s if the sensor has one, or fasten it where it is hit less hard, over the laces",
	} {
		s := loud(0, full*deg*1.4)
		clip(s.Gyr[:], full*deg)
		requireClipped(t, s, "clipped-gyr", `^left_foot\.csv:\d+ \(at [\d.]+ s\): samples at the end of the gyroscope's range: \d+; their true peaks are larger, the measures that need them are left out$`, advice)
	}
}

func requireClipped(t *testing.T, s dialects.Samples, code, text, advice string) {
	t.Helper()
	data := strings.Join(linesOf(t, s, dialects.Dialect{}), "\n")
	in, err := recording.Inspect(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	i := slices.IndexFunc(in.Remarks.Sorted(), func(r remark.Remark) bool { return r.Code == code })
	require.GreaterOrEqual(t, i, 0)
	require.Regexp(t, text, in.Remarks.Sorted()[i].String())
	require.Contains(t, in.Files[0].Tracks[0].Advice, recording.Advice{Rule: "Range", Text: advice})
}

func TestTimeThatRunsBackwardsIsRefused(t *testing.T) {
	l := lines(t)
	turned := slices.Clone(l)
	slices.Reverse(turned[1:])
	_, _, _, err := readAll(t, strings.Join(turned, "\n")+"\n", recording.Options{})
	require.EqualError(t, err, `left_foot.csv:2: column "time_s": the time runs backwards`)
}

func TestSlowRatesGiveTheStepRateAndSayWhatTheOthersNeed(t *testing.T) {
	for _, rate := range []float64{25, 30, 40, 50, 60} {
		data := strings.Join(linesOf(t, dialects.Swinging(rate, 40, 0), dialects.Dialect{}), "\n")
		in, err := recording.Inspect(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err)
		at := fmt.Sprintf("sampled at %g Hz; needs ", rate)
		require.Equal(t, []recording.Use{
			{What: "step rate", Possible: true, NeedsRate: 15}, {What: "contact times", NeedsRate: 80, Because: at + "80 Hz"},
			{What: "lowering", NeedsRate: 100, Because: at + "100 Hz"}, {What: "contact peaks", NeedsRate: 200, Because: at + "200 Hz"},
		}, in.Files[0].Tracks[0].Uses)
	}
}

func TestDatesOfBothOrdersAreReadOrDoubted(t *testing.T) {
	doubt := func(how string) string {
		return "left_foot.csv:2: the date may be read day first or month first; " + how
	}
	for _, c := range []struct{ first, second, start, want string }{
		{"11/25/2026 07:15:03.250 PM", "11/25/2026 07:15:03.255 PM", "2026-11-25T19:15:03.25Z", ""},
		{"25/11/2026 07:15:03.250 PM", "25/11/2026 07:15:03.255 PM", "2026-11-25T19:15:03.25Z", ""},
		{"11/25/2026 12:00:03.250 AM", "11/25/2026 12:00:03.255 AM", "2026-11-25T00:00:03.25Z", ""},
		{"11/25/2026 12:00:03.250 PM", "11/25/2026 12:00:03.255 PM", "2026-11-25T12:00:03.25Z", ""},
		{"25/11/2026 19:15:03.250", "25/11/2026 19:15:03.255", "2026-11-25T19:15:03.25Z", ""},
		{"25.11.2026 19:15:03,250", "25.11.2026 19:15:03,255", "2026-11-25T19:15:03.25Z", ""},
		{"03.04.2026 19:15:03,250", "03.04.2026 19:15:03,255", "2026-04-03T19:15:03.25Z", ""},
		{"03/04/2026 19:15:03.250", "03/04/2026 19:15:03.255", "2026-04-03T19:15:03.25Z", doubt("it was read day first")},
		{"03-04-2026 19:15:03.250", "03-04-2026 19:15:03.255", "2026-04-03T19:15:03.25Z", doubt("it was read day first")},
		{"03/04/2026 07:15:03.250 PM", "03/04/2026 07:15:03.255 PM", "2026-03-04T19:15:03.25Z", doubt("it was read month first, as is usual with AM and PM")},
		{"2026-11-25T19:15:03.250+02:00", "2026-11-25T19:15:03.255+02:00", "2026-11-25T17:15:03.25Z", ""},
		{"2026-11-25 19:15:03.250 UTC+01:00", "2026-11-25 19:15:03.255 UTC+01:00", "2026-11-25T18:15:03.25Z", ""},
		{"9 mars 2026 19:15:03.250", "9 mars 2026 19:15:03.255", "2026-03-09T19:15:03.25Z", ""},
		{"9. Dezember 2026 19:15:03.250", "9. Dezember 2026 19:15:03.255", "2026-12-09T19:15:03.25Z", ""},
		{"9 de mayo de 2026 19:15:03.250", "9 de mayo de 2026 19:15:03.255", "2026-05-09T19:15:03.25Z", ""},
		{"9 giu 2026 19:15:03.250", "9 giu 2026 19:15:03.255", "2026-06-09T19:15:03.25Z", ""},
		{"9 juli 2026 19:15:03.250", "9 juli 2026 19:15:03.255", "2026-07-09T19:15:03.25Z", ""},
		{"9 juillet 2026 19:15:03.250", "9 juillet 2026 19:15:03.255", "2026-07-09T19:15:03.25Z", ""},
	} {
		var b strings.Builder
		b.WriteString("timestamp;ax;ay;az\n")
		for i := range 400 {
			stamp := c.first
			if i > 0 {
				stamp = strings.NewReplacer("03.250", fmt.Sprintf("%06.3f", 3.25+0.005*float64(i)), "03,250", strings.Replace(fmt.Sprintf("%06.3f", 3.25+0.005*float64(i)), ".", ",", 1)).Replace(c.first)
			}
			if i == 1 {
				require.Equal(t, c.second, stamp)
			}
			fmt.Fprintf(&b, "%s;0.1;0.2;9.8\n", stamp)
		}
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(b.String()), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err, c.first)
		require.Equal(t, c.start, set.Start.UTC().Format("2006-01-02T15:04:05.999Z07:00"), c.first)
		require.Equal(t, 200.0, set.Tracks[0].Rate)
		got := ""
		for _, r := range set.Remarks.Sorted() {
			if r.Code == "date-order" {
				got = r.String()
			}
		}
		require.Equal(t, c.want, got, c.first)
	}
}
