package recovery

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// 10 km/h, written as 10 m/s, lies within what a sprinter reaches; the steps do not.
func TestASpeedInAnotherUnitIsDoubtedByTheStepsItMakes(t *testing.T) {
	with := func(speed, stepsPerMinute float64) Session {
		return Session{Conditions: Conditions{SpeedMPS: &speed}, StepRate: Value{N: 100, Center: Real(stepsPerMinute / 60)}}
	}
	require.Equal(t, "a speed of 10 m/s with 165 steps a minute makes steps of 3.6 m, which nobody takes: if it was meant in km/h, it is 2.8 m/s, if in min/km, 1.7 m/s", with(10, 165).SpeedDoubt())
	require.Contains(t, with(0.3, 165).SpeedDoubt(), "steps of 0.11 m")
	require.Contains(t, with(5, 110).SpeedDoubt(), "it is 1.4 m/s", "a walk of 5 km/h")
	// Speeds with the step rates at which they are run and walked: running 2.5 to
	// 6.0 m/s, 155 to 200 a minute; walking 0.6 to 2.0 m/s, 80 to 135 (common
	// practice, no source), and a sprint of 10.4 m/s at 4.5 steps/s (from memory).
	for _, c := range [][2]float64{{2.5, 155}, {2.8, 165}, {4, 175}, {6, 190}, {1.6, 150}, {0.6, 80}, {1.4, 112}, {2, 135}, {10.4, 270}} {
		require.Empty(t, with(c[0], c[1]).SpeedDoubt(), "%v", c)
	}
	require.Empty(t, Session{StepRate: Value{N: 100, Center: 2.8}}.SpeedDoubt())
	require.Empty(t, with(10, math.NaN()).SpeedDoubt())
}
