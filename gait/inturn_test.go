package gait

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// compared tells whether the sides of a result were compared.
func compared(res *Result) bool { return res.Together.Comparable }

// Both feet of an open walk step in turn; the left foot of one walk and the right of
// another do not, though both files begin at 0 s.
func TestFeetOfTwoWalksAreNotCompared(t *testing.T) {
	dirs, err := filepath.Glob(filepath.Join(openData(t), "*-walk-feet-*", "*"))
	require.NoError(t, err)
	require.Len(t, dirs, 8)
	open := func(left, right string) *Result {
		set, err := recording.Open(t.Context(), []recording.Source{
			recording.File(filepath.Join(left, "left_foot.csv"), recording.Left),
			recording.File(filepath.Join(right, "right_foot.csv"), recording.Right)}, recording.Options{})
		require.NoError(t, err)
		return analyzeSet(t, set.Tracks...)
	}
	for _, dir := range dirs {
		require.True(t, compared(open(dir, dir)), dir)
	}
	slow, preferred := dirs[7], dirs[6]
	for _, res := range []*Result{open(slow, preferred), open(preferred, slow)} {
		require.False(t, compared(res))
		require.Equal(t, notInTurn, res.Together.Because)
		c, ok := res.Asymmetry.Get(step.Primary)
		require.True(t, ok)
		require.Equal(t, asymmetry.CannotTell, c.Verdict)
	}
}

// Two runs of one person, two minutes each, at step rates a fiftieth apart: so near can
// a runner hardly keep to one without a metronome. Runs made at once are compared, all;
// of the others nine in ten are not.
func TestFeetOfTwoRunsAreNotCompared(t *testing.T) {
	type verdicts struct{ same, apart bool }
	n, missed := effort(60, 8, 3), 0
	for i, got := range parallel(n, func(i int) verdicts {
		s := simulate.Draw(uint64(drawnSeed + i))
		s.Duration = 120
		first := simulate.Run(s.CleanClocks()).Set()
		s.Seed += 1000
		s.Cadence *= 1.02
		second := simulate.Run(s.CleanClocks()).Set()
		return verdicts{compared(analyzeSet(t, first.Tracks...)), compared(analyzeSet(t, first.Tracks[0], second.Tracks[1]))}
	}) {
		require.True(t, got.same, "seed %d", drawnSeed+i)
		if got.apart {
			missed++
		}
	}
	t.Logf("%d of %d pairs of two runs were taken for one", missed, n)
	require.LessOrEqual(t, 10*missed, n)
}
