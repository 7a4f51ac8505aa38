package asymmetry

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// Settings of Compare.
type Settings struct {
	Injured Injured
	// Floors replaces the default floor of a metric, base units, by the person's
	// own minimal detectable side difference. Nil uses the defaults.
	Floors   map[string]float64
	Estimate estimate.Config
	// SameRecording is false where the sides were recorded one after the other
	// in an order that cannot be told from a drift: no verdict is given then.
	SameRecording bool
	// Simultaneous is true where both sides were recorded at the same time on one
	// clock, so that what they share in time cancels.
	Simultaneous bool
	// OtherwiseBecause says why, where SameRecording is false.
	OtherwiseBecause string
}

// Compare compares the sides of a session. It returns nil where a side is
// missing. steps are those the session was made from.
func Compare(s *session.Session, steps []step.Step, set Settings) *Result {
	if s.Left == nil || s.Right == nil {
		return nil
	}
	r := &Result{Injured: set.Injured}
	first, second := recording.Right, recording.Left
	of := "right - left"
	switch set.Injured {
	case InjuredLeft:
		first, second, of = recording.Left, recording.Right, "injured - uninjured"
	case InjuredRight:
		of = "injured - uninjured"
	}
	catalogue := step.Catalogue()
	r.Comparisons = make([]Comparison, len(catalogue))
	estimate.Each(len(catalogue), func(i int) {
		r.Comparisons[i] = compareOne(s, steps, catalogue[i], first, second, set)
		r.Comparisons[i].DifferenceOf = of
	})
	r.LandDifferently = landDifferently(r)
	for i := range r.Comparisons {
		r.Comparisons[i].judge(s, set, r.LandDifferently)
	}
	explainLanding(r, steps, first, second, set.Estimate)
	r.LandingNote = landingNote(r)
	return r
}

// compareOne makes the numbers of one comparison, without a verdict.
func compareOne(s *session.Session, steps []step.Step, m step.Metric, first, second recording.Side, set Settings) Comparison {
	nan := math.NaN()
	c := Comparison{Key: m.Key, First: first, Second: second, SymmetryIndexPercent: nan, LogRatioPercent: nan,
		Floor: nan, ByLanding: estimate.None(0)}
	a, b := session.Values(steps, first, m), session.Values(steps, second, m)
	ca, cb := s.Of(first).Get(m.Key).Center, s.Of(second).Get(m.Key).Center
	if m.Share {
		c.Difference = estimate.ProportionDifference(session.Outcomes(steps, first, m), session.Outcomes(steps, second, m), set.Estimate)
		ca, cb = estimate.Mean(a.Values), estimate.Mean(b.Values)
	} else {
		if !set.Simultaneous {
			a.Times, b.Times = nil, nil
		}
		c.Difference = estimate.PairedDifferenceInterval(a, b, set.Estimate)
	}
	c.SymmetryIndexPercent, _ = SymmetryIndex(ca, cb)
	c.LogRatioPercent, _ = LogRatio(ca, cb)
	c.HasInterval = c.Difference.HasInterval()
	c.ExcludesZero = c.HasInterval && (c.Difference.Low > 0 || c.Difference.High < 0)
	c.Floor, c.FloorFrom = m.Floor((ca+cb)/2), m.FloorReason
	if own, ok := set.Floors[m.Key]; ok {
		c.Floor, c.FloorFrom = own, "the person's own minimal detectable side difference, from sensors taken off and put on again"
	}
	return c
}

// judge gives the verdict and the sentence why.
func (c *Comparison) judge(s *session.Session, set Settings, landDifferently bool) {
	m := step.Find(c.Key)
	if !m.Verdict {
		c.Verdict, c.Because = NoVerdict, "shown without a verdict: "+m.NoVerdict
		return
	}
	c.Verdict = CannotTell
	nFirst, nSecond := s.Of(c.First).Get(c.Key).N, s.Of(c.Second).Get(c.Key).N
	switch {
	case min(nFirst, nSecond) < session.MinSteps:
		c.Because = fmt.Sprintf("%d usable steps on the %s and %d on the %s; at least %d a side are needed",
			nFirst, c.First, nSecond, c.Second, session.MinSteps)
	case !c.HasInterval:
		c.Because = "the difference has no interval"
	case !set.SameRecording:
		c.Because = set.OtherwiseBecause
	case m.Lowering && landDifferently:
		c.Because = "the feet land differently: the heel lands first in a different share of steps on each side, so that the lowering cannot be compared"
	default:
		c.Verdict, c.Because = c.weigh(m)
	}
}

// weigh compares the interval with the floor.
func (c *Comparison) weigh(m step.Metric) (Verdict, string) {
	d := c.Difference
	floor := show(m, c.Floor)
	switch {
	case d.Low > c.Floor || d.High < -c.Floor:
		return Different, fmt.Sprintf("the whole interval of the difference lies beyond ±%s", floor)
	case d.Low > -c.Floor && d.High < c.Floor:
		return Alike, fmt.Sprintf("the whole interval of the difference lies within ±%s", floor)
	}
	return CannotTell, fmt.Sprintf("the interval of the difference reaches across ±%s: %s", floor, c.settle())
}

// settle says what would settle an interval that crosses the floor: more steps
// narrow it, by the square root; a centre close to the floor stays open.
func (c *Comparison) settle() string {
	d := c.Difference
	room := math.Abs(math.Abs(d.Center) - c.Floor)
	half := (d.High - d.Low) / 2
	factor := (half / room) * (half / room)
	if !(factor < 20) {
		return "the difference is close to that line; more steps alone may not settle it, sessions with the sensors taken off and put on again can"
	}
	need := int(math.Ceil(float64(d.N)*factor/5) * 5)
	return fmt.Sprintf("about %d usable steps a side would settle it if the difference stays as it is", max(need, d.N+5))
}

// show prints a base-unit value in the metric's display unit.
func show(m step.Metric, v float64) string {
	s := fmt.Sprintf("%.*f", m.Digits, m.Unit.FromBase(v))
	if m.Unit.Symbol != "" && m.Unit != unit.Percent {
		s += " "
	}
	return s + m.Unit.Symbol
}

// landDifferently tells whether the heel-first shares differ by their verdict
// rule.
func landDifferently(r *Result) bool {
	c, ok := r.Get(step.HeelFirstKey)
	return ok && c.HasInterval && (c.Difference.Low > c.Floor || c.Difference.High < -c.Floor)
}
