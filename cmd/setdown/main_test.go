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

// commandBlock finds the lines of fenced sh blocks, searchPath the line that adds
// the folder of installed programs to the search path.
var (
	commandBlock = regexp.MustCompile("(?s)```sh\n(.*?)```")
	searchPath   = regexp.MustCompile(`(?m)^export PATH=.*$`)
)

// goCommand runs the go command as in the project's folder, with a GOPATH of its
// own but the modules that are there.
func goCommand(t *testing.T, gopath string, args ...string) {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "go", args...)
	cmd.Dir, cmd.Env = filepath.Join("..", ".."), installed(t, gopath)
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
}

// installed is the surroundings of someone whose programs go below gopath, and
// who has no setdown yet.
func installed(t *testing.T, gopath string) []string {
	t.Helper()
	modules, err := exec.CommandContext(t.Context(), "go", "env", "GOMODCACHE").Output()
	require.NoError(t, err)
	return append(os.Environ(), "GOPATH="+gopath, "GOBIN=", "GOMODCACHE="+strings.TrimSpace(string(modules)))
}

// TestReadmeCommandsRun types the command blocks of the README in order, each line
// as it stands, in one empty folder, into a shell that finds setdown as the README
// says. "go run ./cmd/setdown" is replaced by the installed program and
// "go test ./..." is left to the one who reads this.
func TestReadmeCommandsRun(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no sh here")
	}
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	path := searchPath.Find(readme)
	require.NotEmpty(t, path)
	const install = "go install ./cmd/setdown"
	dir, gopath, told, ran := t.TempDir(), t.TempDir(), false, 0
	goCommand(t, gopath, strings.Fields(install)[1:]...)
	for _, block := range commandBlock.FindAllSubmatch(readme, -1) {
		for line := range strings.SplitSeq(strings.TrimSpace(string(block[1])), "\n") {
			typed := strings.Replace(line, "go run ./cmd/setdown", "setdown", 1)
			told = told || line == install
			if line == "" || strings.HasPrefix(typed, "go ") {
				continue
			}
			require.Equal(t, "setdown", strings.Fields(typed)[0], "README has a command that this test cannot run: %s", line)
			require.True(t, told || typed != line, "typed before it is said how to install: %s", line)
			require.NotContains(t, line, "'", "the Windows command prompt takes these quotation marks for letters")
			cmd := exec.CommandContext(t.Context(), shell, "-c", string(path)+"\n"+typed)
			cmd.Dir, cmd.Env = dir, installed(t, gopath)
			out, err := cmd.CombinedOutput()
			require.NoError(t, err, "%s\n%s", line, out)
			ran++
		}
	}
	require.GreaterOrEqual(t, ran, 2)
}
