package estimate

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// bootstrapMedian is the yardstick for MedianInterval: circular-block
// resamples of the median by counts on ranks, percentile arms widened by t over
// the number of blocks and by what blocks miss of the correlation.
func bootstrapMedian(values []float64, resamples int, seed uint64) Estimate {
	n := len(values)
	phi := neighbours(rankOf(values).scores)
	length := min(max(int(math.Round(1.5*math.Cbrt(float64(n)))), 1), n/4)
	medians := resampleMedian(values, length, resamples, seed)
	caught := 1.0
	for k := 1; k < length; k++ {
		caught += 2 * (1 - float64(k)/float64(length)) * signCorrelation(math.Pow(phi, float64(k)))
	}
	cfg := Config{}
	widen := cfg.t(float64(n)/inflation(phi)-1) / cfg.z() *
		math.Sqrt(inflation(phi)/caught/(1-float64(length)/float64(n)))
	center, middle := Median(values), quantileSorted(medians, 0.5)
	return Estimate{N: n, Center: center,
		Low:  center - widen*(middle-quantileSorted(medians, 0.025)),
		High: center + widen*(quantileSorted(medians, 0.975)-middle)}
}

// resampleMedian returns the sorted medians of circular-block resamples: each
// value is ranked once, a resample is a count per rank.
func resampleMedian(values []float64, length, resamples int, seed uint64) []float64 {
	n := len(values)
	order := make([]uint32, n)
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order, func(a, b uint32) int { return cmp.Compare(values[a], values[b]) })
	rank, inOrder := make([]uint32, n+length), make([]float64, n)
	for r, place := range order {
		rank[place], inOrder[r] = uint32(r), values[place]
	}
	copy(rank[n:], rank[:length])
	medians, counts, d := make([]float64, resamples), make([]uint16, n), newDraw(seed)
	for i := range medians {
		clear(counts)
		for left := n; left > 0; left -= length {
			start := d.below(n)
			for _, r := range rank[start : start+min(length, left)] {
				counts[r]++
			}
		}
		medians[i] = (counted(counts, inOrder, (n+1)/2) + counted(counts, inOrder, n/2+1)) / 2
	}
	slices.Sort(medians)
	return medians
}

// counted returns the k-th smallest value, from 1, of a counted resample.
func counted(counts []uint16, inOrder []float64, k int) float64 {
	for rank, c := range counts {
		if k -= int(c); k <= 0 {
			return inOrder[rank]
		}
	}
	panic("estimate: resample too small")
}

func TestCountedMedianIsTheMedianOfTheResample(t *testing.T) {
	values := []float64{3, 1, 4, 1.5, 9, 2.6, 5, 3.5}
	fast := resampleMedian(values, 3, 200, 4)
	var slow []float64
	d, index := newDraw(4), make([]int, len(values))
	for range 200 {
		d.fill(index, len(values), 3)
		sample := make([]float64, len(index))
		for i, k := range index {
			sample[i] = values[k]
		}
		slow = append(slow, Median(sample))
	}
	slices.Sort(slow)
	require.Equal(t, slow, fast)
}

func BenchmarkBootstrapMedian5000(b *testing.B) {
	values := make([]float64, 5000)
	for i := range values {
		values[i] = math.Sin(float64(i) * 1.7)
	}
	for b.Loop() {
		resampleMedian(values, 20, DefaultResamples, 1)
	}
}

func BenchmarkMedianInterval5000(b *testing.B) {
	values := make([]float64, 5000)
	for i := range values {
		values[i] = math.Sin(float64(i) * 1.7)
	}
	for b.Loop() {
		MedianInterval(values, Config{})
	}
}
