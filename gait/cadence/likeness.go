package cadence

import (
	"math"
	"slices"

	"setdown/signal/filter"
)

// likeness is how much the motion of a stretch is like itself later: in all that was
// measured, and in the size of the force alone; energy is the force's sum of squares.
func (f *finder) likeness(s stretch, longest int) (all, size []float64, energy float64) {
	acc, energy := f.correlation(f.m.Acc, s, longest)
	size, _ = f.correlation([][]float64{f.m.Size}, s, longest)
	if len(f.m.Gyr) == 0 {
		return mean(acc, size), size, energy
	}
	turn, _ := f.correlation(f.m.Gyr, s, longest)
	return mean(acc, size, turn), size, energy
}

// correlation is the correlation of a vector with itself later, the axes
// together, whatever way the sensor is turned; energy is its sum of squares.
func (f *finder) correlation(axes [][]float64, s stretch, longest int) (r []float64, energy float64) {
	r = make([]float64, longest+1)
	var one []float64
	for _, x := range axes {
		f.x = boxed(f.x, x[s.from:s.to], int(smooth*f.m.Rate/2))
		f.x = filter.Detrend(f.x, f.x)
		e := 0.0
		for _, v := range f.x {
			e += v * v
		}
		energy += e
		one = f.an.Autocorrelation(one, f.x, longest)
		for k, v := range one {
			r[k] += e * v
		}
	}
	for k := range r {
		if energy > 0 {
			r[k] /= energy
		}
	}
	return r, energy
}

// boxed puts the running mean of x over 2h+1 samples into dst; the ends use
// what there is.
func boxed(dst, x []float64, h int) []float64 {
	dst = dst[:0]
	sum, n := 0.0, 0
	for i := 0; i < min(h, len(x)); i++ {
		sum, n = sum+x[i], n+1
	}
	for i := range x {
		if i+h < len(x) {
			sum, n = sum+x[i+h], n+1
		}
		if i-h-1 >= 0 {
			sum, n = sum-x[i-h-1], n-1
		}
		dst = append(dst, sum/float64(n))
	}
	return dst
}

func mean(all ...[]float64) []float64 {
	out := slices.Clone(all[0])
	for _, x := range all[1:] {
		for i, v := range x {
			out[i] += v
		}
	}
	for i := range out {
		out[i] /= float64(len(all))
	}
	return out
}

// repetition is the shortest lag with a peak near the highest one, 0 where
// there is no peak.
func repetition(r []float64, first, last int) int {
	top := 0.0
	for i := first; i < last; i++ {
		if peak(r, i) {
			top = math.Max(top, r[i])
		}
	}
	for i := first; i < last && top > 0; i++ {
		if peak(r, i) && r[i] >= nearBest*top {
			return i
		}
	}
	return 0
}

// peakNear is where the correlation peaks near a lag, between the samples: twice a step
// is only about a stride where one foot's steps are longer than the other's.
func peakNear(r []float64, lag, longest int) float64 {
	near := max(1, lag/12)
	top := highest(r, max(1, lag-near), min(longest, lag+near))
	if top == 0 || top == longest {
		return float64(top)
	}
	offset, _ := filter.PeakOffset(r[top-1], r[top], r[top+1])
	return float64(top) + offset
}

func peak(r []float64, i int) bool { return r[i] > r[i-1] && r[i] >= r[i+1] }

func highest(r []float64, from, to int) int {
	best := from
	for i := from; i <= to; i++ {
		if r[i] > r[best] {
			best = i
		}
	}
	return best
}
