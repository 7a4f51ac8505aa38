package estimate

import (
	"cmp"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// stream is the second seed word of every generator of this package, so that
// only Config.Seed chooses the stream. Any fixed number would do.
const stream = 0x5e7d0e5e7d0e

// ranked holds one side's values for resampling: each value is ranked once, a
// resample is a count per rank, and its median is found by adding counts up.
type ranked struct {
	// sorted are the values in rising order.
	sorted []float64
	// rank of the value at each place in time.
	rank []uint32
	// counts per rank of the present resample.
	counts []uint16
	// total of counts.
	total int
}

func rankOf(values []float64) *ranked {
	n := len(values)
	order := make([]uint32, n)
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order, func(a, b uint32) int { return cmp.Compare(values[a], values[b]) })
	r := &ranked{sorted: make([]float64, n), rank: make([]uint32, n), counts: make([]uint16, n)}
	for rank, place := range order {
		r.sorted[rank] = values[place]
		r.rank[place] = uint32(rank)
	}
	return r
}

// clear forgets the present resample.
func (r *ranked) clear() {
	clear(r.counts)
	r.total = 0
}

// median of the present resample, which must not be empty.
func (r *ranked) median() float64 {
	lower := (r.total + 1) / 2
	sum, rank := 0, 0
	for ; ; rank++ {
		sum += int(r.counts[rank])
		if sum >= lower {
			break
		}
	}
	if r.total%2 == 1 || sum > lower {
		return r.sorted[rank]
	}
	next := rank + 1
	for r.counts[next] == 0 {
		next++
	}
	return (r.sorted[rank] + r.sorted[next]) / 2
}

// blocks draws the starts of blocks on a circle of n places.
type blocks struct {
	source *rand.PCG
	n      uint64
}

func newBlocks(n int, seed uint64) blocks {
	return blocks{source: rand.NewPCG(seed, stream), n: uint64(n)}
}

// start is uniform on 0..n−1 to within 2⁻⁶⁴ n.
func (b blocks) start() int {
	high, _ := bits.Mul64(b.source.Uint64(), b.n)
	return int(high)
}

// resampleMedian returns the medians of circular-block resamples of values
// (Politis & Romano, 1992, in LePage & Billard, Exploring the Limits of
// Bootstrap, 263–270), sorted. It allocates nothing per resample.
func resampleMedian(values []float64, length, resamples int, seed uint64) []float64 {
	n := len(values)
	side := rankOf(values)
	circle := append(slices.Clone(side.rank), side.rank[:min(length, n)]...)
	draw := newBlocks(n, seed)
	medians := make([]float64, resamples)
	counts := side.counts
	for i := range medians {
		side.clear()
		for side.total < n {
			start, take := draw.start(), min(length, n-side.total)
			for _, rank := range circle[start : start+take] {
				counts[rank]++
			}
			side.total += take
		}
		medians[i] = side.median()
	}
	slices.Sort(medians)
	return medians
}

// spread returns how far the sorted resamples' tail quantiles lie below and
// above their median.
func spread(resamples []float64, tail float64) (below, above float64) {
	middle := quantileSorted(resamples, 0.5)
	return middle - quantileSorted(resamples, tail), quantileSorted(resamples, 1-tail) - middle
}

// finite tells whether all values are numbers.
func finite(values []float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
