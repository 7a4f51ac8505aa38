package cadence

import (
	"cmp"
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/signal/recording"
)

// Result is the cadence of one sensor or watch.
type Result struct {
	// Label names the recording in messages.
	Label string
	Side  recording.Side
	Site  recording.Site
	// From says in words what the cadence was found from.
	From string
	// Begin and End are the times of the first and last sample, s.
	Begin, End float64
	// Cadence is steps/s of both feet: steps ÷ time on the move, with the
	// interval of the mean stride.
	Cadence estimate.Estimate
	// Steps is the number of steps of both feet, Moving the time, s, in which
	// they were made.
	Steps  int
	Moving float64
	// Gaits holds walking and running, as far as there was any, the longer one
	// first.
	Gaits []Part
	// Variation is the coefficient of variation of the stride time, within bouts
	// and gaits, as a share; its Method names how it was made.
	Variation estimate.Estimate
	// Pauses are the times of at least LeastPause without a step between steps.
	Pauses []Pause
	// Strides in order of time; none from a watch.
	Strides []Stride
	// samples of a watch
	samples []sample
}

// Part is what was made in one gait.
type Part struct {
	Gait    event.Gait
	Cadence estimate.Estimate
	Seconds float64
}

// Pause is a time without steps, s.
type Pause struct{ From, To float64 }

// LeastPause is the shortest time without steps that is a pause, s.
const LeastPause = 2.0

// Point is the cadence of one stretch of time.
type Point struct {
	// From and To are s; Cadence is steps/s, NaN where nobody stepped; N is the
	// number of strides (samples of a watch) it is from.
	From, To, Cadence float64
	Gait              event.Gait
	N                 int
}

// Summarise turns the rhythm of one sensor into its result. Label, side, site
// and From are left to the caller.
func Summarise(r Rhythm, cfg estimate.Config) Result {
	out := Result{Begin: r.Begin, End: r.End, Cadence: estimate.None(0), Variation: estimate.None(0)}
	steps := 0.0
	for _, b := range r.Bouts {
		steps += b.Steps
		out.Moving += b.To - b.From
		out.Strides = append(out.Strides, b.Strides...)
	}
	out.Steps = int(math.Round(steps))
	out.Pauses = pauses(r)
	out.Cadence = meanCadence(out.Strides, cfg)
	for _, g := range []event.Gait{event.Running, event.Walking} {
		if s := ofGait(out.Strides, g); len(s) > 0 {
			out.Gaits = append(out.Gaits, Part{g, meanCadence(s, cfg), total(s)})
		}
	}
	slices.SortStableFunc(out.Gaits, func(a, b Part) int { return cmp.Compare(b.Seconds, a.Seconds) })
	out.Variation = variation(r.Bouts)
	return out
}

// pauses are the times between bouts, unless the recording broke there.
func pauses(r Rhythm) []Pause {
	var out []Pause
	for i := 1; i < len(r.Bouts); i++ {
		p := Pause{r.Bouts[i-1].To, r.Bouts[i].From}
		broken := slices.ContainsFunc(r.Gaps, func(g Break) bool { return g.From < p.To && g.To > p.From })
		if p.To-p.From >= LeastPause && !broken {
			out = append(out, p)
		}
	}
	return out
}

func ofGait(all []Stride, g event.Gait) []Stride {
	var out []Stride
	for _, s := range all {
		if s.Gait == g {
			out = append(out, s)
		}
	}
	return out
}

func total(s []Stride) float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.Duration
	}
	return sum
}

// meanCadence is two steps in the mean stride time, with an interval.
func meanCadence(s []Stride, cfg estimate.Config) estimate.Estimate {
	d := make([]float64, len(s))
	for i := range s {
		d[i] = s[i].Duration
	}
	e := meanInterval(d, cfg)
	out := e
	out.Center, out.Low, out.High = 2/e.Center, 2/e.High, 2/e.Low
	out.Method = "two steps in the mean stride time; " + e.Method
	return out
}

// meanInterval is the mean of values in time order with a block-bootstrap
// interval; without an interval where there are fewer than it needs.
func meanInterval(values []float64, cfg estimate.Config) estimate.Estimate {
	n := len(values)
	need := cfg.MinValues
	if need == 0 {
		need = estimate.MinValues
	}
	if n < need {
		e := estimate.None(n)
		e.Needed, e.Method = need, "no interval from so few strides"
		if n > 0 {
			e.Center = estimate.Mean(values)
		}
		return e
	}
	mean := func(index []int) float64 {
		sum := 0.0
		for _, i := range index {
			sum += values[i]
		}
		return sum / float64(len(index))
	}
	return estimate.Bootstrap(n, estimate.BlockLength(values), mean, cfg).Student(cfg)
}

// variation is the coefficient of variation of the stride time: the scatter of
// strides around the mean of their own gait and bout.
func variation(bouts []Bout) estimate.Estimate {
	var squares, sum float64
	n, freedom := 0, 0
	for _, b := range bouts {
		for _, g := range []event.Gait{event.Walking, event.Running} {
			s := ofGait(b.Strides, g)
			if len(s) < 3 {
				continue
			}
			mean := total(s) / float64(len(s))
			for _, x := range s {
				squares += (x.Duration - mean) * (x.Duration - mean)
			}
			sum, n, freedom = sum+total(s), n+len(s), freedom+len(s)-1
		}
	}
	e := estimate.None(n)
	if n > 0 {
		e.Center = math.Sqrt(squares/float64(freedom)) / (sum / float64(n))
		e.Method = "standard deviation of the stride time around the mean of its bout and gait, over the mean; no interval"
	}
	return e
}

// Course returns the cadence in stretches of width s from the first sample on.
// A stride belongs to the stretch its middle lies in; the gait is that of most
// of the strides.
func (r *Result) Course(width float64) []Point {
	if !(r.End > r.Begin) || !(width > 0) {
		return nil
	}
	out := make([]Point, int(math.Ceil((r.End-r.Begin)/width)))
	sums := make([]struct{ time, steps, running float64 }, len(out))
	for _, p := range r.pieces() {
		k := int((p.at - r.Begin) / width)
		if k < 0 || k >= len(out) {
			continue
		}
		sums[k].time += p.seconds
		sums[k].steps += p.steps
		out[k].N++
		if p.gait == event.Running {
			sums[k].running += p.seconds
		}
		if out[k].Gait == event.GaitUnknown {
			out[k].Gait = p.gait
		}
	}
	for k := range out {
		out[k].From, out[k].To = r.Begin+float64(k)*width, math.Min(r.End, r.Begin+float64(k+1)*width)
		out[k].Cadence = sums[k].steps / sums[k].time // NaN without a stride
		if out[k].Gait != event.GaitUnknown {
			out[k].Gait = event.Walking
			if 2*sums[k].running > sums[k].time {
				out[k].Gait = event.Running
			}
		}
	}
	return out
}

// piece is a stride, or a sample of a watch.
type piece struct {
	at, seconds, steps float64
	gait               event.Gait
}

func (r *Result) pieces() []piece {
	var out []piece
	for _, s := range r.Strides {
		out = append(out, piece{s.Start + s.Duration/2, s.Duration, 2, s.Gait})
	}
	for _, s := range r.samples {
		out = append(out, piece{s.at, s.seconds, s.seconds * s.cadence, s.gait})
	}
	return out
}
