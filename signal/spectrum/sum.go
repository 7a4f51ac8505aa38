package spectrum

import "math"

// AddPower adds to sum the power of x at the multiples of rate/len(x) from 0 Hz to
// half the rate, |Σ w[i] (x[i] − mean) e^(−j2πik/n)|² with the periodic Hann window w,
// and returns sum: the power of many segments, and of the axes of a sensor, whose
// direction does not matter. A nil sum is made; x is not changed. It panics unless
// x has an even length of at least 4 and sum that of x's powers, len(x)/2 + 1.
func (a *Analyzer) AddPower(sum, x []float64) []float64 {
	n := len(x)
	if sum == nil {
		sum = make([]float64, n/2+1)
	}
	if n < 4 || n%2 != 0 || len(sum) != n/2+1 {
		panic("spectrum: need an even number of samples, at least 4, and a sum of half as many and one")
	}
	if !a.load(x, n) {
		return sum
	}
	if len(a.window) != n {
		a.window = Hann(n)
	}
	for i, w := range a.window {
		a.real[i] *= w
	}
	a.transform(n)
	for k, p := range a.power {
		sum[k] += p
	}
	return sum
}

// Level returns the mean of powers, one a multiple of step Hz, from low to high Hz, both
// included; NaN where there is none.
func Level(powers []float64, step, low, high float64) float64 {
	from, to := int(math.Ceil(low/step)), int(math.Floor(high/step))
	if from < 0 || to >= len(powers) || from > to {
		return math.NaN()
	}
	total := 0.0
	for _, p := range powers[from : to+1] {
		total += p
	}
	return total / float64(to-from+1)
}
