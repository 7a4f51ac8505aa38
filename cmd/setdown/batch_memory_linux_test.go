package main

import (
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// peakMemory runs the program and returns the most memory it held, in bytes.
func peakMemory(t *testing.T, program string, args ...string) int64 {
	t.Helper()
	cmd := exec.Command(program, args...)
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
	usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	require.True(t, ok)
	return usage.Maxrss * 1024 // Linux counts KiB (getrusage(2))
}

func TestBatchMemoryDoesNotGrowWithTheTrial(t *testing.T) {
	if testing.Short() {
		t.Skip("measures the memory of long runs; not in -short")
	}
	program := builtProgram(t)
	few, many, distinct := 5, 60, 5
	seconds := 40.0
	if long() {
		few, many, distinct, seconds = 10, 1000, 10, 120
	}
	small := peakMemory(t, program, "batch", simulatedTrial(t, few, distinct, seconds), "--out", filepath.Join(t.TempDir(), "out"))
	large := peakMemory(t, program, "batch", simulatedTrial(t, many, distinct, seconds), "--out", filepath.Join(t.TempDir(), "out"))
	t.Logf("%d pairs: %.1f MB; %d pairs: %.1f MB", few, float64(small)/1e6, many, float64(large)/1e6)
	require.Less(t, large-small, int64(32e6))
}
