package gait

import (
	"math"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// ScoreTolerance is how far, s, a detected initial contact may lie from the
// reference to count as found.
const ScoreTolerance = 0.1

// Agreement is how one quantity compares with the reference over the matched
// steps: errors are detected − reference, in base units (relative where
// Relative is true, as a share of the reference).
type Agreement struct {
	// What is the metric's or event's key, as in steps.csv.
	What     string
	Relative bool
	N        int
	// Bias is the mean error, SD its standard deviation, RobustSD 1.4826 times
	// the median distance from the median; both NaN for one error.
	Bias, SD, RobustSD float64
	// Outliers counts errors further than 4 RobustSD from the median.
	Outliers int
}

// Scorecard compares detected with reference steps of one side, or of both
// where Side is unknown.
type Scorecard struct {
	Side                 recording.Side
	Found, Missed, Extra int
	// F1 is 2·Found / (2·Found + Missed + Extra).
	F1         float64
	Agreements []Agreement
}

// Score matches steps by their initial contacts, side by side, and compares
// what both tables have. Only matched steps that are used enter the agreements,
// where both values exist. The cards are left, right (where there are any
// steps) and both together.
func Score(detected, reference []step.Step, tolerance float64) []Scorecard {
	var out []Scorecard
	var all matched
	for _, side := range []recording.Side{recording.Left, recording.Right, recording.SideUnknown} {
		m := matchSide(detected, reference, side, tolerance)
		if m.found+m.missed+m.extra == 0 {
			continue
		}
		out = append(out, m.card(side))
		all.found, all.missed, all.extra = all.found+m.found, all.missed+m.missed, all.extra+m.extra
		all.pairs = append(all.pairs, m.pairs...)
	}
	if len(out) == 1 {
		return out
	}
	return append(out, all.card(recording.SideUnknown))
}

type matched struct {
	found, missed, extra int
	pairs                [][2]*step.Step // detected, reference
}

func matchSide(detected, reference []step.Step, side recording.Side, tolerance float64) matched {
	d, dt := ofSide(detected, side)
	r, rt := ofSide(reference, side)
	m := event.Match(rt, dt, tolerance)
	out := matched{found: len(m.Pairs), missed: len(m.Missed), extra: len(m.Extra)}
	for _, p := range m.Pairs {
		out.pairs = append(out.pairs, [2]*step.Step{d[p[1]], r[p[0]]})
	}
	return out
}

func ofSide(steps []step.Step, side recording.Side) (out []*step.Step, times []float64) {
	for i := range steps {
		if steps[i].Side == side {
			out, times = append(out, &steps[i]), append(times, steps[i].InitialContact)
		}
	}
	return out, times
}

// scored lists what is compared: events and measures.
func scored() []scoredQuantity {
	out := []scoredQuantity{
		{"initial_contact_s", false, func(s *step.Step) float64 { return s.InitialContact }},
		{"foot_flat_s", false, func(s *step.Step) float64 { return s.FootFlat }},
		{"toe_off_s", false, func(s *step.Step) float64 { return s.ToeOff }},
	}
	for _, m := range step.Catalogue() {
		if !m.Share {
			out = append(out, scoredQuantity{m.Key, m.Key == step.Primary, m.Value})
		}
	}
	return out
}

type scoredQuantity struct {
	key      string
	relative bool
	value    func(*step.Step) float64
}

func (m *matched) card(side recording.Side) Scorecard {
	c := Scorecard{Side: side, Found: m.found, Missed: m.missed, Extra: m.extra,
		F1: 2 * float64(m.found) / float64(2*m.found+m.missed+m.extra)}
	for _, q := range scored() {
		var errs []float64
		for _, p := range m.pairs {
			e := q.value(p[0]) - q.value(p[1])
			if q.relative {
				e /= q.value(p[1])
			}
			if p[0].Used && !math.IsNaN(e) {
				errs = append(errs, e)
			}
		}
		if len(errs) > 0 {
			c.Agreements = append(c.Agreements, agree(q, errs))
		}
	}
	return c
}

func agree(q scoredQuantity, errs []float64) Agreement {
	a := Agreement{What: q.key, Relative: q.relative, N: len(errs), Bias: estimate.Mean(errs), SD: estimate.SD(errs), RobustSD: estimate.MAD(errs)}
	if len(errs) < 2 {
		a.RobustSD = math.NaN()
	}
	middle := estimate.Median(errs)
	for _, e := range errs {
		if math.Abs(e-middle) > 4*a.RobustSD {
			a.Outliers++
		}
	}
	return a
}
