package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// simulated turns one foot of a simulated run into plain samples.
func simulated(t *testing.T, rec *simulate.Recording, side recording.Side) dialects.Samples {
	s := dialects.Samples{Rate: 200}
	_, err := rec.Track(side, recording.Foot).Read(&remark.List{}, func(b *recording.Block) error {
		for k := range 3 {
			s.Acc[k] = append(s.Acc[k], b.Acc[k]...)
			s.Gyr[k] = append(s.Gyr[k], b.Gyr[k]...)
		}
		return nil
	})
	require.NoError(t, err)
	return s
}

// Every dialect and shape of the corpus, read without a flag, gives the plain
// file's steps: times within 1 ms, values within 1 %.
func TestEveryDialectGivesThePlainSteps(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration, s.StandBefore, s.StandAfter, s.Right.Gain = 16, 2, 2, 0.4
	rec := simulate.Run(s)
	left, right := simulated(t, rec, recording.Left), simulated(t, rec, recording.Right)
	table := dialects.Table()
	var plain *Result
	read := 0
	for i, d := range table {
		if d.NoGyro || testing.Short() && i%6 > 0 {
			continue
		}
		set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
		require.NoError(t, err, d.Name)
		if set.Tracks[0].Site != recording.Foot && set.Tracks[0].Site != recording.SiteUnknown {
			continue // a heading that names another place is believed
		}
		read++
		res, err := Analyze(t.Context(), set, Settings{Seed: 1})
		require.NoError(t, err, d.Name)
		if plain == nil {
			require.Zero(t, d.Start, "the first row of the table must be the plain file")
			require.Greater(t, len(res.Steps), 25)
			plain = res
			continue
		}
		sameSteps(t, d, plain.Steps, res.Steps)
	}
	if !testing.Short() {
		require.GreaterOrEqual(t, read, 60)
	}
}

func sameSteps(t *testing.T, d dialects.Dialect, want, got []step.Step) {
	require.Equal(t, len(want), len(got), d.Name)
	shift := math.Max(1e-3, d.MaxShift)
	for i := range want {
		a, b := &want[i], &got[i]
		require.Equal(t, a.Side, b.Side, "%s: step %d", d.Name, i)
		for _, x := range [][2]float64{{a.InitialContact, b.InitialContact}, {a.FootFlat, b.FootFlat}, {a.ToeOff, b.ToeOff}} {
			require.Equal(t, math.IsNaN(x[0]), math.IsNaN(x[1]), "%s: step %d", d.Name, i)
			if !math.IsNaN(x[0]) {
				require.InDelta(t, x[0], x[1]-d.Start, shift, "%s: step %d", d.Name, i)
			}
		}
		for _, m := range step.Catalogue() {
			v, w := m.Value(a), m.Value(b)
			if !math.IsNaN(v) && m.Unit.Symbol != "s" && m.Unit.Symbol != "ms" {
				require.InDelta(t, v, w, 0.01*math.Abs(v)+0.01*m.Unit.Factor, "%s: step %d: %s", d.Name, i, m.Key)
			}
		}
	}
}
