package estimate

import "math"

// normalMAD makes the median absolute deviation of normal values equal to
// their standard deviation: 1/Φ⁻¹(3/4).
const normalMAD = 1.4826022185056018

// Quantile returns the p-quantile of values by linear interpolation between
// order statistics: with h = (n−1)p and x sorted from 0,
//
//	Q(p) = x[⌊h⌋] + (h−⌊h⌋)(x[⌊h⌋+1] − x[⌊h⌋])
//
// (type 7 of Hyndman & Fan, 1996, Am. Stat. 50, 361–365). values need not be
// sorted and are not changed. It is NaN when there are no values or one is
// NaN, and panics unless 0 ≤ p ≤ 1.
func Quantile(values []float64, p float64) float64 {
	return quantileSorted(sorted(values), p)
}

// Median returns the middle value, or the mean of the two middle ones; NaN when
// there are no values or one of them is NaN.
func Median(values []float64) float64 { return Quantile(values, 0.5) }

// MAD returns the median absolute deviation from the median, times 1.4826 so
// that it estimates the standard deviation of normal values; NaN when there
// are no values.
func MAD(values []float64) float64 {
	m := Median(values)
	away := make([]float64, len(values))
	for i, v := range values {
		away[i] = math.Abs(v - m)
	}
	return normalMAD * Median(away)
}

func sorted(values []float64) []float64 {
	s := make([]float64, len(values))
	for i, p := range inOrder(values) {
		s[i] = values[p.at]
	}
	return s
}

// quantileSorted is Quantile for values in rising order; NaN sorts first.
func quantileSorted(s []float64, p float64) float64 {
	if !(p >= 0 && p <= 1) {
		panic("estimate: quantile outside 0..1")
	}
	if len(s) == 0 || math.IsNaN(s[0]) {
		return math.NaN()
	}
	h := float64(len(s)-1) * p
	below := int(h)
	if below == len(s)-1 {
		return s[below]
	}
	return s[below] + (h-float64(below))*(s[below+1]-s[below])
}
