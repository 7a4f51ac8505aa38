package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// moments returns mean, standard deviation and lag-one correlation.
func moments(x []float64) (mean, sd, lag float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	var s0, s1 float64
	for i, v := range x {
		s0 += (v - mean) * (v - mean)
		if i > 0 {
			s1 += (v - mean) * (x[i-1] - mean)
		}
	}
	return mean, math.Sqrt(s0 / float64(len(x)-1)), s1 / s0
}

// series collects a value of the steady steps of one side.
func series(steps []Step, side recording.Side, value func(Step) float64) []float64 {
	var out []float64
	for _, s := range steps {
		if s.Side == side && !s.Edge && !math.IsNaN(value(s)) {
			out = append(out, value(s))
		}
	}
	return out
}

// What is asked for is what comes out: an hour of steps has the cadence, the
// spread and the correlation of the settings. A series with fast correlation a
// and slow share b has lag-one correlation (1−b)·a + b·exp(−1/SlowSteps).
func TestVariationIsAsSet(t *testing.T) {
	s := Defaults(event.Running)
	s.Duration = 3600
	if testing.Short() {
		t.Skip("an hour of steps; run without -short")
	}
	steps := Truth(s)
	strike := series(steps, recording.Left, func(x Step) float64 { return x.StrikeAngle })
	mean, sd, lag := moments(strike)
	require.InDelta(t, s.Left.StrikeAngle, mean, 0.3*degree)
	require.InEpsilon(t, s.Left.StrikeAngleSD, sd, 0.12)
	want := (1-s.SlowShare)*s.Correlation + s.SlowShare*math.Exp(-1/s.SlowSteps)
	require.InDelta(t, want, lag, 0.08)

	gain, _, _ := moments(series(steps, recording.Right, func(x Step) float64 { return x.Gain }))
	require.InEpsilon(t, s.Right.Gain, gain, 0.03)
	contact, sd, _ := moments(series(steps, recording.Right, func(x Step) float64 { return x.ContactTime }))
	require.InEpsilon(t, s.Right.ContactTime, contact, 0.02)
	require.InEpsilon(t, s.Right.ContactTimeSD, sd, 0.15)
	stride, _, _ := moments(series(steps, recording.Left, func(x Step) float64 { return x.StrideTime }))
	require.InEpsilon(t, 120/s.Cadence, stride, 0.005)
}

// The defaults and the drawn population stand within published norms:
// cadence of elite runners 155.4–203.1 steps/min (Burns et al. 2019; slower
// runners step a little less often) and about 170 at 3 m/s (Lieberman 2015);
// contact times of about 250–300 ms at 8–10 km/h and 200–230 ms at 14–16 km/h
// (from memory); a stride-time variation of 1–2 % (common practice, no source).
func TestDefaultsStandWithinNorms(t *testing.T) {
	s := Defaults(event.Running)
	require.InDelta(t, 169.6, s.Cadence, 2*3.6*2, "Lieberman 2015: 84.8 ± 3.6 strides/min at 3.0 m/s, two SD")
	require.InDelta(t, 0.275, RunningContactTime(9/3.6), 0.025)
	require.InDelta(t, 0.215, RunningContactTime(15/3.6), 0.015)
	strides := series(Truth(s), recording.Left, func(x Step) float64 { return x.StrideTime })
	mean, sd, _ := moments(strides)
	require.InDelta(t, 0.015, sd/mean, 0.0075)
}

func TestDrawnPopulationIsPlausible(t *testing.T) {
	n := uint64(60)
	if testing.Short() {
		n = 10
	}
	gaits, rates := map[event.Gait]int{}, map[float64]int{}
	for seed := range n {
		s := Draw(seed)
		require.Equal(t, s, Draw(seed))
		gaits[s.Gait]++
		rates[s.Left.Foot.Rate]++
		s.Duration = 20
		for _, x := range Truth(s) {
			require.False(t, math.IsNaN(x.FootFlat), "seed %d %v %d: becomes flat", seed, x.Side, x.Number)
			if math.IsNaN(x.PeakLoweringRate) || x.Edge {
				continue
			}
			require.Less(t, x.TimeToFootFlat, 0.45*x.ContactTime, "seed %d: flat before the heel rises", seed)
			require.Greater(t, x.PeakLoweringRate, 80*degree, "seed %d", seed)
			require.Less(t, x.PeakLoweringRate, 1500*degree, "seed %d", seed)
		}
	}
	require.Len(t, gaits, 2)
	if !testing.Short() {
		require.Len(t, rates, len(DrawRates))
	}
	s := DrawGait(7, event.Walking)
	require.Equal(t, event.Walking, s.Gait)
}
