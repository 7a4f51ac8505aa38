package filter

import "math"

// SincHalf is the number of samples on each side that Sinc uses.
const SincHalf = 16

// Linear returns the value at the fractional index p of the straight line between
// the samples next to p. Before the first sample it is that sample's value, and behind
// the last one that one's. It panics if x is empty.
func Linear(x []float64, p float64) float64 {
	k := int(math.Floor(p))
	switch {
	case k < 0:
		return x[0]
	case k+1 >= len(x):
		return x[len(x)-1]
	}
	f := p - float64(k)
	return x[k]*(1-f) + x[k+1]*f
}

// Cubic returns the value at the fractional index p of the cubic through the
// four samples next to p, two on each side where there are (Lagrange). With
// fewer than four samples the polynomial through all of them is used. It
// panics if p lies outside 0 … len(x)−1. It is exact for cubics; for a sine of
// amplitude 1 and f Hz the error is at most (3/128)(2πf/fs)⁴.
func Cubic(x []float64, p float64) float64 {
	first := firstOf(x, p, 4)
	points := x[first:min(first+4, len(x))]
	t := p - float64(first)
	if len(points) == 4 {
		// Weights of the nodes 0, 1, 2, 3 at t.
		a, b, c, d := t, t-1, t-2, t-3
		return -b*c*d/6*points[0] + a*c*d/2*points[1] - a*b*d/2*points[2] + a*b*c/6*points[3]
	}
	sum := 0.0
	for i, v := range points {
		for j := range points {
			if j != i {
				v *= (t - float64(j)) / float64(i-j)
			}
		}
		sum += v
	}
	return sum
}

// firstOf returns where a stencil of width samples about p begins.
func firstOf(x []float64, p float64, width int) int {
	if !(p >= 0 && p <= float64(len(x)-1)) {
		panic("filter: position outside the samples")
	}
	return max(0, min(int(p)-(width/2-1), len(x)-width))
}

// Sinc returns the value at the fractional index p of the band-limited signal
// through the samples x: a sinc over SincHalf samples on each side under a Hann
// window, its weights scaled to the sum 1. Beyond the ends x goes on by odd
// reflection. Up to 0.35 of the sampling rate the error for a sine of
// amplitude 1 is below 0.001. It panics if p lies outside 0 … len(x)−1.
func Sinc(x []float64, p float64) float64 {
	if !(p >= 0 && p <= float64(len(x)-1)) {
		panic("filter: position outside the samples")
	}
	whole := int(p)
	part := p - float64(whole)
	if part == 0 {
		return x[whole]
	}
	// sin(π(part − k)) differs between the samples k by its sign only.
	sine := math.Sin(math.Pi*part) / math.Pi
	sum, total := 0.0, 0.0
	for k := 1 - SincHalf; k <= SincHalf; k++ {
		d := part - float64(k)
		w := sine / d * (0.5 + 0.5*math.Cos(math.Pi*d/SincHalf))
		if k&1 != 0 {
			w = -w
		}
		sum += w * reflected(x, whole+k)
		total += w
	}
	return sum / total
}

// reflected returns x[i], continued beyond the ends by odd reflection, as
// often as needed. A single sample goes on as a constant.
func reflected(x []float64, i int) float64 {
	last := len(x) - 1
	switch {
	case last == 0:
		return x[0]
	case i < 0:
		return 2*x[0] - reflected(x, -i)
	case i > last:
		return 2*x[last] - reflected(x, 2*last-i)
	}
	return x[i]
}

// PeakOffset returns how far, in samples from −0.5 to 0.5, the vertex of the
// parabola through three neighbouring samples lies from the middle one, and
// the vertex' value. The middle sample must be the extreme one; otherwise, and
// when all are equal, the offset is 0 and the value that of the middle.
func PeakOffset(before, at, after float64) (offset, value float64) {
	bend := before - 2*at + after
	if !((at >= before && at >= after) || (at <= before && at <= after)) || bend == 0 {
		return 0, at
	}
	offset = (before - after) / (2 * bend)
	return offset, at - (before-after)*offset/4
}

// Crossing returns the fractional index, from i to i+1, at which the straight
// line between these samples has the value level. It panics if level does not
// lie between x[i] and x[i+1]. Where both equal level it is i.
func Crossing(x []float64, i int, level float64) float64 {
	a, b := x[i]-level, x[i+1]-level
	if !((a <= 0 && b >= 0) || (a >= 0 && b <= 0)) {
		panic("filter: no crossing between these samples")
	}
	if a == b {
		return float64(i)
	}
	return float64(i) + a/(a-b)
}

// CubicCrossing is Crossing on the curve of Cubic instead of the straight line.
func CubicCrossing(x []float64, i int, level float64) float64 {
	guess := Crossing(x, i, level)
	if x[i] == x[i+1] {
		return guess
	}
	low, high := float64(i), float64(i+1)
	falling := x[i] > x[i+1]
	// Regula falsi would be faster, bisection cannot fail; 40 halvings reach
	// 1e-12 of a sample.
	const halvings = 40
	for range halvings {
		v := Cubic(x, guess) - level
		if (v < 0) == falling {
			high = guess
		} else {
			low = guess
		}
		guess = (low + high) / 2
	}
	return guess
}
