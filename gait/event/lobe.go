package event

import "math"

// The first toe-down turn after swing; angles in rad. Own choices; see
// docs/events.md for how they were found and what they were judged on.
const (
	// riseShare is the share of the first toe-down peak after swing at which the
	// rise is timed: the steepest part, where noise moves the crossing least.
	riseShare = 0.6
	// firstPeak is the share of the largest toe-down rate that a first peak has.
	firstPeak = 0.6
	// heelShare is the least jerk of a heel contact against the jerk at flat, or,
	// before a dropped forefoot that hits hard, heelTimes the bends of late swing.
	heelShare = 0.12
	heelTimes = 3.0
	// heelUp is the least toe-up pitch, rad, before the rise of a heel contact,
	// and toeUnder the pitch below flat that shows that the forefoot came first.
	heelUp   = 2.5 * math.Pi / 180
	toeUnder = -3.5 * math.Pi / 180
)

// lobe is the first toe-down turn after swing.
type lobe struct {
	// rise is the fractional sample at which the rate passes riseShare of the
	// first peak; peak is that peak's sample.
	rise float64
	peak int
	// heel tells whether the turn can be the lowering after a heel contact.
	heel bool
	ok   bool
}

// findLobe looks for the toe-down turn between the end of swing and mid-stance.
func findLobe(w *Window, c *Contact) lobe {
	r := w.Gyr[1]
	i := w.UpEnd
	for i > w.Swing && r[i] > 0 {
		i--
	}
	end := c.Flat
	for ; i < end && r[i] <= 0; i++ {
	}
	if i >= end || i < 1 {
		return lobe{}
	}
	top := i
	for j := i; j < end; j++ {
		if r[j] > r[top] {
			top = j
		}
	}
	peak := i
	for peak < top && !(r[peak] >= firstPeak*r[top] && r[peak] >= r[peak-1] && r[peak] > r[peak+1]) {
		peak++
	}
	level := riseShare * r[peak]
	for j := i; j <= peak; j++ {
		if r[j] >= level && r[j-1] < level {
			l := lobe{rise: float64(j-1) + (level-r[j-1])/(r[j]-r[j-1]), peak: peak, ok: true}
			l.heel = heelContact(w, c, l)
			return l
		}
	}
	return lobe{}
}

// heelContact tells a lowering after heel contact from a toe-down turn in the
// air: before it the toes are up, after it the foot is flat and not beyond, and
// something hits the ground as it begins.
func heelContact(w *Window, c *Contact, l lobe) bool {
	if !(PitchAt(c, l.rise) > heelUp) {
		return false
	}
	for i := l.peak; i <= c.Flat; i++ {
		if c.Pitch[i] < toeUnder {
			return false
		}
	}
	from, to := l.rise-impactBefore*w.Rate, l.rise+impactAfter*w.Rate
	if anyLost(w, from, to) {
		return true // what was lost may have been the impact
	}
	if strongest(w, from, to) >= heelShare*strongest(w, to, float64(c.Flat)) {
		return true
	}
	swing := strongestBend(w, float64(w.Swing), from)
	return swing > 0 && strongestBend(w, from, to) >= heelTimes*swing
}
