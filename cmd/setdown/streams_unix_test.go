//go:build unix

package main

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a shell gives as a file, the output of another command, is a pipe: the second
// opening lost the beginning, and with it the heading and the first steps.
func TestAPipeIsReadLikeAFile(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Zero(t, run(t.Context(), []string{"simulate", "--minutes", "0.5", "--out", "sim"}, strings.NewReader(""), io.Discard, io.Discard))
	text, err := os.ReadFile("sim/left_foot.csv")
	require.NoError(t, err)
	require.NoError(t, syscall.Mkfifo("left_pipe.csv", 0o600))
	var fromFile, fromPipe, e bytes.Buffer
	require.Zero(t, run(t.Context(), []string{"cadence", "sim/left_foot.csv"}, strings.NewReader(""), &fromFile, io.Discard))
	go func() { _ = os.WriteFile("left_pipe.csv", text, 0o600) }()
	require.Zero(t, run(t.Context(), []string{"cadence", "left_pipe.csv"}, strings.NewReader(""), &fromPipe, &e), e.String())
	require.Equal(t, fromFile.String(), fromPipe.String())
}

// Written through, never replaced by a file.
func TestADeviceStaysADevice(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, syscall.Mkfifo("pipe", 0o600))
	got := make(chan string, 1)
	go func() {
		text, _ := os.ReadFile("pipe")
		got <- string(text)
	}()
	require.NoError(t, writeFile("pipe", func(w io.Writer) error { _, err := io.WriteString(w, "x"); return err }))
	require.Equal(t, "x", <-got)
	info, err := os.Stat("pipe")
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeNamedPipe)
}

// A service that is stopped by its system ends as with Ctrl-C.
func TestOneServerACasebookAndTerminatedIsInterrupted(t *testing.T) {
	cmd := exec.Command("setdown", "serve", "--casebook", filepath.Join(t.TempDir(), "cases"))
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Contains(t, line, "Open this page")

	// A second one would remove what is on its way in the first.
	status, _, errOut := call(t, "serve", "--casebook", cmd.Args[3])
	require.Equal(t, exitFailed, status)
	require.Contains(t, errOut, "setdown serve is at work with this casebook already")

	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(t, cmd.Wait())
}
