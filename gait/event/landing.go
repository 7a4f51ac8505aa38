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
	// Usual is the gait of most landings of the session: that of a landing after
	// which no swing comes, whose own cannot be told.
	Usual Gait
}

// gait is that in which the foot of the window lands.
func (l *Landings) gait(w *Window) Gait {
	if g := w.Gait(); g != GaitUnknown {
		return g
	}
	return l.Usual
}

// DefaultLandings is used where a recording has too few landings to decide.
func DefaultLandings() Landings {
	return Landings{Shift: [3]float64{Walking: walkingShift, Running: runningShift}, Usual: Walking}
}

// LandingStudy collects the landings of one foot in the first minutes.
type LandingStudy struct {
	// gaps are from the rise to the impact of heel landings, s, and landings how
	// many there were of any kind, by gait.
	gaps     [3][]float64
	landings [3]int
}

// Add takes one window and what NewContact makes of it.
func (l *LandingStudy) Add(w *Window, c *Contact) {
	g := w.Gait()
	if g == GaitUnknown || w.Irregular {
		return
	}
	l.landings[g]++
	if lobe := findLobe(w, c); lobe.ok && lobe.heel {
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
	if far := [...]float64{Walking: walkingFar, Running: runningFar}[g]; middle < -far {
		return middle, math.Inf(1)
	}
	dev := make([]float64, len(gaps))
	for i, v := range gaps {
		dev[i] = math.Abs(v - middle)
	}
	return middle, 1.4826 * median(dev)
}

// DecideLandings freezes how initial contact is read, for each of the studies.
// Feet without enough landings of a gait have no say in it.
func DecideLandings(studies []*LandingStudy) []Landings {
	out := make([]Landings, len(studies))
	usual := usualGait(studies)
	for i := range out {
		out[i] = DefaultLandings()
		out[i].Usual = usual
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
	return out
}

// usualGait is the gait of most landings of all feet together.
func usualGait(studies []*LandingStudy) Gait {
	walked, ran := 0, 0
	for _, s := range studies {
		walked, ran = walked+s.landings[Walking], ran+s.landings[Running]
	}
	if ran > walked {
		return Running
	}
	return Walking
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
