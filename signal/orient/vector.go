package orient

import "math"

// Plain three-vector arithmetic on arrays, kept unexported: gonum's r3 works
// on structs with named fields, and every signal here is three slices.

func add3(a, b [3]float64) [3]float64 { return [3]float64{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func sub3(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func scale3(a [3]float64, f float64) [3]float64 {
	return [3]float64{a[0] * f, a[1] * f, a[2] * f}
}
func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func norm3(a [3]float64) float64 { return math.Sqrt(dot3(a, a)) }

// unitVec returns a scaled to length 1; the zero vector stays zero.
func unitVec(a [3]float64) [3]float64 {
	if n := norm3(a); n > 0 {
		return scale3(a, 1/n)
	}
	return a
}
