package filter

import (
	"fmt"
)

// PadLen returns the number of samples by which the zero-phase functions extend
// a span at both ends: 3 (order + 1), 9 for order 2. It is the default of
// SciPy's filtfilt and sosfiltfilt.
func PadLen(s SOS) int { return 3 * (s.Order() + 1) }

// ZeroPhase filters x forwards, then backwards, so that the result is not
// delayed, and returns it in dst.
//
// The gain is applied twice: with |H(f)| the gain of s, the output is
//
//	Y(f) = |H(f)|² X(f),
//
// so a cut-off designed at −3 dB lies at −6 dB here; ZeroPhaseLowPass designs
// for that. x is extended at both ends by odd reflection,
//
//	x[−i] = 2 x[0] − x[i],  x[n−1+i] = 2 x[n−1] − x[n−1−i],  i = 1 … PadLen(s),
//
// and each pass starts in the steady state for the first sample it meets.
//
// A nil dst is allocated; otherwise len(dst) must equal len(x), or ZeroPhase
// panics. dst may be x. The error wraps ErrTooShort if len(x) ≤ PadLen(s), and
// ErrNotFinite, with the index, if x has a NaN or infinity: one NaN would turn
// everything into NaN.
//
// ZeroPhaseSpan gives the same to about 1e-12 and agrees to the bit with the
// block-wise Stream.
func ZeroPhase(dst []float64, s SOS, x []float64) ([]float64, error) {
	if dst != nil && len(dst) != len(x) {
		panic("filter: length of dst differs from length of x")
	}
	pad, n := PadLen(s), len(x)
	if n <= pad {
		return nil, tooShort(n, pad)
	}
	if err := finite(x); err != nil {
		return nil, err
	}
	ext := make([]float64, n+2*pad)
	copy(ext[pad:], x)
	reflectStart(ext[:pad], x)
	reflectEnd(ext[pad+n:], x)
	mem := make([][maxChannels]memory, len(s))
	all := &[maxChannels][]float64{ext}
	s.settle(mem, 0, ext[0])
	s.run(mem, 1, false, all, all)
	s.settle(mem, 0, ext[len(ext)-1])
	s.run(mem, 1, true, all, all)
	if dst == nil {
		dst = make([]float64, n)
	}
	copy(dst, ext[pad:])
	return dst, nil
}

// tooShort is the error for a span of n samples that needs more than pad.
func tooShort(n, pad int) error {
	return fmt.Errorf("a span of %d samples needs at least %d for this filter: %w", n, pad+1, ErrTooShort)
}

// reflectStart fills ext with the odd reflection of x about its first sample;
// the last value of ext stands just before x[0].
func reflectStart(ext, x []float64) {
	for i := range ext {
		ext[len(ext)-1-i] = 2*x[0] - x[i+1]
	}
}

// reflectEnd fills ext with the odd reflection of x about its last sample; the
// first value of ext stands just after it.
func reflectEnd(ext, x []float64) {
	last := len(x) - 1
	for i := range ext {
		ext[i] = 2*x[last] - x[last-1-i]
	}
}
