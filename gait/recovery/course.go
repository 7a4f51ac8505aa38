package recovery

import (
	"math"

	"setdown/gait/estimate"
)

// MinDays is how many days with like sessions a word needs: two for the
// baseline and two for the present. TrendDays is from how many the trend is
// more than a description.
const (
	MinDays   = 4
	TrendDays = 5
)

// longCourse is from how many days the best stretch is three days long.
const longCourse = 8

// baselineDays is the most days that make the baseline and the present level.
const baselineDays = 3

// medianSE is the standard error of the median of k normal values of unit
// standard deviation, for k = 1, 2, 3: 1, √½, and √0.4487 (variance of the middle
// of three, tabled for normal order statistics; from memory, checked by
// simulation in the tests).
var medianSE = [...]float64{0, 1, math.Sqrt2 / 2, 0.6698}

// senEfficiency is the asymptotic efficiency, 3/π, of the Theil–Sen slope
// against least squares for normal scatter (Sen, 1968, J Am Stat Assoc 63:1379).
const senEfficiency = 3 / math.Pi

// contrast is one estimate of a change with its standard error in units of the
// noise.
type contrast struct{ change, se float64 }

// z returns the change in standard errors for a noise of sd.
func (c contrast) z(sd float64) float64 { return c.change / (c.se * sd) }

// levelDays is how many days make the baseline and the present of a course of n.
func levelDays(n int) int {
	if n >= 2*baselineDays {
		return baselineDays
	}
	return 2
}

// level compares the median of the last days with the baseline, the median of
// the first two or three.
func level(ps []point) contrast {
	k := levelDays(len(ps))
	return contrast{medianOf(ps[len(ps)-k:]) - medianOf(ps[:k]), medianSE[k] * math.Sqrt2}
}

// slope is the change over the whole course by the Theil–Sen line.
func slope(ps []point) contrast {
	span := ps[len(ps)-1].day - ps[0].day
	sxx, mean := 0.0, 0.0
	for _, p := range ps {
		mean += p.day / float64(len(ps))
	}
	for _, p := range ps {
		sxx += (p.day - mean) * (p.day - mean)
	}
	days, values := lists(ps)
	fit := estimate.NewTheilSen(days, values, estimate.Config{})
	return contrast{fit.Slope.Center * span, span / math.Sqrt(sxx*senEfficiency)}
}

// relapse compares the present with the best stretch before it (three days; two
// in a course shorter than longCourse): the mean of the last two days, and the
// last day alone. Each is the largest of several comparisons; windows says of
// how many. Courses of fewer than five days have no such stretch.
func relapse(ps []point) (lastTwo, lastOne contrast, windows int) {
	if len(ps) < 2+baselineDays {
		return contrast{0, 1}, contrast{0, 1}, 1
	}
	low, k := math.Inf(1), baselineDays
	if len(ps) < longCourse {
		k = 2
	}
	for i := 0; i+k <= len(ps)-2; i++ {
		low = math.Min(low, medianOf(ps[i:i+k]))
		windows++
	}
	one := ps[len(ps)-1].y
	two := (one + ps[len(ps)-2].y) / 2
	se := medianSE[k]
	return contrast{two - low, math.Hypot(se, medianSE[2])}, contrast{one - low, math.Hypot(se, 1)}, windows
}

func medianOf(ps []point) float64 {
	_, values := lists(ps)
	return estimate.Median(values)
}

// lists returns the days and the values of a course.
func lists(ps []point) (days, values []float64) {
	for _, p := range ps {
		days, values = append(days, p.day), append(values, p.y)
	}
	return days, values
}

// finding is what a course shows, before landing, the other side and the
// conditions are looked at.
type finding uint8

const (
	unclear finding = iota
	rising          // worse: the measure of dropping went up
	falling         // better
	steady
)

// The strictness of the words, in standard errors of Student's distribution:
// set on simulated courses (seeds below 1000) and judged on others.
const (
	betterP  = 0.99  // one-sided, for an improvement
	worseP   = 0.975 // one-sided, for a worsening
	relapseP = 0.97  // one-sided, shared among the windows
	firstP   = 0.80  // what must be left without the first day
	doubtZ   = 1.3   // standard errors of a possible relapse that forbid "improving"
)

// look judges a course of points.
func look(ps []point, n Noise) finding {
	if len(ps) < MinDays {
		return unclear
	}
	cs := []contrast{level(ps)}
	if len(ps) >= TrendDays {
		cs = append(cs, slope(ps))
	}
	two, one, windows := relapse(ps)
	worse := two.z(n.SD) > n.quantile(1-(1-relapseP)/float64(windows))
	better := false
	inside := true
	mdc := n.MDC()
	for _, c := range cs {
		z := c.z(n.SD)
		worse = worse || z > n.quantile(worseP)
		better = better || -z > n.quantile(betterP)
		half := n.quantile(0.95) * c.se * n.SD
		inside = inside && math.Abs(c.change)+half < mdc*1.15
	}
	doubt := math.Max(two.z(n.SD), one.z(n.SD)) > doubtZ
	switch {
	case worse:
		return rising
	case better && !doubt && withoutFirst(ps[1:], n):
		return falling
	case better:
		return unclear
	case inside && !doubt:
		return steady
	}
	return unclear
}

// withoutFirst tells whether an improvement is left when the first day, which
// is often the worst, is left out.
func withoutFirst(ps []point, n Noise) bool {
	c := level(ps)
	if len(ps) >= TrendDays {
		if s := slope(ps); s.z(n.SD) < c.z(n.SD) {
			c = s
		}
	}
	return -c.z(n.SD) > n.quantile(firstP)
}
