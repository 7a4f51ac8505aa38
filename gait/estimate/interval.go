package estimate

import (
	"fmt"
	"math"
)

// MedianInterval returns the median of values, which are in time order, with
// an interval that allows for the likeness of neighbours; the package comment
// says how and about what. values are not changed.
//
// With fewer than cfg.MinValues values the centre is given without an interval
// and Needed says how many it takes. Without values everything is NaN. A value
// that is NaN or infinite is a programmer's mistake and panics: measures that
// do not exist are left out by the caller. Equal values give an interval
// without width. It allocates a few slices of the length of values and takes
// time in proportion to n log n.
func MedianInterval(values []float64, cfg Config) Estimate {
	mustBeFinite(values)
	n := len(values)
	if n < cfg.minimum() {
		return tooFew(n, Median(values), "median", cfg)
	}
	side := rankOf(values)
	effective := float64(n) / inflation(neighbours(side.scores))
	low, high := side.interval(effective, cfg.t(effective-1))
	return Estimate{
		N: n, Center: quantileSorted(side.sorted, 0.5), Low: low, High: high,
		Method: fmt.Sprintf("median; %s interval from order statistics, %s", cfg.named(), countedAs(n, effective)),
	}
}

// interval returns the order statistics between which the median of the
// effective number of independent values lies; t is the quantile that says how
// surely.
func (r ranked) interval(effective, t float64) (low, high float64) {
	half := t / (2 * math.Sqrt(effective))
	return r.at(0.5 - half), r.at(0.5 + half)
}

// arms are the lengths of an interval below and above the median.
func (r ranked) arms(effective, t float64) (below, above float64) {
	low, high := r.interval(effective, t)
	middle := quantileSorted(r.sorted, 0.5)
	return middle - low, high - middle
}

// DifferenceInterval returns median(a) − median(b) with an interval, for two
// sets of steps that have nothing in common, each in time order. The arms of
// the two medians' intervals, with nₐ+n_b−2 effective degrees of freedom, are
// added in quadrature (Zou & Donner, 2008, Stat. Med. 27, 1693–1702),
//
//	low  = d − sqrt((mₐ−lowₐ)² + (high_b−m_b)²),
//	high = d + sqrt((highₐ−mₐ)² + (m_b−low_b)²).
//
// The two feet of one run share the run's drift: use PairedDifferenceInterval
// for them. N is the number of values of the smaller set; for few values and
// bad ones see MedianInterval.
func DifferenceInterval(a, b []float64, cfg Config) Estimate {
	return PairedDifferenceInterval(Series{Values: a}, Series{Values: b}, cfg)
}

// Series is one side's values with the time of each.
type Series struct {
	// Times in s, rising; nil when they are not known.
	Times []float64
	// Values in the measure's unit, one for each time.
	Values []float64
}

// PairedDifferenceInterval returns median(a) − median(b) with an interval, for
// the two feet of one run. Each step is set beside the step of the other foot
// that belongs to the same stride; what such pairs have in common (a drift in speed, a quicker
// stride) cancels in the difference and is not counted as doubt, and the
// likeness of neighbours is judged on the differences of the pairs. Steps
// without a partner count in the medians all the same. Without times, or with
// partners for fewer than half of the smaller side's steps, the sides are
// taken to have nothing in common, which makes the interval wider if they do.
//
// For N, few values and bad ones see DifferenceInterval. It panics when a
// series has times, but not one for each value.
func PairedDifferenceInterval(a, b Series, cfg Config) Estimate {
	mustBeFinite(a.Values)
	mustBeFinite(b.Values)
	n := min(len(a.Values), len(b.Values))
	if n < cfg.minimum() {
		return tooFew(n, Median(a.Values)-Median(b.Values), "difference of medians", cfg)
	}
	first, second := rankOf(a.Values), rankOf(b.Values)
	center := quantileSorted(first.sorted, 0.5) - quantileSorted(second.sorted, 0.5)
	va, vb, how := difference(first, second, pairs(a, b))
	na, nb := float64(len(a.Values))/va, float64(len(b.Values))/vb
	t := cfg.t(na + nb - 2)
	belowA, aboveA := first.arms(na, t)
	belowB, aboveB := second.arms(nb, t)
	return Estimate{
		N: n, Center: center,
		Low:    center - math.Hypot(belowA, aboveB),
		High:   center + math.Hypot(aboveA, belowB),
		Method: fmt.Sprintf("difference of medians; %s interval from order statistics of %s", cfg.named(), how),
	}
}
