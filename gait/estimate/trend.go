package estimate

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// exactRanks is the largest number of values whose rank statistic is compared
// with its exact distribution; beyond it the normal approximation is off by
// less than 0.001 in a p-value.
const exactRanks = 40

// TheilSen is a straight line by medians.
type TheilSen struct {
	// Slope is the median of the slopes between all pairs of values at
	// different times, per unit of time, with Sen's interval.
	Slope Estimate
	// Intercept is median(y) − Slope·median(t) (Conover, 1980), at time 0.
	Intercept float64
	// PairIntercept is the median of y − Slope·t (Theil, 1950).
	PairIntercept float64
}

// minTrend is the fewest values a slope is given an interval for: with fewer
// than five no 95 % interval of rank 95 exists, and a trend is descriptive only.
const minTrend = 5

// NewTheilSen fits a line to values at times (Theil, 1950; Sen, 1968, J. Am.
// Stat. Assoc. 63, 1379–1389). The interval runs between the order statistics
// of the N slopes given by the distribution of Kendall's S,
//
//	M = (N − C)/2,   from slope[M] to slope[N−M+1], counted from 1,
//
// C being the largest value with P(|S| ≤ C) at the confidence asked for, exact for
// up to 40 values without ties, else by the normal approximation with the
// variance for ties (Hollander & Wolfe, 1999, section 9.3). With fewer than 5
// values there is a slope without interval; without two different times
// everything is NaN. Values are taken as independent of each other, which
// sessions on different days are and steps are not. It panics when lengths
// differ or a number is not finite.
func NewTheilSen(times, values []float64, cfg Config) TheilSen {
	mustPair(times, values)
	slopes := pairSlopes(times, values)
	n := len(values)
	if len(slopes) == 0 {
		nan := math.NaN()
		none := None(n)
		none.Needed = minTrend
		return TheilSen{Slope: none, Intercept: nan, PairIntercept: nan}
	}
	slope := quantileSorted(slopes, 0.5)
	fit := TheilSen{Slope: tooFew(n, slope, "median of slopes", Config{MinValues: minTrend})}
	if n >= minTrend {
		fit.Slope = senInterval(slopes, slope, NewMannKendall(times, values), cfg)
	}
	fit.Intercept = Median(values) - slope*Median(times)
	rest := make([]float64, n)
	for i := range rest {
		rest[i] = values[i] - slope*times[i]
	}
	fit.PairIntercept = Median(rest)
	return fit
}

// pairSlopes returns the sorted slopes between values at different times.
func pairSlopes(times, values []float64) []float64 {
	var slopes []float64
	for i := range times {
		for j := i + 1; j < len(times); j++ {
			if times[i] != times[j] {
				slopes = append(slopes, (values[j]-values[i])/(times[j]-times[i]))
			}
		}
	}
	slices.Sort(slopes)
	return slopes
}

func senInterval(slopes []float64, slope float64, test MannKendall, cfg Config) Estimate {
	n, count := test.N, float64(len(slopes))
	// The normal quantile of S, less 1 because S moves in steps of 2.
	c, how := cfg.z()*math.Sqrt(test.Variance)-1, "approximate"
	if test.untied && n <= exactRanks {
		c, how = exactCritical(n, 1-cfg.upper()), "exact"
	}
	e := Estimate{N: n, Center: slope, Method: fmt.Sprintf("median of slopes; %s interval from %s ranks", cfg.named(), how)}
	m := int(math.Floor((count - c) / 2))
	if m < 1 {
		return tooFew(n, slope, "median of slopes", Config{MinValues: n + 1})
	}
	e.Low, e.High = slopes[m-1], slopes[len(slopes)-m]
	return e
}

// exactCritical is the largest |S| of n untied values that leaves at most tail
// above it, less 2: the C of Hollander & Wolfe.
func exactCritical(n int, tail float64) float64 {
	distribution := inversions(n)
	pairs := n * (n - 1) / 2
	above := 0.0
	for k := range distribution {
		if above+distribution[k] > tail {
			return float64(pairs - 2*k)
		}
		above += distribution[k]
	}
	return float64(pairs)
}

// inversions returns the probabilities of 0, 1, … discordant pairs among n
// values in random order; S = pairs − 2·discordant (Kendall, 1938, Biometrika
// 30, 81–93).
func inversions(n int) []float64 {
	p := []float64{1}
	for i := 2; i <= n; i++ {
		next := make([]float64, len(p)+i-1)
		for k, v := range p {
			for j := range i {
				next[k+j] += v / float64(i)
			}
		}
		p = next
	}
	return p
}

// MannKendall is the test for a monotone trend.
type MannKendall struct {
	N int
	// S is the number of pairs that rise less the number that fall.
	S int
	// Variance of S under no trend, corrected for ties in values and times.
	Variance float64
	// Z is (|S|−1)/√Variance with the sign of S, 0 when S is 0.
	Z float64
	// P is two-sided: exact for up to 40 values without ties, else from Z.
	P float64
	// NormalP is two-sided from Z.
	NormalP float64
	// TauA is S over the number of pairs; TauB allows for ties. NaN where no
	// pair differs.
	TauA, TauB float64
	untied     bool
}

// NewMannKendall tests values at times for a monotone trend (Mann, 1945,
// Econometrica 13, 245–259; Kendall, 1975, Rank Correlation Methods, eq. 4.3
// for ties in both). It panics when lengths differ or a number is not finite;
// fewer than two values give NaN.
func NewMannKendall(times, values []float64) MannKendall {
	mustPair(times, values)
	n := len(values)
	t := MannKendall{N: n}
	for i := range n {
		for j := i + 1; j < n; j++ {
			t.S += sign(values[j]-values[i]) * sign(times[j]-times[i])
		}
	}
	inTimes, inValues := ties(times), ties(values)
	t.untied = len(inTimes) == 0 && len(inValues) == 0
	t.Variance = tiedVariance(float64(n), inTimes, inValues)
	t.Z = float64(t.S-sign(float64(t.S))) / math.Sqrt(t.Variance)
	t.NormalP = math.Min(1, 2*distuv.UnitNormal.Survival(math.Abs(t.Z)))
	t.P = t.NormalP
	if t.untied && n <= exactRanks {
		t.P = exactP(n, t.S)
	}
	pairs := float64(n*(n-1)) / 2
	t.TauA = float64(t.S) / pairs
	t.TauB = float64(t.S) / math.Sqrt((pairs-tiedPairs(inTimes))*(pairs-tiedPairs(inValues)))
	return t
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// ties returns the sizes, above one, of groups of equal values.
func ties(values []float64) []float64 {
	s, groups := sorted(values), []float64(nil)
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j] == s[i] {
			j++
		}
		if j-i > 1 {
			groups = append(groups, float64(j-i))
		}
		i = j
	}
	return groups
}

func tiedPairs(groups []float64) float64 {
	sum := 0.0
	for _, g := range groups {
		sum += g * (g - 1) / 2
	}
	return sum
}

func tiedVariance(n float64, a, b []float64) float64 {
	cubic := func(g float64) float64 { return g * (g - 1) * (2*g + 5) }
	triples := func(groups []float64) float64 {
		sum := 0.0
		for _, g := range groups {
			sum += g * (g - 1) * (g - 2)
		}
		return sum
	}
	v := cubic(n)
	for _, g := range append(slices.Clone(a), b...) {
		v -= cubic(g)
	}
	v /= 18
	if n > 2 {
		v += triples(a) * triples(b) / (9 * n * (n - 1) * (n - 2))
	}
	return v + 2*tiedPairs(a)*tiedPairs(b)/(n*(n-1))
}

// exactP is the two-sided probability of an |S| at least as large.
func exactP(n, s int) float64 {
	if n < 2 {
		return math.NaN()
	}
	if s < 0 {
		s = -s
	}
	discordant, p := (n*(n-1)/2-s)/2, 0.0
	for _, v := range inversions(n)[:discordant+1] {
		p += v
	}
	return math.Min(1, 2*p)
}

// mustPair panics on a programmer's mistake.
func mustPair(x, y []float64) {
	if len(x) != len(y) {
		panic("estimate: times and values have different lengths")
	}
	mustBeFinite(x)
	mustBeFinite(y)
}
