package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/step"
	"setdown/signal/recording"
)

// aStep has nothing but an initial contact.
func aStep(side recording.Side, at float64) step.Step {
	nan := math.NaN()
	return step.Step{Side: side, Used: true, InitialContact: at, FootFlat: nan, ToeOff: nan, StrideTime: nan, ContactTime: nan,
		StrikeAngle: nan, TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan, DecelerationFraction: nan,
		HeelContactPeak: nan, FootFlatPeak: nan}
}

func stepsAt(side recording.Side, at ...float64) []step.Step {
	var out []step.Step
	for _, t := range at {
		out = append(out, aStep(side, t))
	}
	return out
}

func agreementOf(c Scorecard, what string) (Agreement, bool) {
	for _, a := range c.Agreements {
		if a.What == what {
			return a, true
		}
	}
	return Agreement{}, false
}

// Errors of −4, −1, 0, 1, 2, 3 and 34 ms: mean 5, sum of squares about it
// 1187 − 7·25 = 1012, so SD √(1012/6) = 12.987; median 1, distances 5, 2, 1, 0,
// 1, 2, 33 with median 2, so robust SD 2.965; beyond 4 × 2.965 = 11.9 lies one.
func TestAgreementOfAHandWorkedTable(t *testing.T) {
	errs := []float64{-0.004, -0.001, 0, 0.001, 0.002, 0.003, 0.034}
	var detected, reference []step.Step
	for i, e := range errs {
		r, d := aStep(recording.Left, float64(i+1)), aStep(recording.Left, float64(i+1)+e)
		r.ContactTime, d.ContactTime = 0.25, 0.25+e
		r.PeakLoweringRate, d.PeakLoweringRate = 5*float64(i+1), 5*float64(i+1)*(1+10*e)
		detected, reference = append(detected, d), append(reference, r)
	}
	cards := Score(detected, reference, ScoreTolerance)
	require.Len(t, cards, 1, "one side alone needs no sum")
	c := cards[0]
	require.Equal(t, []int{7, 0, 0}, []int{c.Found, c.Missed, c.Extra})
	require.Equal(t, 1.0, c.F1)
	require.Len(t, c.Agreements, 3, "what one table lacks is not compared")
	for _, want := range []struct {
		what     string
		relative bool
		scale    float64
	}{{"initial_contact_s", false, 1}, {"contact_time_s", false, 1}, {step.Primary, true, 10}} {
		a, ok := agreementOf(c, want.what)
		require.True(t, ok, want.what)
		require.Equal(t, want.relative, a.Relative, want.what)
		require.Equal(t, 7, a.N)
		require.InDelta(t, 0.005*want.scale, a.Bias, 1e-9, want.what)
		require.InDelta(t, math.Sqrt(1012.0/6)/1000*want.scale, a.SD, 1e-9, want.what)
		require.InDelta(t, 2*1.4826e-3*want.scale, a.RobustSD, 1e-6, want.what)
		require.Equal(t, 1, a.Outliers, want.what)
	}
}

func TestSidesAreMatchedApartAndSummed(t *testing.T) {
	detected := append(stepsAt(recording.Left, 1, 2, 3.5), stepsAt(recording.Right, 1.5, 2.5)...)
	reference := append(stepsAt(recording.Left, 1, 2, 3), stepsAt(recording.Right, 1.5, 2.5, 3.52)...)
	cards := Score(detected, reference, ScoreTolerance)
	require.Len(t, cards, 3)
	for i, want := range []struct {
		side                 recording.Side
		found, missed, extra int
	}{
		{recording.Left, 2, 1, 1},
		{recording.Right, 2, 1, 0}, // the left foot at 3.5 s is no right one at 3.52 s
		{recording.SideUnknown, 4, 2, 1},
	} {
		c := cards[i]
		require.Equal(t, want.side, c.Side)
		require.Equal(t, []int{want.found, want.missed, want.extra}, []int{c.Found, c.Missed, c.Extra})
		require.InDelta(t, 2*float64(want.found)/float64(2*want.found+want.missed+want.extra), c.F1, 1e-15)
		a, ok := agreementOf(c, "initial_contact_s")
		require.True(t, ok)
		require.Equal(t, want.found, a.N)
	}
}

func TestOnlyUsedStepsEnterTheAgreement(t *testing.T) {
	detected, reference := stepsAt(recording.Right, 1, 2.01, 3), stepsAt(recording.Right, 1, 2, 3)
	detected[2].Used = false
	reference[0].Used = false
	c := Score(detected, reference, ScoreTolerance)[0]
	require.Equal(t, 3, c.Found, "a step that is left out was found all the same")
	a, _ := agreementOf(c, "initial_contact_s")
	require.Equal(t, 2, a.N)
	require.InDelta(t, 0.005, a.Bias, 1e-12)
}

func TestTheToleranceBoundsAMatch(t *testing.T) {
	c := Score(stepsAt(recording.Left, 1.11), stepsAt(recording.Left, 1), ScoreTolerance)[0]
	require.Equal(t, []int{0, 1, 1}, []int{c.Found, c.Missed, c.Extra})
	require.Zero(t, c.F1)
	require.Empty(t, c.Agreements)
	require.Equal(t, 1, Score(stepsAt(recording.Left, 1.11), stepsAt(recording.Left, 1), 0.2)[0].Found)
}

func TestNothingToScoreGivesAnEmptyCard(t *testing.T) {
	cards := Score(nil, nil, ScoreTolerance)
	require.Len(t, cards, 1)
	require.True(t, math.IsNaN(cards[0].F1))
	require.Empty(t, cards[0].Agreements)
}
