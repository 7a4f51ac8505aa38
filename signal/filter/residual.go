package filter

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Residual is a residual analysis: how much a zero-phase low-pass filter takes
// away from a signal, against its cut-off, and the cut-off chosen from it.
type Residual struct {
	// Cutoff holds the cut-offs in Hz as given, Removed the root mean square of
	// the signal minus the filtered signal at each, in the unit of the signal.
	Cutoff, Removed []float64
	// Intercept and Slope are those of the line through the tail, where only
	// noise is removed: Removed ≈ Intercept + Slope × Cutoff.
	Intercept, Slope float64
	// Chosen is the cut-off in Hz at which Removed has fallen to Intercept, by
	// linear interpolation; NaN if the analysis found none.
	Chosen float64
}

// Analyze makes a residual analysis of x (Winter, 2009, Biomechanics and Motor
// Control of Human Movement, 4th ed., section 3.4.4.3):
//
//	R(fc) = √(Σ (x[i] − x̂[i])² / n),
//
// with x̂ the zero-phase output of the filter that design returns for the
// cut-off fc, for example ZeroPhaseLowPass of order 2 at the rate of x. White
// noise alone would give a straight line from the noise's standard deviation
// at 0 Hz down to 0; it is fitted through the points with a cut-off of at
// least tailHz, and the cut-off is chosen where R meets its intercept: there
// as much signal is lost as noise is let through.
//
// cutoffs must rise and have at least two values from tailHz on, or Analyze
// panics. The error is that of design or ZeroPhase. If R never falls to the
// intercept, or does so from the first cut-off on, Chosen is NaN: the range of
// cutoffs does not hold the answer, or the tail is not noise.
func Analyze(x []float64, cutoffs []float64, tailHz float64, design func(cutoffHz float64) (SOS, error)) (Residual, error) {
	r := Residual{Cutoff: cutoffs, Removed: make([]float64, len(cutoffs)), Chosen: math.NaN()}
	y := make([]float64, len(x))
	tail := len(cutoffs)
	for i, cutoff := range cutoffs {
		if i > 0 && cutoff <= cutoffs[i-1] {
			panic("filter: cut-offs must rise")
		}
		if cutoff >= tailHz {
			tail = min(tail, i)
		}
		s, err := design(cutoff)
		if err != nil {
			return r, fmt.Errorf("residual analysis: %w", err)
		}
		if _, err := ZeroPhase(y, s, x); err != nil {
			return r, fmt.Errorf("residual analysis: %w", err)
		}
		r.Removed[i] = distance(x, y)
	}
	if tail > len(cutoffs)-2 {
		panic("filter: fewer than two cut-offs in the tail")
	}
	r.Intercept, r.Slope = stat.LinearRegression(cutoffs[tail:], r.Removed[tail:], nil, false)
	r.choose()
	return r, nil
}

// choose finds where Removed first falls to Intercept.
func (r *Residual) choose() {
	for i := 1; i < len(r.Removed); i++ {
		before, after := r.Removed[i-1], r.Removed[i]
		if before > r.Intercept && after <= r.Intercept {
			part := (before - r.Intercept) / (before - after)
			r.Chosen = r.Cutoff[i-1] + part*(r.Cutoff[i]-r.Cutoff[i-1])
			return
		}
	}
}

// distance returns the root mean square of x − y.
func distance(x, y []float64) float64 {
	sum := 0.0
	for i := range x {
		d := x[i] - y[i]
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(x)))
}
