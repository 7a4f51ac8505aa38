package estimate

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Values computed with SciPy 1.10.1 and NumPy 1.24.2; testdata/scipy/regenerate.py
// makes them, and a test of package filter makes them anew.

// scipyTol allows for another order of adding up.
const scipyTol = 1e-12

func scipy(t *testing.T, family string, values any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "scipy", family+".json"))
	require.NoError(t, err)
	file := struct{ Values any }{values}
	require.NoError(t, json.Unmarshal(text, &file))
}

func TestQuantilesAgreeWithNumPy(t *testing.T) {
	var series map[string]struct{ X, At, Quantile []float64 }
	scipy(t, "quantiles", &series)
	require.NotEmpty(t, series)
	for name, s := range series {
		for i, p := range s.At {
			require.InDelta(t, s.Quantile[i], Quantile(s.X, p), scipyTol, "%s at %v", name, p)
		}
	}
}

func TestTrendsAgreeWithSciPy(t *testing.T) {
	var series map[string]struct {
		T, Y      []float64
		Slope     float64
		Low       float64 `json:"low_95"`
		High      float64 `json:"high_95"`
		TauB      float64 `json:"tau_b"`
		Line      float64 `json:"ols_slope"`
		Intercept float64 `json:"ols_intercept"`
	}
	scipy(t, "trend", &series)
	require.NotEmpty(t, series)
	for name, s := range series {
		fit := NewTheilSen(s.T, s.Y, Config{})
		require.InDelta(t, s.Slope, fit.Slope.Center, scipyTol, name)
		require.InDelta(t, s.Low, fit.Slope.Low, scipyTol, name)
		require.InDelta(t, s.High, fit.Slope.High, scipyTol, name)
		require.InDelta(t, s.TauB, NewMannKendall(s.T, s.Y).TauB, scipyTol, name)
		line, err := Line(s.T, s.Y)
		require.NoError(t, err)
		require.InDelta(t, s.Line, line.Coefficients[1], scipyTol, name)
		require.InDelta(t, s.Intercept, line.Coefficients[0], 1e-11, name)
	}
}

func TestQuantilesOfDistributionsAgreeWithSciPy(t *testing.T) {
	var values struct {
		Normal float64                          `json:"normal_0975"`
		T      []struct{ DF, Quantile float64 } `json:"t_0975"`
	}
	scipy(t, "distributions", &values)
	require.InDelta(t, values.Normal, Config{}.z(), 1e-9)
	require.NotEmpty(t, values.T)
	for _, q := range values.T {
		require.InEpsilon(t, q.Quantile, Config{}.t(q.DF), 1e-9, "%v degrees of freedom", q.DF)
	}
}

func TestStatisticsAgreeWithSciPy(t *testing.T) {
	var values struct {
		X, Y    []float64
		Kendall []struct {
			N      int
			P, Tau float64
		} `json:"kendall_exact"`
		Wilson  []struct{ K, N, Low, High float64 }
		MAD, SD float64
		Line    struct {
			Slope, Intercept float64
			SlopeSE          float64 `json:"slope_se"`
			InterceptSE      float64 `json:"intercept_se"`
			RSquared         float64 `json:"r_squared"`
		}
		Scores []float64 `json:"normal_scores"`
	}
	scipy(t, "statistics", &values)
	require.NotEmpty(t, values.Kendall)
	for _, k := range values.Kendall {
		times := make([]float64, k.N)
		for i := range times {
			times[i] = float64(i)
		}
		test := NewMannKendall(times, values.Y[:k.N])
		require.InDelta(t, k.P, test.P, scipyTol, "n %d", k.N)
		require.InDelta(t, k.Tau, test.TauB, scipyTol, "n %d", k.N)
	}
	require.NotEmpty(t, values.Wilson)
	for _, w := range values.Wilson {
		low, high := wilson(w.K/w.N, w.N, Config{}.z())
		require.InDelta(t, w.Low, low, 1e-9, "%v of %v", w.K, w.N)
		require.InDelta(t, w.High, high, 1e-9, "%v of %v", w.K, w.N)
	}
	require.InDelta(t, values.MAD, MAD(values.X), scipyTol)
	require.InDelta(t, values.SD, SD(values.X), scipyTol)
	line, err := Line(values.X, values.Y)
	require.NoError(t, err)
	require.InDelta(t, values.Line.Slope, line.Coefficients[1], scipyTol)
	require.InDelta(t, values.Line.Intercept, line.Coefficients[0], scipyTol)
	require.InDelta(t, values.Line.SlopeSE, line.SE[1], scipyTol)
	require.InDelta(t, values.Line.InterceptSE, line.SE[0], scipyTol)
	require.InDelta(t, values.Line.RSquared, line.RSquared, scipyTol)
	require.InDeltaSlice(t, values.Scores, rankOf([]float64{3, 1, 4, 1, 5, 9, 2, 6}).scores, 1e-9)
}
