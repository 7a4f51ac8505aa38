package cadence

import (
	"cmp"
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/signal/recording"
)

// sample is one value of a watch: cadence in steps/s over the time that it
// stands for.
type sample struct {
	at, seconds, cadence float64
	gait                 event.Gait
}

// What tells walking from running in a watch's export (common practice, no
// source), and how long one value may stand for, s.
const (
	watchRunningSpeed = 2.0 // m/s
	watchWalkingSpeed = 1.6
	watchRunning      = 150.0 // steps/min
	watchWalking      = 125.0
	longestSample     = 10.0
)

// FromWatch returns the cadence of a watch's export: the mean of its values,
// each weighted by the time it stands for, with a block-bootstrap interval.
// Values that do not exist are times without steps. Watches smooth what they
// export, so that there is no variation from stride to stride.
func FromWatch(c *recording.Cadence, cfg estimate.Config) Result {
	r := Result{Label: c.Label, From: "step rate of a watch", Site: recording.Wrist, Begin: math.NaN(), End: math.NaN(),
		Cadence: estimate.None(0), Variation: estimate.None(0)}
	if len(c.Time) == 0 {
		return r
	}
	r.Begin, r.End = c.Time[0], c.Time[len(c.Time)-1]
	r.samples = watchSamples(c)
	steps := 0.0
	for i, s := range r.samples {
		steps += s.seconds * s.cadence
		r.Moving += s.seconds
		if i > 0 {
			if last := r.samples[i-1]; s.at-s.seconds/2-(last.at+last.seconds/2) >= LeastPause {
				r.Pauses = append(r.Pauses, Pause{last.at + last.seconds/2, s.at - s.seconds/2})
			}
		}
	}
	r.Steps = int(math.Round(steps))
	r.Cadence = watchCadence(r.samples, cfg)
	for _, g := range []event.Gait{event.Running, event.Walking, event.GaitUnknown} {
		if part, seconds := samplesOf(r.samples, g); len(part) > 0 {
			r.Gaits = append(r.Gaits, Part{g, watchCadence(part, cfg), seconds})
		}
	}
	slices.SortStableFunc(r.Gaits, func(a, b Part) int { return cmp.Compare(b.Seconds, a.Seconds) })
	return r
}

// watchSamples are the values with the time that each stands for: half of the
// way to its neighbours on both sides.
func watchSamples(c *recording.Cadence) []sample {
	usual := usualStep(c.Time)
	var out []sample
	for i, v := range c.StepsPerMinute {
		if math.IsNaN(v) || v <= 0 {
			continue
		}
		before, after := usual/2, usual/2
		if i > 0 {
			before = math.Min(c.Time[i]-c.Time[i-1], math.Max(longestSample, 2*usual)) / 2
		}
		if i+1 < len(c.Time) {
			after = math.Min(c.Time[i+1]-c.Time[i], math.Max(longestSample, 2*usual)) / 2
		}
		speed := math.NaN()
		if i < len(c.Speed) {
			speed = c.Speed[i]
		}
		out = append(out, sample{c.Time[i] + (after-before)/2, before + after, v / 60, watchGait(v, speed)})
	}
	return out
}

// usualStep is the median time between values, s; 1 for a single one.
func usualStep(t []float64) float64 {
	if len(t) < 2 {
		return 1
	}
	d := make([]float64, len(t)-1)
	for i := range d {
		d[i] = t[i+1] - t[i]
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// watchGait tells walking from running by the step rate, and between the two
// by the speed where there is one.
func watchGait(cadence, speed float64) event.Gait {
	switch {
	case cadence >= watchRunning, speed >= watchRunningSpeed:
		return event.Running
	case cadence <= watchWalking, speed <= watchWalkingSpeed:
		return event.Walking
	}
	return event.GaitUnknown
}

func samplesOf(all []sample, g event.Gait) (out []sample, seconds float64) {
	for _, s := range all {
		if s.gait == g {
			out, seconds = append(out, s), seconds+s.seconds
		}
	}
	return out, seconds
}

// watchCadence is the mean of the values weighted by their times.
func watchCadence(s []sample, cfg estimate.Config) estimate.Estimate {
	rates := make([]float64, len(s))
	time, steps := 0.0, 0.0
	for i, x := range s {
		rates[i] = x.cadence
		time, steps = time+x.seconds, steps+x.seconds*x.cadence
	}
	e := meanInterval(rates, cfg)
	if len(s) == 0 {
		return e
	}
	// The weights hardly differ; the interval is moved with the centre.
	shift := steps/time - e.Center
	e.Center, e.Low, e.High = e.Center+shift, e.Low+shift, e.High+shift
	e.Method = "mean of the watch's values; " + e.Method
	return e
}
