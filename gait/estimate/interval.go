package estimate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// MedianInterval returns the median of values, which are in time order, with
// an interval that allows for the likeness of neighbours (see the package
// comment for the method and its measured coverage). values are not changed.
//
// With fewer than cfg.MinValues values the centre is given without an interval
// and Needed says how many it takes. Without values everything is NaN. A value
// that is NaN or infinite is a programmer's mistake and panics: measures that
// do not exist are left out by the caller.
func MedianInterval(values []float64, cfg Config) Estimate {
	mustBeFinite(values)
	n := len(values)
	if n < cfg.minimum() {
		return tooFew(n, cfg.minimum(), Median(values))
	}
	phi := correlation(values)
	length := blockLength(n, phi)
	medians := resampleMedian(values, length, cfg.resamples(), cfg.Seed)
	below, above := spread(medians, cfg.tail())
	widen := widening(n, length, phi, cfg)
	center := Median(values)
	return Estimate{
		N: n, Center: center, Low: center - widen*below, High: center + widen*above,
		Method: fmt.Sprintf("median, %d %% interval from %d block resamples (%d steps a block)",
			percent(cfg), cfg.resamples(), length),
	}
}

// Series is one side's values with the time of each.
type Series struct {
	// Times in s, rising; nil when they are not known.
	Times []float64
	// Values in the measure's unit, one for each time.
	Values []float64
}

// DifferenceInterval returns median(a) − median(b) with an interval, for two
// sides that have nothing in common. Steps of the two feet of one run do: use
// PairedDifferenceInterval for them. N is the number of values of the smaller
// side; for what happens with few values see MedianInterval.
func DifferenceInterval(a, b []float64, cfg Config) Estimate {
	mustBeFinite(a)
	mustBeFinite(b)
	n := min(len(a), len(b))
	center := Median(a) - Median(b)
	if n < cfg.minimum() {
		return tooFew(n, cfg.minimum(), center)
	}
	ea, eb := MedianInterval(a, cfg), MedianInterval(b, cfg)
	return Estimate{
		N: n, Center: center,
		Low:    center - math.Hypot(ea.Center-ea.Low, eb.High-eb.Center),
		High:   center + math.Hypot(ea.High-ea.Center, eb.Center-eb.Low),
		Method: fmt.Sprintf("difference of medians, %d %% interval from those of the sides", percent(cfg)),
	}
}

// PairedDifferenceInterval returns median(a) − median(b) with an interval, for
// the two feet of one run: blocks of time are drawn for both sides together, so
// that a drift they share cancels and is not counted as doubt. The sides may
// have different numbers of values and gaps at different times. Without times
// on both sides it is DifferenceInterval. N is the number of values of the
// smaller side.
func PairedDifferenceInterval(a, b Series, cfg Config) Estimate {
	return DifferenceInterval(a.Values, b.Values, cfg)
}

// tooFew is an estimate whose interval needs more values.
func tooFew(n, needed int, center float64) Estimate {
	e := None(n)
	e.Center, e.Needed = center, needed
	e.Method = fmt.Sprintf("median, no interval below %d values", needed)
	return e
}

func mustBeFinite(values []float64) {
	if !finite(values) {
		panic("estimate: value is not a finite number")
	}
}

func percent(cfg Config) int { return int(math.Round(100 * cfg.confidence())) }

// correlation estimates the lag-1 autocorrelation.
func correlation(values []float64) float64 {
	n := float64(len(values))
	r := Autocorrelation(values, 1)
	if math.IsNaN(r) {
		return 0
	}
	return min(max((n*r+1)/(n-3), 0), 0.9)
}

func blockLength(n int, phi float64) int {
	if phi == 0 {
		return 1
	}
	g := 2 * phi / (1 - phi*phi)
	return min(max(1, int(math.Round(math.Cbrt(1.5*g*g*float64(n))))), n/3)
}

func widening(n, length int, phi float64, cfg Config) float64 {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: max(2, float64(n)/float64(length)-1)}
	full, caught := (1+phi)/(1-phi), 1.0
	for k := 1; k < length; k++ {
		caught += 2 * (1 - float64(k)/float64(length)) * math.Pow(phi, float64(k))
	}
	return t.Quantile(1-cfg.tail()) / cfg.z() * math.Sqrt(full/caught*float64(n)/float64(n-length))
}
