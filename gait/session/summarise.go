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
// are never pooled, and what comes from a sensor whose range too many steps of a
// side went beyond is taken from all steps of that side.
func Summarise(steps []step.Step, cfg estimate.Config) *Session {
	s := &Session{Gait: mainGait(steps)}
	for i := range steps {
		st := &steps[i]
		if st.Used && st.Gait != s.Gait {
			st.LeaveOut("a " + st.Gait.String() + " step in a " + s.Gait.String() + " session")
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

// withholdSelected withholds the measures of a side where the steps that a
// sensor's range could show are a selection.
func withholdSelected(steps []step.Step, side recording.Side) {
	s := Side{}
	for i := range steps {
		if steps[i].Side == side && steps[i].Used {
			s.count(&steps[i])
		}
	}
	lowering, peaks := s.Selected(step.Find(step.Primary)), s.Selected(step.Find("heel_contact_peak_m_s2"))
	for i := range steps {
		if steps[i].Side == side && lowering {
			steps[i].WithholdLowering(fmt.Sprintf("lowering withheld: %d of %d steps turned faster than the gyroscope's range, so that the others are the slower ones", s.Fast, s.Used))
		}
		if steps[i].Side == side && peaks {
			steps[i].WithholdPeaks(fmt.Sprintf("contact peaks withheld: %d of %d steps hit harder than the accelerometer's range, so that the others are the softer ones", s.Hard, s.Used))
		}
	}
}

// count adds a used step.
func (s *Side) count(st *step.Step) {
	s.Used++
	if st.Fast {
		s.Fast++
	}
	if st.Hard {
		s.Hard++
	}
	switch st.Strike {
	case step.Rearfoot:
		s.Rearfoot++
	case step.Midfoot:
		s.Midfoot++
	case step.Forefoot:
		s.Forefoot++
	}
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
			left[s.LeftOutFor()]++
			continue
		}
		out.count(&s)
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
