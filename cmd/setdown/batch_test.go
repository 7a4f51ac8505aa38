package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// builtProgram builds the program once for a test.
func builtProgram(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "setdown")
	text, err := exec.CommandContext(t.Context(), "go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(text))
	return program
}

// simulatedTrial makes n pairs of feet of some s of running at 200 Hz. Beyond
// distinct different people the files repeat with links: what is measured is
// the batch, not the simulator.
func simulatedTrial(t *testing.T, n, distinct int, seconds float64) string {
	t.Helper()
	dir := t.TempDir()
	for i := range n {
		for _, side := range []recording.Side{recording.Left, recording.Right} {
			name := filepath.Join(dir, fmt.Sprintf("p%04d_%s.csv", i, side))
			if i >= distinct {
				require.NoError(t, os.Link(filepath.Join(dir, fmt.Sprintf("p%04d_%s.csv", i%distinct, side)), name))
				continue
			}
			s := simulate.Defaults(event.Running)
			s.Seed, s.Duration, s.StandBefore, s.StandAfter = uint64(i), seconds, 3, 3
			s.Right.Gain = 0.2 + 0.8*float64(i%10)/10
			f, err := os.Create(name)
			require.NoError(t, err)
			require.NoError(t, simulate.Run(s).WriteCSV(f, side, recording.Foot, simulate.Everyday))
			require.NoError(t, f.Close())
		}
	}
	return dir
}

// filesOf reads every file below a folder.
func filesOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[rel] = string(text)
		return err
	}))
	return out
}

// requireSameFiles compares two folders without printing what is in them.
func requireSameFiles(t *testing.T, want, got map[string]string) {
	t.Helper()
	for name := range want {
		require.Contains(t, got, name)
		require.True(t, want[name] == got[name], "%s differs", name)
	}
	require.Len(t, got, len(want))
}

// long tells whether the full sweeps are wanted.
func long() bool { return os.Getenv("SETDOWN_LONG") == "1" }

func TestBatchKilledAtAnyMomentEndsWithTheSameBytes(t *testing.T) {
	if testing.Short() {
		t.Skip("kills of a running program take some seconds; not in -short")
	}
	program := builtProgram(t)
	kills, pairs := 3, 8
	if long() {
		kills, pairs = 20, 40
	}
	dir := simulatedTrial(t, pairs, 4, 40)
	whole := filepath.Join(t.TempDir(), "whole")
	begin := time.Now()
	text, err := exec.Command(program, "batch", dir, "--out", whole).CombinedOutput()
	require.NoError(t, err, string(text))
	took := time.Since(begin)
	want := filesOf(t, whole)

	rng := rand.New(rand.NewPCG(1, 2)) // the moments; the machine's load makes them differ anyway
	out := filepath.Join(t.TempDir(), "out")
	struck := 0
	for try := 0; struck < kills && try < 10*kills; try++ {
		cmd := exec.Command(program, "batch", dir, "--out", out)
		begin := time.Now()
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(rng.Float64() * float64(took)))
		_ = cmd.Process.Kill() // it may have ended by itself: then the next begins from nothing
		if cmd.Wait() != nil {
			struck++
			continue
		}
		took = min(took, time.Since(begin)) / 2 // the first run was slower, beside other work
		requireSameFiles(t, want, filesOf(t, out))
		require.NoError(t, os.RemoveAll(out))
	}
	require.Equal(t, kills, struck, "kills of a running batch")
	t.Logf("%d kills while a batch of %d pairs was at work", struck, pairs)
	text, err = exec.Command(program, "batch", dir, "--out", out).CombinedOutput()
	require.NoError(t, err, string(text))
	requireSameFiles(t, want, filesOf(t, out))
}

func TestInterruptLeavesFinishedResultsAndStatus130(t *testing.T) {
	if testing.Short() {
		t.Skip("signals a running program; not in -short")
	}
	program := builtProgram(t)
	dir := simulatedTrial(t, 12, 3, 40)
	out := filepath.Join(t.TempDir(), "out")
	cmd := exec.Command(program, "batch", dir, "--out", out, "--workers", "1", "--events")
	errs, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	buf := make([]byte, 1)
	_, err = errs.Read(buf) // the first line of progress
	require.NoError(t, err)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	var rest bytes.Buffer
	_, _ = rest.ReadFrom(errs)
	require.Error(t, cmd.Wait())
	require.Equal(t, exitInterrupted, cmd.ProcessState.ExitCode(), rest.String())
	finished, err := filepath.Glob(filepath.Join(out, "recordings", "*", "record.json"))
	require.NoError(t, err)
	require.NotEmpty(t, finished)
	require.NoFileExists(t, filepath.Join(out, "steps.csv"))
	again, err := exec.Command(program, "batch", dir, "--out", out).CombinedOutput()
	require.NoError(t, err, string(again))
	require.Contains(t, string(again), "of them earlier")
}

func TestBatchSpeaksOfEachRecording(t *testing.T) {
	dir := simulatedTrial(t, 2, 2, 25)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bad_left.csv"), []byte("no table\n"), 0o666))
	out := filepath.Join(t.TempDir(), "out")
	status, stdout, stderr := call(t, "batch", dir, "--out", out, "--events")
	require.Equal(t, exitSomeFailed, status)
	require.Contains(t, stdout, "2 of 3 recordings analysed")
	failed, ended := 0, 0
	for line := range strings.Lines(stderr) {
		if strings.HasPrefix(line, "setdown:") {
			continue
		}
		var e batchEvent
		require.NoError(t, json.Unmarshal([]byte(line), &e), line)
		if e.State == "failed" {
			failed++
			require.Equal(t, "sub-bad", e.Recording)
			require.NotEmpty(t, e.Message)
		}
		if e.Event == "end" {
			ended++
			require.Equal(t, 1, e.Failed)
		}
	}
	require.Equal(t, []int{1, 1}, []int{failed, ended})

	status, _, stderr = call(t, "batch", dir, "--out", out)
	require.Equal(t, exitSomeFailed, status)
	require.Contains(t, stderr, "setdown: sub-bad: bad_left.csv")
	require.Contains(t, stderr, "1 of 3 recordings failed; the others are in "+out+" (exit status 3)")
}

func TestSlurmArray(t *testing.T) {
	if os.Getenv("SETDOWN_SLURM") != "required" {
		t.Skip("set SETDOWN_SLURM=required where slurm-wlm and munge are installed and root may start them")
	}
	program := builtProgram(t)
	dir := simulatedTrial(t, 10, 5, 90)
	// The sockets of munge must have short paths, which t.TempDir has not.
	work, err := os.MkdirTemp("", "slurm")
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(work) })
	cmd := exec.CommandContext(t.Context(), filepath.Join("..", "..", "testdata", "trial", "slurm.sh"), program, dir, work)
	cmd.WaitDelay = 10 * time.Second
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
	t.Log(string(text))
}
