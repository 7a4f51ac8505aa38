package asymmetry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// aRun is a run whose lowering rates are drawn: both sides share a drift in
// speed; from a minute on, one side's rate grows over some minutes.
type aRun struct {
	minutes  float64
	seed     uint64
	changes  recording.Side // SideUnknown: none
	from     float64        // min
	over, by float64        // min; share of the mean
	shared   float64        // growth of both sides from the first to the last minute, share
}

// The usual step of these runs: mean 360 deg/s, 12 % scatter with a
// correlation of 0.3 between neighbours, 0.72 s a stride, starting at 20 s.
const (
	usualRate = 360 * math.Pi / 180
	usualCV   = 0.12
	stride    = 0.72
	startAt   = 20.0
)

func (a aRun) steps() []step.Step {
	r := rand.New(rand.NewPCG(a.seed, 77))
	var out []step.Step
	nan := math.NaN()
	scatter := [2]float64{r.NormFloat64(), r.NormFloat64()}
	for i := 0; float64(i)*stride < a.minutes*60; i++ {
		for k, side := range []recording.Side{recording.Left, recording.Right} {
			t := (float64(i) + float64(k)/2) * stride
			scatter[k] = 0.3*scatter[k] + math.Sqrt(1-0.09)*r.NormFloat64()
			level := 1 + a.shared*t/(60*a.minutes)
			if side == a.changes {
				level += a.by * min(max((t/60-a.from)/a.over, 0), 1)
			}
			peak := usualRate * (level + usualCV*scatter[k])
			out = append(out, step.Step{Side: side, Gait: event.Running, Used: true, InitialContact: startAt + t, FootFlat: nan,
				ToeOff: nan, StrideTime: stride, ContactTime: nan, HeelFirst: step.True, StrikeAngle: nan, TimeToFootFlat: nan,
				PeakLoweringRate: peak, FootFlatRate: nan, DecelerationFraction: nan, HeelContactPeak: nan, FootFlatPeak: nan})
		}
	}
	return out
}

// within compares the sides of a run and looks along it.
func within(steps []step.Step, injured Injured) *Result {
	cfg := estimate.Config{Seed: 1}
	set := Settings{Injured: injured, Estimate: cfg, SameRecording: true}
	r := Compare(session.Summarise(steps, cfg), steps, set)
	Within(r, steps, set)
	return r
}

func TestOneSideThatChangesIsNamedWithItsMinute(t *testing.T) {
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		for _, injured := range []Injured{InjuredUnknown, InjuredLeft, InjuredRight} {
			r := within(aRun{minutes: 20, seed: 3, changes: side, from: 10, over: 3, by: 0.4}.steps(), injured)
			require.Len(t, r.Changes, 1)
			c := r.Changes[0]
			require.True(t, c.Found, c.Because)
			require.Equal(t, side, c.Side)
			require.InDelta(t, 10, c.Minute, 1)
			require.LessOrEqual(t, c.Low, 10.0)
			require.GreaterOrEqual(t, c.High, 10.0)
			require.GreaterOrEqual(t, c.Low, 0.0)
		}
	}
}

func TestWhatBothFeetShareIsNoChangeOfOne(t *testing.T) {
	r := within(aRun{minutes: 20, seed: 4, shared: 0.5}.steps(), InjuredLeft)
	require.False(t, r.Changes[0].Found)
	require.Contains(t, r.Changes[0].Because, "no change between the feet")
	require.True(t, math.IsNaN(r.Changes[0].Minute))
	for _, d := range r.Drifts { // but each side did drift
		require.True(t, d.Difference.ExcludesZero())
		require.Positive(t, d.Difference.Center)
	}
}

func TestChangeNeedsSixMinutesAndBothFeetTogether(t *testing.T) {
	short := within(aRun{minutes: 5, seed: 5, changes: recording.Left, from: 2, over: 1, by: 0.5}.steps(), InjuredLeft)
	require.False(t, short.Changes[0].Found)
	require.Contains(t, short.Changes[0].Because, "needs 12 stretches")

	steps := aRun{minutes: 20, seed: 5, changes: recording.Left, from: 10, over: 1, by: 0.5}.steps()
	cfg := estimate.Config{Seed: 1}
	apart := Settings{Injured: InjuredLeft, Estimate: cfg, OtherwiseBecause: "the sides were recorded one after the other"}
	r := Compare(session.Summarise(steps, cfg), steps, apart)
	Within(r, steps, apart)
	require.False(t, r.Changes[0].Found)
	require.Contains(t, r.Changes[0].Because, apart.OtherwiseBecause)
}

// A step of 20 % at two thirds of the time lies wholly in the last third.
func TestDriftIsTheLastThirdLessTheFirst(t *testing.T) {
	r := within(aRun{minutes: 9, seed: 6, changes: recording.Right, from: 6, over: 0.01, by: 0.2}.steps(), InjuredUnknown)
	require.Len(t, r.Drifts, 2) // the other lowering measures have no values
	for _, d := range r.Drifts {
		require.Equal(t, step.Primary, d.Key)
		require.InDelta(t, 1.5, d.FirstMinute, 0.1)
		require.InDelta(t, 7.5, d.LastMinute, 0.1)
		want := 0.0
		if d.Side == recording.Right {
			want = 0.2 * usualRate
		}
		require.LessOrEqual(t, d.Difference.Low, want)
		require.GreaterOrEqual(t, d.Difference.High, want)
	}
}

func TestSwappingTheFeetSwapsDriftsAndChanges(t *testing.T) {
	steps := aRun{minutes: 15, seed: 7, changes: recording.Left, from: 8, over: 2, by: 0.5}.steps()
	swapped := make([]step.Step, len(steps))
	for i, s := range steps {
		s.Side = s.Side.Other()
		swapped[i] = s
	}
	for injured, other := range map[Injured]Injured{InjuredLeft: InjuredRight, InjuredUnknown: InjuredUnknown} {
		a, b := within(steps, injured), within(swapped, other)
		require.Len(t, b.Drifts, len(a.Drifts))
		for _, x := range a.Drifts {
			for _, y := range b.Drifts {
				if x.Key == y.Key && x.Side == y.Side.Other() {
					require.Equal(t, x.Difference, y.Difference)
				}
			}
		}
		x, y := a.Changes[0], b.Changes[0]
		require.True(t, x.Found)
		require.Equal(t, x.Side.Other(), y.Side)
		require.Equal(t, [3]float64{x.Minute, x.Low, x.High}, [3]float64{y.Minute, y.Low, y.High})
	}
}

func TestWithinBearsNothingAtAll(t *testing.T) {
	Within(nil, nil, Settings{})
	r := &Result{}
	Within(r, nil, Settings{})
	require.Empty(t, r.Drifts)
	require.Empty(t, r.Changes)
	// One step a side, nothing to compare.
	r = within(aRun{minutes: 0.01, seed: 8}.steps(), InjuredLeft)
	require.Empty(t, r.Drifts)
	require.False(t, r.Changes[0].Found)
}

// Steady runs with the wandering that the simulator gives each leg, and runs
// in which one side changes, are counted in docs/validation.md.
func TestSteadyRunsAreLeftAlone(t *testing.T) {
	found, runs := 0, 40
	if testing.Short() {
		runs = 5
	}
	for k := range runs {
		if within(aRun{minutes: 15, seed: uint64(100 + k)}.steps(), InjuredUnknown).Changes[0].Found {
			found++
		}
	}
	require.LessOrEqual(t, found, runs/20)
}

// A flatter landing from some minute on slows the lowering without any change of
// control: at like landing nothing is left of it.
func TestAFlatterLandingIsNoChangeOfControl(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	steps := aRun{minutes: 20, seed: 9}.steps()
	for i := range steps {
		s := &steps[i]
		angle := 14.0
		if s.Side == recording.Left && s.InitialContact > startAt+600 {
			angle = 10
		}
		angle += 1.5 * r.NormFloat64()
		s.StrikeAngle = angle * math.Pi / 180
		s.PeakLoweringRate *= angle / 14
	}
	require.False(t, within(steps, InjuredLeft).Changes[0].Found)
	for i := range steps {
		if s := &steps[i]; s.Side == recording.Left && s.InitialContact > startAt+600 {
			s.PeakLoweringRate *= 1.4
		}
	}
	c := within(steps, InjuredLeft).Changes[0]
	require.True(t, c.Found, c.Because)
	require.InDelta(t, 10, c.Minute, 1)
	require.Equal(t, recording.Left, c.Side)
}
