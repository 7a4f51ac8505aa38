package trial_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/trial"
)

func TestTwoBatchesInOneFolderDoNotMix(t *testing.T) {
	dir := pairs(t, 2)
	want, _ := batch(t, dir, trial.Options{})
	plan := find(t, dir)
	out := filepath.Join(t.TempDir(), "out")
	asked := 0
	_, err := trial.Run(t.Context(), plan, settings, trial.Options{Out: out, Workers: 1, Observe: func(trial.Event) {
		asked++
		_, err := trial.Run(t.Context(), plan, settings, trial.Options{Out: out, Force: true})
		require.EqualError(t, err, out+": another batch is working in this folder")
		require.ErrorIs(t, err, trial.ErrBusy)
		_, err = trial.Run(t.Context(), plan, settings, trial.Options{Out: out, Share: trial.Share{Part: 1, Of: 2}})
		require.ErrorIs(t, err, trial.ErrBusy)
		_, err = trial.Assemble(t.Context(), out)
		require.ErrorIs(t, err, trial.ErrBusy)
		_, _, err = trial.Merge(t.Context(), out)
		require.ErrorIs(t, err, trial.ErrBusy)
	}})
	require.NoError(t, err)
	require.Equal(t, 2, asked)
	batch(t, dir, trial.Options{Out: out})
	sameTree(t, want, out)
}

func TestPartsOfOneTrialWorkSideBySide(t *testing.T) {
	dir := pairs(t, 2)
	want, _ := batch(t, dir, trial.Options{})
	plan := find(t, dir)
	out := filepath.Join(t.TempDir(), "out")
	part := func(k int) trial.Share { return trial.Share{Part: k, Of: 2} }
	_, err := trial.Run(t.Context(), plan, settings, trial.Options{Out: out, Share: part(1), Observe: func(trial.Event) {
		_, err := trial.Run(t.Context(), plan, settings, trial.Options{Out: out, Share: part(2)})
		require.NoError(t, err)
		_, err = trial.Run(t.Context(), plan, settings, trial.Options{Out: out})
		require.ErrorIs(t, err, trial.ErrBusy)
		_, _, err = trial.Merge(t.Context(), out)
		require.ErrorIs(t, err, trial.ErrBusy)
	}})
	require.NoError(t, err)
	_, _, err = trial.Merge(context.Background(), out)
	require.NoError(t, err)
	sameTree(t, want, out)
}

func TestLockOfAKilledBatchHoldsNobodyUp(t *testing.T) {
	dir := pairs(t, 1)
	want, _ := batch(t, dir, trial.Options{})
	out := filepath.Join(t.TempDir(), "out")
	put(t, out, ".setdown-lock", nil)
	batch(t, dir, trial.Options{Out: out})
	sameTree(t, want, out)
}
