package session

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// some returns n used steps of one side, a stride of 0.7 s apart, with nothing
// measured but the stride time.
func some(n int, side recording.Side, gait event.Gait) []step.Step {
	nan := math.NaN()
	out := make([]step.Step, n)
	for i := range out {
		out[i] = step.Step{Side: side, Gait: gait, Used: true, InitialContact: 0.7 * float64(i), FootFlat: nan, ToeOff: nan, StrideTime: 0.7,
			ContactTime: nan, StrikeAngle: nan, TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan,
			DecelerationFraction: nan, HeelContactPeak: nan, FootFlatPeak: nan}
	}
	return out
}

func summarise(steps ...[]step.Step) (*Session, []step.Step) {
	var all []step.Step
	for _, s := range steps {
		all = append(all, s...)
	}
	return Summarise(all, estimate.Config{Seed: 1}), all
}

func TestStepsOfTheOtherGaitAreLeftOut(t *testing.T) {
	walk := some(9, recording.Left, event.Walking)
	walk[3].Reason = "contact peaks withheld"
	for i := range walk {
		walk[i].StrideTime, walk[i].ContactTime = 1.1, 0.7
	}
	run := some(20, recording.Left, event.Running)
	for i := range run {
		run[i].ContactTime = 0.25
	}
	s, steps := summarise(walk, run)
	require.Equal(t, event.Running, s.Gait)
	require.Equal(t, 29, s.Left.Steps)
	require.Equal(t, 20, s.Left.Used)
	require.Nil(t, s.Right)
	for i, st := range steps {
		require.Equal(t, i >= 9, st.Used, "the steps themselves are marked")
	}
	require.Equal(t, "a walking step in a running session", steps[0].Reason)
	require.Equal(t, "a walking step in a running session; contact peaks withheld", steps[3].Reason)
	require.Equal(t, 20, s.Left.Get("contact_time_s").N, "walking and running are not pooled")
	require.InDelta(t, 0.25, s.Left.Get("contact_time_s").Center, 1e-12)
	require.InDelta(t, 2/0.7, s.Cadence.Center, 1e-12)
}

func TestTheGaitOfMostUsedStepsIsTheSessions(t *testing.T) {
	unused := some(50, recording.Left, event.Running)
	for i := range unused {
		unused[i].Used = false
	}
	for _, c := range []struct {
		name         string
		walk, run    int
		otherUnused  bool
		want         event.Gait
		usedInTheEnd int
	}{
		{"walking", 20, 0, false, event.Walking, 20},
		{"more running", 10, 11, false, event.Running, 11},
		{"more walking", 11, 10, false, event.Walking, 11},
		{"as many of both", 10, 10, false, event.Walking, 10},
		{"unused steps have no say", 5, 0, true, event.Walking, 5},
		{"nothing usable", 0, 0, true, event.GaitUnknown, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			steps := append(some(c.walk, recording.Left, event.Walking), some(c.run, recording.Left, event.Running)...)
			if c.otherUnused {
				steps = append(steps, unused...)
			}
			s, _ := summarise(steps)
			require.Equal(t, c.want, s.Gait)
			require.Equal(t, c.usedInTheEnd, s.Left.Used)
		})
	}
}

func TestReasonsAreCountedMostFrequentFirst(t *testing.T) {
	steps := some(20, recording.Right, event.Running)
	for i, why := range []string{"b", "c", "c", "a", "c", "d", "d"} {
		steps[i].Used, steps[i].Reason = false, why
	}
	steps[10].Reason = "peaks withheld" // used all the same
	steps[1].Reason = "c; peaks withheld"
	s, _ := summarise(steps)
	require.Equal(t, []Count{{"c", 3}, {"d", 2}, {"a", 1}, {"b", 1}}, s.Right.LeftOut)
	require.Equal(t, 20, s.Right.Steps)
	require.Equal(t, 13, s.Right.Used)
}

// Two steps in a stride: at strides of 0.70 s (and a few odd ones) 2/0.70 s⁻¹,
// which is 171.4 a minute.
func TestCadenceIsTwoStepsInTheMedianStrideOfBothFeet(t *testing.T) {
	left, right := some(30, recording.Left, event.Running), some(30, recording.Right, event.Running)
	for i := range left {
		left[i].StrideTime, right[i].StrideTime = 0.70+0.001*float64(i%3-1), 0.70+0.002*float64(i%3-1)
	}
	left[7].StrideTime = 2.4
	left[8].StrideTime = math.NaN()
	left[9].StrideTime, left[9].Used = 0.2, false
	s, _ := summarise(left, right)
	require.InDelta(t, 2/0.70, s.Cadence.Center, 1e-12)
	require.Equal(t, 58, s.Cadence.N)
	require.LessOrEqual(t, s.Cadence.Low, s.Cadence.Center)
	require.GreaterOrEqual(t, s.Cadence.High, s.Cadence.Center)
	require.Contains(t, s.Cadence.Method, "median stride time")
}

func TestEveryMetricIsThereOnEverySide(t *testing.T) {
	left := some(30, recording.Left, event.Running)
	for i := range left {
		left[i].HeelFirst = step.False
		if i%10 < 3 {
			left[i].HeelFirst = step.True
			left[i].PeakLoweringRate = 6 + 0.01*float64(i)
			left[i].Strike = step.Rearfoot
		} else if i%10 < 5 {
			left[i].Strike = step.Forefoot
		} else {
			left[i].Strike = step.Midfoot
		}
	}
	left[29].HeelFirst = step.Unknown
	s, _ := summarise(left, some(3, recording.Right, event.Running))
	for _, side := range []*Side{s.Left, s.Right} {
		require.Len(t, side.Measures, len(step.Catalogue()))
		for i, m := range step.Catalogue() {
			require.Equal(t, m.Key, side.Measures[i].Key, "in the order of the catalogue")
		}
	}
	share := s.Left.Get(step.HeelFirstKey)
	require.Equal(t, 29, share.N, "unknown is not no")
	require.InDelta(t, 9.0/29, share.Center, 1e-12)
	require.Equal(t, 9, s.Left.Get(step.Primary).N)
	require.InDelta(t, 6+0.01*11, s.Left.Get(step.Primary).Center, 1e-12, "the median of the nine")
	require.Equal(t, []int{9, 15, 6}, []int{s.Left.Rearfoot, s.Left.Midfoot, s.Left.Forefoot})
	require.Zero(t, s.Right.Get(step.Primary).N)
	require.Zero(t, s.Left.Get("no_such").N)
	require.True(t, math.IsNaN((*Side)(nil).Get(step.Primary).Center))
	require.Same(t, s.Left, s.Of(recording.Left))
	require.Same(t, s.Right, s.Of(recording.Right))
	require.Nil(t, s.Of(recording.SideUnknown))
}

func TestNothingGivesAnEmptySession(t *testing.T) {
	s, _ := summarise()
	require.Equal(t, event.GaitUnknown, s.Gait)
	require.Nil(t, s.Left)
	require.Nil(t, s.Right)
	require.Zero(t, s.Cadence.N)
	require.False(t, s.Cadence.HasInterval())
}
