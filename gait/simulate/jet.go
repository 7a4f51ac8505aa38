package simulate

import "math"

// jet is a quantity with its first and second derivative by time.
type jet struct{ v, d, a float64 }

// still is a jet that does not move.
func still(v float64) jet { return jet{v: v} }

// add returns the sum of two jets.
func (j jet) add(k jet) jet { return jet{j.v + k.v, j.d + k.d, j.a + k.a} }

// scale returns the jet times a constant.
func (j jet) scale(f float64) jet { return jet{j.v * f, j.d * f, j.a * f} }

// cos and sin return the jets of the cosine and sine of an angle.
func (j jet) cos() jet {
	s, c := math.Sincos(j.v)
	return jet{c, -s * j.d, -c*j.d*j.d - s*j.a}
}

func (j jet) sin() jet {
	s, c := math.Sincos(j.v)
	return jet{s, c * j.d, -s*j.d*j.d + c*j.a}
}

// quintic is the polynomial of fifth degree on [t0, t0+span] that has given
// values, first and second derivatives at both ends.
type quintic struct {
	t0, span float64
	c        [6]float64 // coefficients of ((t−t0)/span)^k
}

// newQuintic solves the six end conditions. span must be positive.
func newQuintic(t0, span float64, from, to jet) quintic {
	v0, a0 := from.d*span, from.a*span*span
	v1, a1 := to.d*span, to.a*span*span
	h := to.v - from.v
	return quintic{t0, span, [6]float64{
		from.v, v0, a0 / 2,
		10*h - 6*v0 - 4*v1 - 1.5*a0 + 0.5*a1,
		-15*h + 8*v0 + 7*v1 + 1.5*a0 - a1,
		6*h - 3*v0 - 3*v1 - 0.5*a0 + 0.5*a1,
	}}
}

// at evaluates the polynomial and its derivatives.
func (q *quintic) at(t float64) jet {
	s := (t - q.t0) / q.span
	c := &q.c
	v := c[0] + s*(c[1]+s*(c[2]+s*(c[3]+s*(c[4]+s*c[5]))))
	d := c[1] + s*(2*c[2]+s*(3*c[3]+s*(4*c[4]+s*5*c[5])))
	a := 2*c[2] + s*(6*c[3]+s*(12*c[4]+s*20*c[5]))
	return jet{v, d / q.span, a / (q.span * q.span)}
}

// bump is height·64·s³(1−s)³ on [t0, t0+span]: its peak is height, and value,
// slope and curvature are zero at both ends, so that it can be added to any
// smooth path without a kink.
type bump struct{ t0, span, height float64 }

// at evaluates the bump and its derivatives; it is zero outside its interval.
func (b bump) at(t float64) jet {
	s := (t - b.t0) / b.span
	if !(s > 0 && s < 1) { // also where the span is 0
		return jet{}
	}
	u, du := s*(1-s), 1-2*s
	k := 64 * b.height
	return jet{k * u * u * u, k * 3 * u * u * du / b.span, k * (6*u*du*du - 6*u*u) / (b.span * b.span)}
}

// creep is size·268.9·s³(1−s)³(1−2s) on [t0, t0+span]: up to size in the first
// half, down to −size in the second, with mean 0 and ends as smooth as a bump's.
type creep struct{ t0, span, size float64 }

// at evaluates the creep and its derivatives; it is zero outside its interval.
func (c creep) at(t float64) jet {
	b := bump{c.t0, c.span, c.size * 268.9 / 64}.at(t)
	if b == (jet{}) {
		return b
	}
	// the product of the bump with 1 − 2s
	lin, slope := 1-2*(t-c.t0)/c.span, -2/c.span
	return jet{b.v * lin, b.d*lin + b.v*slope, b.a*lin + 2*b.d*slope}
}
