package cadence

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// Stride is one stride of one foot: two steps.
type Stride struct {
	// Start is s on the recording's axis, Duration is s.
	Start, Duration float64
	Gait            event.Gait
}

// Bout is a stretch of walking or running without a rest.
type Bout struct {
	// From and To are s. Steps is the number of steps in it, both feet, which
	// need not be whole.
	From, To, Steps float64
	// Strides are those that were seen to repeat the ones before them; in a turn
	// some are only counted.
	Strides []Stride
}

// Rhythm is what the motion of one sensor says about steps.
type Rhythm struct {
	// Bouts in order of time.
	Bouts []Bout
	// Begin and End are the times of the first and last sample, s; Gaps are
	// breaks of the recording between them.
	Begin, End float64
	Gaps       []Break
}

// Break is a time without samples, s.
type Break struct{ From, To float64 }

// leastStrides is how many strides make a bout.
const leastStrides = 2

// Find finds the strides in the motion of one sensor at any place of the body.
// spans must be in order of time. The site helps to tell walking from running
// between 122 and 150 steps a minute, and nothing else.
//
// The stride is the time after which the force, its size and the turning
// repeat themselves, all axes together, so that mounting does not matter. Where
// steps of both feet look alike, only the step shows; period.go says how they
// are told apart. From the clearest moment the strides are then followed
// forwards and backwards by their likeness, one by one.
func Find(spans []*Motion, site recording.Site) Rhythm {
	r := Rhythm{Begin: math.NaN(), End: math.NaN()}
	level := restLevel(spans)
	for _, m := range spans {
		if m.Len() == 0 {
			continue
		}
		begin, end := m.Time(0), m.Time(float64(m.Len()-1))
		if math.IsNaN(r.Begin) {
			r.Begin = begin
		} else {
			r.Gaps = append(r.Gaps, Break{r.End, begin})
		}
		r.End = end
		f := &finder{m: m}
		for _, s := range m.active(level) {
			p := f.periods(s)
			var within []Bout
			for _, run := range newChain(m, s, p).follow(stretch{0, s.len()}) {
				within = append(within, newBout(m, s, run, p, site))
			}
			r.Bouts = append(r.Bouts, walkedOn(within)...)
		}
	}
	return r
}

// newBout makes a bout of a run of marks. Steps before the first and behind the
// last mark count up to the border of the stretch, if that is within a stride.
func newBout(m *Motion, s stretch, run []mark, p []period, site recording.Site) Bout {
	var b Bout
	run = withoutEnds(run)
	n := len(run) - 1
	for i := range n {
		if run[i].fit < sound || run[i+1].fit < sound {
			continue // a stride that was not seen, only expected
		}
		d := (run[i+1].at - run[i].at) / m.Rate
		b.Strides = append(b.Strides, Stride{m.Time(float64(s.from) + run[i].at), d, gaitAt(float64(s.from)+run[i].at, p, d, site)})
	}
	smoothGait(b.Strides)
	first, last := run[0].at, run[n].at
	mean := (last - first) / float64(n)
	before, after := mean/2, mean/2
	if first < reachesBorder*mean {
		before = first
	}
	if left := float64(s.len()) - last; left < reachesBorder*mean {
		after = left
	}
	b.From, b.To = m.Time(float64(s.from)+first-before), m.Time(float64(s.from)+last+after)
	b.Steps = 2 * (float64(n) + (before+after)/mean)
	return b
}

// turning is the longest time, s, without a rhythm in which a person who never
// came to rest is taken to have walked on, as in a turn.
const turning = 6.0

// walkedOn joins the bouts of one stretch of movement over short times without a
// rhythm; steps in them are counted at the rate of the two bouts, but no stride
// is added.
func walkedOn(bouts []Bout) []Bout {
	var out []Bout
	for _, b := range bouts {
		n := len(out)
		if n == 0 || b.From-out[n-1].To > turning {
			out = append(out, b)
			continue
		}
		a := &out[n-1]
		rate := (a.Steps + b.Steps) / (a.To - a.From + b.To - b.From)
		a.Steps += b.Steps + math.Max(0, b.From-a.To)*rate
		a.To = b.To
		a.Strides = append(a.Strides, b.Strides...)
	}
	return out
}

// reachesBorder is how many strides from the border of its stretch a bout may
// begin or end to reach to the border.
const reachesBorder = 2.0

// oddEnd is the share by which the first or last stride of a bout may be shorter
// than its neighbour: people set off and stop slowly, so that a quick one there
// is a part of one.
const oddEnd = 0.1

// withoutEnds leaves out marks at both ends that are too near to the next.
func withoutEnds(run []mark) []mark {
	odd := func(a, b, c mark) bool {
		return (b.at-a.at)/(c.at-b.at) < 1-oddEnd
	}
	for len(run) > leastStrides+2 && odd(run[0], run[1], run[2]) {
		run = run[1:]
	}
	for n := len(run); n > leastStrides+2 && odd(run[n-1], run[n-2], run[n-3]); n = len(run) {
		run = run[:n-1]
	}
	return run
}

// What tells walking from running by the rhythm. Own choices: the open walks
// and runs lie well on their sides of them.
const (
	surelyWalking, surelyRunning = 122, 150 // steps/min
	softRunning                  = 4.0      // least scatter of running, m/s²
	trunkRunning                 = 5.0      // scatter above which trunk and arms run
	legQuiet                     = 0.26     // share of rest below which a leg runs
	legHalf                      = 0.3      // a leg shows little at half a stride
)

// gaitAt tells walking from running for a stride of the duration d, s.
func gaitAt(at float64, all []period, d float64, site recording.Site) event.Gait {
	p := nearestPeriod(all, at)
	runs := p.force > trunkRunning
	if site == recording.Foot || site == recording.Shin || site == recording.SiteUnknown && p.half < legHalf {
		runs = p.quiet < legQuiet
	}
	switch cadence := 120 / d; {
	case cadence <= surelyWalking, p.force < softRunning:
		return event.Walking
	case cadence >= surelyRunning, runs:
		return event.Running
	}
	return event.Walking
}

func nearestPeriod(all []period, at float64) period {
	best := all[0]
	for _, p := range all {
		if p.stride > 0 && (best.stride == 0 || math.Abs(float64(p.at)-at) < math.Abs(float64(best.at)-at)) {
			best = p
		}
	}
	return best
}

// smoothGait lets the majority of seven neighbours decide.
func smoothGait(s []Stride) {
	const around = 3
	before := make([]event.Gait, len(s))
	for i := range s {
		before[i] = s[i].Gait
	}
	for i := range s {
		lo, hi := max(0, i-around), min(len(s), i+around+1)
		n := 0
		for _, g := range before[lo:hi] {
			if g == event.Running {
				n++
			}
		}
		s[i].Gait = event.Walking
		if 2*n > hi-lo {
			s[i].Gait = event.Running
		}
	}
}
