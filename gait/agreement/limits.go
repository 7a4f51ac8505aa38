package agreement

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/estimate"
)

// Limits are limits of agreement between two methods or occasions.
type Limits struct {
	// Mean is the mean difference with its t interval.
	Mean estimate.Estimate
	// SD of the differences; for means of repeats, of single measurements.
	SD float64
	// Lower and Upper are Mean ± q·SD, each with an interval.
	Lower, Upper estimate.Estimate
	// Differences and Means of the pairs, in the order given, for the plot.
	Differences, Means []float64
}

// NewLimits returns the limits of agreement first − second of pairs (Bland &
// Altman, 1986, Lancet i, 307–310): mean ± q SD of the differences, q being
// 1.96 for 95 %. The mean has the interval mean ± t SD/√n, each limit ± t √(3
// SD²/n), both with n−1 degrees of freedom. The error says that pairs are fewer
// than three or not complete.
func NewLimits(first, second []float64, cfg estimate.Config) (Limits, error) {
	return newLimits(first, second, distuv.UnitNormal.Quantile(upper(cfg)), 0, cfg)
}

// NewLimitsOfMeans returns the limits of agreement for single measurements from
// repeated ones: each table has a row for each subject and a column for each
// repeat, and the differences are those of the row means. Averaging has taken
// off part of the error; it is put back,
//
//	SD = √(s_D² + (1−1/k₁) w₁² + (1−1/k₂) w₂²),
//
// w being the within-subject standard deviation of each method (Bland & Altman,
// 1999, Stat. Methods Med. Res. 8, 135–160, section 5; for two repeats the
// formula of 1986 with s² = 2w²). The error says what is missing.
func NewLimitsOfMeans(first, second Table, cfg estimate.Config) (Limits, error) {
	var means [2][]float64
	added := 0.0
	for i, t := range []Table{first, second} {
		_, k, err := t.check()
		if err != nil {
			return Limits{}, err
		}
		for _, row := range t.Rows {
			means[i] = append(means[i], estimate.Mean(row))
		}
		within := Repeatability(t, estimate.Config{}).SD
		added += (1 - 1/float64(k)) * within * within
	}
	return newLimits(means[0], means[1], distuv.UnitNormal.Quantile(upper(cfg)), added, cfg)
}

// minPairs is the fewest differences that have a spread and an interval.
const minPairs = 3

// newLimits adds a variance to that of the differences.
func newLimits(first, second []float64, q, added float64, cfg estimate.Config) (Limits, error) {
	n := len(first)
	if n != len(second) {
		return Limits{}, fmt.Errorf("%d first and %d second measurements do not make pairs", n, len(second))
	}
	if n < minPairs {
		return Limits{}, fmt.Errorf("%w: %d pairs, at least %d are needed", ErrTooFew, n, minPairs)
	}
	if !finite(first) || !finite(second) {
		return Limits{}, fmt.Errorf("a pair is not complete; leave it out first")
	}
	l := Limits{}
	for i := range first {
		l.Differences = append(l.Differences, first[i]-second[i])
		l.Means = append(l.Means, (first[i]+second[i])/2)
	}
	raw := estimate.SD(l.Differences)
	l.SD = math.Sqrt(raw*raw + added)
	t := Student.of(float64(n-1), cfg)
	around := func(center, half float64, method string) estimate.Estimate {
		return estimate.Estimate{N: n, Center: center, Low: center - half, High: center + half, Method: method}
	}
	mean, root := estimate.Mean(l.Differences), math.Sqrt(float64(n))
	l.Mean = around(mean, t*raw/root, "mean difference, t interval")
	limit := t * math.Sqrt(3) * l.SD / root
	how := fmt.Sprintf("limit of agreement, mean %%s %.2f SD, t interval with standard error √(3 SD²/n)", q)
	l.Lower = around(mean-q*l.SD, limit, fmt.Sprintf(how, "−"))
	l.Upper = around(mean+q*l.SD, limit, fmt.Sprintf(how, "+"))
	return l, nil
}

// Repeat is the repeatability of one method.
type Repeat struct {
	// SD is the within-subject standard deviation.
	SD float64
	// Coefficient is q √2 SD: two measurements of one subject differ by less
	// in 95 % of pairs; q is 1.96 for 95 %.
	Coefficient float64
	// Rounded is 2 √2 SD, as Bland & Altman (1986) print it.
	Rounded float64
}

// Repeatability returns the repeatability of repeated measurements that are
// taken to have no systematic change: with two repeats SD² = Σd²/2n (Bland &
// Altman, 1986), in general the one-way within-subject mean square. Cells must be
// complete; NaN with fewer than two repeats or one subject.
func Repeatability(t Table, cfg estimate.Config) Repeat {
	sum, freedom := 0.0, 0
	for _, row := range t.Rows {
		mean := estimate.Mean(row)
		for _, x := range row {
			sum += (x - mean) * (x - mean)
		}
		freedom += len(row) - 1
	}
	sd := math.NaN()
	if freedom > 0 {
		sd = math.Sqrt(sum / float64(freedom))
	}
	return Repeat{SD: sd, Coefficient: distuv.UnitNormal.Quantile(upper(cfg)) * math.Sqrt2 * sd, Rounded: 2 * math.Sqrt2 * sd}
}
