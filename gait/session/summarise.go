package session

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"setdown/gait/cadence"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Summarise puts the steps of one recording, both sides, in numbers. Steps of
// the rarer gait are marked as not used, in place, because walking and running
// are never pooled, and the lowering is taken from all steps of a side of which
// too many turned faster than the gyroscope's range.
func Summarise(steps []step.Step, cfg estimate.Config) *Session {
	s := &Session{Gait: mainGait(steps)}
	for i := range steps {
		st := &steps[i]
		if st.Used && st.Gait != s.Gait {
			st.Used = false
			st.Reason = otherGait(st.Gait, s.Gait, st.Reason)
		}
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		withholdSelected(steps, side)
	}
	s.Cadence = cadence.FromStrides(usedStrides(steps), cfg)
	s.Left = summariseSide(steps, recording.Left, cfg)
	s.Right = summariseSide(steps, recording.Right, cfg)
	return s
}

// withholdSelected withholds the lowering of a side where the steps that the
// gyroscope's range could show are a selection of slow ones.
func withholdSelected(steps []step.Step, side recording.Side) {
	s := Side{}
	for i := range steps {
		if steps[i].Side == side && steps[i].Used {
			s.Used++
			if steps[i].Fast {
				s.Fast++
			}
		}
	}
	if !s.Selected() {
		return
	}
	why := fmt.Sprintf("lowering withheld: %d of %d steps turned faster than the gyroscope's range, so that the others are the slower ones", s.Fast, s.Used)
	for i := range steps {
		if steps[i].Side == side {
			steps[i].WithholdLowering(why)
		}
	}
}

func otherGait(gait, main event.Gait, reason string) string {
	why := "a " + gait.String() + " step in a " + main.String() + " session"
	if reason != "" {
		why += "; " + reason
	}
	return why
}

// mainGait is the gait of most used steps.
func mainGait(steps []step.Step) event.Gait {
	count := [3]int{}
	for _, s := range steps {
		if s.Used {
			count[s.Gait]++
		}
	}
	switch {
	case count[event.Running] > count[event.Walking]:
		return event.Running
	case count[event.Walking] > 0:
		return event.Walking
	}
	return event.GaitUnknown
}

// usedStrides returns the stride times of used steps, in time order.
func usedStrides(steps []step.Step) []float64 {
	var out []float64
	for _, s := range steps {
		if s.Used && !math.IsNaN(s.StrideTime) {
			out = append(out, s.StrideTime)
		}
	}
	return out
}

// summariseSide returns nil where the side has no step at all.
func summariseSide(steps []step.Step, side recording.Side, cfg estimate.Config) *Side {
	out := &Side{Side: side}
	left := map[string]int{}
	for _, s := range steps {
		if s.Side != side {
			continue
		}
		out.Steps++
		if !s.Used {
			left[s.Reason]++
			continue
		}
		out.Used++
		if s.Fast {
			out.Fast++
		}
		switch s.Strike {
		case step.Rearfoot:
			out.Rearfoot++
		case step.Midfoot:
			out.Midfoot++
		case step.Forefoot:
			out.Forefoot++
		}
	}
	if out.Steps == 0 {
		return nil
	}
	for reason, n := range left {
		out.LeftOut = append(out.LeftOut, Count{reason, n})
	}
	slices.SortFunc(out.LeftOut, func(a, b Count) int {
		return cmp.Or(cmp.Compare(b.Steps, a.Steps), cmp.Compare(a.Reason, b.Reason))
	})
	catalogue := step.Catalogue()
	out.Measures = make([]Measure, len(catalogue))
	estimate.Each(len(catalogue), func(i int) {
		out.Measures[i] = Measure{catalogue[i].Key, estimateOf(steps, side, catalogue[i], cfg)}
	})
	return out
}

// estimateOf is the centre and interval of one metric over a side's used steps.
func estimateOf(steps []step.Step, side recording.Side, m step.Metric, cfg estimate.Config) estimate.Estimate {
	if m.Share {
		return estimate.Proportion(Outcomes(steps, side, m), cfg)
	}
	return estimate.MedianInterval(Values(steps, side, m).Values, cfg)
}

// Values returns the metric over the used steps of a side, in time order,
// base units, without those that were not measured.
func Values(steps []step.Step, side recording.Side, m step.Metric) estimate.Series {
	n := 0
	for i := range steps {
		if steps[i].Side == side && steps[i].Used {
			n++
		}
	}
	out := estimate.Series{Times: make([]float64, 0, n), Values: make([]float64, 0, n)}
	for i := range steps {
		s := &steps[i]
		if v := m.Value(s); s.Side == side && s.Used && !math.IsNaN(v) {
			out.Times = append(out.Times, s.InitialContact)
			out.Values = append(out.Values, v)
		}
	}
	return out
}

// Outcomes is Values for a yes/no metric.
func Outcomes(steps []step.Step, side recording.Side, m step.Metric) []bool {
	v := Values(steps, side, m).Values
	out := make([]bool, len(v))
	for i := range v {
		out[i] = v[i] == 1
	}
	return out
}
