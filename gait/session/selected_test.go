package session

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// lowered are n used steps with all measures of the lowering, but for those that
// turned too fast for their gyroscope.
func lowered(n, fast int, side recording.Side) []step.Step {
	out := some(n, side, event.Running)
	for i := range out {
		if i < fast {
			out[i].Fast, out[i].Reason = true, "lowering withheld: angular rate clipped or missing"
			continue
		}
		out[i].HeelFirst, out[i].Strike, out[i].StrikeAngle, out[i].FootFlat = step.True, step.Rearfoot, 0.2, out[i].InitialContact+0.04
		out[i].TimeToFootFlat, out[i].PeakLoweringRate, out[i].FootFlatRate, out[i].DecelerationFraction = 0.04, 6, 3, 0.5
		out[i].HeelContactPeak = 30
	}
	return out
}

// Steps that a gyroscope's range could not show are the fastest ones: where they
// are many, the others do not stand for all.
func TestTheLoweringOfStepsThatTheRangeSelectedIsWithheld(t *testing.T) {
	for _, c := range []struct {
		name    string
		n, fast int
		want    bool
	}{
		{"none", 40, 0, false},
		{"one in twenty", 40, 2, false},
		{"more", 40, 3, true},
		{"all", 40, 40, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, steps := summarise(lowered(c.n, c.fast, recording.Left), lowered(50, 0, recording.Right))
			require.Equal(t, c.fast, s.Left.Fast)
			require.Equal(t, c.want, s.Left.Selected(step.Find(step.Primary)))
			require.False(t, s.Right.Selected(step.Find(step.Primary)))
			for _, m := range step.Catalogue() {
				left, right := s.Left.Get(m.Key).N, s.Right.Get(m.Key).N
				switch {
				case !m.FromTurn():
				case c.want:
					require.Zero(t, left, m.Key)
					require.Equal(t, 50, right, m.Key)
				default:
					require.Equal(t, c.n-c.fast, left, m.Key)
				}
			}
			require.Equal(t, c.n-c.fast, s.Left.Get("heel_contact_peak_m_s2").N, "the acceleration is not concerned")
			for _, st := range steps[:c.n] {
				require.Equal(t, c.want || st.Fast, math.IsNaN(st.StrikeAngle))
				if c.want && !st.Fast {
					require.Contains(t, st.Reason, "so that the others are the slower ones")
					require.Equal(t, step.NoStrike, st.Strike)
				}
			}
			if c.want {
				require.Zero(t, s.Left.Rearfoot)
			}
		})
	}
}

// The same holds for steps that hit harder than an accelerometer shows.
func TestTheContactPeaksOfStepsThatTheRangeSelectedAreWithheld(t *testing.T) {
	for _, hard := range []int{0, 2, 3} {
		left := lowered(40, 0, recording.Left)
		for i := range hard {
			left[i].Hard, left[i].HeelContactPeak = true, math.NaN()
		}
		s, _ := summarise(left)
		want := 40 - hard
		if hard == 3 {
			want = 0
		}
		require.Equal(t, want, s.Left.Get("heel_contact_peak_m_s2").N, "%d of 40", hard)
		require.Equal(t, 40, s.Left.Get(step.Primary).N, "the turning is not concerned")
	}
}
