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

const degrees = math.Pi / 180

// aSide is one foot of a made-up session. Rates in deg/s, angles in deg.
type aSide struct {
	steps   int
	heel    float64 // share that lands heel first, evenly spread
	rate    float64 // peak lowering rate
	scatter float64 // share of the rate
	angle   float64 // strike angle
}

// usualSide lands heel first with 15° and 360 deg/s.
func usualSide(n int) aSide { return aSide{steps: n, heel: 1, rate: 360, scatter: 0.05, angle: 15} }

// stepsOf draws the steps of one side, alternating with the other's.
func (a aSide) stepsOf(side recording.Side) []step.Step {
	r := rand.New(rand.NewPCG(uint64(side), 5))
	nan := math.NaN()
	var out []step.Step
	for i := range a.steps {
		s := step.Step{Side: side, Gait: event.Running, Used: true, InitialContact: stride * (float64(i) + 0.5*float64(side)),
			FootFlat: nan, ToeOff: nan, StrideTime: stride, ContactTime: 0.25 + 0.004*r.NormFloat64(), HeelFirst: step.False,
			StrikeAngle: (a.angle + 1.5*r.NormFloat64()) * degrees, TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan,
			DecelerationFraction: nan, HeelContactPeak: 30 + r.NormFloat64(), FootFlatPeak: 20 + r.NormFloat64()}
		if math.Floor(float64(i+1)*a.heel) > math.Floor(float64(i)*a.heel) {
			s.HeelFirst = step.True
			s.PeakLoweringRate = a.rate * (1 + a.scatter*r.NormFloat64()) * degrees
			s.FootFlatRate = s.PeakLoweringRate * 0.4
			s.DecelerationFraction = 0.6
			s.TimeToFootFlat = 0.045 + 0.001*r.NormFloat64()
		}
		out = append(out, s)
	}
	return out
}

func compare(left, right aSide, set Settings) *Result {
	steps := append(left.stepsOf(recording.Left), right.stepsOf(recording.Right)...)
	set.Estimate.Seed = 1
	return Compare(session.Summarise(steps, set.Estimate), steps, set)
}

func together() Settings { return Settings{SameRecording: true, Simultaneous: true} }

func get(t *testing.T, r *Result, key string) Comparison {
	c, ok := r.Get(key)
	require.True(t, ok, key)
	return c
}

func TestTheVerdictIsWhereTheIntervalLiesAgainstTheFloor(t *testing.T) {
	m := step.Find("contact_time_s")
	for _, c := range []struct {
		name      string
		low, high float64 // ms, against a floor of 10 ms
		want      Verdict
	}{
		{"beyond", 11, 20, Different},
		{"beyond the other way", -20, -11, Different},
		{"within", -9, 9, Alike},
		{"within though it excludes zero", 2, 9, Alike},
		{"across", 5, 15, CannotTell},
		{"across the other way", -15, -5, CannotTell},
		{"across both", -15, 15, CannotTell},
		{"beyond zero is not beyond the floor", 9, 25, CannotTell},
		{"ends on the floor from inside", 0, 10, CannotTell},
		{"ends on the floor from outside", 10, 20, CannotTell},
		{"ends on the lower floor from inside", -10, 0, CannotTell},
		{"ends on the lower floor from outside", -20, -10, CannotTell},
	} {
		t.Run(c.name, func(t *testing.T) {
			one := Comparison{Floor: 0.010, Difference: estimate.Estimate{N: 40, Center: (c.low + c.high) / 2000, Low: c.low / 1000, High: c.high / 1000}}
			v, because := one.weigh(m)
			require.Equal(t, c.want, v)
			require.Contains(t, because, "±0.010 s")
		})
	}
}

// The interval narrows with the square root of the steps: half-width 6 ms around
// 6 ms must shrink to the 4 ms that lie between the centre and the floor of
// 10 ms, so 40 · (6/4)² = 90 steps.
func TestSettleCountsTheStepsThatWouldNarrowTheInterval(t *testing.T) {
	for _, c := range []struct {
		center, half float64 // ms
		want         string
	}{
		{6, 6, "about 90 usable steps a side"},
		{14, 6, "about 90 usable steps a side"},
		{-14, 6, "about 90 usable steps a side"},
		{0, 10.01, "about 45 usable steps a side"}, // 40.08, and never fewer than five more
		{9.9, 5, "more steps alone may not settle it"},
		{10, 5, "more steps alone may not settle it"},
	} {
		one := Comparison{Floor: 0.010, Difference: estimate.Estimate{N: 40, Center: c.center / 1000, Low: (c.center - c.half) / 1000, High: (c.center + c.half) / 1000}}
		require.Contains(t, one.settle(), c.want, "%g ± %g ms", c.center, c.half)
	}
}

func TestTheDifferenceIsInjuredMinusUninjured(t *testing.T) {
	left, right := usualSide(60), usualSide(60)
	left.rate = 540 // half as fast again on the left
	for _, c := range []struct {
		injured Injured
		first   recording.Side
		of      string
		sign    float64
	}{
		{InjuredLeft, recording.Left, "injured - uninjured", 1},
		{InjuredRight, recording.Right, "injured - uninjured", -1},
		{InjuredUnknown, recording.Right, "right - left", -1},
		{InjuredBoth, recording.Right, "right - left", -1},
	} {
		t.Run(c.injured.String(), func(t *testing.T) {
			set := together()
			set.Injured = c.injured
			r := compare(left, right, set)
			require.Equal(t, c.injured, r.Injured)
			require.Len(t, r.Comparisons, len(step.Catalogue()))
			p := get(t, r, step.Primary)
			require.Equal(t, c.first, p.First)
			require.Equal(t, c.first.Other(), p.Second)
			require.Equal(t, c.of, p.DifferenceOf)
			require.InDelta(t, c.sign*180, p.Difference.Center/degrees, 15)
			// 100 · 180 / 450 and 100 ln 1.5.
			require.InDelta(t, c.sign*40, p.SymmetryIndexPercent, 3)
			require.InDelta(t, c.sign*40.5, p.LogRatioPercent, 3)
			require.Equal(t, Different, p.Verdict)
			require.True(t, p.ExcludesZero)
			require.InDelta(t, 0.15*450, p.Floor/degrees, 3)
			require.Equal(t, Alike, get(t, r, "contact_time_s").Verdict)
			require.Equal(t, Alike, get(t, r, step.HeelFirstKey).Verdict)
		})
	}
}

func TestTwentyFiveStepsASideAreNeeded(t *testing.T) {
	for _, c := range []struct {
		left, right int
		enough      bool
	}{{25, 25, true}, {24, 25, false}, {25, 24, false}, {60, 24, false}, {5, 60, false}} {
		right := usualSide(c.right)
		right.rate = 900
		p := get(t, compare(usualSide(c.left), right, together()), step.Primary)
		if c.enough {
			require.Equal(t, Different, p.Verdict, "%d and %d", c.left, c.right)
			continue
		}
		require.Equal(t, CannotTell, p.Verdict, "%d and %d", c.left, c.right)
		require.Contains(t, p.Because, "at least 25 a side are needed")
	}
}

func TestTheStepsThatHaveTheMeasureCount(t *testing.T) {
	left, right := usualSide(40), usualSide(40)
	left.heel, right.heel = 0.6, 0.6 // 24 of 40
	r := compare(left, right, together())
	require.Contains(t, get(t, r, step.Primary).Because, "24 usable steps on the right and 24 on the left")
	require.Equal(t, Alike, get(t, r, "strike_angle_deg").Verdict, "what all steps have is compared")
}

func TestFeetThatLandDifferentlyAreNotComparedInTheirLowering(t *testing.T) {
	left, right := usualSide(200), usualSide(200)
	left.heel, right.rate = 0.5, 700
	r := compare(left, right, together())
	require.True(t, r.LandDifferently)
	require.Equal(t, Different, get(t, r, step.HeelFirstKey).Verdict)
	for _, m := range step.Catalogue() {
		c := get(t, r, m.Key)
		if m.Lowering {
			require.Equal(t, CannotTell, c.Verdict, m.Key)
			require.Contains(t, c.Because, "land differently", m.Key)
		} else {
			require.NotContains(t, c.Because, "lowering cannot be compared", m.Key)
		}
	}
	require.Contains(t, r.LandingNote, "different share")
	left.heel = 0.95 // five in a hundred are not one in seven
	r = compare(left, right, together())
	require.False(t, r.LandDifferently)
	require.Equal(t, Different, get(t, r, step.Primary).Verdict)
}

func TestMeasuresThatAreShownOnlyHaveNoVerdict(t *testing.T) {
	r := compare(usualSide(60), usualSide(60), together())
	for _, m := range step.Catalogue() {
		c := get(t, r, m.Key)
		if m.Verdict {
			require.NotEqual(t, NoVerdict, c.Verdict, m.Key)
			continue
		}
		require.Equal(t, NoVerdict, c.Verdict, m.Key)
		require.Empty(t, c.Verdict.String())
		require.Equal(t, "shown without a verdict: "+m.NoVerdict, c.Because)
		require.True(t, math.IsNaN(c.Floor))
		require.True(t, c.HasInterval, "the difference is shown all the same")
	}
}

func TestSidesOfDifferentRecordingsGetNoVerdict(t *testing.T) {
	set := Settings{SameRecording: false, OtherwiseBecause: "one after the other"}
	left := usualSide(60)
	left.rate = 700
	p := get(t, compare(left, usualSide(60), set), step.Primary)
	require.Equal(t, CannotTell, p.Verdict)
	require.Equal(t, "one after the other", p.Because)
	require.True(t, p.ExcludesZero, "what was measured is shown")
}

func TestAPersonsOwnFloorReplacesTheDefault(t *testing.T) {
	left := usualSide(60)
	left.rate = 540
	set := together()
	for floor, want := range map[float64]Verdict{100 * degrees: Different, 300 * degrees: Alike, 180 * degrees: CannotTell} {
		set.Floors = map[string]float64{step.Primary: floor}
		r := compare(left, usualSide(60), set)
		p := get(t, r, step.Primary)
		require.Equal(t, want, p.Verdict, "%g deg/s", floor/degrees)
		require.Equal(t, floor, p.Floor)
		require.Contains(t, p.FloorFrom, "own minimal detectable")
		require.NotContains(t, get(t, r, "contact_time_s").FloorFrom, "own minimal detectable")
	}
}

func TestOneSideAloneIsNotCompared(t *testing.T) {
	require.Nil(t, compare(usualSide(60), usualSide(0), together()))
	require.Nil(t, compare(usualSide(0), usualSide(60), together()))
	_, ok := (*Result)(nil).Get(step.Primary)
	require.False(t, ok)
}

func TestOnlySimultaneousSidesAreComparedStepByStep(t *testing.T) {
	for _, simultaneous := range []bool{true, false} {
		set := Settings{SameRecording: true, Simultaneous: simultaneous}
		p := get(t, compare(usualSide(60), usualSide(60), set), step.Primary)
		if simultaneous {
			require.Contains(t, p.Difference.Method, "in pairs")
		} else {
			require.NotContains(t, p.Difference.Method, "in pairs")
		}
	}
}
