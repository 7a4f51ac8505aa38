package recording_test

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// lines is a plain file of a foot at 200 Hz for 8 s; line 1 is the heading.
func lines(t *testing.T) []string {
	return linesOf(t, dialects.Swinging(200, 8, 0), dialects.Dialect{})
}

func linesOf(t *testing.T, s dialects.Samples, d dialects.Dialect) []string {
	r, err := d.Sources(s, s)[0].Open()
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
}

// cut leaves out lines from to to−1 (1-based).
func cut(l []string, from, to int) []string {
	return append(append([]string(nil), l[:from-1]...), l[to-1:]...)
}

// put replaces cell c of a line.
func put(l []string, line, c int, text string) []string {
	l = append([]string(nil), l...)
	cells := strings.Split(l[line-1], ",")
	cells[c] = text
	l[line-1] = strings.Join(cells, ",")
	return l
}

// shifted adds by, s, to the time of lines from to to−1.
func shifted(l []string, from, to int, by float64) []string {
	l = append([]string(nil), l...)
	for i := from; i < to && i <= len(l); i++ {
		var t float64
		cells := strings.SplitN(l[i-1], ",", 2)
		fmt.Sscan(cells[0], &t)
		l[i-1] = fmt.Sprintf("%.6f,%s", t+by, cells[1])
	}
	return l
}

// readAll opens and reads a file and returns its remarks by code.
func readAll(t *testing.T, data string, opt recording.Options) (map[string]remark.Remark, recording.Summary, []recording.Void, error) {
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, opt)
	if err != nil {
		return nil, recording.Summary{}, nil, err
	}
	rs := &set.Remarks
	var void []recording.Void
	sum, err := set.Tracks[0].Read(rs, func(b *recording.Block) error { void = append(void, b.Void...); return nil })
	out := map[string]remark.Remark{}
	for _, r := range rs.Sorted() {
		out[r.Code] = r
	}
	return out, sum, void, err
}

func TestDamageIsRemarkedOnceWithItsPlace(t *testing.T) {
	l := lines(t)
	for _, c := range []struct {
		name  string
		lines []string
		code  string
		want  string
		count int
		spans int
		rows  int
	}{
		{"a hole of 20 ms", cut(l, 500, 504), "hole", "left_foot.csv:500 (at 2.485 s): holes of at most 20 ms, filled and marked: 1", 1, 1, 1596},
		{"a hole of 100 ms", cut(l, 500, 520), "hole-long", "left_foot.csv:500 (at 2.485 s): holes of 20 to 150 ms, filled and marked; what they hide is withheld: 1", 1, 1, 1580},
		{"a gap of 1 s", cut(l, 500, 700), "gap", "left_foot.csv:500 (at 2.485 s): gaps without samples: 1; nothing is computed across them", 1, 2, 1400},
		{"a gap of 60 s", shifted(l, 800, 9999, 60), "gap", "left_foot.csv:800 (at 3.985 s): gaps without samples: 1; nothing is computed across them", 1, 2, 1600},
		{"a stretch too short", cut(cut(l, 900, 1100), 500, 800), "span-short", "left_foot.csv:500 (at 3.990 s): stretches shorter than 1 s between gaps, left out: 1", 1, 2, 1100},
		{"a time repeated", put(l, 700, 0, "3.485000"), "time-repeated", "left_foot.csv:700 (at 3.485 s): rows that repeat the time of the row before, left out: 1", 1, 1, 1599},
		{"rows written twice", append(append(append([]string(nil), l[:700]...), l[600:700]...), l[700:]...), "time-back", "left_foot.csv:701 (at 2.995 s): rows that step back in time, left out: 100", 100, 1, 1600},
		{"one stamp far ahead", put(l, 700, 0, "999.0"), "time-jump", "left_foot.csv:700 (at 999.000 s): single wrong time stamps, put between their neighbours: 1", 1, 1, 1600},
		{"one stamp a little back, at the start", put(l, 20, 0, "0.0832"), "time-jump", "left_foot.csv:20 (at 0.083 s): single wrong time stamps, put between their neighbours: 1", 1, 1, 1600},
		{"one stamp far back", put(l, 700, 0, "-50.0"), "time-jump", "left_foot.csv:700 (at -50.000 s): single wrong time stamps, put between their neighbours: 1", 1, 1, 1600},
		{"the clock starts again", append(append([]string(nil), l...), l[1:]...), "clock-restart", "left_foot.csv:1602 (at 0.000 s): the clock starts again: 1 times; each part is put 10 s after the one before, since the true pause is unknown", 1, 2, 3200},
		{"NaN", put(l, 700, 2, "NaN"), "cell-missing", "left_foot.csv:700 (at 3.490 s): rows with cells that are empty, NaN or infinite: 1; the measures that need them are left out", 1, 1, 1600},
		{"infinite", put(l, 700, 5, "-inf"), "cell-missing", "left_foot.csv:700 (at 3.490 s): rows with cells that are empty, NaN or infinite: 1; the measures that need them are left out", 1, 1, 1600},
		{"an empty cell", put(put(l, 700, 6, ""), 701, 6, ""), "cell-missing", "left_foot.csv:700 (at 3.490 s): rows with cells that are empty, NaN or infinite: 2; the measures that need them are left out", 2, 1, 1600},
		{"a row of nothing", append(append(append([]string(nil), l[:699]...), "3.490000,,,NaN,,,"), l[700:]...), "row-empty", "left_foot.csv:700 (at 3.490 s): rows without any value, left out: 1", 1, 1, 1599},
		{"no time", put(l, 700, 0, ""), "time-missing", "left_foot.csv:700: rows without a time, left out: 1", 1, 1, 1599},
		{"a line cut short", append(append([]string(nil), l[:699]...), append([]string{"3.49,1.0,2.0"}, l[700:]...)...), "line-short", "left_foot.csv:700: lines with too few cells, left out: 1", 1, 1, 1599},
		{"a line too long", put(l, 700, 6, "1,2,3"), "line-long", "left_foot.csv:700: lines with too many cells, left out: 1", 1, 1, 1599},
		{"the heading again", append(append(append([]string(nil), l[:700]...), l[0]), l[700:]...), "heading-again", "left_foot.csv:701: the heading comes again: 1 times", 1, 1, 1600},
	} {
		t.Run(c.name, func(t *testing.T) {
			rs, sum, _, err := readAll(t, strings.Join(c.lines, "\n")+"\n", recording.Options{})
			require.NoError(t, err)
			r, ok := rs[c.code]
			require.True(t, ok, "remarks: %v", rs)
			require.Equal(t, c.want, r.String())
			require.Equal(t, c.count, r.Count)
			require.Equal(t, c.spans, sum.Spans)
			require.Equal(t, c.rows, sum.Samples)
		})
	}
}

func TestLastLineCutOffIsLeftOut(t *testing.T) {
	data := strings.Join(lines(t), "\n") + "\n8.000,1.0"
	rs, sum, _, err := readAll(t, data, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, "left_foot.csv:1602: the last line is cut off and was left out", rs["line-cut"].String())
	require.Equal(t, 1600, sum.Samples)
}

func TestDamagedSampleVoidsOnlyItsSensor(t *testing.T) {
	l := lines(t)
	_, _, void, err := readAll(t, strings.Join(put(put(l, 700, 2, "NaN"), 900, 5, ""), "\n")+"\n", recording.Options{})
	require.NoError(t, err)
	for i, v := range void {
		switch i {
		case 698:
			require.Equal(t, recording.VoidAcc, v)
		case 898:
			require.Equal(t, recording.VoidGyr, v)
		default:
			require.Zero(t, v, "sample %d", i)
		}
	}
}

func TestFileThatCannotBeReadSaysWhereAndWhatToDo(t *testing.T) {
	l := lines(t)
	join := func(l []string) string { return strings.Join(l, "\n") + "\n" }
	wide := strings.Repeat("a,", 9999) + "b\n" + strings.Repeat("1,", 9999) + "2\n" + strings.Repeat("2,", 9999) + "3\n" + strings.Repeat("3,", 9999) + "3\n"
	for _, c := range []struct{ name, data, want, hint string }{
		{"empty", "", "left_foot.csv: the file is empty", "export the recording again"},
		{"blank", " \n\n", "left_foot.csv: the file is empty", "export the recording again"},
		{"heading only", l[0] + "\n", "left_foot.csv:1: a heading but no samples after it", "export the recording again"},
		{"words only", "dear diary\ntoday I ran\n", "left_foot.csv:1: no rows of numbers found", "setdown reads tables of samples: one line a sample, numbers between commas, semicolons or tabs"},
		{"letters", join(put(l, 700, 4, "x")), `left_foot.csv:700: column "gyr_x": "x" is not a number`, "correct or delete line 700, or say with --columns which columns hold what"},
		{"a decimal comma", join(put(l, 700, 4, `"12,5"`)), `left_foot.csv:700: column "gyr_x": "12,5" is not a number`, "the file seems to use decimal commas; see setdown inspect left_foot.csv"},
		{"letters in the time", join(put(l, 700, 0, "noon")), `left_foot.csv:700: column "time_s": "noon" is not a time`, "correct or delete line 700, or say with --columns which columns hold what"},
		{"a heading with other columns", join(slices.Insert(slices.Clone(l), 699, "time_s,gyr_x,gyr_y,gyr_z,acc_x,acc_y,acc_z")), `left_foot.csv:700: a heading that differs from that in line 1: what follows is another table`, "split the file before line 700 and give both parts, each with its own heading"},
		{"a heading with other units", join(slices.Insert(slices.Clone(l), 699, "time [s],acc_x [g],acc_y [g],acc_z [g],gyr_x,gyr_y,gyr_z")), `left_foot.csv:700: a heading that differs from that in line 1: what follows is another table`, "split the file before line 700 and give both parts, each with its own heading"},
		{"a sign for missing values", join(put(put(put(l, 700, 4, "-9999"), 800, 4, "-9999"), 850, 4, "-9999")), `left_foot.csv:1: column "gyr_x": holds -9999 in 3 of its first 1600 rows, which no sensor measures`, "if it stands for a missing value, empty these cells: they are then marked; else state the unit with --columns"},
		{"a dead axis", join(everyCell(l, 5, func([]string) string { return "0" })), `left_foot.csv:1: column "gyr_y": stands at 0 while the sensor moves: this axis of the gyroscope is missing`, "all three axes are needed; export the recording again, or say with --columns which column holds gyr_y"},
		{"an axis twice", join(everyCell(l, 6, func(c []string) string { return c[4] })), `left_foot.csv:1: column "gyr_z": holds the same as "gyr_x": an axis of the gyroscope is missing`, "all three axes are needed; export the recording again, or say with --columns which column holds gyr_z"},
		{"a unit that is not known", strings.ReplaceAll(join(l), "gyr_x", "gyr_x_cdps"), `left_foot.csv:1: column "gyr_x_cdps": states the unit "cdps", which is not known`, "write one of m/s2, g and mg, or rad/s, deg/s and mdeg/s, with the size of one count with --columns; setdown inspect left_foot.csv --save writes a file to edit"},
		{"a NUL byte", join(put(l, 700, 4, "1\x002")), "left_foot.csv:700: a NUL byte (0x00) stands in the text", "the file was cut or damaged in copying; export it again"},
		{"10,000 columns", wide, "left_foot.csv:1: has 10000 columns; at most 4096 are read", "this is not a recording of a few sensors; cut out the columns of one person"},
		{"an axis missing", join(columns(l, 0, 1, 2, 3, 4, 5)), "left_foot.csv:1: the gyroscope has no gyr_z", "all three axes are needed; export the recording again with all columns, or say with --columns which column holds gyr_z"},
		{"an axis empty", join(blank(l, 3)), "left_foot.csv:1: the accelerometer has no acc_z", "all three axes are needed; export the recording again with all columns, or say with --columns which column holds acc_z"},
		{"two columns for one axis", strings.Replace(join(l), "gyr_x", "ax", 1), `left_foot.csv:1: columns "acc_x" and "ax" both look like acc_x`, "say with --columns which one to use; setdown inspect left_foot.csv --save writes a file to edit"},
		{"g called m/s2", join(linesOf(t, dialects.Swinging(200, 8, 0), dialects.Dialect{AccUnit: gUnit, AccHead: func(a string) string { return "acc_" + a + " [m/s2]" }})),
			`left_foot.csv:1: column "acc_x [m/s2]": states m/s2, but reads 1.001 m/s2 when stillest where gravity alone is 9.807 m/s2`, "the values look like g; correct the heading or state the unit with --columns"},
		{"deg/s called rad/s", join(linesOf(t, dialects.Swinging(200, 8, 0), dialects.Dialect{GyrUnit: degUnit, GyrHead: func(a string) string { return "gyr_" + a + "_rad_s" }})),
			`left_foot.csv:1: column "gyr_x_rad_s": states rad/s, but its fastest hundredth turns at 594.2 rad/s, where a limb reaches 60`, "the values look like deg/s; correct the heading or state the unit with --columns"},
		{"gravity taken out", join(linesOf(t, dialects.Swinging(200, 8, 0), dialects.Dialect{AccUnit: countUnit, Digits: -1})),
			`left_foot.csv:1: column "acc_x": the acceleration reads 1.229e+05 when stillest, which is 1 g in none of m/s2, g and mg`, "for raw counts give the scale with --columns; setdown inspect left_foot.csv --save writes a file to edit"},
		{"no time", join(columns(l, 1, 2, 3, 4, 5, 6)), "left_foot.csv:1: no time column and no sampling rate", "give the rate with --rate HZ, or say with --columns which column holds the time"},
		{"no sensor", "time,distance,altitude\n1,2,3\n2,3,4\n3,4,5\n", "left_foot.csv:1: no accelerometer, gyroscope or step rate among the columns time, distance, altitude", "say with --columns which column holds what; setdown inspect left_foot.csv --save writes a file to edit"},
		{"too short", join(l[:40]), "left_foot.csv: no stretch of 1 s without a gap (39 rows)", "the recording is too short or too broken to be used"},
		{"time stands still", join(frozen(l)), `left_foot.csv:2: column "time_s": the time does not advance`, "give --rate HZ if the file has no usable time"},
		{"mostly broken lines", join(broken(l)), "left_foot.csv:501: has 3 cells where the table has 7; so have 367 of 1600 lines", "the file is damaged, or it is not a plain table; see setdown inspect left_foot.csv"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, _, err := readAll(t, c.data, recording.Options{})
			require.EqualError(t, err, c.want)
			var e *recording.Error
			require.ErrorAs(t, err, &e)
			require.Equal(t, c.hint, e.Hint)
		})
	}
}

// columns keeps some cells of each line.
func columns(l []string, keep ...int) []string {
	out := make([]string, len(l))
	for i, s := range l {
		cells := strings.Split(s, ",")
		var row []string
		for _, k := range keep {
			row = append(row, cells[k])
		}
		out[i] = strings.Join(row, ",")
	}
	return out
}

// blank empties a column below its heading.
func blank(l []string, c int) []string {
	out := append([]string(nil), l[:1]...)
	for i := 1; i < len(l); i++ {
		out = append(out, put(l[i:i+1], 1, c, "")[0])
	}
	return out
}

func everyCell(l []string, c int, text func(cells []string) string) []string {
	out := slices.Clone(l)
	for i := 1; i < len(l); i++ {
		out[i] = put(l[i:i+1], 1, c, text(strings.Split(l[i], ",")))[0]
	}
	return out
}

func frozen(l []string) []string {
	out := append([]string(nil), l[:1]...)
	for i := 1; i < len(l); i++ {
		out = append(out, put(l[i:i+1], 1, 0, "1.5")[0])
	}
	return out
}

// broken cuts every third line from line 501 on.
func broken(l []string) []string {
	out := append([]string(nil), l...)
	for i := 500; i < len(out); i += 3 {
		out[i] = "1,2,3"
	}
	return out
}

func TestLeftAndRightMustNotBeTheSameFile(t *testing.T) {
	data := []byte(strings.Join(lines(t), "\n"))
	_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("a.csv", data, recording.Left), recording.Bytes("b.csv", data, recording.Right)}, recording.Options{})
	require.EqualError(t, err, "b.csv: is the same recording as a.csv")
}

func TestFilesThatCannotBeOpened(t *testing.T) {
	dir := t.TempDir()
	for want, src := range map[string]recording.Source{
		"none.csv: no such file": recording.File(dir+"/none.csv", recording.Left),
		dir[strings.LastIndex(dir, "/")+1:] + ": is a folder, not a file": recording.File(dir, recording.Left),
		"secret.csv: no permission to read it": {Name: "secret.csv", Open: func() (io.ReadCloser, error) {
			return nil, &fs.PathError{Op: "open", Path: "secret.csv", Err: fs.ErrPermission}
		}},
		"torn.csv: input/output error": {Name: "torn.csv", Open: func() (io.ReadCloser, error) {
			return nil, &fs.PathError{Op: "open", Path: "torn.csv", Err: errors.New("input/output error")}
		}},
	} {
		_, err := recording.Open(t.Context(), []recording.Source{src}, recording.Options{})
		require.EqualError(t, err, want)
	}
}

// endless gives the same byte for n bytes.
type endless struct{ n int64 }

func (e *endless) Read(p []byte) (int, error) {
	if e.n <= 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), e.n)
	for i := range p[:n] {
		p[i] = '7'
	}
	e.n -= n
	return int(n), nil
}

func TestLineOf100MBIsRefused(t *testing.T) {
	src := recording.Source{Name: "long.csv", Open: func() (io.ReadCloser, error) { return io.NopCloser(&endless{100 << 20}), nil }}
	_, err := recording.Open(t.Context(), []recording.Source{src}, recording.Options{})
	require.EqualError(t, err, "long.csv:1: the line is longer than 1048576 bytes")
}

func TestSlowRecordingGivesTheStepRateOnly(t *testing.T) {
	for _, rate := range []float64{25, 50, 60} {
		s := dialects.Swinging(rate, 30, 0)
		rs, _, _, err := readAll(t, strings.Join(linesOf(t, s, dialects.Dialect{}), "\n"), recording.Options{})
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintf("%g Hz is too slow to see how the forefoot is lowered, which needs 100 Hz; only the step rate can be found", rate), rs["rate-low"].Text)
	}
}

func TestClippingIsFoundAtEveryUsualRange(t *testing.T) {
	const g, deg = 9.80665, math.Pi / 180
	for _, full := range []float64{2, 4, 8, 16} {
		s := loud(full*g*1.3, 0)
		clip(s.Acc[:], full*g)
		rs, void, k := readSamples(t, s)
		require.Contains(t, rs, "clipped-acc", "%g g", full)
		require.NotContains(t, rs, "clipped-gyr")
		require.InDelta(t, full*g, k.AccRange, 0.03*g)
		checkVoid(t, s.Acc, void, full*g, recording.VoidAcc|recording.VoidHard)
	}
	for _, full := range []float64{250, 500, 1000, 2000} {
		s := loud(0, full*deg*1.4)
		clip(s.Gyr[:], full*deg)
		rs, void, k := readSamples(t, s)
		require.Contains(t, rs, "clipped-gyr", "%g deg/s", full)
		require.NotContains(t, rs, "clipped-acc")
		require.InDelta(t, full*deg, k.GyrRange, 0.02*full*deg)
		checkVoid(t, s.Gyr, void, full*deg, recording.VoidGyr|recording.VoidFast)
	}
}

func TestSmoothPeaksAreNotClipped(t *testing.T) {
	for _, s := range []dialects.Samples{loud(150, 0), loud(0, 30), dialects.Swinging(200, 30, 0), dialects.Swinging(1000, 30, 0)} {
		rs, _, _ := readSamples(t, s)
		require.NotContains(t, rs, "clipped-acc")
		require.NotContains(t, rs, "clipped-gyr")
	}
}

// loud makes a swinging foot with higher peaks.
func loud(acc, gyr float64) dialects.Samples {
	s := dialects.Swinging(400, 20, 0)
	for i := range s.Len() {
		t := float64(i) / s.Rate
		if t < 2 {
			continue
		}
		b := math.Pow(max(0, math.Sin(2*math.Pi*t/0.5)), 3)
		s.Acc[2][i] += acc * b * (1 + 0.05*math.Sin(1.7*t))
		s.Gyr[1][i] += gyr * b * (1 + 0.05*math.Sin(1.7*t))
	}
	return s
}

func clip(v [][]float64, full float64) {
	for _, x := range v {
		for i := range x {
			x[i] = min(full, max(-full, x[i]))
		}
	}
}

func readSamples(t *testing.T, s dialects.Samples) (map[string]remark.Remark, []recording.Void, *recording.Track) {
	data := strings.Join(linesOf(t, s, dialects.Dialect{}), "\n")
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	var void []recording.Void
	rs := &set.Remarks
	_, err = set.Tracks[0].Read(rs, func(b *recording.Block) error { void = append(void, b.Void...); return nil })
	require.NoError(t, err)
	out := map[string]remark.Remark{}
	for _, r := range rs.Sorted() {
		out[r.Code] = r
	}
	return out, void, set.Tracks[0]
}

// checkVoid wants exactly the samples at full scale marked, but for a rim of
// samples that come within 0.2 % of it.
func checkVoid(t *testing.T, v [3][]float64, void []recording.Void, full float64, bit recording.Void) {
	for i := range void {
		top := max(math.Abs(v[0][i]), math.Abs(v[1][i]), math.Abs(v[2][i]))
		if top >= full*0.9999 {
			require.NotZero(t, void[i]&bit, "sample %d", i)
		} else if top < full*0.998 {
			require.Zero(t, void[i]&bit, "sample %d: %g of %g", i, top, full)
		}
	}
}

func TestClocksThatDriftApartAreFollowed(t *testing.T) {
	s := dialects.Swinging(200, 60, 0)
	drift := dialects.Dialect{Time: func(_ int, t float64) []string { return []string{fmt.Sprintf("%.6f", t*(1+100e-6))} }}
	set, err := recording.Open(t.Context(), drift.Sources(s, dialects.Swinging(200, 60, 0.5)), recording.Options{})
	require.NoError(t, err)
	sum, err := set.Tracks[0].Read(nil, func(*recording.Block) error { return nil })
	require.NoError(t, err)
	require.InDelta(t, 59.995*(1+100e-6), sum.End, 0.0005)
}
