package estimate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTableIsWhatTheGeneratorMeasures(t *testing.T) {
	rows := PowerTable()
	require.Len(t, rows, 5*8*4)
	for _, row := range rows {
		if row.Steps != 25 || row.CV != 0.1 || testing.Short() && row.Effect != 0.25 {
			continue
		}
		got := row.Simulate(PowerRecordings, Config{Seed: 1})
		// Two recordings may fall the other way on another processor.
		const tol = 2.0 / PowerRecordings
		require.InDelta(t, row.Different, got.Different, tol, "%+v; run mkpower.go again", row)
		require.InDelta(t, row.Alike, got.Alike, tol, "%+v; run mkpower.go again", row)
	}
}

// What the verdict promises for steps that vary by 10 %: even sides are called
// different in at most 5 %, alike in at least 80 % at 100 steps, and a true
// difference of floor and ten percent is called different in at least 80 %.
func TestVerdictsKeepTheirPromises(t *testing.T) {
	for _, row := range PowerTable() {
		require.InDelta(t, 1, row.Different+row.Alike+row.CannotTell, 2e-4)
		if row.Effect <= TableFloor {
			require.LessOrEqual(t, row.Different, 0.05, "%+v", row)
		}
		if row.Effect >= TableFloor {
			require.LessOrEqual(t, row.Alike, 0.05, "%+v", row)
		}
		if row.CV <= 0.1 && row.Steps >= 100 && row.Effect == 0 {
			require.GreaterOrEqual(t, row.Alike, 0.8, "%+v", row)
		}
		if row.CV <= 0.1 && row.Steps >= 100 && row.Effect == 0.25 {
			require.GreaterOrEqual(t, row.Different, 0.8, "%+v", row)
		}
	}
}

func TestPowerIsLookedUpOnTheSafeSide(t *testing.T) {
	row, ok := PowerFor(0.08, 0.24, 130)
	require.True(t, ok)
	require.Equal(t, Scenario{Effect: 0.25, Floor: TableFloor, CV: 0.1, Phi: UsualPhi, Steps: 100}, row.Scenario)
	row, ok = PowerFor(0.1, 0, 5000)
	require.True(t, ok)
	require.Equal(t, 400, row.Steps)
	_, ok = PowerFor(0.5, 0.1, 100)
	require.False(t, ok)
	_, ok = PowerFor(0.1, 0.1, 10)
	require.False(t, ok)
}

func TestStepsForTellsHowLongToRecord(t *testing.T) {
	require.Equal(t, 50, StepsFor(0.1, 0.25, 0.8))
	require.Equal(t, 25, StepsFor(0.1, 0.4, 0.8))
	require.Zero(t, StepsFor(0.1, 0.1, 0.8)) // inside the floor: never different
	require.Zero(t, StepsFor(0.5, 0.4, 0.8)) // steps vary more than the table knows
}

func TestTooFewStepsCannotTell(t *testing.T) {
	p := Scenario{Effect: 0.4, Floor: 0.15, CV: 0.01, Steps: MinValues - 1}.Simulate(5, Config{})
	require.Equal(t, Power{CannotTell: 1}, p)
}

func TestThirdsSeeADrift(t *testing.T) {
	s := Series{Times: scatterTimes(300, 0), Values: make([]float64, 300)}
	for i := range s.Values {
		s.Values[i] = float64(i%7) + float64(i)/10
	}
	thirds := ThirdsDifference(s, Config{})
	require.InDelta(t, 20, thirds.Difference.Center, 0.5)
	require.True(t, thirds.Difference.ExcludesZero())
	require.InDelta(t, 300*0.7/6, thirds.First, 1)
	require.InDelta(t, 300*0.7*5/6, thirds.Last, 1)
	none := ThirdsDifference(Series{}, Config{})
	require.Equal(t, MinValues, none.Difference.Needed)
	few := ThirdsDifference(Series{Times: []float64{0, 1, 2}, Values: []float64{1, 2, 3}}, Config{})
	require.False(t, few.Difference.HasInterval())
	require.InDelta(t, 2, few.Difference.Center, 1e-12)
}
