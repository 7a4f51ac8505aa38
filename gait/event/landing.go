package event

import (
	"fmt"
	"math"
	"slices"
)

// How it is decided how initial contact is read, times in s. Own choices; see
// docs/events.md for how they were found and what they were judged on.
const (
	// steady is the largest spread (scaled MAD, s) between impact and rise at
	// which the impact itself is taken as initial contact; up to fair, the rise
	// is taken with the median distance to the impact.
	steady = 0.004
	fair   = 0.010
	// leastLandings is how many landings decide about the impact.
	leastLandings = 5
	// walkingFar and runningFar are how long before the rise impacts can lie, s:
	// what lies further ahead on the median belongs to late swing.
	walkingFar, runningFar = 0.055, 0.040
	// walkingShift and runningShift are from the rise back to initial contact
	// where no impact is seen in the whole recording.
	walkingShift, runningShift = -0.018, -0.018
)

// Landings says how initial contact is read in one session: from the impact,
// where it is sharp and steady against the toe-down rise, else from the rise
// with a constant shift. It is decided once, from the first minutes, for all
// feet together: two ways of reading would make a difference between the sides.
type Landings struct {
	// Shift is from the rise to initial contact, s, by gait.
	Shift [3]float64
	// ByImpact tells where the impact itself is taken, by gait.
	ByImpact [3]bool
	// From says in words what decided, by gait; "" where nothing did.
	From [3]string
}

// DefaultLandings is used where a recording has too few landings to decide.
func DefaultLandings() Landings {
	return Landings{Shift: [3]float64{walkingShift, walkingShift, runningShift}}
}

// LandingStudy collects the landings of one foot in the first minutes.
type LandingStudy struct{ gaps [3][]float64 }

// Add takes one window and what NewContact makes of it.
func (l *LandingStudy) Add(w *Window, c *Contact) {
	if lobe := findLobe(w, c); lobe.ok && lobe.heel && !w.Irregular {
		g := w.Gait()
		if i := heelImpact(w, lobe.rise, g); !math.IsNaN(i) {
			l.gaps[g] = append(l.gaps[g], (i-lobe.rise)/w.Rate)
		}
	}
}

// spread is the median and the scaled MAD of the gaps, s; NaN with too few. The
// MAD is infinite where the median lies too far ahead for impacts.
func (l *LandingStudy) spread(g Gait) (middle, mad float64) {
	gaps := l.gaps[g]
	if len(gaps) < leastLandings {
		return math.NaN(), math.NaN()
	}
	middle = median(gaps)
	if far := [...]float64{GaitUnknown: walkingFar, Walking: walkingFar, Running: runningFar}[g]; middle < -far {
		return middle, math.Inf(1)
	}
	dev := make([]float64, len(gaps))
	for i, v := range gaps {
		dev[i] = math.Abs(v - middle)
	}
	return middle, 1.4826 * median(dev)
}

// DecideLandings freezes how initial contact is read, for each of the studies.
// Feet without enough landings of a gait have no say in it. A landing of unknown
// gait, after which no swing comes, is read from the rise with the shift of the
// foot's usual gait.
func DecideLandings(studies []*LandingStudy) []Landings {
	out := make([]Landings, len(studies))
	for i := range out {
		out[i] = DefaultLandings()
	}
	for _, g := range []Gait{Walking, Running} {
		worst := math.NaN()
		for _, s := range studies {
			if _, mad := s.spread(g); !math.IsNaN(mad) && !(mad <= worst) {
				worst = mad
			}
		}
		for i, s := range studies {
			out[i].decide(g, s, worst)
		}
	}
	for i, s := range studies {
		usual := Walking
		if len(s.gaps[Running]) > len(s.gaps[Walking]) {
			usual = Running
		}
		out[i].Shift[GaitUnknown] = out[i].Shift[usual]
	}
	return out
}

// decide fills one gait of one foot; worst is the largest spread of all feet.
func (l *Landings) decide(g Gait, s *LandingStudy, worst float64) {
	middle, mad := s.spread(g)
	switch {
	case math.IsNaN(mad) && !(worst <= fair):
	case worst <= steady:
		l.ByImpact[g] = true
		l.From[g] = fmt.Sprintf("the onset of the impact (it keeps within %.1f ms of the toe-down rise)", worst*1e3)
	case worst <= fair:
		l.From[g] = fmt.Sprintf("the toe-down rise, shifted to the median impact (impacts scatter by %.1f ms)", worst*1e3)
	case math.IsInf(worst, 1):
		l.From[g] = fmt.Sprintf("the toe-down rise, shifted by %.0f ms (what looks like impacts lies too far before it)", l.Shift[g]*1e3)
		return
	default:
		l.From[g] = fmt.Sprintf("the toe-down rise, shifted by %.0f ms (impacts scatter by %.0f ms, too much to time by them)", l.Shift[g]*1e3, worst*1e3)
		return
	}
	if !math.IsNaN(middle) {
		l.Shift[g] = middle
	}
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
