package trial_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/trial"
	"setdown/signal/recording"
)

func TestTheBytesDoNotDependOnTheWorkers(t *testing.T) {
	dir := pairs(t, 4)
	one, outcome := batch(t, dir, trial.Options{Workers: 1})
	require.Equal(t, trial.Outcome{Total: 4, Done: 4}, outcome)
	four, _ := batch(t, dir, trial.Options{Workers: 4})
	sameTree(t, one, four)
}

func TestWorkThatHoldsIsNotDoneAgain(t *testing.T) {
	dir := pairs(t, 3)
	out, _ := batch(t, dir, trial.Options{})
	before := tree(t, out)

	kept, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out})
	require.NoError(t, err)
	require.Equal(t, 3, kept.Kept)

	put(t, dir, "p2_left.csv", simulated(t, 9, recording.Left))
	var redone []string
	_, err = trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out, Observe: func(e trial.Event) {
		if !e.Kept {
			redone = append(redone, e.Item.ID)
		}
	}})
	require.NoError(t, err)
	require.Equal(t, []string{"sub-p2"}, redone)

	put(t, dir, "p2_left.csv", simulated(t, 2, recording.Left))
	back, _ := batch(t, dir, trial.Options{Out: out})
	require.Equal(t, before, tree(t, back))

	other := settings
	other.Seed = 2
	again, err := trial.Run(context.Background(), find(t, dir), other, trial.Options{Out: out})
	require.NoError(t, err)
	require.Zero(t, again.Kept)
}

func TestDamagedResultsAreMadeAgain(t *testing.T) {
	dir := pairs(t, 2)
	out, _ := batch(t, dir, trial.Options{})
	before := tree(t, out)
	put(t, out, "recordings/sub-p1/steps.csv", []byte("cut"))
	put(t, out, "recordings/.setdown-killed/sub-p1/steps.csv", []byte("cut"))
	require.NoError(t, os.Remove(filepath.Join(out, "recordings", "sub-p2", "record.json")))
	batch(t, dir, trial.Options{Out: out})
	require.Equal(t, before, tree(t, out))
}

// A damaged number that leaves the size as it was is found when the tables are
// made: the fault is named once, and the earlier tables stay.
func TestADamagedNumberLeavesTheEarlierTables(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	require.NoError(t, os.CopyFS(out, os.DirFS(twoPairs(t))))
	steps := filepath.Join(out, "recordings", "sub-p1", "steps.csv")
	text, err := os.ReadFile(steps)
	require.NoError(t, err)
	lines := strings.Split(string(text), "\n")
	for _, at := range []int{1, 20} {
		damaged := slices.Clone(lines)
		number := strings.Index(damaged[at], ",") + 1
		damaged[at] = damaged[at][:number] + "x" + damaged[at][number+1:]
		require.NoError(t, os.WriteFile(steps, []byte(strings.Join(damaged, "\n")), 0o644))
		before := tree(t, out)
		_, err := trial.Assemble(t.Context(), out)
		require.ErrorContains(t, err, "table steps, column step")
		require.NotContains(t, err.Error(), "\n", "one fault")
		require.Equal(t, before, tree(t, out))
	}
}

func TestRecordingsThatAreGoneLeaveTheTables(t *testing.T) {
	dir := pairs(t, 3)
	out, _ := batch(t, dir, trial.Options{})
	for _, side := range []string{"left", "right"} {
		require.NoError(t, os.Remove(filepath.Join(dir, "p3_"+side+".csv")))
	}
	batch(t, dir, trial.Options{Out: out})
	fresh, _ := batch(t, dir, trial.Options{})
	sameTree(t, fresh, out)
}

func TestStoppedWorkGoesOnWhereItWas(t *testing.T) {
	dir := pairs(t, 4)
	want, _ := batch(t, dir, trial.Options{})
	ctx, cancel := context.WithCancel(context.Background())
	out := filepath.Join(t.TempDir(), "out")
	_, err := trial.Run(ctx, find(t, dir), settings, trial.Options{Out: out, Workers: 1, Observe: func(trial.Event) { cancel() }})
	require.ErrorIs(t, err, context.Canceled)
	outcome, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out})
	require.NoError(t, err)
	require.Positive(t, outcome.Kept)
	batch(t, dir, trial.Options{Out: out})
	sameTree(t, want, out)
}

func TestPartsJoinToTheSameBytes(t *testing.T) {
	dir := pairs(t, 5)
	want, _ := batch(t, dir, trial.Options{})
	out := filepath.Join(t.TempDir(), "out")
	for _, k := range []int{3, 1, 2} {
		_, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out, Share: trial.Share{Part: k, Of: 3}})
		require.NoError(t, err)
	}
	outcome, notes, err := trial.Merge(context.Background(), out)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Equal(t, 5, outcome.Done)
	sameTree(t, want, out)
}

func TestLostAndRepeatedPartsAreNamed(t *testing.T) {
	dir := pairs(t, 5)
	out := filepath.Join(t.TempDir(), "out")
	part := func(k int, task string) {
		_, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out, Share: trial.Share{Part: k, Of: 3, Task: task}})
		require.NoError(t, err)
	}
	part(1, "Slurm task 8_1")
	part(1, "Slurm task 9_1")
	// A part that is stopped before it has begun any work.
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := trial.Run(ctx, find(t, dir), settings, trial.Options{Out: out, Share: trial.Share{Part: 2, Of: 3, Task: "Slurm task 8_2"}})
	require.ErrorIs(t, err, context.Canceled)

	_, notes, err := trial.Merge(context.Background(), out)
	var lost *trial.LostError
	require.ErrorAs(t, err, &lost)
	require.Equal(t, []string{"sub-p2", "sub-p3", "sub-p5"}, lost.Missing)
	require.Equal(t, []string{
		"part 2 of 3 (Slurm task 8_2) was begun and not finished: 2 recordings; do it again with --part 2/3",
		"part 3 of 3 was never begun: 1 recordings; do it with --part 3/3"}, lost.Parts)
	require.Equal(t, []string{"part 1 of 3 (Slurm task 8_1, Slurm task 9_1) was done 2 times; the results are the same"}, notes)
	require.NoFileExists(t, filepath.Join(out, "steps.csv"))

	part(2, "")
	part(3, "")
	_, _, err = trial.Merge(context.Background(), out)
	require.NoError(t, err)
	want, _ := batch(t, dir, trial.Options{})
	sameTree(t, want, out)
}

func TestPartsOfDifferentTrialsDoNotMix(t *testing.T) {
	dir := pairs(t, 2)
	out := filepath.Join(t.TempDir(), "out")
	_, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: out, Share: trial.Share{Part: 1, Of: 2}})
	require.NoError(t, err)
	other := settings
	other.Seed = 3
	_, err = trial.Run(context.Background(), find(t, dir), other, trial.Options{Out: out, Share: trial.Share{Part: 2, Of: 2}})
	require.ErrorContains(t, err, "other recordings or settings")
}

func TestOutputFoldersAreGuarded(t *testing.T) {
	dir := pairs(t, 1)
	plan := find(t, dir)
	foreign := t.TempDir()
	put(t, foreign, "thesis.txt", nil)
	_, err := trial.Run(context.Background(), plan, settings, trial.Options{Out: foreign})
	require.ErrorIs(t, err, trial.ErrForeign)
	for _, out := range []string{dir, filepath.Dir(dir)} {
		_, err = trial.Run(context.Background(), plan, settings, trial.Options{Out: out, Force: true})
		require.ErrorContains(t, err, "must not be the folder of the recordings")
	}
	inside := filepath.Join(dir, "out")
	first, err := trial.Find(dir, trial.FindOptions{Skip: []string{inside}})
	require.NoError(t, err)
	_, err = trial.Run(context.Background(), first, settings, trial.Options{Out: inside})
	require.NoError(t, err)
	second, err := trial.Find(dir, trial.FindOptions{Skip: []string{inside}})
	require.NoError(t, err)
	require.Equal(t, first.Items, second.Items)
}

// Every kind of damage that ends the reading of a file.
func TestBrokenFilesDoNotEndATrialNorChangeTheOthers(t *testing.T) {
	dir := pairs(t, 4)
	good, _ := batch(t, dir, trial.Options{})
	whole := string(simulated(t, 1, recording.Left))
	lines := strings.SplitAfter(whole, "\n")
	broken := map[string]string{
		"empty":   "",
		"text":    "dear diary\n",
		"binary":  "PK\x03\x04" + strings.Repeat("\x00\xff", 300),
		"headed":  lines[0],
		"short":   strings.Join(lines[:20], ""),
		"letters": lines[0] + strings.Repeat("a,b,c,d,e,f,g\n", 50),
	}
	for name, text := range broken {
		put(t, dir, "x"+name+"_left.csv", []byte(text))
		put(t, dir, "x"+name+"_right.csv", simulated(t, 3, recording.Right))
	}
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "xlink_left.csv")))
	out, outcome := batch(t, dir, trial.Options{})
	require.Equal(t, len(broken)+1, outcome.Failed)
	require.Equal(t, 4, outcome.Done)
	have, want := tree(t, out), tree(t, good)
	for name, text := range want {
		if strings.HasPrefix(name, "recordings/") {
			require.Equal(t, text, have[name], name)
		}
	}
	remarks := rows(t, out, "remarks")
	for name := range broken {
		require.Condition(t, func() bool {
			for _, r := range remarks {
				if r["recording"] == "sub-x"+name && r["level"] == "failed" && r["text"] != "" && r["file"] == "x"+name+"_left.csv" {
					return true
				}
			}
			return false
		}, name)
	}
}
