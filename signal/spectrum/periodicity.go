package spectrum

import (
	"fmt"
	"math"
	"slices"
)

// Period is the time after which a signal repeats itself.
type Period struct {
	// Seconds is the period in s.
	Seconds float64
	// Strength is the correlation of the signal with itself one period later:
	// 1 for a perfect repetition, near 0 for noise.
	Strength float64
}

// Frequency returns 1/Seconds in Hz.
func (p Period) Frequency() float64 { return 1 / p.Seconds }

// nearBest is the share of the strongest correlation from which a shorter
// period is preferred: twice the period of a signal correlates as well as the
// period itself, and noise decides which is higher. Own choice.
const nearBest = 0.9

// Periodicity finds the period of x between 1/highHz and 1/lowHz s: the
// shortest lag with a peak of the autocorrelation that reaches nearBest of the
// highest one in this range, refined by a parabola. Shape does not matter, only
// repetition: a signal whose strongest harmonic is the third is still found at
// its period.
//
// It is false when there is no peak with a positive correlation in the range.
// The error wraps ErrTooShort if x is shorter than two periods of lowHz. It
// panics unless 0 < lowHz < highHz ≤ rateHz/2.
func (a *Analyzer) Periodicity(x []float64, rateHz, lowHz, highHz float64) (Period, bool, error) {
	checkBand(rateHz, lowHz, highHz)
	if need := int(math.Ceil(2 * rateHz / lowHz)); len(x) < need {
		return Period{}, false, fmt.Errorf("%d samples; a period of %g s needs at least %d: %w", len(x), 1/lowHz, need, ErrTooShort)
	}
	longest := int(math.Floor(rateHz / lowHz))
	a.lags = slices.Grow(a.lags[:0], longest+2)[:longest+2]
	r := a.Autocorrelation(a.lags, x, longest+1)
	first := max(1, int(math.Ceil(rateHz/highHz)))
	best := highestPeak(r, first, longest)
	if best < 0 || r[best] <= 0 {
		return Period{}, false, nil
	}
	for i := first; i < best; i++ {
		if r[i] > r[i-1] && r[i] >= r[i+1] && r[i] >= nearBest*r[best] {
			best = i
			break
		}
	}
	offset, strength := vertex(r[best-1], r[best], r[best+1])
	return Period{(float64(best) + offset) / rateHz, min(1, strength)}, true, nil
}

// Autocorrelation returns in dst, for the lags k = 0 … maxLag samples, the
// correlation of x without its mean and the same k samples later:
//
//	r[k] = Σ x[i] x[i+k] / √(Σ x[i]² Σ x[i+k]²),  i = 0 … n−1−k,
//
// each from −1 to 1; a perfectly periodic signal gives 1 at every period,
// however few samples overlap. Where one of the sums is 0, r[k] is 0.
//
// A nil dst is allocated; otherwise it must have maxLag+1 values, or
// Autocorrelation panics, as it does unless 0 ≤ maxLag < len(x). It takes time
// in proportion to n log n.
func (a *Analyzer) Autocorrelation(dst, x []float64, maxLag int) []float64 {
	if maxLag < 0 || maxLag >= len(x) {
		panic("spectrum: need 0 ≤ maxLag < len(x)")
	}
	if dst == nil {
		dst = make([]float64, maxLag+1)
	}
	if len(dst) != maxLag+1 {
		panic("spectrum: dst must have maxLag+1 values")
	}
	n := len(x)
	size := SmoothLength(n + maxLag) // zeros enough for lags not to wrap around
	a.load(x, size)
	a.sumSquares(n)
	a.transform(size)
	for i, p := range a.power {
		a.complex[i] = complex(p, 0)
	}
	a.plan(size).Sequence(a.real, a.complex)
	for k := range dst {
		early, late := a.energy[n-k], a.energy[n]-a.energy[k]
		dst[k] = 0
		// Below this share of the whole energy the sums are rounding noise.
		const least = 1e-12
		if min(early, late) > least*a.energy[n] {
			dst[k] = a.real[k] / float64(size) / math.Sqrt(early*late)
		}
	}
	return dst
}

// sumSquares fills energy[i] with the sum of the squares of the first i values
// of real.
func (a *Analyzer) sumSquares(n int) {
	a.energy = slices.Grow(a.energy[:0], n+1)[:n+1]
	a.energy[0] = 0
	for i, v := range a.real[:n] {
		a.energy[i+1] = a.energy[i] + v*v
	}
}

// DominantFrequency is Analyzer.DominantFrequency for a single signal.
func DominantFrequency(x []float64, rateHz, lowHz, highHz float64) (Peak, bool, error) {
	return new(Analyzer).DominantFrequency(x, rateHz, lowHz, highHz)
}

// Periodicity is Analyzer.Periodicity for a single signal.
func Periodicity(x []float64, rateHz, lowHz, highHz float64) (Period, bool, error) {
	return new(Analyzer).Periodicity(x, rateHz, lowHz, highHz)
}
