package filter

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// SavitzkyGolay returns the weights w with which a window of samples x[0] …
// x[window−1], oldest first, gives the derivative-th derivative, per sample to
// that power, at the middle of the polynomial of the given degree that fits
// the window best by least squares:
//
//	Σ w[i] x[i],  derivative 0: the smoothed value.
//
// (Savitzky and Golay, 1964, Anal. Chem. 36(8), 1627–1639; their printed
// tables have errors, the weights here are computed.) It panics unless window
// is odd, degree < window and 0 ≤ derivative ≤ degree.
func SavitzkyGolay(window, degree, derivative int) []float64 {
	if window%2 == 0 || window < 1 {
		panic("filter: window must be odd")
	}
	return fitWeights(window, degree, derivative, 0)
}

// fitWeights returns the weights for the value at the given number of samples
// from the middle of the window.
func fitWeights(window, degree, derivative int, at float64) []float64 {
	if degree < 0 || degree >= window || derivative < 0 || derivative > degree {
		panic("filter: need derivative ≤ degree < window")
	}
	// Positions run from −1 to 1, so that their powers stay comparable.
	half := max(float64(window/2), 1)
	powers := mat.NewDense(window, degree+1, nil)
	unit := mat.NewDiagDense(window, nil)
	for i := range window {
		unit.SetDiag(i, 1)
		for j := range degree + 1 {
			powers.Set(i, j, math.Pow((float64(i)-half)/half, float64(j)))
		}
	}
	var qr mat.QR
	qr.Factorize(powers)
	var fit mat.Dense // row j: the weights of the coefficient of power j
	if err := qr.SolveTo(&fit, false, unit); err != nil {
		panic("filter: degree too high for the window: " + err.Error())
	}
	weights := make([]float64, window)
	for j := derivative; j <= degree; j++ {
		// The derivative-th derivative of (t/half)^j at t = at.
		f := math.Pow(at/half, float64(j-derivative)) / math.Pow(half, float64(derivative))
		for k := range derivative {
			f *= float64(j - k)
		}
		for i := range weights {
			weights[i] += f * fit.At(j, i)
		}
	}
	return weights
}

// Smooth fits a polynomial of the given degree to a window of samples about
// each sample of x, sampled at rateHz, and returns the derivative-th
// derivative of it there, in the unit of x per s to that power. Within half a
// window of the ends the fit of the first or last full window is used.
//
// A nil dst is allocated; otherwise it must have the length of x and must not
// be x. The error wraps ErrTooShort if x is shorter than the window. A NaN in
// x spoils the values whose window holds it. Panics as SavitzkyGolay does.
func Smooth(dst, x []float64, window, degree, derivative int, rateHz float64) ([]float64, error) {
	weights := SavitzkyGolay(window, degree, derivative)
	if len(x) < window {
		return nil, fmt.Errorf("%d samples for a window of %d: %w", len(x), window, ErrTooShort)
	}
	if dst == nil {
		dst = make([]float64, len(x))
	}
	if len(dst) != len(x) {
		panic("filter: length of dst differs from length of x")
	}
	scale := math.Pow(rateHz, float64(derivative))
	half, n := window/2, len(x)
	for i := half; i < n-half; i++ {
		dst[i] = scale * weigh(weights, x[i-half:])
	}
	for k := 1; k <= half; k++ {
		dst[half-k] = scale * weigh(fitWeights(window, degree, derivative, float64(-k)), x)
		dst[n-1-half+k] = scale * weigh(fitWeights(window, degree, derivative, float64(k)), x[n-window:])
	}
	return dst, nil
}

// weigh returns Σ w[i] x[i] over the length of w.
func weigh(w, x []float64) float64 {
	sum := 0.0
	for i, v := range w {
		sum += v * x[i]
	}
	return sum
}
