package recovery

import (
	"math"
)

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
