package asymmetry

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// change looks for the minute at which one side began to change.
func change(steps []step.Step, first, second recording.Side, begin float64, set Settings) Change {
	m := step.Find(step.Primary)
	nan := math.NaN()
	c := Change{Key: m.Key, Side: first, Minute: nan, Low: nan, High: nan}
	if !set.SameRecording {
		c.Because = "no change looked for: " + set.OtherwiseBecause
		return c
	}
	a, b := session.Values(steps, first, m), session.Values(steps, second, m)
	mean := (estimate.Median(a.Values) + estimate.Median(b.Values)) / 2
	floor := m.Floor(mean)
	if own, ok := set.Floors[m.Key]; ok {
		floor = own
	}
	like, other := atLikeLanding(steps, first, logarithm(m)), atLikeLanding(steps, second, logarithm(m))
	d := rising(estimate.PairDifferences(like, other))
	found := estimate.FindChange(d, math.Log1p(floor/mean), set.Estimate)
	if !found.Found {
		c.Because = notFound(m, found, floor)
		return c
	}
	c.Found = true
	found = placed(found, steps, first, second, set.Estimate)
	end := minutes(d.Times[len(d.Times)-1], begin)
	c.Minute = minutes(found.At, begin)
	c.Low, c.High = math.Max(0, minutes(found.Low, begin)), math.Min(end, minutes(found.High, begin))
	if moved(other, found.At) > moved(like, found.At) {
		c.Side = second
	}
	c.Because = beforeAndAfter(m, a, b, first, second, found)
	return c
}

// logarithm is the logarithm of a measure, not finite where that is not positive.
func logarithm(m step.Metric) func(*step.Step) float64 {
	return func(s *step.Step) float64 { return math.Log(m.Value(s)) }
}

// atLikeLanding returns the finite values of one side's used steps, each less
// what the step's strike angle makes: the slope of the value on the angle within
// groups of neighbouring steps, times the angle. The slope is 0 where the angles
// do not vary.
func atLikeLanding(steps []step.Step, side recording.Side, value func(*step.Step) float64) estimate.Series {
	var out estimate.Series
	var angles []float64
	for i := range steps {
		s := &steps[i]
		if s.Side != side || !s.Used {
			continue
		}
		if v := value(s); !math.IsNaN(v) && !math.IsInf(v, 0) {
			out.Times, out.Values = append(out.Times, s.InitialContact), append(out.Values, v)
			angles = append(angles, s.StrikeAngle)
		}
	}
	slope := slopeAmongNeighbours(angles, out.Values)
	for i, angle := range angles {
		if !math.IsNaN(angle) {
			out.Values[i] -= slope * angle
		}
	}
	return out
}

// rising turns the sign of the differences so that they rise over the run: the
// search draws random numbers, and what it says must not depend on which foot
// is called the first.
func rising(d estimate.Series) estimate.Series {
	half := len(d.Values) / 2
	if estimate.Mean(d.Values[half:]) < estimate.Mean(d.Values[:half]) {
		for i := range d.Values {
			d.Values[i] = -d.Values[i]
		}
	}
	return d
}

// notFound says why no minute is given.
func notFound(m step.Metric, f estimate.Change, least float64) string {
	if math.IsNaN(f.P) {
		return f.Method
	}
	return fmt.Sprintf("no change between the feet of at least %s at like landing was shown (P %.2g; %s)", show(m, least), f.P, f.Method)
}

// moved is by how much a side's own level moved from before a time to the end.
func moved(s estimate.Series, at float64) float64 {
	from, to := levels(s, at)
	return math.Abs(to - from)
}

// beforeAndAfter says what both sides did, as measured.
func beforeAndAfter(m step.Metric, a, b estimate.Series, first, second recording.Side, f estimate.Change) string {
	fromA, toA := levels(a, f.At)
	fromB, toB := levels(b, f.At)
	return fmt.Sprintf("at like landing; medians before it and over the last third of what follows: %s foot %s and %s, %s foot %s and %s (P %.2g; %s)",
		first, show(m, fromA), show(m, toA), second, show(m, fromB), show(m, toB), f.P, f.Method)
}

// levels are the medians before a time and over the last third of the time
// after it.
func levels(s estimate.Series, at float64) (before, after float64) {
	end := s.Times[len(s.Times)-1]
	from := end - (end-at)/3
	var x, y []float64
	for i, t := range s.Times {
		switch {
		case t < at:
			x = append(x, s.Values[i])
		case t >= from:
			y = append(y, s.Values[i])
		}
	}
	return estimate.Median(x), estimate.Median(y)
}
