// Package spectrum describes signals by frequency: power density by Welch's
// method, the strongest frequency in a band, and the period at which a signal
// repeats itself.
//
// Frequencies and rates are in Hz. Signals are uniformly sampled, without gaps
// and without NaN: one NaN makes every value NaN.
package spectrum

import (
	"errors"
	"fmt"
	"math"

	"github.com/mjibson/go-dsp/spectral"
)

// ErrTooShort is wrapped by the error of a function that was given fewer
// samples than it needs; the message says how many it needs.
var ErrTooShort = errors.New("too few samples")

// Density is a one-sided power density.
type Density struct {
	// Frequency is in Hz, from 0 to half the sampling rate in equal steps.
	Frequency []float64
	// Power is the density in the signal's unit squared per Hz.
	Power []float64
}

// PowerDensity estimates the one-sided power density of x by Welch's method
// (Welch, 1967, IEEE Trans. Audio Electroacoust. 15(2), 70–73):
//
//	P(f) = c/(fs Σ w²) · mean over segments of |Σ w[i] (x[i] − mean) e^(−j2πfi/fs)|²,
//
// with c = 2 except at 0 Hz and half the rate, where it is 1. Segments of
// segment samples follow each other with overlap samples in common; samples
// after the last whole segment are not used. From each segment its own mean is
// taken away, and w is the periodic Hann window. The integral of P over f is
// the variance of x, up to what the windows leave out at the ends.
//
// x is not changed. The error wraps ErrTooShort if x is shorter than one
// segment: padding it with zeros would give too little power. It panics unless
// segment is even, at least 4, and 0 ≤ overlap < segment.
func PowerDensity(x []float64, rateHz float64, segment, overlap int) (Density, error) {
	if segment < 4 || segment%2 != 0 || overlap < 0 || overlap >= segment {
		panic("spectrum: need an even segment of at least 4 and 0 ≤ overlap < segment")
	}
	if len(x) < segment {
		return Density{}, fmt.Errorf("%d samples for segments of %d: %w", len(x), segment, ErrTooShort)
	}
	// The library neither removes means nor has a periodic window, and it is
	// wrong with padding: so it is given the prepared segments end to end, no
	// overlap, no padding and the window.
	power, frequency := spectral.Pwelch(segments(x, segment, overlap), rateHz, &spectral.PwelchOptions{
		NFFT: segment, Pad: segment, Window: Hann,
	})
	return Density{frequency, power}, nil
}

// segments returns the segments of x end to end, each without its mean.
func segments(x []float64, segment, overlap int) []float64 {
	step := segment - overlap
	count := (len(x)-segment)/step + 1
	out := make([]float64, 0, count*segment)
	for k := range count {
		out = append(out, x[k*step:k*step+segment]...)
		removeMean(out[k*segment:])
	}
	return out
}

func removeMean(x []float64) {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	mean := sum / float64(len(x))
	for i := range x {
		x[i] -= mean
	}
}

// Hann returns the periodic Hann window of n samples, w[i] = (1 − cos 2πi/n)/2.
func Hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
	}
	return w
}

// Between returns the power between low and high Hz, both included: the sum of
// the density times the step of frequency. From 0 to half the rate it is the
// whole power.
func (d Density) Between(low, high float64) float64 {
	if len(d.Frequency) < 2 {
		return 0
	}
	sum := 0.0
	for i, f := range d.Frequency {
		if f >= low && f <= high {
			sum += d.Power[i]
		}
	}
	return sum * (d.Frequency[1] - d.Frequency[0])
}
