package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"setdown": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: filepath.Join("testdata", "script"), RequireExplicitExec: true,
		UpdateScripts: os.Getenv("SETDOWN_UPDATE") != ""})
}

// call runs the program in this process.
func call(t *testing.T, args ...string) (status int, out, errOut string) {
	var o, e bytes.Buffer
	status = run(t.Context(), args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

func TestEveryCommandHasHelpWithItsExitStatus(t *testing.T) {
	c := &console{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}}
	for _, cmd := range newRootCommand(c).Commands() {
		if cmd.Name() == "help" || cmd.Name() == "completion" {
			continue
		}
		status, out, errOut := call(t, cmd.Name(), "--help")
		require.Equal(t, exitDone, status, cmd.Name())
		require.Empty(t, errOut)
		require.Contains(t, out, "Usage:", cmd.Name())
		if !cmd.HasSubCommands() {
			require.Contains(t, strings.Join(strings.Fields(out), " "), "Exit status: 0 done, 1 failed", cmd.Name())
		}
	}
}

func TestInterruptedWorkHasItsOwnStatus(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var o, e bytes.Buffer
	t.Chdir(t.TempDir())
	status := run(ctx, []string{"demo"}, strings.NewReader(""), &o, &e)
	require.Equal(t, exitInterrupted, status)
}

// commandBlock finds the lines of fenced sh blocks.
var commandBlock = regexp.MustCompile("(?s)```sh\n(.*?)```")

// TestReadmeCommandsRun runs the command blocks of the README in order, each
// line as it stands, in one empty folder. "go run ./cmd/setdown" is replaced by
// the built program and "go test ./..." is left to the one who reads this.
func TestReadmeCommandsRun(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	program := filepath.Join(t.TempDir(), "setdown")
	build := exec.CommandContext(t.Context(), "go", "build", "-o", program, ".")
	text, err := build.CombinedOutput()
	require.NoError(t, err, string(text))
	dir := t.TempDir()
	ran := 0
	for _, block := range commandBlock.FindAllSubmatch(readme, -1) {
		for line := range strings.SplitSeq(strings.TrimSpace(string(block[1])), "\n") {
			line, _, _ = strings.Cut(line, " #")
			words := strings.Fields(strings.Replace(line, "go run ./cmd/setdown", "setdown", 1))
			if len(words) == 0 || words[0] == "go" {
				continue
			}
			require.Equal(t, "setdown", words[0], "README has a command that this test cannot run: %s", line)
			cmd := exec.CommandContext(t.Context(), program, words[1:]...)
			cmd.Dir = dir
			out, err := cmd.CombinedOutput()
			require.NoError(t, err, "%s\n%s", line, out)
			ran++
		}
	}
	require.GreaterOrEqual(t, ran, 2)
}
