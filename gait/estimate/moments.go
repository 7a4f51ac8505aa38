package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Mean returns the arithmetic mean of values, NaN when there are none. NaN in
// values gives NaN. The second pass takes up what the first one lost to
// rounding, so that a small spread on a large mean keeps its digits.
func Mean(values []float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	first := stat.Mean(values, nil)
	rest := 0.0
	for _, v := range values {
		rest += v - first
	}
	return first + rest/float64(len(values))
}

// SD returns the standard deviation of values,
//
//	sqrt(Σ (x[i]−m)² / (n−1)),
//
// NaN when there are fewer than two. (Two passes with the correction of Chan,
// Golub & LeVeque, 1983, Am. Stat. 37, 242–247, eq. 1.7.)
func SD(values []float64) float64 {
	if len(values) < 2 {
		return math.NaN()
	}
	return math.Sqrt(sumSquares(values, Mean(values)) / float64(len(values)-1))
}

// CV returns SD/|mean|, NaN when there are fewer than two values or their mean
// is 0.
func CV(values []float64) float64 {
	m := Mean(values)
	if m == 0 {
		return math.NaN()
	}
	return SD(values) / math.Abs(m)
}

// sumSquares returns Σ(x−m)², corrected for what m itself lost to rounding.
func sumSquares(values []float64, m float64) float64 {
	squares, sum := 0.0, 0.0
	for _, v := range values {
		squares += (v - m) * (v - m)
		sum += v - m
	}
	return squares - sum*sum/float64(len(values))
}

// Autocorrelation returns the autocorrelation of values at a lag ≥ 0,
//
//	r[k] = Σ (x[i]−m)(x[i+k]−m) / Σ (x[i]−m)²,
//
// the first sum over i = 0..n−1−k (NIST/SEMATECH e-Handbook of Statistical
// Methods, section 1.3.5.12). It is NaN when n ≤ lag, when all values are
// equal, or when lag is negative.
func Autocorrelation(values []float64, lag int) float64 {
	n := len(values)
	if lag < 0 || n <= lag {
		return math.NaN()
	}
	m := Mean(values)
	all := sumSquares(values, m)
	if all == 0 {
		return math.NaN()
	}
	shared := 0.0
	for i := 0; i+lag < n; i++ {
		shared += (values[i] - m) * (values[i+lag] - m)
	}
	return shared / all
}
