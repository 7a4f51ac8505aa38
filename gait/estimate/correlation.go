package estimate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// maxCorrelation bounds the estimated correlation of neighbours: above it the
// effective number of steps is a guess. Own choice; steps reach about 0.6.
const maxCorrelation = 0.9

// minCorrelation bounds it from below. Cutting at zero would lean on the safe
// side of a noisy estimate and made intervals of 25 independent steps cover
// more than 98 %; a median that profits much from alternating steps is not to
// be relied on.
const minCorrelation = -0.2

// countedAs says how many independent steps n steps are worth. Steps that swing from
// one to the next, up and down, tell more about their middle than independent ones.
func countedAs(n int, effective float64) string {
	text := fmt.Sprintf("%d steps counted as %d independent ones", n, int(math.Round(effective)))
	if math.Round(effective) > float64(n) {
		text += ", since each leans away from the one before"
	}
	return text
}

// ranked is one side's values with what its interval needs.
type ranked struct {
	// sorted are the values in rising order.
	sorted []float64
	// scores are the normal scores Φ⁻¹((rank−½)/n) in time order; equal values
	// share their mean rank.
	scores []float64
}

func rankOf(values []float64) ranked {
	n := len(values)
	order := inOrder(values)
	r := ranked{sorted: make([]float64, n), scores: make([]float64, n)}
	for low := 0; low < n; {
		high := low
		for high < n && order[high].key == order[low].key {
			high++
		}
		score := distuv.UnitNormal.Quantile(float64(low+high) / 2 / float64(n))
		for i := low; i < high; i++ {
			r.sorted[i], r.scores[order[i].at] = values[order[i].at], score
		}
		low = high
	}
	return r
}

// at is the value below which the share p of the distribution lies, with the
// i-th sorted value (from 0) at the share (i+½)/n; ends are held.
func (r ranked) at(p float64) float64 {
	n := float64(len(r.sorted))
	return quantileSorted(r.sorted, min(max((p*n-0.5)/(n-1), 0), 1))
}

// neighbours estimates the correlation of neighbours in a series, freed from a
// straight line and from the bias of the plain estimate: for an AR(1) series
// with mean and slope fitted, E r ≈ φ − (2+4φ)/n (Marriott & Pope, 1954,
// Biometrika 41, 390–402, for the mean alone: φ − (1+3φ)/n; with a line each
// term grows by about one). The result is held between minCorrelation and
// maxCorrelation; it is 0 where nothing varies.
func neighbours(series []float64) float64 {
	n := float64(len(series))
	r := Autocorrelation(withoutLine(series), 1)
	if math.IsNaN(r) || n < 6 {
		return 0
	}
	return min(max((n*r+2)/(n-5), minCorrelation), maxCorrelation)
}

// withoutLine returns what is left of series after its least-squares line over
// the index was taken off.
func withoutLine(series []float64) []float64 {
	n := len(series)
	middle, mean := float64(n-1)/2, Mean(series)
	product, square := 0.0, 0.0
	for i, v := range series {
		product += (float64(i) - middle) * (v - mean)
		square += (float64(i) - middle) * (float64(i) - middle)
	}
	rest := make([]float64, n)
	for i, v := range series {
		rest[i] = v - mean
		if square > 0 {
			rest[i] -= product / square * (float64(i) - middle)
		}
	}
	return rest
}

// signCorrelation is the correlation of the signs of two normal values with
// correlation rho (Sheppard, 1899).
func signCorrelation(rho float64) float64 { return 2 / math.Pi * math.Asin(rho) }

// negligible ends the sum over lags: what is left then changes an interval by
// less than its printed digits.
const negligible = 1e-6

// inflation is how many times the variance of the share of values below the
// median exceeds that of independent values, for an AR(1) series with the
// given correlation of neighbours: 1 + 2 Σ (2/π) asin φᵏ.
func inflation(phi float64) float64 {
	v := 1.0
	for rho := phi; math.Abs(rho) > negligible; rho *= phi {
		v += 2 * signCorrelation(rho)
	}
	return v
}
