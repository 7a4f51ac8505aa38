package gait

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// turnedFrom returns the track with its sensor turned by q from a time, s, on.
func turnedFrom(t *recording.Track, q orient.Quaternion, from float64) *recording.Track {
	m := q.Matrix()
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		return t.Read(rs, func(b *recording.Block) error {
			c := cloneBlock(b)
			at := min(max(0, int((from-b.Start)*t.Rate)-b.First), b.Len())
			var acc, gyr [3][]float64
			for k := range 3 {
				acc[k], gyr[k] = c.Acc[k][at:], c.Gyr[k][at:]
			}
			m.ApplyAll(acc, acc)
			m.ApplyAll(gyr, gyr)
			return yield(c)
		})
	})
}

// about turns by an angle, rad, about an axis of the foot, whose sensor sits as a says.
func about(a orient.Alignment, axis [3]float64, angle float64) orient.Quaternion {
	v := a.ToSegment.Transposed().Apply(axis)
	s := math.Sin(angle / 2)
	return orient.Quaternion{W: math.Cos(angle / 2), X: s * v[0], Y: s * v[1], Z: s * v[2]}
}

func coded(res *Result, code string) (out []remark.Remark) {
	for _, r := range res.Remarks {
		if r.Code == code {
			out = append(out, r)
		}
	}
	return out
}

// usedAfter counts the used steps of a side after a time, s.
func usedAfter(res *Result, side recording.Side, from float64) (n int) {
	for i := range res.Steps {
		if s := &res.Steps[i]; s.Side == side && s.Used && s.InitialContact > from {
			n++
		}
	}
	return n
}

// A sensor that turns on the shoe measures about another axis from then on: those steps
// are left out, the reader is told when and by how much, and no other step is touched.
// That the angle is right is checked against the angle by which the model's sensor was
// turned.
func TestStepsOfASensorThatHasTurnedAreLeftOut(t *testing.T) {
	const duration, from, afterwards = 190, 150.0, 3.0 // s
	type outcome struct {
		untouched, used int
		told            []remark.Remark
		angle           float64
		err             error
	}
	n := effort(200, 10, 4)
	for i, got := range parallel(n, func(i int) outcome {
		s := simulate.Draw(uint64(drawnSeed + i))
		s.Duration = duration
		set := simulate.Run(s.CleanClocks()).Set()
		right := set.Tracks[1]
		a := mounting(t, right)
		degrees := []float64{20, 30, 40}[i%3]
		axis := [][3]float64{{0, 0, 1}, {1, 0, 0}}[i%2]
		before, err := Analyze(t.Context(), set, Settings{Seed: 1})
		if err != nil {
			return outcome{err: err}
		}
		set.Tracks[1] = turnedFrom(right, about(a, axis, degrees*math.Pi/180), from)
		after, err := Analyze(t.Context(), set, Settings{Seed: 1})
		if err != nil {
			return outcome{err: err}
		}
		return outcome{len(coded(before, SensorTurned)) + len(coded(before, FootSilent)), usedAfter(after, recording.Right, from+afterwards), coded(after, SensorTurned), degrees, nil}
	}) {
		seed := drawnSeed + i
		require.NoError(t, got.err, "seed %d", seed)
		require.Zero(t, got.untouched, "seed %d: nothing had turned", seed)
		require.NotEmpty(t, got.told, "seed %d, by %g degrees", seed, got.angle)
		require.InDelta(t, from, got.told[0].Place.Time, afterwards, "seed %d", seed)
		require.LessOrEqual(t, got.used, 1, "seed %d, by %g degrees", seed, got.angle)
	}
}

// A sensor that turns in the minutes from which its mounting is found leaves a mounting
// that is neither of both: the foot's lowering is withheld, not half right.
func TestASensorThatTurnsWhileItsMountingIsFoundGivesNoLowering(t *testing.T) {
	for i, told := range parallel(effort(60, 12, 4), func(i int) bool {
		s := simulate.Draw(uint64(drawnSeed + i))
		set := simulate.Run(s.CleanClocks()).Set()
		axis := [][3]float64{{0, 0, 1}, {1, 0, 0}}[i%2]
		track := turnedFrom(set.Tracks[0], about(mounting(t, set.Tracks[0]), axis, 25*math.Pi/180), []float64{30, 45, 60}[i%3])
		res := analyzeSet(t, track)
		why := ""
		for _, w := range res.Withheld {
			why += w.Why
		}
		return len(coded(res, SensorTurned)) == 1 && len(lowered(res)) == 0 && strings.Contains(why, step.TurnedEarly)
	}) {
		require.True(t, told, "seed %d", drawnSeed+i)
	}
}

// Open walks, in which nobody's sensor is said to have turned, have no such step.
func TestNoSensorOfTheOpenWalksHasTurned(t *testing.T) {
	for name, track := range footRecordings(t) {
		require.Empty(t, coded(analyzeSet(t, track), SensorTurned), name)
	}
}

// A foot whose sensor comes off while the other runs on has no steps: that is told
// where it begins and how long it lasts.
func TestAFootThatFallsSilentIsTold(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := simulate.Defaults(g)
		s.Duration = 190
		set := simulate.Run(s.CleanClocks()).Set()
		require.Empty(t, coded(analyzeSet(t, set.Tracks...), FootSilent))
		a := mounting(t, set.Tracks[1])
		set.Tracks[1] = turnedFrom(set.Tracks[1], about(a, [3]float64{1, 0, 0}, math.Pi/2), 150)
		told := coded(analyzeSet(t, set.Tracks...), FootSilent)
		require.Len(t, told, 1, g)
		require.InDelta(t, 150, told[0].Place.Time, 3, g)
		require.Equal(t, remark.Loss, told[0].Level)
	}
}
