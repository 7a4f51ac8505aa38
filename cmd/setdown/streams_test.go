package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// broken is an output that takes nothing.
type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestAnAnswerThatCannotBePrintedIsAFailure(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Zero(t, run(t.Context(), []string{"simulate", "--minutes", "0.3", "--out", "sim"}, strings.NewReader(""), io.Discard, io.Discard))
	for _, args := range [][]string{
		{"--help"}, {"--version"}, {"inspect", "sim/left_foot.csv"}, {"cadence", "sim/left_foot.csv"},
		{"analyze", "sim/left_foot.csv", "--out", "report"}, {"batch", "sim", "--out", "results"},
		{"case", "--casebook", "cases", "new", "wren"}, {"case", "--casebook", "cases", "list"}, {"case", "--casebook", "cases", "review", "wren"},
	} {
		var e bytes.Buffer
		require.Equal(t, exitFailed, run(t.Context(), args, strings.NewReader(""), broken{}, &e), args)
		require.Contains(t, e.String(), "no room", args)
	}
}

// An interrupt ends the program also while it waits for what nobody sends.
func TestWaitingForStandardInputCanBeInterrupted(t *testing.T) {
	in, hold := io.Pipe()
	defer hold.Close()
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		_, _ = hold.Write([]byte("time_s,acc_x_g\n")) // taken by the program: it waits for more
		cancel()
	}()
	require.Equal(t, exitInterrupted, run(ctx, []string{"inspect", "-"}, in, io.Discard, io.Discard))
}

func TestAllOfStandardInputIsRead(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Zero(t, run(t.Context(), []string{"simulate", "--minutes", "0.5", "--out", "sim"}, strings.NewReader(""), io.Discard, io.Discard))
	text, err := os.ReadFile("sim/left_foot.csv")
	require.NoError(t, err)
	require.Greater(t, len(text), 2*streamPart)
	var fromFile, fromInput bytes.Buffer
	require.Zero(t, run(t.Context(), []string{"cadence", "sim/left_foot.csv"}, strings.NewReader(""), &fromFile, io.Discard))
	require.Zero(t, run(t.Context(), []string{"cadence", "-"}, bytes.NewReader(text), &fromInput, io.Discard))
	require.Equal(t, fromFile.String(), fromInput.String())
}
