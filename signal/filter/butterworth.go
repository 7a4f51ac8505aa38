package filter

import (
	"fmt"
	"math"
)

// LowPass designs a Butterworth low-pass filter of the given order, odd orders
// included, for signals sampled at rateHz. One pass has the gain 1 at 0 Hz and
// 1/√2 (−3 dB) at cutoffHz.
//
// The analog prototype |H|² = 1/(1+(f/fc)^2n) (Butterworth, 1930, Wireless
// Engineer 7, 536–541) is mapped by the bilinear transform with the cut-off
// warped beforehand, K = tan(π fc/fs). A pair of poles with the quality Q
// becomes
//
//	D = 1 + K/Q + K²,  b = K²/D (1, 2, 1),  a = (1, 2(K²−1)/D, (1−K/Q+K²)/D).
//
// The sections come in order of falling Q. The error wraps ErrCutoff. LowPass
// panics if order < 1.
func LowPass(order int, cutoffHz, rateHz float64) (SOS, error) {
	k, err := warped(order, cutoffHz, rateHz)
	if err != nil {
		return nil, err
	}
	return butterworth(order, k, [3]float64{k * k, 2 * k * k, k * k}, [2]float64{k, k}), nil
}

// HighPass designs a Butterworth high-pass filter, as LowPass does, with the
// gain 0 at 0 Hz, 1/√2 at cutoffHz and 1 at half the sampling rate.
func HighPass(order int, cutoffHz, rateHz float64) (SOS, error) {
	k, err := warped(order, cutoffHz, rateHz)
	if err != nil {
		return nil, err
	}
	return butterworth(order, k, [3]float64{1, -2, 1}, [2]float64{1, -1}), nil
}

// warped checks the arguments of a design and returns tan(π fc/fs).
func warped(order int, cutoffHz, rateHz float64) (float64, error) {
	if order < 1 {
		panic("filter: order below 1")
	}
	if !(cutoffHz > 0 && cutoffHz < rateHz/2) {
		return 0, fmt.Errorf("cut-off of %g Hz at %g Hz: %w", cutoffHz, rateHz, ErrCutoff)
	}
	return math.Tan(math.Pi * cutoffHz / rateHz), nil
}

// butterworth builds the sections for the warped cut-off k. The numerators,
// not yet divided by D, are b2 for a pair of poles and b1 for a single pole.
func butterworth(order int, k float64, b2 [3]float64, b1 [2]float64) SOS {
	sos := make(SOS, 0, (order+1)/2)
	for i := range order / 2 {
		// Pole pair i lies at ±θ from the negative real axis; 1/Q = 2 cos θ.
		theta := math.Pi * float64(order-1-2*i) / float64(2*order)
		damping := 2 * math.Cos(theta) * k
		d := 1 + damping + k*k
		sos = append(sos, Section{
			b2[0] / d, b2[1] / d, b2[2] / d,
			2 * (k*k - 1) / d, (1 - damping + k*k) / d,
		})
	}
	if order%2 == 1 {
		sos = append(sos, Section{B0: b1[0] / (1 + k), B1: b1[1] / (1 + k), A1: (k - 1) / (1 + k)})
	}
	return sos
}

// PassFactor returns C, by which the cut-off of one pass of a Butterworth
// filter of the given order lies above the cut-off of the given number of
// passes:
//
//	C = (2^(1/passes) − 1)^(1/(2 order)).
//
// For order 2 and two passes C = 0.802 (Winter, 2009, Biomechanics and Motor
// Control of Human Movement, 4th ed., section 3.4.4). It panics if an argument
// is below 1.
func PassFactor(order, passes int) float64 {
	if order < 1 || passes < 1 {
		panic("filter: order or passes below 1")
	}
	return math.Pow(math.Exp2(1/float64(passes))-1, 1/float64(2*order))
}

// DualPassCutoff returns the cut-off in Hz to design a low-pass filter with so
// that its zero-phase use, two passes, has the gain 1/√2 at cutoffHz:
//
//	f' = (fs/π) atan(tan(π fc/fs)/C),  C = PassFactor(order, 2).
//
// The correction is made on the warped frequency: dividing fc itself by C, as
// is often done, misses the gain by up to 2 % at fs/10. The error wraps
// ErrCutoff.
func DualPassCutoff(order int, cutoffHz, rateHz float64) (float64, error) {
	k, err := warped(order, cutoffHz, rateHz)
	if err != nil {
		return 0, err
	}
	return rateHz / math.Pi * math.Atan(k/PassFactor(order, 2)), nil
}

// DualPassCutoffHigh is DualPassCutoff for a high-pass filter, whose cut-off
// moves down: f' = (fs/π) atan(C tan(π fc/fs)).
func DualPassCutoffHigh(order int, cutoffHz, rateHz float64) (float64, error) {
	k, err := warped(order, cutoffHz, rateHz)
	if err != nil {
		return 0, err
	}
	return rateHz / math.Pi * math.Atan(k*PassFactor(order, 2)), nil
}

// ZeroPhaseLowPass designs a low-pass filter for zero-phase use: after both
// passes the gain at cutoffHz is 1/√2.
func ZeroPhaseLowPass(order int, cutoffHz, rateHz float64) (SOS, error) {
	f, err := DualPassCutoff(order, cutoffHz, rateHz)
	if err != nil {
		return nil, err
	}
	return LowPass(order, f, rateHz)
}

// ZeroPhaseHighPass designs a high-pass filter for zero-phase use: after both
// passes the gain at cutoffHz is 1/√2.
func ZeroPhaseHighPass(order int, cutoffHz, rateHz float64) (SOS, error) {
	f, err := DualPassCutoffHigh(order, cutoffHz, rateHz)
	if err != nil {
		return nil, err
	}
	return HighPass(order, f, rateHz)
}
