package asymmetry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The formulas are from memory of Robinson 1987 and Zifchock 2008; the values
// were computed apart from this code, to six decimals.
const indexTol = 5e-7

func TestIndicesAgreeWithHandComputedTable(t *testing.T) {
	for _, c := range []struct{ left, right, si, ratio, angle, log, lsi float64 }{
		{250, 230, -8.333333, 0.92, -2.651049, -8.338161, 108.695652},
		{240, 252, 4.878049, 1.05, 1.552423, 4.879016, 95.238095},
		{300, 270, -10.526316, 0.90, -3.347542, -10.536052, 111.111111},
		{0.5, 1.5, 100, 3, 29.516724, 109.861229, 33.333333},
	} {
		for _, got := range []struct {
			name  string
			index func(a, b float64) (float64, Undefined)
			a, b  float64
			want  float64
		}{
			{"symmetry index", SymmetryIndex, c.right, c.left, c.si},
			{"ratio", SymmetryRatio, c.right, c.left, c.ratio},
			{"symmetry angle", SymmetryAngle, c.right, c.left, c.angle},
			{"log ratio", LogRatio, c.right, c.left, c.log},
			{"limb symmetry index, left injured", LimbSymmetryIndex, c.left, c.right, c.lsi},
		} {
			value, why := got.index(got.a, got.b)
			require.Equal(t, Defined, why, got.name)
			require.InDelta(t, got.want, value, indexTol, "%s of %v, %v", got.name, c.left, c.right)
		}
	}
}

func TestSymmetryAngleFollowsSymmetryIndex(t *testing.T) {
	for si, angle := range map[float64]float64{5: 1.591218, 10: 3.180450, 15: 4.765726, 20: 6.345103} {
		right, left := 1+si/200, 1-si/200
		gotIndex, _ := SymmetryIndex(right, left)
		gotAngle, _ := SymmetryAngle(right, left)
		require.InDelta(t, si, gotIndex, indexTol)
		require.InDelta(t, angle, gotAngle, indexTol)
	}
}

func TestOppositeSignsHaveAnAngleOnly(t *testing.T) {
	const left, right = 2.0, -2.0
	for _, index := range []func(a, b float64) (float64, Undefined){SymmetryIndex, LogRatio, LimbSymmetryIndex} {
		value, why := index(right, left)
		require.True(t, math.IsNaN(value))
		require.NotEqual(t, Defined, why)
	}
	ratio, _ := SymmetryRatio(right, left)
	require.Equal(t, -1.0, ratio)
	angle, why := SymmetryAngle(right, left)
	require.Equal(t, Defined, why)
	require.InDelta(t, 100, angle, 1e-12)
}

func TestUndefinedIndicesSayWhy(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		index func(a, b float64) (float64, Undefined)
		a, b  float64
		why   Undefined
	}{
		{"index of NaN", SymmetryIndex, nan, 1, NotMeasured},
		{"index of infinity", SymmetryIndex, 1, inf, NotMeasured},
		{"index of two zeros", SymmetryIndex, 0, 0, MeanNearZero},
		{"index of signs", SymmetryIndex, 1, -1, SignsDiffer},
		{"ratio to zero", SymmetryRatio, 1, 0, OtherZero},
		{"limb symmetry to zero", LimbSymmetryIndex, 1, 0, OtherZero},
		{"limb symmetry of signs", LimbSymmetryIndex, -1, 1, SignsDiffer},
		{"angle of two zeros", SymmetryAngle, 0, 0, MeanNearZero},
		{"log of zero", LogRatio, 0, 1, NotPositive},
		{"log of NaN", LogRatio, nan, 1, NotMeasured},
	} {
		value, why := c.index(c.a, c.b)
		require.True(t, math.IsNaN(value), c.name)
		require.Equal(t, c.why, why, c.name)
	}
}

func TestSwappingSidesChangesTheSignOnly(t *testing.T) {
	for _, index := range []func(a, b float64) (float64, Undefined){SymmetryIndex, SymmetryAngle, LogRatio} {
		ab, _ := index(3.2, 2.7)
		ba, _ := index(2.7, 3.2)
		require.InDelta(t, -ab, ba, 1e-12)
	}
}
