package recovery

import (
	"fmt"
	"math"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/signal/recording"
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
	at, k, windows := bestStretch(ps)
	low := medianOf(ps[at : at+k])
	one := ps[len(ps)-1].y
	two := (one + ps[len(ps)-2].y) / 2
	se := medianSE[k]
	return contrast{two - low, math.Hypot(se, medianSE[2])}, contrast{one - low, math.Hypot(se, 1)}, windows
}

// bestStretch returns where the k days in a row with the lowest median begin, of
// how many windows before the last two days. ps has at least five days.
func bestStretch(ps []point) (at, k, windows int) {
	k = baselineDays
	if len(ps) < longCourse {
		k = 2
	}
	low := math.Inf(1)
	for i := 0; i+k <= len(ps)-2; i++ {
		if m := medianOf(ps[i : i+k]); m < low {
			at, low = i, m
		}
		windows++
	}
	return at, k, windows
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

// Point is one day of like sessions on a course. Several sessions of one day
// are repeats: their mean stands for the day.
type Point struct {
	Date diary.Date
	// Sessions are the IDs of the day's sessions.
	Sessions []string
	// Center, Low and High are base units; the interval is that of the steps
	// within the session (averaged over the day's sessions), not of the days.
	Center, Low, High float64
	N                 int
}

// Course is one measure of a group of like sessions over time.
type Course struct {
	// Key is the metric's key; Of says of what: "injured - uninjured", "left",
	// "right", "right - left".
	Key, Of string
	Points  []Point
	// Baseline is the median of the first two or three days, Now that of the
	// last; NaN below MinDays.
	Baseline, Now float64
	// Change is Now − Baseline, with the 95 % interval that the noise gives it.
	Change Value
	// PerWeek is the Theil–Sen slope in units a week with its 95 % interval;
	// below TrendDays days it is a description only and Descriptive is true.
	PerWeek     Value
	Descriptive bool
	// TrendP is the two-sided p of Mann and Kendall's test; NaN below MinDays.
	TrendP float64
	Noise  Noise
	points []point
}

// CourseOf makes the course of one metric over a group. of names what value
// picks, as in Course.Of.
func CourseOf(g Group, key, of string, value func(Measure) Value) Course {
	get := func(s Session) Value { return value(s.Measures[key]) }
	c := Course{Key: key, Of: of, Baseline: math.NaN(), Now: math.NaN(), TrendP: math.NaN()}
	sum, n := 0.0, 0.0
	for i := 0; i < len(g.Sessions); {
		j := i
		var vs []Value
		var ids []string
		for ; j < len(g.Sessions) && g.Sessions[j].Date == g.Sessions[i].Date; j++ {
			if v := get(g.Sessions[j]); v.known() {
				vs, ids = append(vs, v), append(ids, g.Sessions[j].ID)
			}
			for _, s := range []recording.Side{recording.Left, recording.Right} {
				if v := g.Sessions[j].Measures[key].side(s); v.known() {
					sum, n = sum+math.Abs(float64(v.Center)), n+1
				}
			}
		}
		if vs != nil {
			p := meanPoint(vs)
			p.Date, p.Sessions = g.Sessions[i].Date, ids
			c.Points = append(c.Points, p)
		}
		i = j
	}
	c.finish(g, get, sum/max(1, n))
	return c
}

// unmeasured is how many sessions of the group have no value on the course.
func (c *Course) unmeasured(g Group) int {
	n := len(g.Sessions)
	for _, p := range c.Points {
		n -= len(p.Sessions)
	}
	return n
}

func meanPoint(vs []Value) Point {
	var p Point
	for _, v := range vs {
		k := float64(len(vs))
		p.Center += float64(v.Center) / k
		p.Low += float64(v.Low) / k
		p.High += float64(v.High) / k
		p.N += v.N
	}
	return p
}

// finish fills what follows from the points.
func (c *Course) finish(g Group, get func(Session) Value, mean float64) {
	for _, p := range c.Points {
		c.points = append(c.points, point{p.Date, float64(p.Date.Since(c.Points[0].Date)), p.Center, len(p.Sessions)})
	}
	c.Noise = noiseOf(g, c.points, get, mean)
	nan := Real(math.NaN())
	c.Change = Value{N: len(c.points), Center: nan, Low: nan, High: nan}
	c.PerWeek = c.Change
	c.Descriptive = len(c.points) < TrendDays
	if len(c.points) < MinDays {
		return
	}
	k := levelDays(len(c.points))
	c.Baseline, c.Now = medianOf(c.points[:k]), medianOf(c.points[len(c.points)-k:])
	c.Change = c.value(level(c.points), 1, fmt.Sprintf("median of the last %d days − median of the first %d; interval by Student's t with the noise between days", k, k))
	c.TrendP = estimate.NewMannKendall(lists(c.points)).P
	span := c.points[len(c.points)-1].day
	c.PerWeek = c.value(slope(c.points), 7/span, "Theil–Sen slope; interval by Student's t with the noise between days")
}

// value turns a contrast, scaled, into a value with a 95 % interval.
func (c *Course) value(d contrast, scale float64, method string) Value {
	half := c.Noise.quantile(0.975) * d.se * c.Noise.SD
	return Value{N: len(c.points), Center: Real(d.change * scale), Low: Real((d.change - half) * scale), High: Real((d.change + half) * scale), Method: method}
}

// Pick returns the function that reads from a measure what a Course.Of names.
func Pick(of string, injured asymmetry.Injured) func(Measure) Value {
	side := recording.Left
	if of == "right" || of == "right - left" || of == "injured - uninjured" && injured == asymmetry.InjuredRight {
		side = recording.Right
	}
	if of == "left" || of == "right" {
		return func(m Measure) Value { return m.side(side) }
	}
	return func(m Measure) Value { return m.minus(side) }
}
