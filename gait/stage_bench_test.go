package gait

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// stage is ten minutes of one running foot, whole, and what the stages before
// made of it.
type stage struct {
	tracks []*recording.Track
	block  recording.Block
	rate   float64
	align  orient.Alignment
	usual  event.Swings
	steps  []step.Step
}

func newStage(tb testing.TB) *stage {
	set := simulate.Defaults(event.Running)
	set.Duration, set.Right.Gain = 600, 0.5
	s := &stage{tracks: simulate.Run(set).Set().Tracks}
	t := s.tracks[0]
	s.rate = t.Rate
	_, err := t.Read(&remark.List{}, func(b *recording.Block) error {
		for k := range 3 {
			s.block.Acc[k] = append(s.block.Acc[k], b.Acc[k]...)
			s.block.Gyr[k] = append(s.block.Gyr[k], b.Gyr[k]...)
		}
		s.block.Void = append(s.block.Void, b.Void...)
		return nil
	})
	require.NoError(tb, err)
	acc, gyr := s.first()
	s.align, err = orient.Align(orient.FootPart, s.rate, acc, gyr, &orient.Room{})
	require.NoError(tb, err)
	s.usual = event.Swings{Angle: 1, Fastest: 8, N: 1}
	res, err := Analyze(context.Background(), &recording.Set{Tracks: s.tracks}, Settings{Seed: 1})
	require.NoError(tb, err)
	s.steps = res.Steps
	return s
}

// first is what alignment is decided on.
func (s *stage) first() (acc, gyr [3][]float64) {
	n := int(decideMovement * s.rate)
	for k := range 3 {
		acc[k], gyr[k] = s.block.Acc[k][:n], s.block.Gyr[k][:n]
	}
	return acc, gyr
}

// replay hands the foot out in blocks as the reader does.
func (s *stage) replay(use func(*recording.Block)) {
	for b := s.block; b.Len() > 0; {
		part, rest := split(&b, min(b.Len(), recording.BlockLen))
		use(&part)
		b = rest
	}
}

// BenchmarkStage times each stage behind the reader on ten minutes at 200 Hz
// (one foot, or both for the numbers) and counts its allocations: none may grow
// with the samples.
func BenchmarkStage(b *testing.B) {
	s := newStage(b)
	acc, gyr := s.first()
	cfg := estimate.Config{Seed: 1}
	run := func(name string, f func()) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f()
			}
		})
	}
	run("align", func() { _, _ = orient.Align(orient.FootPart, s.rate, acc, gyr, &orient.Room{}) })
	run("windows", func() {
		d := event.NewDetector(s.align, s.rate, s.usual, func(*event.Window) {})
		s.replay(d.Push)
		d.Flush()
	})
	run("events and steps", func() {
		var pitch []float64
		d := event.NewDetector(s.align, s.rate, s.usual, func(w *event.Window) {
			c := event.Find(w, event.DefaultLandings(), pitch)
			pitch = c.Pitch
			step.Measure(w, &c, recording.Left, step.Limits{Lowering: true}, false)
		})
		s.replay(d.Push)
		d.Flush()
	})
	run("summaries", func() { session.Summarise(s.steps, cfg) })
	sum := session.Summarise(s.steps, cfg)
	compare := asymmetry.Settings{Estimate: cfg, SameRecording: true}
	run("asymmetry", func() { asymmetry.Within(asymmetry.Compare(sum, s.steps, compare), s.steps, compare) })
	run("recording in memory, whole analysis", func() {
		_, _ = Analyze(context.Background(), &recording.Set{Tracks: s.tracks}, Settings{Seed: 1})
	})
}

// A stage that allocates for each sample would show here: ten minutes have
// 120 000 samples and about 800 steps.
func TestNoStageAllocatesPerSample(t *testing.T) {
	if testing.Short() {
		t.Skip("ten minutes take their time under the race detector, which allocates too")
	}
	s := newStage(t)
	acc, gyr := s.first()
	const few = 300
	require.Less(t, testing.AllocsPerRun(1, func() { _, _ = orient.Align(orient.FootPart, s.rate, acc, gyr, &orient.Room{}) }), float64(few), "alignment")
	require.Less(t, testing.AllocsPerRun(1, func() {
		d := event.NewDetector(s.align, s.rate, s.usual, func(*event.Window) {})
		s.replay(d.Push)
		d.Flush()
	}), float64(len(s.steps)+few), "windows: one for each contact")
}
