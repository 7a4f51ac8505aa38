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
	return text(t, inHead(heads, cells))
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
		{"an hour of 24 with PM", timed(t, "date,hour,minute,second,half", func(_ int, t float64) string { return fmt.Sprintf("2024-03-09,15,30,%.3f,PM", t) }),
			`left_foot.csv:1: the columns hour, minute, second make no time together`, column},
		{"digits whose first zero is lost", timed(t, "date,time", func(_ int, t float64) string { return fmt.Sprintf("20240309,%.3f", 83000+t) }),
			`left_foot.csv:1: column "time": may be a time of day in digits (hours, minutes, seconds) or seconds`, "call the column time_hhmmss or time_s"},
	} {
		requireRefused(t, c)
	}
}

func TestSecondsAndMicrosecondsBesideADayAreStillRead(t *testing.T) {
	set, _ := open(t, timed(t, "day,sec,usec", func(_ int, t float64) string { return fmt.Sprintf("9,%d,%.0f", int(t+1e-9), 1e6*math.Mod(t+1e-9, 1)) }))
	require.Equal(t, 200.0, set.Tracks[0].Rate)
}

func TestTimeInPartsStartsAtItsInstant(t *testing.T) {
	for heads, layout := range map[string]string{
		"year,month,day,hour,minute,second": "2006,1,2,15,4,5.000", "date,hh,mm,ss": "02.01.2006,15,04,05.000", "Datum,time": "20060102,150405.000",
		"year,month,day,time": "2006,1,2,15:04:05.000", "date,hour,minute,second,half": "2006-01-02,3,04,05.000,PM",
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
		"rows lost":   {cut(whole, 2+200*12+50, 2+200*12+110), "left_foot.csv:2541 (at 12.000 s): time stamps with fewer or more rows than the others, in which rows were lost or come twice: 1; their samples are marked, what they hide is withheld"},
		"a row lost":  {cut(whole, 2+200*12+50, 2+200*12+51), ""},
		"rows double": {slices.Concat(whole[:2500], whole[2480:]), "left_foot.csv:2621 (at 12.000 s): time stamps with fewer or more rows than the others, in which rows were lost or come twice: 1; their samples are marked, what they hide is withheld"},
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

// open opens one file and returns the remarks by code.
func open(t *testing.T, data string) (*recording.Set, map[string]string) {
	t.Helper()
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	got := map[string]string{}
	for _, r := range set.Remarks.Sorted() {
		got[r.Code] = r.String()
	}
	return set, got
}

// The moment of day 45360.354 is 2024-03-09 at 8:30 less 14.4 s; 25569 days lie between
// 1899-12-30 and 1970, and 719529 between the year 0 and 1970 (days counted by package time).
func TestDaysAreReadByTheCenturyAndTheStepAlone(t *testing.T) {
	day := func(zero float64, digits int) func(int, float64) string {
		return func(_ int, t float64) string { return fmt.Sprintf("%.*f", digits, 19791.354+zero+t/86400) }
	}
	for zero, since := range map[float64]string{25569: "1899-12-30", 719529: "the year 0"} {
		set, got := open(t, timed(t, "when", day(zero, 9)))
		require.Equal(t, "2024-03-09T08:29:45.6Z", set.Start.UTC().Round(time.Millisecond).Format(time.RFC3339Nano))
		require.InDelta(t, 200, set.Tracks[0].Rate, 1e-3)
		require.Regexp(t, `^left_foot.csv:1: the time column "when" states no unit; it was read as days since `+since+`, which gives (199|200)(\.\d)? Hz$`, got["time-unit"])
	}
	set, got := open(t, timed(t, "date", day(25569, 5)))
	require.Equal(t, "left_foot.csv:2: several samples share one time stamp; they were spread evenly at 200 Hz", got["time-packets"])
	require.Equal(t, 200.0, set.Tracks[0].Rate)
	for _, c := range []refusal{
		{"the fraction of a day alone", timed(t, "time", func(_ int, t float64) string { return fmt.Sprintf("%.11f", 0.354+t/86400) }),
			`left_foot.csv:1: column "time": its step of 5.787e-08 is no sampling interval in s, ms, us or ns`, "raw motion is read at 4 to 4000 Hz; state the unit with --columns"},
		{"days of the last century", timed(t, "time", func(_ int, t float64) string { return fmt.Sprintf("%.11f", 12345.354+t/86400) }),
			`left_foot.csv:1: column "time": its step of 5.78693e-08 is no sampling interval in s, ms, us or ns`, "raw motion is read at 4 to 4000 Hz; state the unit with --columns"},
		{"a step that is none in days", timed(t, "when", func(_ int, t float64) string { return fmt.Sprintf("%.6f", 45360+t) }),
			"left_foot.csv:1: no time column and no sampling rate", "give the rate with --rate HZ, or say with --columns which column holds the time"},
	} {
		requireRefused(t, c)
	}
}

func TestDifferencesSayHowFarTheyCanBeTrusted(t *testing.T) {
	five := func(int, float64) string { return "5" }
	_, got := open(t, timed(t, "interval_ms", five))
	require.Equal(t, `left_foot.csv:1: the time was added up from column "interval_ms", the time since the row before, which is written to 1 ms: all times may be off by up to 10 % of themselves`, got["time-steps"])
	_, got = open(t, timed(t, "time_s,dt_s", func(_ int, t float64) string { return fmt.Sprintf("%.3f,0.005", t) }))
	require.NotContains(t, got, "time-steps", "a time of its own is the better one")

	gap := timed(t, "dt_ms", func(i int, _ float64) string { return map[bool]string{true: "1000.0", false: "5.0"}[i == 1200] })
	rs, sum, _, err := readAll(t, gap, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, "left_foot.csv:1202 (at 5.995 s): gaps without samples: 1; nothing is computed across them", rs["gap"].String())
	require.InDelta(t, 13.995+0.995, sum.Duration(), 1e-9)

	l := strings.Split(timed(t, "dt_ms", five), "\n")
	cells := strings.SplitN(l[900], ",", 2)
	lost := func(line int) string {
		return fmt.Sprintf("complete line %d, or delete it and all behind it; or count the rows with --rate HZ, leaving this column out with --columns", line)
	}
	with := func(line string) string { return strings.Join(slices.Concat(l[:900], []string{line}, l[901:]), "\n") }
	for _, c := range []refusal{
		{"an empty cell", with("," + cells[1]), `left_foot.csv:901: column "dt_ms": the time since the row before is missing here, so that no row behind it can be placed`, lost(901)},
		{"a line cut in the middle", with("5,0.1"), `left_foot.csv:901: column "dt_ms": the time since the row before is missing here, so that no row behind it can be placed`, lost(901)},
		{"steps that are none", timed(t, "dt_s", func(int, float64) string { return "3.2" }), `left_foot.csv:1: column "dt_s": its usual 3.2 s is no sampling interval`,
			"raw motion is read at 4 to 4000 Hz; state the unit with --columns, or give --rate HZ"},
		{"between beats of the heart", timed(t, "rr_interval_ms", func(int, float64) string { return "200" }), "left_foot.csv:1: no time column and no sampling rate",
			"give the rate with --rate HZ, or say with --columns which column holds the time"},
	} {
		requireRefused(t, c)
	}
	_, _, _, err = readAll(t, strings.Join(l[:900], "\n")+"\n5,0.1", recording.Options{})
	require.NoError(t, err, "a last line that is cut off costs no time")
}

func TestTicksWhoseClockIsInDoubtAreRefused(t *testing.T) {
	ticks := func(head string, step int, before ...string) string {
		return text(t, dialects.Dialect{TimeHead: []string{head}, Preamble: before, Time: func(i int, _ float64) []string { return []string{fmt.Sprint(i * step)} }})
	}
	for _, c := range []refusal{
		{"no clock", ticks("ticks", 164), `left_foot.csv:1: column "ticks": counts samples, but no sampling rate is stated`, "give the rate with --rate HZ"},
		{"a clock too fast", ticks("ticks_32768Hz", 1), `left_foot.csv:1: column "ticks_32768Hz": advances by 1 a row, which is no sampling interval for a clock of 32768 Hz (3.277e+04 Hz)`,
			"correct the clock's rate, or give the sampling rate with --rate HZ"},
		{"clock and rate that disagree", ticks("ticks", 10, "# clock: 1000 Hz", "# sampling rate: 200 Hz"),
			`left_foot.csv:3: column "ticks": advances by 10 a row: at 1000 Hz of its clock that is 100 Hz, but 200 Hz is stated as the sampling rate`, "correct one of the two, or give the sampling rate with --rate HZ"},
		{"ms or ticks", ticks("timestamp", 164, "clock rate: 32768"), `left_foot.csv:2: column "timestamp": may be in ms or in ticks of the clock that is stated (clock rate: 32768), which gives 199.8 Hz`,
			"call the column ticks_32768Hz or time_ms"},
		{"a counter whose rate may be that of either", ticks("counter (100 Hz)", 10), `left_foot.csv:1: column "counter (100 Hz)": counts samples, but no sampling rate is stated`, "give the rate with --rate HZ"},
		{"the clock of something else", ticks("counter", 1, "# clock: 16 MHz"), `left_foot.csv:2: column "counter": counts samples, but no sampling rate is stated`, "give the rate with --rate HZ"},
	} {
		requireRefused(t, c)
	}
	set, _ := open(t, ticks("timestamp", 5, "clock: 16 MHz"))
	require.Equal(t, 200.0, set.Tracks[0].Rate, "at 16 MHz it would be no sampling rate: ms")
	set, _ = open(t, text(t, dialects.Dialect{TimeHead: []string{"time [s] at 200 Hz"}}))
	require.Equal(t, 200.0, set.Tracks[0].Rate, "a unit that fits is kept")
	set, _ = open(t, ticks("timestamp (100 Hz)", 10))
	require.Equal(t, 100.0, set.Tracks[0].Rate, "the rate of the samples, in ms")
	set, _ = open(t, ticks("sample (200 Hz)", 1))
	require.Equal(t, 200.0, set.Tracks[0].Rate, "the rate of the samples")
	set, _ = open(t, ticks("n", 1, "Timer period: 5 ms"))
	require.Equal(t, 200.0, set.Tracks[0].Rate, "an interval of a timer is one of samples")
}

func TestAxesNamedByAnatomy(t *testing.T) {
	named := func(acc, gyr string, file string) ([]recording.Source, dialects.Dialect) {
		d := dialects.Dialect{AccHead: func(a string) string { return acc + map[string]string{"x": "v", "y": "ml", "z": "ap"}[a] },
			GyrHead: func(a string) string { return gyr + map[string]string{"x": "v", "y": "ml", "z": "ap"}[a] }, FileName: func(string) string { return file }}
		s := dialects.Swinging(200, 14, 0)
		return d.Sources(s, s)[:1], d
	}
	refused := `run.csv:1: the axes are named by anatomy, which does not tell which way each points: forward x, to the left y and up z, as the turning of a foot or shin needs it`
	foot, _ := named("acc_", "gyr_", "run.csv")
	_, err := recording.Open(t.Context(), foot, recording.Options{})
	require.EqualError(t, err, refused)
	m, err := recording.ParseMapping("c.txt", strings.NewReader("time = time_s\nacc_x = acc_v * -1\nacc_y = acc_ml\nacc_z = acc_ap\ngyr_x = gyr_v * -1\ngyr_y = gyr_ml\ngyr_z = gyr_ap\n"))
	require.NoError(t, err)
	set, err := recording.Open(t.Context(), foot, recording.Options{Mapping: m})
	require.NoError(t, err)
	s, got := dialects.Swinging(200, 14, 0), channelsOf(t, set.Tracks[0])
	for c, want := range [][]float64{s.Acc[0], s.Acc[1], s.Acc[2], s.Gyr[0], s.Gyr[1], s.Gyr[2]} {
		sign := map[bool]float64{true: -1, false: 1}[c%3 == 0]
		require.InDelta(t, want[900], sign*got[c][900], 1e-5, "what a mapping turns round")
	}
	note := "back.csv:1: the axes are named by anatomy and were taken as x forward, y to the left and z up; the step rate does not depend on it"
	for _, c := range []struct {
		file string
		opt  recording.Options
	}{{"back.csv", recording.Options{}}, {"wrist.csv", recording.Options{}}, {"run.csv", recording.Options{StepRate: true}}} {
		any, _ := named("acc_", "gyr_", c.file)
		set, err := recording.Open(t.Context(), any, c.opt)
		require.NoError(t, err, c.file)
		require.Contains(t, texts(set), strings.Replace(note, "back.csv", c.file, 1))
		require.Equal(t, "acc_z", set.Tracks[0].Mapping[1].Role, "the vertical is z")
	}
	vertical, _ := open(t, "time_s,cadence (steps/min),vertical speed (m/s),speed (m/s)\n0,170,9,3\n1,171,9,3\n2,170,9,3\n")
	require.Len(t, vertical.Cadences, 1, "a speed is no axis")
	for name, head := range map[string]string{"a sign without the others": "time_s,acc_v", "two of three": "time_s,acc_v,acc_ml", "two for one": "time_s,acc_v,acc_vt,acc_ml"} {
		n := strings.Count(head, ",")
		_, _, _, err := readAll(t, head+"\n"+strings.Repeat("0.0"+strings.Repeat(",1.0", n)+"\n", 5), recording.Options{})
		require.ErrorContains(t, err, "no accelerometer, gyroscope or step rate among the columns", name)
	}
	separate := dialects.Dialect{Shape: dialects.SeparateFiles, AccHead: func(a string) string { return "acc_" + map[string]string{"x": "ap", "y": "ml", "z": "v"}[a] },
		FileName: func(side string) string { return side + ".csv" }}
	_, err = recording.Open(t.Context(), separate.Sources(s, s)[:2], recording.Options{})
	require.ErrorContains(t, err, "the axes are named by anatomy", "one by anatomy, one by letters")
}

// texts are the remarks of opening.
func texts(set *recording.Set) []string {
	var out []string
	for _, r := range set.Remarks.Sorted() {
		out = append(out, r.String())
	}
	return out
}

func TestRowsThatNameTheirValuesInAnotherOrderAreRefused(t *testing.T) {
	l := strings.Split(text(t, dialects.Dialect{Label: "="}), "\n")
	with := func(line string) string { return strings.Join(slices.Concat(l[:700], []string{line}, l[701:]), "\n") }
	cells := strings.Split(l[700], ",")
	swapped := slices.Clone(cells)
	swapped[1], swapped[2] = swapped[2], swapped[1]
	bare := slices.Clone(cells)
	_, bare[4], _ = strings.Cut(bare[4], "=")
	hint := "correct or delete line 701; each row must name the same values in the same order"
	requireRefused(t, refusal{"another order", with(strings.Join(swapped, ",")), `left_foot.csv:701: "` + swapped[1] + `" does not begin with the name "acc_x", as line 1 has it in its place`, hint})
	requireRefused(t, refusal{"no name", with(strings.Join(bare, ",")), `left_foot.csv:701: "` + bare[4] + `" does not begin with the name "gyr_x", as line 1 has it in its place`, hint})
	rs, _, _, err := readAll(t, with(strings.Join(cells[:5], ",")), recording.Options{})
	require.NoError(t, err)
	require.Equal(t, "left_foot.csv:701: lines with too few cells, left out: 1", rs["line-short"].String())
}

func TestFilesOfOneAxisEachSayHowToJoinThem(t *testing.T) {
	s := dialects.Swinging(200, 14, 0)
	file := func(name, head string, v []float64) recording.Source {
		var b strings.Builder
		b.WriteString("time_s," + head + "\n")
		for i, x := range v {
			fmt.Fprintf(&b, "%.3f,%.5f\n", float64(i)/200, x)
		}
		return recording.Bytes(name, []byte(b.String()), recording.SideUnknown)
	}
	for _, c := range []struct {
		files []recording.Source
		want  string
	}{
		{[]recording.Source{file("left_x.csv", "acc_x", s.Acc[0]), file("left_y.csv", "acc_y", s.Acc[1]), file("left_z.csv", "acc_z", s.Acc[2])}, "left_y.csv: holds only y of the accelerometer, and left_x.csv only x"},
		{[]recording.Source{file("left_acc_x.csv", "value", s.Acc[0]), file("left_acc_y.csv", "value", s.Acc[1])}, "left_acc_x.csv:1: holds one axis by its name"},
		{[]recording.Source{file("left_x.csv", "gyr_x", s.Gyr[0]), file("left_y.csv", "gyr_y", s.Gyr[1])}, "left_x.csv:1: the gyroscope has no gyr_y and gyr_z"},
	} {
		_, err := recording.Open(t.Context(), c.files, recording.Options{})
		require.EqualError(t, err, c.want)
		var e *recording.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, "files of one axis each are not joined, since nothing tells that their rows belong together: copy their columns side by side into one table, with a heading like time_s,acc_x,acc_y,acc_z", e.Hint)
	}
	two := []recording.Source{file("left_a.csv", "acc_z", s.Acc[2]), file("right_a.csv", "acc_x", s.Acc[0])}
	set, err := recording.Open(t.Context(), two, recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2, "two sides, of which one axis each serves for the step rate")
}
