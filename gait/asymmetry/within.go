package asymmetry

import (
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Within adds to r what changed along the run: Drifts and Changes. steps are
// those r was made from, in time order. A nil r stays as it is.
//
// Drifts compare the last with the first third of the run, for each lowering
// measure and each side that has values in both thirds.
//
// Changes has one entry, of the primary measure: the minute at which one side
// began to change. It is looked for in the logarithm of the feet's ratio, stride
// by stride, because what the feet share (speed, surface, slope) cancels there
// and a side that loses control gains a share of its rate for each share of
// control lost; and at like landing, because a step that lands flatter lowers
// more slowly whatever the control, and the strike angle wanders more than
// anything else. A second measure would be a second chance of a false alarm; once
// a change was found, three of them together place it (mixture). A
// change is named from the measure's floor on, because feet wander by
// themselves: without a least size the search finds something in a third of the
// runs whose sides wander over some minutes.
func Within(r *Result, steps []step.Step, set Settings) {
	if r == nil || len(r.Comparisons) == 0 {
		return
	}
	first, second := r.Comparisons[0].First, r.Comparisons[0].Second
	begin := beginOf(steps)
	r.Drifts, r.Changes = nil, make([]Change, 1)
	measures := slices.DeleteFunc(step.Catalogue(), func(m step.Metric) bool { return !m.Lowering })
	drifts := make([]*Drift, 2*len(measures))
	estimate.Each(1+len(drifts), func(i int) {
		if i == 0 {
			r.Changes[0] = change(steps, first, second, begin, set)
			return
		}
		drifts[i-1] = drift(steps, [2]recording.Side{first, second}[(i-1)%2], measures[(i-1)/2], begin, set.Estimate)
	})
	for _, d := range drifts {
		if d != nil {
			r.Drifts = append(r.Drifts, *d)
		}
	}
}

// beginOf is the time of the first step, s: minutes count from there.
func beginOf(steps []step.Step) float64 {
	begin := math.NaN()
	for i := range steps {
		if !(steps[i].InitialContact >= begin) {
			begin = steps[i].InitialContact
		}
	}
	return begin
}

func minutes(t, begin float64) float64 { return (t - begin) / 60 }

// drift compares the thirds of one measure of one side; nil where a third has no
// value.
func drift(steps []step.Step, side recording.Side, m step.Metric, begin float64, cfg estimate.Config) *Drift {
	t := estimate.ThirdsDifference(session.Values(steps, side, m), cfg)
	if t.Difference.N == 0 {
		return nil
	}
	return &Drift{m.Key, side, t.Difference, minutes(t.First, begin), minutes(t.Last, begin)}
}
