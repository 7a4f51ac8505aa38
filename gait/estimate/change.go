package estimate

import (
	"fmt"
	"math"
)

// The search for a change works on means over bins of time. The numbers are
// own choices: bins of about half a minute in a run of half an hour place a
// change well within a minute, and fewer than twelve bins show nothing.
const (
	maxBins      = 60
	minBins      = 12
	minBinWidth  = 30.0 // s, about 40 strides of one foot
	minPerBin    = 8
	keptAtEnds   = 2 // bins at each end where no change is looked for
	placeSamples = 200
	nullSamples  = 1000
	// startStep is from one start to the next where the place is looked for, in
	// bins; durationStep the factor from one duration to the next, the fourth root
	// of 2.
	startStep    = 0.5
	durationStep = 1.189
)

// Change is the time at which values began to change.
type Change struct {
	// Found tells whether a change was shown.
	Found bool
	// N is how many values went in.
	N int
	// At is the time at which the change began, s on the axis of the values,
	// with its interval; NaN unless Found.
	At, Low, High float64
	// By is how far the values had changed at the end of the change, in their
	// unit; NaN when nothing could be fitted.
	By float64
	// P is how often steady values with the same likeness of neighbours look
	// as much like a change.
	P float64
	// Method says what was done and, unless Found, why nothing was.
	Method string
}

// FindChange looks for the one time at which values began to change. It fits
//
//	a + b t + c ramp((t−τ)/δ),   ramp(x) = min(max(x, 0), 1),
//
// to means over bins of time, for all starts τ and for durations δ from one
// bin (a jump) to the end of the run (a bend), and compares the best fit with
// the straight line a + b t: a run that drifts evenly from its first minute has
// no minute at which it began to change. The comparison's distribution comes
// from simulated series with the residuals' own correlation, because slow
// wandering looks like a change to any test that takes bins as independent.
//
// The place and the size are those of the best fit with b = 0, which is sharper
// where the values did not drift before. Simulation around that fit gives the
// interval of the place. Give it the differences of the feet (PairDifferences)
// where both were recorded: what they share, a drift in speed above all, cancels.
//
// A change is Found when P ≤ 1 − confidence and |By| ≥ least. least, in the
// unit of the values, is the smallest change worth naming; 0 names any that is
// shown. Twelve bins of at least 30 s with values are needed. FindChange panics
// when lengths differ or a number is not finite; times must rise.
func FindChange(s Series, least float64, cfg Config) Change {
	mustPair(s.Times, s.Values)
	nan := math.NaN()
	change := Change{N: len(s.Values), At: nan, Low: nan, High: nan, By: nan, P: nan}
	binned := bin(s)
	if len(binned.Values) < minBins {
		change.Method = fmt.Sprintf("no change looked for: needs %d stretches of %g s with %d steps each", minBins, minBinWidth, minPerBin)
		return change
	}
	search := newSearch(binned.Times, offLine, 1, 2)
	best := search.best(binned.Values)
	change.P = search.probability(best, search.around(binned.Values, best), cfg)
	change.Method = fmt.Sprintf("bend or jump beyond a straight line, %d means over %.0f s, P from %d simulated steady runs",
		len(binned.Values), search.width, nullSamples)
	search = newSearch(binned.Times, offMean, startStep, durationStep)
	best = search.best(binned.Values)
	change.By = best.by
	if change.P > 1-cfg.confidence() || math.Abs(change.By) < least {
		return change
	}
	change.Found = true
	change.At, change.Low, change.High = search.whereabouts(binned.Values, best, cfg)
	return change
}

// PlaceChange is where FindChange would say that values began to change if it
// had found that they did: the time, s, with its interval. It is for values that
// are made to tell the place well once a change was found in others. NaN with
// fewer than twelve bins of at least 30 s. It panics as FindChange does.
func PlaceChange(s Series, cfg Config) (at, low, high float64) {
	mustPair(s.Times, s.Values)
	binned := bin(s)
	if len(binned.Values) < minBins {
		return math.NaN(), math.NaN(), math.NaN()
	}
	search := newSearch(binned.Times, offMean, startStep, durationStep)
	return search.whereabouts(binned.Values, search.best(binned.Values), cfg)
}

// bin takes trimmed means over equal stretches of time; stretches with fewer than
// minPerBin values are left out.
func bin(s Series) Series {
	n := len(s.Times)
	if n == 0 {
		return Series{}
	}
	start, span := s.Times[0], s.Times[n-1]-s.Times[0]
	count := int(min(maxBins, span/minBinWidth))
	var binned Series
	for i, from := 0, 0; i < count; i++ {
		end, to := start+span*float64(i+1)/float64(count), from
		for to < n && (s.Times[to] < end || i == count-1) {
			to++
		}
		if to-from >= minPerBin {
			binned.Times = append(binned.Times, Mean(s.Times[from:to]))
			binned.Values = append(binned.Values, midMean(s.Values[from:to]))
		}
		from = to
	}
	return binned
}

// trimmed is the share left out at each end of a bin's values: it keeps 95 %
// of the efficiency of a mean and bears one bad step in ten.
const trimmed = 0.1

// midMean is the mean without the smallest and largest tenth of the values.
func midMean(values []float64) float64 {
	s := sorted(values)
	cut := int(trimmed * float64(len(s)))
	return Mean(s[cut : len(s)-cut])
}
