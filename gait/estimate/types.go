// Package estimate turns values into numbers that can be defended: a centre
// with n, an interval and the method that made it.
//
// Steps of one run are not independent of each other, so intervals come from
// a block bootstrap; the rule for the block length and the small-sample
// correction are chosen by measured coverage (see docs/validation.md).
package estimate

import "math"

// Estimate is one number with its uncertainty, in the unit of the values that
// went in.
type Estimate struct {
	// N is how many values went in.
	N int
	// Center is the point estimate; NaN when N is too small to give one.
	Center float64
	// Low and High bound the 95 % interval; NaN when there are too few values.
	Low, High float64
	// Method names how centre and interval were made, in words.
	Method string
	// Needed is how many values an interval needs when N was too small; else 0.
	Needed int
}

// None is an estimate without numbers: n values were there, which is too few.
func None(n int) Estimate {
	nan := math.NaN()
	return Estimate{N: n, Center: nan, Low: nan, High: nan}
}

// HasInterval tells whether the interval exists.
func (e Estimate) HasInterval() bool { return !math.IsNaN(e.Low) && !math.IsNaN(e.High) }
