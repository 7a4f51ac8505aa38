package cadence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/cadence"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// person simulates 40 s with sensors of a low rate at every place. Seeds 800 and
// up were not used while the search was set.
func person(seed uint64, g event.Gait, rate float64) *simulate.Recording {
	s := simulate.DrawGait(seed, g).CleanClocks()
	s.Duration = 40
	s.Waist, s.Wrist, s.Left.Shin = simulate.DefaultWaist(), simulate.DefaultWrist(), simulate.DefaultShin()
	for _, c := range []*simulate.SensorSettings{&s.Left.Foot, &s.Left.Shin, &s.Waist, &s.Wrist} {
		c.Rate, c.Bandwidth = rate, 0.45*rate
	}
	s.Right.Foot.Rate = 0
	return simulate.Run(s)
}

// rhythm reads a track through change, which may take away axes or turn them.
func rhythm(t *testing.T, track *recording.Track, site recording.Site, change func(b *recording.Block)) cadence.Result {
	t.Helper()
	r := cadence.NewReducer(track.Rate)
	_, err := track.Read(&remark.List{}, func(b *recording.Block) error {
		c := *b
		change(&c)
		r.Push(&c)
		return nil
	})
	require.NoError(t, err)
	return cadence.Summarise(cadence.Find(r.Spans(), site), estimate.Config{})
}

func strideRate(rec *simulate.Recording) float64 {
	sum, n := 0.0, 0.0
	for _, s := range rec.Steps() {
		if s.StrideTime < 2 {
			sum, n = sum+s.StrideTime, n+1
		}
	}
	return 120 * n / sum
}

// Without a gyroscope, at the 25 to 60 samples a second of cheap wearables, and
// without being told the place, the cadence is the same.
func TestAccelerometerAloneAtLowRates(t *testing.T) {
	withoutGyroscope := func(b *recording.Block) { b.Gyr = [3][]float64{} }
	rates := []float64{25, 50, 100}
	if testing.Short() {
		rates = rates[1:2]
	}
	for _, rate := range rates {
		for _, g := range []event.Gait{event.Walking, event.Running} {
			rec := person(800+uint64(rate), g, rate)
			for _, track := range rec.Set().Tracks {
				r := rhythm(t, track, recording.SiteUnknown, withoutGyroscope)
				require.InDelta(t, strideRate(rec), 60*r.Cadence.Center, 1, "%s %s at %g Hz", g, track.Site, rate)
				require.Equal(t, g, r.Gaits[0].Gait, "%s at %g Hz", track.Site, rate)
			}
		}
	}
}

// Turning the sensor on the body must change nothing but rounding.
func TestMountingDoesNotMatter(t *testing.T) {
	rec := person(810, event.Running, 100)
	for _, track := range rec.Set().Tracks {
		if testing.Short() && track.Site != recording.Wrist {
			continue
		}
		straight := rhythm(t, track, track.Site, func(*recording.Block) {})
		turned := rhythm(t, track, track.Site, func(b *recording.Block) {
			b.Acc, b.Gyr = turn(b.Acc), turn(b.Gyr)
		})
		require.InDelta(t, straight.Cadence.Center, turned.Cadence.Center, 1e-6*straight.Cadence.Center, track.Site)
		require.Equal(t, straight.Steps, turned.Steps)
	}
}

// turn rotates by 0.6, 0.8 about Z and swaps axes.
func turn(x [3][]float64) [3][]float64 {
	var out [3][]float64
	for i := range x[0] {
		out[0] = append(out[0], x[2][i])
		out[1] = append(out[1], 0.6*x[0][i]-0.8*x[1][i])
		out[2] = append(out[2], 0.8*x[0][i]+0.6*x[1][i])
	}
	return out
}

// Nothing is counted where nobody walks: noise, and a slow sway below any gait.
func TestNoRhythmNoSteps(t *testing.T) {
	b := &recording.Block{Void: make([]recording.Void, 3000)}
	seed := uint64(1)
	for k := range 3 {
		b.Acc[k] = make([]float64, 3000)
		for i := range b.Acc[k] {
			seed = seed*6364136223846793005 + 1442695040888963407
			b.Acc[k][i] = float64(seed>>40)/float64(1<<24)*2 - 1
		}
	}
	for i := range b.Acc[2] {
		b.Acc[2][i] += 9.81 + 2*math.Sin(2*math.Pi*0.2*float64(i)/100)
	}
	r := cadence.NewReducer(100)
	r.Push(b)
	got := cadence.Summarise(cadence.Find(r.Spans(), recording.SiteUnknown), estimate.Config{})
	require.Zero(t, got.Steps)
	require.True(t, math.IsNaN(got.Cadence.Center))
}

// A step rate that changes from 150 to 170 within the recording shows in the
// time course.
func TestCourseFollowsAChange(t *testing.T) {
	var sets []*simulate.Recording
	for _, c := range []float64{150, 170} {
		s := simulate.Defaults(event.Running)
		s.Cadence, s.Duration, s.StandBefore, s.StandAfter = c, 40, 2, 2
		s.Waist = simulate.DefaultWaist()
		sets = append(sets, simulate.Run(s.CleanClocks()))
	}
	r := cadence.NewReducer(100)
	for i, rec := range sets {
		_, err := rec.Track(recording.SideUnknown, recording.Waist).Read(&remark.List{}, func(b *recording.Block) error {
			c := *b
			c.Span, c.Start = c.Span+10*i, c.Start+40*float64(i)
			r.Push(&c)
			return nil
		})
		require.NoError(t, err)
	}
	got := cadence.Summarise(cadence.Find(r.Spans(), recording.Waist), estimate.Config{})
	course := got.Course(10)
	require.InDelta(t, 150, 60*course[2].Cadence, 4)
	require.InDelta(t, 170, 60*course[6].Cadence, 4)
	require.Empty(t, got.Pauses, "a break of the recording is no pause")
}
