package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Sen, 1968, J. Am. Stat. Assoc. 63, 1379–1389: the data, the slope 4 and the
// interval from 26/7 to 35/8. References disagree about that interval's name:
// the paper calls it 93 %, but the 4th and 18th of the 21 slopes leave out a
// probability of 2·76/5040, so that it is 97.0 % by the exact distribution; 93.1 %
// belongs to the 5th and 17th, 15/4 and 46/11 (Hollander & Wolfe, 1999, 9.3).
// S and its test were computed apart from this code.
func TestTheilSenReachesThePublishedExample(t *testing.T) {
	times := []float64{1, 2, 3, 4, 10, 12, 18}
	values := []float64{9, 15, 19, 20, 45, 55, 78}
	fit := NewTheilSen(times, values, Config{Confidence: 0.969})
	require.InDelta(t, 4, fit.Slope.Center, 1e-12)
	require.InDelta(t, 26.0/7, fit.Slope.Low, 1e-12)
	require.InDelta(t, 35.0/8, fit.Slope.High, 1e-12)
	narrow := NewTheilSen(times, values, Config{Confidence: 0.93})
	require.InDelta(t, 15.0/4, narrow.Slope.Low, 1e-12)
	require.InDelta(t, 46.0/11, narrow.Slope.High, 1e-12)
	require.InDelta(t, 6, fit.PairIntercept, 1e-12)
	require.InDelta(t, 4, fit.Intercept, 1e-12)

	test := NewMannKendall(times, values)
	require.Equal(t, 21, test.S)
	require.InDelta(t, 44.333333, test.Variance, 5e-7)
	require.InDelta(t, 3.003757, test.Z, 5e-7)
	require.InDelta(t, 0.002666682, test.NormalP, 5e-10)
	// Of 7! orders one rises throughout and one falls throughout.
	require.InDelta(t, 2.0/5040, test.P, 1e-15)
}

// Computed apart from this code with ties.
func TestTrendWithTies(t *testing.T) {
	times := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9}
	values := []float64{10, 22, 21, 30, 22, 30, 40, 40, 35}
	test := NewMannKendall(times, values)
	require.Equal(t, 25, test.S)
	require.InDelta(t, 89, test.Variance, 1e-9)
	require.InDelta(t, 2.543995, test.Z, 5e-7)
	require.InDelta(t, 0.010959268, test.P, 5e-10)
	require.InDelta(t, 0.694444, test.TauA, 5e-7)
	require.InDelta(t, 0.725324, test.TauB, 5e-7)

	fit := NewTheilSen(times, values, Config{})
	require.InDelta(t, 3.1875, fit.Slope.Center, 1e-12)
	require.InDelta(t, 1, fit.Slope.Low, 1e-12)
	require.InDelta(t, 5, fit.Slope.High, 1e-12)

	line, err := Line(times, values)
	require.NoError(t, err)
	require.InDelta(t, 3.2, line.Coefficients[1], 1e-12)
	require.InDelta(t, 11.777778, line.Coefficients[0], 5e-7)
}

// Kendall, 1938: of the 24 orders of four values 1, 3, 5, 6, 5, 3, 1 have 0 to
// 6 discordant pairs.
func TestExactDistributionOfRanks(t *testing.T) {
	for k, orders := range []float64{1, 3, 5, 6, 5, 3, 1} {
		require.InDelta(t, orders/24, inversions(4)[k], 1e-15)
	}
}

func TestExactAndNormalRanksAgreeWhereTheyMeet(t *testing.T) {
	times, values := make([]float64, exactRanks), make([]float64, exactRanks)
	for i := range times {
		times[i] = float64(i)
		values[i] = math.Sin(3*float64(i)) + float64(i)/30
	}
	test := NewMannKendall(times, values)
	require.InDelta(t, test.NormalP, test.P, 0.001)
}

func TestTrendOfTooFewValuesSaysHowManyAreNeeded(t *testing.T) {
	fit := NewTheilSen([]float64{1, 2, 3}, []float64{1, 2, 4}, Config{})
	require.InDelta(t, 1.5, fit.Slope.Center, 1e-12)
	require.False(t, fit.Slope.HasInterval())
	require.Equal(t, minTrend, fit.Slope.Needed)
	none := NewTheilSen([]float64{1, 1}, []float64{1, 2}, Config{})
	require.True(t, math.IsNaN(none.Slope.Center))
}
