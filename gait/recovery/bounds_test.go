package recovery

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestConditionsThatNoRunCanHaveAreRefused(t *testing.T) {
	give := func(v float64) *float64 { return &v }
	for _, c := range []Conditions{
		{SpeedMPS: give(28)}, {SpeedMPS: give(0)}, {SpeedMPS: give(-1)}, {SpeedMPS: give(math.NaN())}, {SpeedMPS: give(math.Inf(1))},
		{DropMM: give(-500)}, {SlopePercent: give(900)}, {MinutesIntoRun: give(-20)}, {StepRateHint: give(5)},
	} {
		require.ErrorContains(t, c.Check(), "cannot be", "%+v", c)
	}
	require.EqualError(t, Conditions{SpeedMPS: give(28)}.Check(), "a speed of 28 m/s cannot be; it lies from 0.2 to 12.5, for example 2.8 m/s, which is 10 km/h")
	for _, c := range []Conditions{{}, {SpeedMPS: give(2.8), DropMM: give(0), SlopePercent: give(-12), MinutesIntoRun: give(0), StepRateHint: give(170)}, {SpeedMPS: give(1.1), DropMM: give(-4)}} {
		require.NoError(t, c.Check())
	}
}
