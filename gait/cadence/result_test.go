package cadence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/cadence"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/signal/recording"
)

// contactsOf makes n contacts of one foot, every stride s, from a time on.
func contactsOf(from, stride float64, n int) []float64 {
	var out []float64
	for i := range n {
		out = append(out, from+stride*float64(i))
	}
	return out
}

func gaitsOf(g event.Gait, n int) []event.Gait {
	out := make([]event.Gait, n)
	for i := range out {
		out[i] = g
	}
	return out
}

func TestContactsOfOneFootCountTwice(t *testing.T) {
	times := append(contactsOf(5, 0.75, 21), contactsOf(30, 1.1, 21)...)
	gaits := append(gaitsOf(event.Running, 21), gaitsOf(event.Walking, 21)...)
	r := cadence.Summarise(cadence.FromContacts(times, gaits, 0, 60), estimate.Config{Seed: 1})
	require.Equal(t, 84, r.Steps)
	require.Len(t, r.Gaits, 2)
	require.Equal(t, event.Walking, r.Gaits[0].Gait, "the longer one first")
	require.InDelta(t, 2/1.1, r.Gaits[0].Cadence.Center, 1e-9)
	require.InDelta(t, 2/0.75, r.Gaits[1].Cadence.Center, 1e-9)
	require.InDelta(t, 80/(20*0.75+20*1.1), r.Cadence.Center, 1e-9)
	require.InDelta(t, 0, r.Variation.Center, 1e-9, "within gaits, not between them")
	require.Len(t, r.Pauses, 1)
	require.InDelta(t, 30, r.Pauses[0].To, 1e-9)
	course := r.Course(10)
	require.Len(t, course, 6)
	require.True(t, math.IsNaN(course[2].Cadence))
	require.Equal(t, event.GaitUnknown, course[2].Gait)
	require.Equal(t, event.Running, course[1].Gait)
	require.Equal(t, "109.1 steps a minute (109.1 to 109.1), walking, 22 s; 160.0 steps a minute (160.0 to 160.0), running, 15 s; 84 steps; 1 pause", r.Answer())
}

func TestFewStridesHaveNoInterval(t *testing.T) {
	r := cadence.Summarise(cadence.FromContacts(contactsOf(0, 0.7, 6), gaitsOf(event.Running, 6), 0, 5), estimate.Config{})
	require.False(t, r.Cadence.HasInterval())
	require.Contains(t, r.Answer(), "171 steps a minute (an interval needs 12 strides, here are 5)")
}

func TestNoContactsNoNumbers(t *testing.T) {
	r := cadence.Summarise(cadence.FromContacts(nil, nil, 0, 5), estimate.Config{})
	require.Zero(t, r.Steps)
	require.True(t, math.IsNaN(r.Cadence.Center))
	require.Contains(t, r.Answer(), "no step rate")
}

func TestFromStridesIsTwoStepsInTheMedianStride(t *testing.T) {
	e := cadence.FromStrides([]float64{0.7, 0.7, 0.8, 0.7, 0.7, 0.7, 0.7, 0.7, 0.7, 0.7, 0.7, 0.6}, estimate.Config{})
	require.InDelta(t, 2/0.7, e.Center, 1e-9)
	require.True(t, e.HasInterval())
}

// watchOf has one value a second; 0 and NaN are times without steps.
func watchOf(values []float64, speed float64) *recording.Cadence {
	c := &recording.Cadence{Label: "watch.csv"}
	for i, v := range values {
		c.Time = append(c.Time, 100+float64(i))
		c.StepsPerMinute, c.Speed = append(c.StepsPerMinute, v), append(c.Speed, speed)
	}
	return c
}

func TestWatchIsAMeanOverTimeWithPauses(t *testing.T) {
	var v []float64
	for range 60 {
		v = append(v, 168)
	}
	for range 20 {
		v = append(v, math.NaN())
	}
	for range 60 {
		v = append(v, 172)
	}
	r := cadence.FromWatch(watchOf(v, math.NaN()), estimate.Config{Seed: 1})
	require.InDelta(t, 170, 60*r.Cadence.Center, 0.1)
	require.True(t, r.Cadence.Low < r.Cadence.Center && r.Cadence.Center < r.Cadence.High)
	require.Len(t, r.Pauses, 1)
	require.InDelta(t, 20, r.Pauses[0].To-r.Pauses[0].From, 1.1)
	require.Equal(t, 340, r.Steps)
	require.Equal(t, event.Running, r.Gaits[0].Gait)
	require.True(t, math.IsNaN(r.Course(10)[6].Cadence))
	require.InDelta(t, 172, 60*r.Course(10)[10].Cadence, 1e-6)
}

func TestWatchSpeedTellsGaitBetweenWalkingAndRunning(t *testing.T) {
	v := make([]float64, 30)
	for i := range v {
		v[i] = 140
	}
	for speed, want := range map[float64]event.Gait{1.5: event.Walking, 2.4: event.Running, 1.8: event.GaitUnknown} {
		r := cadence.FromWatch(watchOf(v, speed), estimate.Config{})
		require.Equal(t, want, r.Gaits[0].Gait, "%g m/s", speed)
	}
}

func TestAnEmptyWatchHasNoNumbers(t *testing.T) {
	r := cadence.FromWatch(&recording.Cadence{}, estimate.Config{})
	require.Zero(t, r.Cadence.N)
	require.Empty(t, r.Course(10))
}

func TestTimesAsPeopleSayThem(t *testing.T) {
	require.Equal(t, "59 s", cadence.Lasting(59.4))
	require.Equal(t, "10 min 4 s", cadence.Lasting(604))
	require.Equal(t, "1 h 2 min", cadence.Lasting(3725))
}
