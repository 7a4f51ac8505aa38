package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// strongest returns the frequency in Hz between lo and hi at which x, sampled at
// rate, has most power; the mean is taken off first.
func strongest(x []float64, rate, lo, hi float64) float64 {
	mean, _, _ := moments(x)
	best, at := 0.0, 0.0
	for f := lo; f <= hi; f += 0.005 {
		var c, s float64
		for i, v := range x {
			sin, cos := math.Sincos(2 * math.Pi * f * float64(i) / rate)
			c, s = c+(v-mean)*cos, s+(v-mean)*sin
		}
		if p := c*c + s*s; p > best {
			best, at = p, f
		}
	}
	return at
}

// The trunk bounces once a step; an arm swings once a stride.
func TestTrunkAndArmShowCadence(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := Defaults(g)
		s.StepTimeVariation = 0.002
		s.Waist, s.Wrist = DefaultWaist(), DefaultWrist()
		r := Run(s)
		var up, turn []float64
		moving := func(x Sample) bool { return x.Time > 8 && x.Time < 52 }
		require.NoError(t, r.Samples(recording.SideUnknown, recording.Waist, func(x Sample) error {
			if moving(x) {
				up = append(up, x.Acc[2])
			}
			return nil
		}))
		require.InEpsilon(t, s.Cadence/60, strongest(up, s.Waist.Rate, 0.6, 4), 0.01, g)
		require.NoError(t, r.Samples(recording.SideUnknown, recording.Wrist, func(x Sample) error {
			if moving(x) {
				turn = append(turn, x.Gyr[1])
			}
			return nil
		}))
		require.InEpsilon(t, s.Cadence/120, strongest(turn, s.Wrist.Rate, 0.4, 4), 0.01, g)
		mean, _, _ := moments(up)
		require.InEpsilon(t, 9.80665, mean, 0.05, "over whole steps the ground carries the weight")
	}
}

// A shin's readings are its motion too: its rate integrates to its tilt, and it
// swings through from leaning forward to leaning back before every contact.
func TestShinTiltsOnTheAnkle(t *testing.T) {
	for name, s := range runs() {
		s.Turns, s.Slope = nil, 0
		s.Left.Shin = ideal(DefaultShin())
		s.Left.Shin.Rate = 4000
		m := newShinMotion(&s, recording.Left, s.Left.Shin.Position)
		tilt, last, lowest, highest := 0.0, 0.0, 0.0, 0.0
		require.NoError(t, Run(s).Samples(recording.Left, recording.Shin, func(x Sample) error {
			tilt -= (x.Gyr[1] + last) / 2 / s.Left.Shin.Rate
			last = x.Gyr[1]
			m.foot.at(x.Time)
			if want := m.tilt(x.Time).v; math.Abs(want-tilt) > 1e-4 {
				require.InDelta(t, want, tilt, 1e-4, "%s at %.3f s", name, x.Time)
			}
			lowest, highest = math.Min(lowest, tilt), math.Max(highest, tilt)
			return nil
		}))
		require.Less(t, lowest, -40*degree, name)
		require.Greater(t, highest, 4*degree, name)
	}
}

// The shin swings as fast as a real one (treadmill-walk-feet-shins, where the
// pitch axis of the shin is gz, of mirrored sign left and right): the rates of
// mid-swing agree within a factor of 1.5.
func TestShinSwingsAsFastAsARealOne(t *testing.T) {
	shin := readColumns(t, "treadmill-walk-feet-shins", "preferred", "right_shank.csv")
	fastest := 0.0
	for _, g := range shin["gz"] {
		fastest = math.Max(fastest, math.Abs(g))
	}
	s := Defaults(event.Walking)
	s.Cadence, s.Speed = 93, 3.7/3.6
	s.Right.Shin = DefaultShin()
	model := 0.0
	require.NoError(t, Run(s).Samples(recording.Right, recording.Shin, func(x Sample) error {
		model = math.Max(model, math.Abs(x.Gyr[1]))
		return nil
	}))
	t.Logf("real %.2f rad/s, model %.2f rad/s", fastest, model)
	require.Greater(t, model, fastest/1.5)
	require.Less(t, model, fastest*1.5)
}
