package event

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The times are multiples of 1/16 s, so that gaps compare exactly.
func TestMatchPairsOneToOneClosestFirst(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name                string
		reference, detected []float64
		want                Matching
	}{
		{name: "a pair within the tolerance", reference: []float64{1}, detected: []float64{1.0625}, want: Matching{Pairs: [][2]int{{0, 0}}}},
		{name: "the tolerance itself still matches", reference: []float64{1, 3}, detected: []float64{0.75, 3.25}, want: Matching{Pairs: [][2]int{{0, 0}, {1, 1}}}},
		{name: "beyond the tolerance one is missed and one extra", reference: []float64{1}, detected: []float64{1.3125}, want: Matching{Missed: []int{0}, Extra: []int{0}}},
		{name: "extra", reference: []float64{1}, detected: []float64{0.9375, 1, 2}, want: Matching{Pairs: [][2]int{{0, 1}}, Extra: []int{0, 2}}},
		{name: "missed", reference: []float64{1, 2, 3}, detected: []float64{2}, want: Matching{Pairs: [][2]int{{1, 0}}, Missed: []int{0, 2}}},
		{name: "of equally close pairs the earlier reference wins", reference: []float64{1, 1.5}, detected: []float64{1.25}, want: Matching{Pairs: [][2]int{{0, 0}}, Missed: []int{1}}},
		{name: "the closest pair comes first, not the first one", reference: []float64{1, 1.25}, detected: []float64{1.1875, 1.5}, want: Matching{Pairs: [][2]int{{1, 0}}, Missed: []int{0}, Extra: []int{1}}},
		{name: "one detection serves one reference only", reference: []float64{1, 1.0625, 1.125}, detected: []float64{1.0625}, want: Matching{Pairs: [][2]int{{1, 0}}, Missed: []int{0, 2}}},
		{name: "a reference that is NaN is not counted", reference: []float64{nan, 1}, detected: []float64{1}, want: Matching{Pairs: [][2]int{{1, 0}}}},
		{name: "a detection that is NaN is not counted", reference: []float64{1, 2}, detected: []float64{nan, 1}, want: Matching{Pairs: [][2]int{{0, 1}}, Missed: []int{1}}},
		{name: "nothing at all"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, Match(c.reference, c.detected, 0.25))
		})
	}
}

// Sensitivity 3/4 and positive predictive value 3/5 by their textbook
// definitions; their harmonic mean is 2/(4/3 + 5/3) = 2/3.
func TestF1IsTheHarmonicMeanOfSensitivityAndPredictiveValue(t *testing.T) {
	m := Match([]float64{1, 2, 3, 4}, []float64{1, 2, 3, 5, 6}, 0.25)
	require.Len(t, m.Pairs, 3)
	require.Len(t, m.Missed, 1)
	require.Len(t, m.Extra, 2)
	require.InDelta(t, 2.0/3, m.F1(), 1e-15)
	require.Zero(t, Match([]float64{1}, nil, 1).F1())
	require.Equal(t, 1.0, Match([]float64{1}, []float64{1}, 1).F1())
	require.True(t, math.IsNaN(Match(nil, nil, 1).F1()), "nothing to find and nothing found is not a score")
}
