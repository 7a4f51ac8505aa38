// Package filter holds the linear filters of setdown: Butterworth low-pass and
// high-pass filters as second-order sections, zero-phase filtering of a whole
// gap-free span or of the span block by block with the same bits, smoothing
// and derivative by Savitzky–Golay, the choice of a cut-off from the data, and
// values between the samples.
//
// Cut-off frequencies and rates are in Hz. A span is a run of samples at a
// constant rate without a gap and without NaN or infinity; nothing here looks
// across the border of a span.
package filter

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
)

// ErrTooShort is wrapped by the error of a function that was given fewer
// samples than it needs; the message says how many it needs.
var ErrTooShort = errors.New("too few samples")

// ErrNotFinite is wrapped by the error of a function that met NaN or infinity.
var ErrNotFinite = errors.New("a sample is not a finite number")

// ErrCutoff is wrapped by the error of a function whose cut-off does not lie
// strictly between 0 and half the sampling rate.
var ErrCutoff = errors.New("cut-off outside 0 to half the sampling rate")

// Section is one second-order section
//
//	y[n] = B0 x[n] + B1 x[n-1] + B2 x[n-2] − A1 y[n-1] − A2 y[n-2],
//
// whose transfer function is (B0 + B1 z⁻¹ + B2 z⁻²)/(1 + A1 z⁻¹ + A2 z⁻²). A
// first-order section has B2 = A2 = 0.
type Section struct{ B0, B1, B2, A1, A2 float64 }

// SOS is a filter as a cascade of second-order sections, applied in order.
// Sections keep their precision where the expanded polynomials lose it: at low
// cut-offs and high orders.
type SOS []Section

// constantGain returns the gain of the section for a constant signal.
func (s Section) constantGain() float64 {
	return (s.B0 + s.B1 + s.B2) / (1 + s.A1 + s.A2)
}

// Gain returns |H(f)|, the amplitude gain of one pass of the filter at f Hz for
// the sampling rate rateHz. The zero-phase functions apply it twice.
func (s SOS) Gain(f, rateHz float64) float64 {
	z1 := cmplx.Exp(complex(0, -2*math.Pi*f/rateHz))
	gain := 1.0
	for _, c := range s {
		num := complex(c.B0, 0) + z1*(complex(c.B1, 0)+z1*complex(c.B2, 0))
		den := 1 + z1*(complex(c.A1, 0)+z1*complex(c.A2, 0))
		gain *= cmplx.Abs(num) / cmplx.Abs(den)
	}
	return gain
}

// Order returns the number of poles that do not lie at z = 0.
func (s SOS) Order() int {
	order := 0
	for _, c := range s {
		switch {
		case c.A2 != 0:
			order += 2
		case c.A1 != 0:
			order++
		}
	}
	return order
}

// slowestPole returns the largest magnitude of a pole: how much of a free
// oscillation is left after one sample.
func (s SOS) slowestPole() float64 {
	slowest := 0.0
	for _, c := range s {
		root := cmplx.Sqrt(complex(c.A1*c.A1/4-c.A2, 0))
		half := complex(-c.A1/2, 0)
		slowest = max(slowest, cmplx.Abs(half+root), cmplx.Abs(half-root))
	}
	return slowest
}

// finite returns an error that wraps ErrNotFinite and names the index of the
// first NaN or infinity in x, or nil.
func finite(x []float64) error {
	for i, v := range x {
		if v-v != 0 {
			return fmt.Errorf("sample %d is %v: %w", i, v, ErrNotFinite)
		}
	}
	return nil
}
