package estimate

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// DefaultResamples is how many resamples a bootstrap takes: between seeds the
// ends then move by about 3 % of the interval's width.
const DefaultResamples = 2000

// stream is the second seed word of every generator of this package, so that
// only Config.Seed chooses the numbers. Any fixed value would do.
const stream = 0x5e7d0e5e7d0e

// draw draws whole numbers below a bound.
type draw struct{ source *rand.PCG }

func newDraw(seed uint64) draw { return draw{rand.NewPCG(seed, stream)} }

// below is uniform on 0..n−1 to within n/2⁶⁴.
func (d draw) below(n int) int {
	high, _ := bits.Mul64(d.source.Uint64(), uint64(n))
	return int(high)
}

// fill fills index with circular blocks of the given length out of 0..n−1
// (Politis & Romano, 1992, in LePage & Billard, Exploring the Limits of
// Bootstrap, 263–270). Length 1 draws independently.
func (d draw) fill(index []int, n, length int) {
	for i := 0; i < len(index); {
		at := d.below(n)
		for range min(length, len(index)-i) {
			index[i] = at
			i++
			if at++; at == n {
				at = 0
			}
		}
	}
}

// Statistic computes a number from the rows of a data set named by index,
// repeats included. It must not keep or change index.
type Statistic func(index []int) float64

// Resampled is a statistic's bootstrap distribution.
type Resampled struct {
	// Center is the statistic of the data themselves.
	Center float64
	// Sorted are the resamples' statistics in rising order, NaN left out.
	Sorted []float64
	n      int
	// jackknife are the statistics without one block at a time.
	jackknife []float64
	length    int
}

// Bootstrap resamples the rows 0..n−1 in circular blocks of the given length
// (1 for independent rows; BlockLength for steps) and evaluates the statistic
// on each resample and, for BCa, without each block in turn. It panics when n
// or length is below 1.
func Bootstrap(n, length int, statistic Statistic, cfg Config) Resampled {
	if n < 1 || length < 1 {
		panic("estimate: bootstrap of nothing")
	}
	index := make([]int, n)
	for i := range index {
		index[i] = i
	}
	r := Resampled{Center: statistic(index), n: n, length: length, jackknife: leaveOut(n, length, statistic)}
	d := newDraw(cfg.Seed)
	r.Sorted = make([]float64, 0, cfg.resamples())
	for range cfg.resamples() {
		d.fill(index, n, length)
		if v := statistic(index); !math.IsNaN(v) {
			r.Sorted = append(r.Sorted, v)
		}
	}
	slices.Sort(r.Sorted)
	return r
}

// leaveOut returns the statistic without each block of rows in turn.
func leaveOut(n, length int, statistic Statistic) []float64 {
	index := make([]int, 0, n)
	var without []float64
	for start := 0; start < n && n > length; start += length {
		index = index[:0]
		for i := range n {
			if i < start || i >= start+length {
				index = append(index, i)
			}
		}
		without = append(without, statistic(index))
	}
	return without
}

// SE is the standard deviation of the resamples.
func (r Resampled) SE() float64 { return SD(r.Sorted) }

// Bias is the mean of the resamples less the statistic.
func (r Resampled) Bias() float64 { return Mean(r.Sorted) - r.Center }

// JackknifeBias and JackknifeSE are the jackknife's estimates for independent
// rows (Efron & Tibshirani, 1993, eq. 11.4, 11.5): with g groups left out,
// (g−1)(mean−θ) and sqrt((g−1)/g Σ(θ[i]−mean)²).
func (r Resampled) JackknifeBias() float64 {
	return float64(len(r.jackknife)-1) * (Mean(r.jackknife) - r.Center)
}

// JackknifeSE: see JackknifeBias.
func (r Resampled) JackknifeSE() float64 {
	g := float64(len(r.jackknife))
	return SD(r.jackknife) * (g - 1) / math.Sqrt(g)
}

// Percentile returns the interval between the resamples' quantiles. It covers
// too little for few values; see Bootstrapped.
func (r Resampled) Percentile(cfg Config) Estimate {
	return r.between(1-cfg.upper(), cfg.upper(), "percentile", cfg)
}

// Acceleration and BiasCorrection are the constants a and z₀ of BCa.
func (r Resampled) Acceleration() float64 {
	mean, cubes, squares := Mean(r.jackknife), 0.0, 0.0
	for _, v := range r.jackknife {
		cubes += (mean - v) * (mean - v) * (mean - v)
		squares += (mean - v) * (mean - v)
	}
	if squares == 0 {
		return 0
	}
	return cubes / (6 * math.Pow(squares, 1.5))
}

// BiasCorrection: see Acceleration. Resamples equal to the statistic count half.
func (r Resampled) BiasCorrection() float64 {
	first, _ := slices.BinarySearch(r.Sorted, r.Center)
	past := first
	for past < len(r.Sorted) && r.Sorted[past] == r.Center {
		past++
	}
	share := float64(first+past) / 2 / float64(len(r.Sorted))
	return distuv.UnitNormal.Quantile(min(max(share, 1e-6), 1-1e-6))
}

// BCa returns the bias-corrected and accelerated interval (Efron, 1987, J. Am.
// Stat. Assoc. 82, 171–185): the quantiles at Φ(z₀ + (z₀+z)/(1−a(z₀+z))).
func (r Resampled) BCa(cfg Config) Estimate {
	z0, a := r.BiasCorrection(), r.Acceleration()
	at := func(z float64) float64 { return distuv.UnitNormal.CDF(z0 + (z0+z)/(1-a*(z0+z))) }
	return r.between(at(-cfg.z()), at(cfg.z()), "bias-corrected", cfg)
}

// Student returns the statistic ± t times the resamples' standard error, with
// one degree of freedom less than there are blocks. It is the form for block
// resamples of few steps, where quantiles of the resamples fall short.
func (r Resampled) Student(cfg Config) Estimate {
	groups := float64(r.n) / float64(r.length)
	// Blocks of length l catch the share 1−l/n of the variance of a mean.
	half := cfg.t(groups-1) * r.SE() / math.Sqrt(max(1-float64(r.length)/float64(r.n), 1/groups))
	return Estimate{N: r.n, Center: r.Center, Low: r.Center - half, High: r.Center + half, Method: r.method("Student", cfg)}
}

func (r Resampled) between(low, high float64, name string, cfg Config) Estimate {
	return Estimate{N: r.n, Center: r.Center, Low: quantileSorted(r.Sorted, low),
		High: quantileSorted(r.Sorted, high), Method: r.method(name, cfg)}
}

func (r Resampled) method(name string, cfg Config) string {
	rows := "independent rows"
	if r.length > 1 {
		rows = fmt.Sprintf("blocks of %d", r.length)
	}
	return fmt.Sprintf("%s %s interval from %d resamples of %s", cfg.named(), name, len(r.Sorted), rows)
}

// BlockLength returns the length of circular blocks for a series in time
// order, rounded and between 1 and a quarter of it: the length that minimises
// the mean squared error of the variance of a mean of an AR(1) series,
//
//	l = (1.5 (2φ/(1−φ²))² n)^(1/3)
//
// (Politis & White, 2004, Econom. Rev. 23, 53–70, eq. 9 and 14, with the
// spectrum of AR(1) in closed form; constant of the circular bootstrap).
func BlockLength(series []float64) int {
	n := len(series)
	phi := neighbours(series)
	g := 2 * phi / (1 - phi*phi)
	return min(max(int(math.Round(math.Cbrt(1.5*g*g*float64(n)))), 1), max(n/4, 1))
}
