package estimate

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Hyndman & Fan, 1996, type 7 by hand: h = (n−1)p.
func TestQuantileFollowsTypeSeven(t *testing.T) {
	for _, c := range []struct {
		values  []float64
		p, want float64
	}{
		{[]float64{1, 2, 3, 4}, 0.5, 2.5}, // gonum's LinInterp answers 2 here
		{[]float64{4, 1, 3, 2}, 0.25, 1.75},
		{[]float64{10, 20, 30, 40, 50}, 0.9, 46},
		{[]float64{10, 20, 30, 40, 50}, 0, 10},
		{[]float64{10, 20, 30, 40, 50}, 1, 50},
		{[]float64{7}, 0.3, 7},
	} {
		require.InDelta(t, c.want, Quantile(c.values, c.p), 1e-12, "%v at %v", c.values, c.p)
	}
}

func TestQuantileOfNothingIsNaN(t *testing.T) {
	require.True(t, math.IsNaN(Median(nil)))
	require.True(t, math.IsNaN(Median([]float64{1, math.NaN()})))
	require.Panics(t, func() { Quantile([]float64{1}, 1.5) })
}

func TestSummariesLeaveTheirInputAlone(t *testing.T) {
	values := []float64{3, 1, 2, 5, 4, 9, 7, 8, 6, 10, 12, 11, 13}
	before := slices.Clone(values)
	Median(values)
	MAD(values)
	MedianInterval(values, Config{})
	PairedDifferenceInterval(Series{before, values}, Series{before, values}, Config{})
	require.Equal(t, before, values)
}

// Φ⁻¹(3/4) = 0.67448975.
func TestMADEstimatesTheNormalSD(t *testing.T) {
	require.InDelta(t, 1.4826022185, normalMAD, 1e-9)
	require.InDelta(t, normalMAD, MAD([]float64{1, 2, 3, 4, 5}), 1e-12)
}
