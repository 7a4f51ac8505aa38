package gait

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// turned returns the track with its raw axes turned by q.
func turned(t *recording.Track, q orient.Quaternion) *recording.Track {
	m := q.Matrix()
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		return t.Read(rs, func(b *recording.Block) error {
			c := cloneBlock(b)
			m.ApplyAll(c.Acc, c.Acc)
			m.ApplyAll(c.Gyr, c.Gyr)
			return yield(c)
		})
	})
}

// on returns the track as one of the given side.
func on(t *recording.Track, side recording.Side) *recording.Track {
	c := *t
	c.Side = side
	return recording.NewTrack(c, t.Read)
}

// mountingTrials are two-foot recordings: the model's running and walking, and an open
// treadmill walk where it is there.
func mountingTrials(t *testing.T) map[string]*recording.Set {
	out := map[string]*recording.Set{}
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := simulate.Defaults(g)
		s.Duration, s.Right.Gain = 45, 0.4
		out[g.String()] = simulate.Run(s).Set()
	}
	dir := openData(t)
	folder := filepath.Join(dir, "treadmill-walk-feet-shins", "preferred")
	set, err := recording.Open(context.Background(), []recording.Source{
		recording.File(filepath.Join(folder, "left_foot.csv"), recording.Left),
		recording.File(filepath.Join(folder, "right_foot.csv"), recording.Right)}, recording.Options{})
	require.NoError(t, err)
	out["open"] = set
	return out
}

func analyzeSet(t *testing.T, tracks ...*recording.Track) *Result {
	res, err := Analyze(t.Context(), &recording.Set{Tracks: tracks}, Settings{Injured: asymmetry.InjuredUnknown, Seed: 1})
	require.NoError(t, err)
	return res
}

// A sensor may sit at any angle: no time may change by more than 0.1 ms and no
// value by more than 0.1 %.
func TestAnyMountingGivesTheSameNumbers(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	for name, set := range mountingTrials(t) {
		want := analyzeSet(t, set.Tracks[0], set.Tracks[1])
		for range 4 {
			q := orient.Quaternion{W: rng.NormFloat64(), X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}.Unit()
			got := analyzeSet(t, turned(set.Tracks[0], q), turned(set.Tracks[1], q.Conj()))
			require.Len(t, got.Steps, len(want.Steps), name)
			for i := range want.Steps {
				sameStep(t, name, &want.Steps[i], &got.Steps[i])
			}
		}
	}
}

func sameStep(t *testing.T, name string, a, b *step.Step) {
	for _, x := range [][2]float64{{a.InitialContact, b.InitialContact}, {a.FootFlat, b.FootFlat}, {a.ToeOff, b.ToeOff}} {
		require.Equal(t, math.IsNaN(x[0]), math.IsNaN(x[1]), "%s step %d", name, a.Number)
		if !math.IsNaN(x[0]) {
			require.InDelta(t, x[0], x[1], 1e-4, "%s step %d", name, a.Number)
		}
	}
	for _, m := range step.Catalogue() {
		v, w := m.Value(a), m.Value(b)
		require.Equal(t, math.IsNaN(v), math.IsNaN(w), "%s step %d: %s", name, a.Number, m.Key)
		if !math.IsNaN(v) {
			require.InDelta(t, v, w, 1e-3*math.Abs(v)+1e-6, "%s step %d: %s", name, a.Number, m.Key)
		}
	}
	require.Equal(t, a.Used, b.Used, "%s step %d", name, a.Number)
}

func TestSwappingSidesMirrorsEveryResult(t *testing.T) {
	for name, set := range mountingTrials(t) {
		l, r := set.Tracks[0], set.Tracks[1]
		a := analyzeSet(t, on(l, recording.Left), on(r, recording.Right))
		b := analyzeSet(t, on(r, recording.Left), on(l, recording.Right))
		for _, m := range step.Catalogue() {
			require.Equal(t, a.Session.Left.Get(m.Key).Estimate.String(), b.Session.Right.Get(m.Key).Estimate.String(), "%s %s", name, m.Key)
			ca, _ := a.Asymmetry.Get(m.Key)
			cb, _ := b.Asymmetry.Get(m.Key)
			require.Equal(t, ca.Verdict, cb.Verdict, "%s %s", name, m.Key)
			if ca.HasInterval {
				require.InDelta(t, ca.Difference.Center, -cb.Difference.Center, 1e-12, "%s %s", name, m.Key)
				require.InDelta(t, ca.Difference.Low, -cb.Difference.High, 1e-9, "%s %s", name, m.Key)
			}
		}
	}
}

// Standing still for a minute makes no step, in the middle of a run or alone.
func TestStandingMakesNoSteps(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 110
	s.Pauses = []simulate.Pause{{At: 25, Length: 60}}
	rec := simulate.Run(s)
	res := analyzeSet(t, rec.Set().Tracks...)
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var truth, found []float64
		for _, x := range rec.Steps() {
			if x.Side == side {
				truth = append(truth, x.InitialContact)
			}
		}
		for _, x := range res.Steps {
			if x.Side == side {
				found = append(found, x.InitialContact)
			}
		}
		m := event.Match(truth, found, 0.1)
		require.Empty(t, m.Extra, "steps invented on the %s", side)
		require.LessOrEqual(t, len(m.Missed), len(truth)/100)
	}
}

func TestStandingAloneIsAnErrorThatSaysSo(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration, s.StandBefore, s.StandAfter = 60, 30, 30
	_, err := Analyze(t.Context(), simulate.Run(s).Set(), Settings{})
	require.ErrorContains(t, err, "no steps found")
	var data *recording.Error
	require.ErrorAs(t, err, &data)
	require.NotEmpty(t, data.Hint)
}

func TestStepsThatDoNotLandHeelFirstHaveEmptyLowering(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 40
	s.Left.StrikeAngle, s.Right.StrikeAngle = -5*math.Pi/180, 0
	res := analyzeSet(t, simulate.Run(s).Set().Tracks...)
	others := 0
	for i := range res.Steps {
		x := &res.Steps[i]
		if x.HeelFirst == step.True {
			continue
		}
		others++
		for _, m := range step.Catalogue() {
			if m.Lowering {
				require.True(t, math.IsNaN(m.Value(x)), "%s of a step that does not land heel first", m.Key)
			}
		}
	}
	require.Greater(t, others, 50)
}
