package recovery

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// otherFell tells in words where at least half of a larger difference comes from
// the uninjured side, while the injured side alone shows no rise; "" otherwise.
// A difference of two feet does not say which one changed, and someone in pain
// would read that the injured one is worse.
func otherFell(g Group, side recording.Side, c Course) string {
	of := func(s recording.Side) Course {
		return CourseOf(g, step.Primary, s.String(), func(m Measure) Value { return m.side(s) })
	}
	own, other := of(side), of(side.Other())
	if look(own.points, own.Noise) == rising {
		return ""
	}
	before, after := sinceWhen(c)
	change := func(k Course) float64 { return k.over(after) - k.over(before) }
	grew, fell := change(c), -change(other)
	if !(grew > 0 && fell >= grew/2) {
		return ""
	}
	since := "its baseline"
	if !(float64(c.Change.Center) > 0) {
		since = "its best stretch"
	}
	return fmt.Sprintf("the feet differ by %s more than in %s, but it was the uninjured %s foot that changed: its peak lowering rate fell by %s, while that of the injured %s foot %s, so that this foot is not shown to be worse",
		show(grew), since, side.Other(), show(fell), side, movedBy(change(own)))
}

// movedBy says in words how a rate changed; a change that would be printed as 0
// is none.
func movedBy(change float64) string {
	switch {
	case show(math.Abs(change)) == show(0):
		return "stayed as it was"
	case change < 0:
		return "fell by " + show(-change)
	}
	return "rose by " + show(change)
}

// sinceWhen returns the days that a rise of the course is told between: the
// baseline and the present, or, where the course is not above its baseline, the
// best stretch and the last two days.
func sinceWhen(c Course) (before, after []Point) {
	n := len(c.Points)
	if k := levelDays(n); float64(c.Change.Center) > 0 || n < MinDays+1 {
		return c.Points[:k], c.Points[n-k:]
	}
	at, k, _ := bestStretch(c.points)
	return c.Points[at : at+k], c.Points[n-2:]
}

// over is the median of the course on the days of ps; NaN where it has none.
func (c Course) over(ps []Point) float64 {
	var values []float64
	for _, p := range ps {
		for _, q := range c.Points {
			if q.Date == p.Date {
				values = append(values, q.Center)
			}
		}
	}
	return estimate.Median(values)
}
