package trial_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report/trial"
	"setdown/signal/recording"
)

// made keeps the text of simulated files, since a simulation costs more than a
// copy: side by seed.
var made sync.Map

// simulated returns one foot's file of a short run by the person of a seed.
func simulated(t *testing.T, seed uint64, side recording.Side) []byte {
	t.Helper()
	key := fmt.Sprint(seed, side)
	if text, ok := made.Load(key); ok {
		return text.([]byte)
	}
	s := simulate.Defaults(event.Running)
	s.Seed, s.Duration, s.StandBefore, s.StandAfter = seed, 25, 2, 2
	s.Right.Gain = 0.3 + 0.1*float64(seed%7)
	var b writer
	require.NoError(t, simulate.Run(s).WriteCSV(&b, side, recording.Foot, simulate.Everyday))
	made.Store(key, []byte(b))
	return b
}

type writer []byte

func (w *writer) Write(p []byte) (int, error) { *w = append(*w, p...); return len(p), nil }

// pairs makes a folder with n pairs of feet, p1_left.csv, p1_right.csv, ….
func pairs(t *testing.T, n int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "trial")
	for i := 1; i <= n; i++ {
		put(t, dir, fmt.Sprintf("p%d_left.csv", i), simulated(t, uint64(i), recording.Left))
		put(t, dir, fmt.Sprintf("p%d_right.csv", i), simulated(t, uint64(i), recording.Right))
	}
	return dir
}

func put(t *testing.T, dir, name string, text []byte) {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, text, 0o666))
}

// settings of the tests.
var settings = trial.Settings{Version: "test", Seed: 1}

// find finds and requires that something was found.
func find(t *testing.T, dir string) *trial.Plan {
	t.Helper()
	p, err := trial.Find(dir, trial.FindOptions{})
	require.NoError(t, err)
	return p
}

// batch runs a whole trial into a new folder.
func batch(t *testing.T, dir string, opt trial.Options) (string, trial.Outcome) {
	t.Helper()
	if opt.Out == "" {
		opt.Out = filepath.Join(t.TempDir(), "out")
	}
	_, err := trial.Run(context.Background(), find(t, dir), settings, opt)
	require.NoError(t, err)
	outcome, err := trial.Assemble(context.Background(), opt.Out)
	require.NoError(t, err)
	return opt.Out, outcome
}

// two keeps the output folder of a trial of two pairs that tests only read.
var two struct {
	sync.Once
	out string
}

// twoPairs returns the output folder of a trial of two pairs.
func twoPairs(t *testing.T) string {
	t.Helper()
	two.Do(func() {
		out, _ := batch(t, pairs(t, 2), trial.Options{})
		kept, err := os.MkdirTemp(keep, "two")
		require.NoError(t, err)
		require.NoError(t, os.CopyFS(kept, os.DirFS(out)))
		two.out = kept
	})
	require.NotEmpty(t, two.out)
	return two.out
}

// keep is a folder that lasts as long as the tests.
var keep string

func TestMain(m *testing.M) {
	var err error
	if keep, err = os.MkdirTemp("", "trial"); err != nil {
		panic(err)
	}
	status := m.Run()
	os.RemoveAll(keep)
	os.Exit(status)
}

// tree reads every file below a folder.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(rel)] = string(text)
		return err
	}))
	return out
}

// sameTree requires that two folders hold the same files with the same bytes.
func sameTree(t *testing.T, want, got string) {
	t.Helper()
	w, g := tree(t, want), tree(t, got)
	for name := range w {
		require.Contains(t, g, name)
		require.True(t, w[name] == g[name], "%s differs", name)
	}
	for name := range g {
		require.Contains(t, w, name)
	}
}
