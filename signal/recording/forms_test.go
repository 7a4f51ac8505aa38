package recording_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// channelsOf reads a track to its end and returns its samples.
func channelsOf(t *testing.T, k *recording.Track) (out [6][]float64) {
	_, err := k.Read(nil, func(b *recording.Block) error {
		for c, v := range slices.Concat(b.Acc[:], b.Gyr[:]) {
			out[c] = append(out[c], v...)
		}
		return nil
	})
	require.NoError(t, err)
	return out
}

func TestFormsThatKeepTheDigitsReadToTheSameNumbers(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	plain, err := recording.Open(t.Context(), dialects.Dialect{}.Sources(left, right), recording.Options{})
	require.NoError(t, err)
	for _, d := range dialects.Forms() {
		t.Run(d.Name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
			require.NoError(t, err)
			require.Len(t, set.Tracks, 2)
			for i, k := range set.Tracks {
				require.Equal(t, plain.Tracks[i].Rate, k.Rate)
				want := channelsOf(t, plain.Tracks[i])
				if d.NoGyro {
					want[3], want[4], want[5] = nil, nil, nil
				}
				got := channelsOf(t, k)
				require.Len(t, got[0], len(want[0]))
				for c := range want {
					require.True(t, slices.Equal(want[c], got[c]), "channel %d", c)
				}
			}
		})
	}
}

// refusals are files that must not be read, with what is said and what to type.
type refusal struct{ name, data, want, hint string }

func requireRefused(t *testing.T, c refusal) {
	t.Helper()
	_, _, _, err := readAll(t, c.data, recording.Options{})
	require.EqualError(t, err, c.want, c.name)
	var e *recording.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, c.hint, e.Hint, c.name)
}

// text writes the left foot of a dialect.
func text(t *testing.T, d dialects.Dialect) string {
	return strings.Join(linesOf(t, dialects.Swinging(200, 14, 0), d), "\n") + "\n"
}

func TestNotesUnderTheHeadingDoNotHideItsUnits(t *testing.T) {
	bare := dialects.Dialect{TimeHead: []string{"time"}, AccHead: func(a string) string { return "a" + a }, GyrHead: func(a string) string { return "g" + a }}
	odd := bare
	odd.Notes = [][]string{strings.Split("s,in/s2,in/s2,in/s2,cdps,cdps,cdps", ","), strings.Split("a,b,c,d,e,f,g", ",")}
	requireRefused(t, refusal{"units that are not known", text(t, odd), `left_foot.csv:1: column "ax": states the unit "in/s2", which is not known`,
		"write one of m/s2, g and mg, or rad/s, deg/s and mdeg/s, with the size of one count with --columns; setdown inspect left_foot.csv --save writes a file to edit"})
	wrong := bare
	wrong.Notes = [][]string{strings.Split("elapsed,forward (g),left (g),up (g),about x,about y,about z", ",")}
	requireRefused(t, refusal{"a unit in a note that the values contradict", text(t, wrong),
		`left_foot.csv:1: column "ax": states g, but reads 9.811 g when stillest where gravity alone is 1 g`,
		"the values look like m/s2; correct the heading or state the unit with --columns"})
	sides := bare
	sides.FileName = func(string) string { return "run.csv" }
	sides.Notes = [][]string{strings.Split(",right foot,right foot,right foot,right foot,right foot,right foot", ",")}
	s := dialects.Swinging(200, 14, 0)
	set, err := recording.Open(t.Context(), sides.Sources(s, s)[:1], recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Right, set.Tracks[0].Side, "a row of sides is no note")
}

// timed writes the left foot with other time columns: heads and cells are joined by
// commas.
func timed(t *testing.T, heads string, cells func(i int, t float64) string) string {
	d := dialects.Dialect{TimeHead: strings.Split(heads, ","), Time: func(i int, t float64) []string { return strings.Split(cells(i, t), ",") }}
	return text(t, d)
}

func TestTimeInPartsThatDoNotFitIsRefused(t *testing.T) {
	column := "a time in parts needs minutes and seconds, with a date (year in four digits, month, day) hours too; each a whole number in its range, the last with decimals; else give the rate with --rate HZ"
	for _, c := range []refusal{
		{"month 13", timed(t, "year,month,day,hour,minute,second", func(_ int, t float64) string { return fmt.Sprintf("2024,13,9,8,30,%.3f", t) }),
			`left_foot.csv:1: the columns year, month, day, hour, minute, second make no time together`, column},
		{"a year of two digits", timed(t, "year,month,day,hour,minute,second", func(_ int, t float64) string { return fmt.Sprintf("24,3,9,8,30,%.3f", t) }),
			`left_foot.csv:1: the columns year, month, day, hour, minute, second make no time together`, column},
		{"no minutes", timed(t, "year,month,day,hour,second", func(_ int, t float64) string { return fmt.Sprintf("2024,3,9,8,%.3f", t) }),
			`left_foot.csv:1: the columns year, month, day, hour, second make no time together`, column},
		{"a date, but no hours", timed(t, "year,month,day,minute,second", func(_ int, t float64) string { return fmt.Sprintf("2024,3,9,30,%.3f", t) }),
			`left_foot.csv:1: the columns year, month, day, minute, second make no time together`, column},
		{"milliseconds twice", timed(t, "hour,minute,second,millisecond", func(i int, t float64) string { return fmt.Sprintf("8,30,%.3f,%d", t, i*5%1000) }),
			`left_foot.csv:1: the columns hour, minute, second, millisecond make no time together`, column},
		{"seconds that run on", timed(t, "minutes,seconds", func(_ int, t float64) string { return fmt.Sprintf("%d,%.3f", int((t+52)/60), t+52) }),
			`left_foot.csv:1802: column "seconds": "61.000" is not a time with the columns beside it`, "correct or delete line 1802, or say with --columns which columns hold what"},
		{"digits whose first zero is lost", timed(t, "date,time", func(_ int, t float64) string { return fmt.Sprintf("20240309,%.3f", 83000+t) }),
			`left_foot.csv:1: column "time": may be a time of day in digits (hours, minutes, seconds) or seconds`, "call the column time_hhmmss or time_s"},
	} {
		requireRefused(t, c)
	}
}

func TestTimeInPartsStartsAtItsInstant(t *testing.T) {
	for heads, layout := range map[string]string{
		"year,month,day,hour,minute,second": "2006,1,2,15,4,5.000", "date,hh,mm,ss": "02.01.2006,15,04,05.000", "Datum,time": "20060102,150405.000",
		"year,month,day,time": "2006,1,2,15:04:05.000",
	} {
		data := timed(t, heads, func(_ int, t float64) string {
			return time.Date(2024, 3, 9, 8, 30, 0, 250e6, time.UTC).Add(time.Duration(math.Round(t * 1e9))).Format(layout)
		})
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err, heads)
		require.Equal(t, "2024-03-09T08:30:00.25Z", set.Start.UTC().Format(time.RFC3339Nano), heads)
		require.Equal(t, recording.ClockAbsolute, set.Tracks[0].Clock, heads)
	}
}

func TestWholeSecondsWithRowsLostAreMarkedAndTheRestStaysInTime(t *testing.T) {
	s := dialects.Swinging(200, 30, 0)
	d := dialects.Dialect{TimeHead: []string{"unix"}, Time: func(_ int, t float64) []string { return []string{fmt.Sprint(1709973000 + int(t+1e-9))} }}
	whole := linesOf(t, s, d)
	for name, c := range map[string]struct {
		lines []string
		want  string
	}{
		"rows lost":   {cut(whole, 2+200*12+50, 2+200*12+110), "left_foot.csv:2541 (at 12.000 s): time stamps with fewer or more rows than the others, in which rows were lost or come twice: 1; their samples are marked, steps in them are left out"},
		"a row lost":  {cut(whole, 2+200*12+50, 2+200*12+51), ""},
		"rows double": {slices.Concat(whole[:2500], whole[2480:]), "left_foot.csv:2621 (at 12.000 s): time stamps with fewer or more rows than the others, in which rows were lost or come twice: 1; their samples are marked, steps in them are left out"},
	} {
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(strings.Join(c.lines, "\n")+"\n"), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err)
		k := set.Tracks[0]
		require.Equal(t, 200.0, k.Rate)
		void := 0
		_, err = k.Read(&set.Remarks, func(b *recording.Block) error {
			for i, v := range b.Void {
				at := b.Start + float64(b.First+i)/k.Rate
				if v != 0 {
					void++
					require.True(t, at > 11.9 && at < 13.1, "%s: marked at %.3f s", name, at)
					continue
				}
				j := int(math.Round(at * 200))
				if c.want != "" {
					near(t, s.Gyr[1][j], b.Gyr[1][i], name, 1, at)
				} else if j > 0 && j+1 < s.Len() { // within a row, which is what whole seconds tell
					around := s.Gyr[1][j-1 : j+2]
					require.True(t, b.Gyr[1][i] > slices.Min(around)-corpusFloor && b.Gyr[1][i] < slices.Max(around)+corpusFloor, "%s at %.3f s", name, at)
				}
			}
			return nil
		})
		require.NoError(t, err)
		got := ""
		for _, r := range set.Remarks.Sorted() {
			if r.Code == "stamp-rows" {
				got = r.String()
			}
		}
		require.Equal(t, c.want, got, name)
		require.Equal(t, c.want != "", void > 150, "%s: %d marked", name, void)
	}
}
