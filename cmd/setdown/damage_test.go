package main

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// brokenFile is a file that cannot be read, and what is said of it.
type brokenFile struct {
	name, data    string
	message, hint string
}

// footLines are the lines of a simulated foot's file: time, acc in m/s², gyr in
// rad/s; line 1 is the heading.
func footLines(t *testing.T, side recording.Side, seconds, rate float64) []string {
	t.Helper()
	s := simulate.Defaults(event.Running)
	s.Seed, s.Duration, s.StandBefore, s.StandAfter, s.Left.Foot.Rate = 5, seconds, 3, 3, rate
	var b bytes.Buffer
	require.NoError(t, simulate.Run(s).WriteCSV(&b, side, recording.Foot, simulate.Everyday))
	return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
}

// withCell returns lines with one cell replaced; line counts from 1.
func withCell(l []string, line, cell int, text string) []string {
	l = slices.Clone(l)
	cells := strings.Split(l[line-1], ",")
	cells[cell] = text
	l[line-1] = strings.Join(cells, ",")
	return l
}

func text(l []string) string { return strings.Join(l, "\n") + "\n" }

// onlyCells keeps some cells of every line.
func onlyCells(l []string, keep ...int) []string {
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

func gzipped(t *testing.T, data io.Reader) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := io.Copy(w, data)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.String()
}

// zipBomb packs a recording and 80 MiB of nothing behind it.
func zipBomb(t *testing.T, recording string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("left.csv")
	require.NoError(t, err)
	_, err = io.WriteString(w, recording)
	require.NoError(t, err)
	rows := []byte(strings.Repeat("# nothing\n", 4096))
	for range 80 << 20 / len(rows) {
		_, err = w.Write(rows)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.String()
}

// brokenFiles are all kinds of damage that end the reading of a file.
func brokenFiles(t *testing.T) []brokenFile {
	t.Helper()
	l := footLines(t, recording.Left, 20, 200)
	head := strings.Split(l[0], ",")
	turned := slices.Clone(l)
	slices.Reverse(turned[1:])
	frozen := []string{l[0]}
	for _, s := range l[1:] {
		frozen = append(frozen, "1.5"+s[strings.IndexByte(s, ','):])
	}
	third := slices.Clone(l)
	for i := 500; i < len(third); i += 3 {
		third[i] = "1,2,3"
	}
	wide := strings.Repeat("a,", 9999) + "b\n" + strings.Repeat(strings.Repeat("1,", 9999)+"2\n", 3)
	axes := "all three axes are needed; export the recording again with all columns, or say with --columns which column holds gyr_z"
	rename := func(cell int, name string) string {
		h := slices.Clone(head)
		h[cell] = name
		return text(append([]string{strings.Join(h, ",")}, l[1:]...))
	}
	cell := strings.Split(l[699], ",")
	return []brokenFile{
		{"empty.csv", "", "empty.csv: the file is empty", "export the recording again"},
		{"heading.csv", l[0] + "\n", "heading.csv:1: a heading but no samples after it", "export the recording again"},
		{"words.csv", "dear diary\ntoday I ran\n", "words.csv:1: no rows of numbers found", "setdown reads tables of samples: one line a sample, numbers between commas, semicolons or tabs"},
		{"letters.csv", text(withCell(l, 700, 4, "x")), `letters.csv:700: column "gyr x (deg/s)": "x" is not a number`, "correct or delete line 700, or say with --columns which columns hold what"},
		{"comma.csv", text(withCell(l, 700, 4, `"12,5"`)), `comma.csv:700: column "gyr x (deg/s)": "12,5" is not a number`, "the file seems to use decimal commas; see setdown inspect comma.csv"},
		{"noon.csv", text(withCell(l, 700, 0, "noon")), `noon.csv:700: column "time (s)": "noon" is not a time`, "correct or delete line 700, or say with --columns which columns hold what"},
		{"nul.csv", text(withCell(l, 700, 4, "1\x002")), "nul.csv:700: a NUL byte (0x00) stands in the text", "the file was cut or damaged in copying; export it again"},
		{"wide.csv", wide, "wide.csv:1: has 10000 columns; at most 4096 are read", "this is not a recording of a few sensors; cut out the columns of one person"},
		{"line.csv", strings.Repeat("7", 100<<20), "line.csv:1: the line is longer than 1048576 bytes", "this is not a table of samples; see setdown inspect --help for what is read"},
		{"axis.csv", text(onlyCells(l, 0, 1, 2, 3, 4, 5)), "axis.csv:1: the gyroscope has no gyr_z", axes},
		{"twice.csv", rename(2, "ax"), `twice.csv:1: columns "acc x (g)" and "ax" both look like acc_x`, "say with --columns which one to use; setdown inspect twice.csv --save writes a file to edit"},
		{"notime.csv", text(onlyCells(l, 1, 2, 3, 4, 5, 6)), "notime.csv:1: no time column and no sampling rate", "give the rate with --rate HZ, or say with --columns which column holds the time"},
		{"nosensor.csv", "time,distance,altitude\n1,2,3\n2,3,4\n3,4,5\n", "nosensor.csv:1: no accelerometer, gyroscope or step rate among the columns time, distance, altitude", "say with --columns which column holds what; setdown inspect nosensor.csv --save writes a file to edit"},
		{"short.csv", text(l[:40]), "short.csv: no stretch of 1 s without a gap (39 rows)", "the recording is too short or too broken to be used"},
		{"frozen.csv", text(frozen), `frozen.csv:2: column "time (s)": the time does not advance`, "give --rate HZ if the file has no usable time"},
		{"turned.csv", text(turned), `turned.csv:2: column "time (s)": the time runs backwards`, "turn the order of the rows round, first sample first"},
		{"third.csv", text(third), "third.csv:501: has 3 cells where the table has 7; so have 1168 of 4001 lines", "the file is damaged, or it is not a plain table; see setdown inspect third.csv"},
		{"counts.csv", text(append([]string{"time_s,ax,ay,az"}, scaled(onlyCells(l[1:], 0, 1, 2, 3), 16384)...)),
			`counts.csv:1: column "ax": the acceleration reads 1.638e+04 when stillest, which is 1 g in none of m/s2, g and mg`, "for raw counts give the scale with --columns; setdown inspect counts.csv --save writes a file to edit"},
		{"cut.csv.gz", gzipped(t, strings.NewReader(text(l)))[:900], "cut.csv.gz: damaged in packing: unexpected EOF", "copy or export the file again"},
		{"bomb.csv.zip", zipBomb(t, text(l)), "bomb.csv.zip/left.csv: unpacks to more than 100 times its size", "this is not a recording; if it is, unpack it first"},
		{"zip.zip", "PK\x03\x04" + strings.Repeat("\x00\xff", 300), "zip.zip: damaged zip archive: zip: not a valid zip file", "copy or export the file again"},
		{"page.csv", "<!doctype html>\n<title>Sign in</title>\n", "page.csv: is a web page (HTML), not a table of samples as text",
			"a site sends one in place of a file when a log-in or a link has run out: sign in and download the recording again"},
		{"report.csv", "%PDF-1.4\n1 0 obj\n", "report.csv: is a PDF document, not a table of samples as text",
			"export the recording as CSV from the program that wrote it: renaming the file does not change what is in it"},
		{"mm.csv", strings.Replace(text(l), head[1], "acc x (m/s2)", 1),
			`mm.csv:1: column "acc x (m/s2)": states m/s2, but reads 0.9999 m/s2 when stillest where gravity alone is 9.807 m/s2`, "the values look like g; correct the heading or state the unit with --columns"},
		{"cell.csv", strings.Replace(text(l), cell[0], cell[0]+" s", 1), `cell.csv:700: column "time (s)": "3.490000 s" is not a time`, "correct or delete line 700, or say with --columns which columns hold what"},
	}
}

// scaled multiplies the cells behind the first and rounds them.
func scaled(l []string, by float64) []string {
	out := make([]string, len(l))
	for i, s := range l {
		cells := strings.Split(s, ",")
		for k := 1; k < len(cells); k++ {
			v, _ := strconv.ParseFloat(cells[k], 64)
			cells[k] = fmt.Sprintf("%.0f", v*by)
		}
		out[i] = strings.Join(cells, ",")
	}
	return out
}

// Every command that reads a recording says the same of a file that is none.
func TestEveryCommandNamesAFileOfAnotherKind(t *testing.T) {
	t.Chdir(t.TempDir())
	status, _, stderr := call(t, "case", "--casebook", "cases", "new", "wren", "--injured", "left")
	require.Equal(t, exitDone, status, stderr)
	for name, data := range map[string]string{"page.csv": "<html></html>", "report.csv": "%PDF-1.4\n", "sheet.xls": "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "empty.csv": ""} {
		require.NoError(t, os.WriteFile(name, []byte(data), 0o666))
		_, _, want := call(t, "inspect", name)
		require.Regexp(t, `^setdown: `+name+`: .+\nsetdown: hint: .+\n$`, want)
		for _, args := range [][]string{{"analyze", name, "--json"}, {"analyze", "--left", name, "--out", "out"}, {"cadence", name},
			{"case", "--casebook", "cases", "add", "wren", "--left", name}} {
			status, stdout, stderr := call(t, args...)
			require.Equal(t, exitFailed, status, args)
			require.Empty(t, stdout)
			require.Equal(t, want, stderr, args)
		}
	}
}

func TestFileThatCannotBeReadLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, c := range brokenFiles(t) {
		t.Run(c.name, func(t *testing.T) {
			t.Cleanup(func() { os.RemoveAll("out") })
			require.NoError(t, os.WriteFile(c.name, []byte(c.data), 0o666))
			status, stdout, stderr := call(t, "analyze", "--left", c.name, "--out", "out")
			require.NoError(t, os.Remove(c.name))
			left, err := os.ReadDir(dir)
			require.NoError(t, err)
			require.Empty(t, left)
			require.Equal(t, exitFailed, status, stderr)
			require.Empty(t, stdout)
			want := "setdown: " + c.message + "\n"
			if c.hint != "" {
				want += "setdown: hint: " + c.hint + "\n"
			}
			require.Equal(t, want, stderr)
		})
	}
}

// A damaged sample voids what uses it: the step's row stays, and says why.
func TestDamagedSamplesVoidTheStepsThatUseThem(t *testing.T) {
	t.Chdir(t.TempDir())
	clean := footLines(t, recording.Left, 30, 200)
	steps := func(name string, l []string) [][]string {
		require.NoError(t, os.WriteFile("left_foot.csv", []byte(text(l)), 0o666))
		status, _, stderr := call(t, "analyze", "--left", "left_foot.csv", "--out", name, "--format", "csv")
		require.Equal(t, exitDone, status, stderr)
		f, err := os.Open(filepath.Join(name, "steps.csv"))
		require.NoError(t, err)
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		return rows
	}
	sound := steps("sound", clean)
	for name, damage := range map[string]func(l []string, at int) []string{
		"missing": func(l []string, at int) []string { return withCell(l, at, 5, "NaN") },
		"hole":    func(l []string, at int) []string { return append(slices.Clone(l[:at-10]), l[at+10:]...) },
	} {
		rows := sound
		col := func(name string) int { return slices.Index(rows[0], name) }
		n := len(sound) / 2
		for sound[n][col("used")] != "true" {
			n++
		}
		ic, err := strconv.ParseFloat(sound[n][col("initial_contact_s")], 64)
		require.NoError(t, err)
		rows = steps(name, damage(clean, 2+int((ic+0.01)*200)))
		hit := slices.IndexFunc(rows, func(r []string) bool {
			v, _ := strconv.ParseFloat(r[col("initial_contact_s")], 64)
			return v > ic-0.1 && v < ic+0.1
		})
		require.Positive(t, hit, name)
		require.Contains(t, rows[hit][col("reason")], "lowering withheld: angular rate clipped or missing", name)
		for _, measure := range []string{"time_to_foot_flat_ms", "peak_lowering_rate_deg_s", "foot_flat_rate_deg_s", "deceleration_fraction"} {
			require.NotEmpty(t, sound[n][col(measure)])
			require.Empty(t, rows[hit][col(measure)], name)
		}
		// The steps before it are as they were.
		for i, r := range sound[1:] {
			if v, _ := strconv.ParseFloat(r[col("initial_contact_s")], 64); v < ic-2 {
				require.Equal(t, r[:4], rows[i+1][:4], name)
				require.Equal(t, r[col("reason")], rows[i+1][col("reason")], name)
			}
		}
	}
}

func TestRatesTooLowForLoweringGiveTheStepRateAndSaySo(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, rate := range []float64{25, 40, 60} {
		name := fmt.Sprintf("left_%g.csv", rate)
		require.NoError(t, os.WriteFile(name, []byte(text(footLines(t, recording.Left, 60, rate))), 0o666))
		out := fmt.Sprintf("out_%g", rate)
		status, _, stderr := call(t, "analyze", "--left", name, "--out", out)
		require.Equal(t, exitDone, status)
		require.Contains(t, stderr, fmt.Sprintf("setdown: loss: %s:2: %g Hz is too slow to see how the forefoot is lowered, which needs 100 Hz; only the step rate can be found\n", name, rate))
		data, err := os.ReadFile(filepath.Join(out, "session.json"))
		require.NoError(t, err)
		var session struct {
			Cadence struct {
				Rate float64 `json:"steps_per_min"`
			}
			Sides map[string]map[string]struct{ Center *float64 }
		}
		require.NoError(t, json.Unmarshal(data, &session))
		require.InDelta(t, 162, session.Cadence.Rate, 8, "of the simulated 162 steps/min")
		for name, metric := range session.Sides["left"] {
			if name != "stride_time_s" && name != "heel_first_share" {
				require.Nil(t, metric.Center, "%s at %g Hz", name, rate)
			}
		}
	}
}
