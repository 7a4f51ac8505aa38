package estimate

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Data and certified values: NIST Statistical Reference Datasets, univariate
// summary statistics (Mavro, Michelso, NumAcc1–4) and linear regression
// (Norris, Wampler1), https://www.itl.nist.gov/div898/strd.

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var x []float64
	for field := range strings.FieldsSeq(strings.ReplaceAll(text, ",", " ")) {
		v, err := strconv.ParseFloat(field, 64)
		require.NoError(t, err)
		x = append(x, v)
	}
	return x
}

const mavro = `2.0018 2.0017 2.0018 2.0019 2.0018 2.0017 2.0015 2.0014 2.0015 2.0015 2.0017 2.0018 2.0018 2.0019 2.0019
2.0021 2.0020 2.0016 2.0014 2.0013 2.0013 2.0015 2.0015 2.0016 2.0015 2.0014 2.0013 2.0014 2.0015 2.0014 2.0015 2.0016
2.0015 2.0016 2.0019 2.0020 2.0020 2.0021 2.0022 2.0023 2.0024 2.0025 2.0027 2.0026 2.0026 2.0026 2.0027 2.0026 2.0025 2.0024`

const michelso = `299.85 299.74 299.90 300.07 299.93 299.85 299.95 299.98 299.98 299.88 300.00 299.98 299.93 299.65 299.76 299.81
300.00 300.00 299.96 299.96 299.96 299.94 299.96 299.94 299.88 299.80 299.85 299.88 299.90 299.84 299.83 299.79 299.81 299.88
299.88 299.83 299.80 299.79 299.76 299.80 299.88 299.88 299.88 299.86 299.72 299.72 299.62 299.86 299.97 299.95 299.88 299.91
299.85 299.87 299.84 299.84 299.85 299.84 299.84 299.84 299.89 299.81 299.81 299.82 299.80 299.77 299.76 299.74 299.75 299.76
299.91 299.92 299.89 299.86 299.88 299.72 299.84 299.85 299.85 299.78 299.89 299.84 299.78 299.81 299.76 299.81 299.79 299.81
299.82 299.85 299.87 299.87 299.81 299.74 299.81 299.94 299.95 299.80 299.81 299.87`

const norris = `0.2 0.1, 337.4 338.8, 118.2 118.1, 884.6 888.0, 10.1 9.2, 226.5 228.1, 666.3 668.5, 996.3 998.5, 448.6 449.1,
777.0 778.9, 558.2 559.2, 0.4 0.3, 0.6 0.1, 775.5 778.1, 666.9 668.8, 338.0 339.3, 447.5 448.9, 11.6 10.8, 556.0 557.7,
228.1 228.3, 995.8 998.0, 887.6 888.8, 120.2 119.6, 0.3 0.3, 0.3 0.6, 556.8 557.6, 339.1 339.3, 887.2 888.0, 999.0 998.5,
779.0 778.9, 11.1 10.2, 118.3 117.6, 229.2 228.9, 669.1 668.4, 448.9 449.2, 0.5 0.2`

// alternating is NumAcc2 to 4: a first value, then 500 times low, high.
func alternating(first, low, high float64) []float64 {
	x := []float64{first}
	for range 500 {
		x = append(x, low, high)
	}
	return x
}

func TestSummariesReachCertifiedValues(t *testing.T) {
	for _, c := range []struct {
		name         string
		x            []float64
		mean, sd, r1 float64
		// relative error allowed: the representation of the data themselves
		// costs digits where a small spread lies on a large mean.
		tol float64
	}{
		{"Mavro", numbers(t, mavro), 2.001856, 0.000429123454003053, 0.937989183438248, 1e-12},
		{"Michelso", numbers(t, michelso), 299.8524, 0.0790105478190518, 0.535199668621283, 1e-12},
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, -0.5, 1e-15},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, -0.999, 1e-13},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, -0.999, 1e-9},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, -0.999, 1e-8},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.InEpsilon(t, c.mean, Mean(c.x), 1e-15)
			require.InEpsilon(t, c.sd, SD(c.x), c.tol)
			require.InEpsilon(t, c.r1, Autocorrelation(c.x, 1), c.tol)
			require.InDelta(t, 1, Autocorrelation(c.x, 0), 1e-12)
		})
	}
}

func TestLineReachesCertifiedNorris(t *testing.T) {
	pairs := numbers(t, norris)
	var x, y []float64
	for i := 0; i < len(pairs); i += 2 {
		x, y = append(x, pairs[i]), append(y, pairs[i+1])
	}
	fit, err := Line(x, y)
	require.NoError(t, err)
	const tol = 1e-11
	require.Equal(t, 34, fit.Freedom)
	require.InEpsilon(t, -0.262323073774029, fit.Coefficients[0], tol)
	require.InEpsilon(t, 1.00211681802045, fit.Coefficients[1], tol)
	require.InEpsilon(t, 0.232818234301152, fit.SE[0], tol)
	require.InEpsilon(t, 0.000429796848199937, fit.SE[1], tol)
	require.InEpsilon(t, 0.884796396144373, fit.ResidualSD, tol)
	require.InEpsilon(t, 0.999993745883712, fit.RSquared, tol)
}

func TestPolynomialReachesCertifiedWampler1(t *testing.T) {
	columns, y := make([][]float64, 6), make([]float64, 21)
	for power := range columns {
		columns[power] = make([]float64, len(y))
		for i := range y {
			columns[power][i] = math.Pow(float64(i), float64(power))
			y[i] += columns[power][i]
		}
	}
	fit, err := LeastSquares(y, columns...)
	require.NoError(t, err)
	for _, c := range fit.Coefficients {
		require.InDelta(t, 1, c, 1e-8)
	}
	require.InDelta(t, 0, fit.ResidualSD, 1e-7)
}

func TestRegressionRefusesWhatCannotBeToldApart(t *testing.T) {
	_, err := Line([]float64{2, 2, 2}, []float64{1, 2, 3})
	require.ErrorIs(t, err, ErrSingular)
	_, err = Line([]float64{2}, []float64{1})
	require.ErrorIs(t, err, ErrSingular)
	require.Panics(t, func() { _, _ = Line([]float64{1, 2}, []float64{1, 2, 3}) })
}
