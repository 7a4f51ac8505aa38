package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report/table"
	"setdown/signal/recording"
)

// A change that is meant to make things faster must not change a byte of what
// comes out. These tests keep a digest of the steps and of the session of every
// open recording and of twenty simulated ones; SETDOWN_UPDATE=1 rewrites them
// where a change of the numbers is meant and justified.
const goldenFolder = "testdata/golden"

// digestLine is the digests of one analysis as one line.
func digestLine(t *testing.T, name string, sources ...recording.Source) string {
	t.Helper()
	set, err := recording.Open(t.Context(), sources, recording.Options{})
	if err != nil {
		return name + " gives nothing\n"
	}
	res, err := gait.Analyze(t.Context(), set, gait.Settings{Version: "golden", Seed: 1, Curves: 10, Excerpt: 1})
	if err != nil {
		return name + " gives nothing\n"
	}
	var steps, numbers bytes.Buffer
	require.NoError(t, table.WriteSteps(&steps, res.Steps))
	require.NoError(t, table.WriteSession(&numbers, res))
	for _, s := range res.Steps {
		fmt.Fprint(&numbers, s.Curve)
	}
	fmt.Fprint(&numbers, res.Excerpts)
	return fmt.Sprintf("%s %d %x %x\n", name, len(res.Steps), short(steps.Bytes()), short(numbers.Bytes()))
}

// short is enough of a hash to notice any change.
func short(data []byte) []byte {
	sum := sha256.Sum256(data)
	return sum[:8]
}

// requireGolden compares with the file, or rewrites it.
func requireGolden(t *testing.T, name, got string) {
	t.Helper()
	if runtime.GOARCH != "amd64" {
		t.Skip("the last bits differ between processors; the digests are those of amd64")
	}
	path := filepath.Join(goldenFolder, name)
	if os.Getenv("SETDOWN_UPDATE") != "" {
		require.NoError(t, os.MkdirAll(goldenFolder, 0o777))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o666))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	var changed []string
	for line := range strings.Lines(got) {
		if !strings.Contains("\n"+string(want), "\n"+line) {
			changed = append(changed, strings.TrimSpace(line))
		}
	}
	require.Empty(t, changed, "these came out differently")
	require.Len(t, got, len(want), "a recording is missing, or new")
}

func TestOpenRecordingsKeepTheirNumbers(t *testing.T) {
	if testing.Short() {
		t.Skip("every open recording takes its time")
	}
	dir := filepath.Join("..", "..", "..", "shared", "data")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal("the open recordings are missing: ", dir)
		}
		t.Skip("the open recordings are not here: ", dir)
	}
	var out strings.Builder
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if ext := filepath.Ext(path); err != nil || e.IsDir() || ext != ".csv" && ext != ".tsv" {
			return err
		}
		name, err := filepath.Rel(dir, path)
		require.NoError(t, err)
		out.WriteString(digestLine(t, filepath.ToSlash(name), recording.File(path, recording.SideUnknown)))
		if left := strings.HasSuffix(path, "left_foot.csv"); left {
			right := strings.Replace(path, "left_foot.csv", "right_foot.csv", 1)
			out.WriteString(digestLine(t, filepath.ToSlash(name)+" and right",
				recording.File(path, recording.SideUnknown), recording.File(right, recording.SideUnknown)))
		}
		return nil
	}))
	requireGolden(t, "open.txt", out.String())
}

// simulatedSession is number k of the simulated sessions: gaits, rates, gains
// and strike angles vary, one of them is longer than what decides.
func simulatedSession(k int) simulate.Settings {
	s := simulate.Defaults(event.Running)
	if k%2 == 1 {
		s = simulate.Defaults(event.Walking)
	}
	s.Seed, s.Duration = uint64(1+k), 30+float64(k)
	if k == 19 {
		s.Duration = 200
	}
	s.Right.Gain = 1 - float64(k%5)/5
	s.Left.Foot.Rate = []float64{200, 100, 128, 400}[k%4]
	s.Right.Foot.Rate = s.Left.Foot.Rate
	return s
}

// simulatedSources are the files of both feet of simulated session number k.
func simulatedSources(t *testing.T, k int) []recording.Source {
	t.Helper()
	rec := simulate.Run(simulatedSession(k))
	var sources []recording.Source
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var b bytes.Buffer
		require.NoError(t, rec.WriteCSV(&b, side, recording.Foot, simulate.Everyday))
		sources = append(sources, recording.Bytes(simulate.FileName(side, recording.Foot), b.Bytes(), side))
	}
	return sources
}

// Sources are opened, tracks read and measures made side by side, one a core:
// what comes out must not show how many cores there were.
func TestNumbersDoNotDependOnTheNumberOfCores(t *testing.T) {
	sources := simulatedSources(t, 19)
	before := runtime.GOMAXPROCS(1)
	t.Cleanup(func() { runtime.GOMAXPROCS(before) })
	alone := digestLine(t, "run", sources...)
	require.NotContains(t, alone, "nothing")
	for _, cores := range []int{2, 5} {
		runtime.GOMAXPROCS(cores)
		require.Equal(t, alone, digestLine(t, "run", sources...), "%d cores", cores)
	}
}

func TestSimulatedRecordingsKeepTheirNumbers(t *testing.T) {
	if testing.Short() {
		t.Skip("twenty recordings take their time")
	}
	var out strings.Builder
	for k := range 20 {
		out.WriteString(digestLine(t, fmt.Sprintf("simulated %02d", k), simulatedSources(t, k)...))
	}
	requireGolden(t, "simulated.txt", out.String())
}
