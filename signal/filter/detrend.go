package filter

// Detrend subtracts from x the straight line that fits it best by least
// squares and returns the rest in dst. A nil dst is allocated; otherwise it
// must have the length of x, or Detrend panics. dst may be x. Fewer than two
// samples give zeros; a NaN gives NaN everywhere.
func Detrend(dst, x []float64) []float64 {
	if dst == nil {
		dst = make([]float64, len(x))
	}
	if len(dst) != len(x) {
		panic("filter: length of dst differs from length of x")
	}
	n := float64(len(x))
	middle := (n - 1) / 2
	mean, slope := 0.0, 0.0
	for _, v := range x {
		mean += v
	}
	mean /= n
	for i, v := range x {
		slope += (float64(i) - middle) * (v - mean)
	}
	// Σ (i − middle)² = n (n² − 1)/12.
	if n > 1 {
		slope /= n * (n*n - 1) / 12
	}
	for i, v := range x {
		dst[i] = v - mean - slope*(float64(i)-middle)
	}
	return dst
}
