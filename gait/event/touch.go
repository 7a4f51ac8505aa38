package event

import "math"

// The search for initial contact where the impact or the rise do not give it,
// times in s. Own choices; see docs/events.md for how they were found and what
// they were judged on.
const (
	// otherBefore is how long before the end of the toe-up turn a foot that does
	// not land heel first may land.
	otherBefore = 0.08
	// shuffleBefore is the same before the foot rests after a shuffle.
	shuffleBefore = 0.35
	// lostBefore is how near before an impact lost samples make it doubtful;
	// lostShare is the share of it that must show before them to be its start.
	lostBefore = 0.03
	lostShare  = 0.35
	// lateAfter is how long after the rise a heel's impact begins that the foot
	// had turned toe-down before, lateTimes how much harder it is than all before,
	// and lateUp the share of the pitch at the rise that is left until then.
	lateAfter = 0.012
	lateTimes = 3.0
	lateUp    = 0.5
	// reboundMost is how long before the end of its toe-up turn a foot that lands
	// with a rebound may have turned back toe-down, reboundBefore how long before
	// that its impact is looked for, and reboundTimes how much harder than what
	// follows the turn it is. The pitch is known for as long (pitchBefore).
	reboundMost   = 0.09
	reboundBefore = 0.03
	reboundTimes  = 1.5
)

// initialContact returns the fractional sample of initial contact, NaN where
// no landing is seen.
func initialContact(w *Window, c *Contact, how Landings) float64 {
	l := findLobe(w, c)
	g, back := how.gait(w), rebound(w, c)
	if !l.ok || !l.heel || w.Irregular || back >= 0 {
		return otherLanding(w, c, g, back)
	}
	// The impact of a last landing, before standing, is softer than the others.
	if how.ByImpact[g] && w.Gait() != GaitUnknown {
		i := heelImpact(w, l.rise, g)
		if math.Abs(i-l.rise-how.Shift[g]*w.Rate) < 0.02*w.Rate {
			return i
		}
	}
	if g != Running {
		if i := lateImpact(w, c, l.rise); !math.IsNaN(i) {
			return i
		}
	}
	return l.rise + how.Shift[g]*w.Rate
}

// turnedBack is the sample at which the foot first turned toe-down shortly before
// its toe-up turn ended, -1 where it did not: the turn came back.
func turnedBack(w *Window) int {
	for i := max(0, w.UpEnd-w.samples(reboundMost)); i < w.UpEnd; i++ {
		if w.Gyr[1][i] > 0 {
			return i
		}
	}
	return -1
}

// rebound returns the sample at which a foot turned back that had landed before
// its toe-up turn ended: what hit the ground then is far harder than all that
// follows. -1 where none did, and where what follows is lost just then: a harder
// impact may be among it. A foot that lands flat or on the forefoot turns toe-up
// as the heel comes down.
func rebound(w *Window, c *Contact) int {
	back, up := turnedBack(w), float64(w.UpEnd)
	if back < 0 || anyLost(w, up, math.Min(float64(c.Flat), up+reboundMost*w.Rate)) {
		return -1
	}
	if strongest(w, float64(back)-reboundBefore*w.Rate, up) < reboundTimes*strongest(w, up, float64(c.Flat)) {
		return -1
	}
	return back
}

// lateImpact returns the onset of the heel's impact where the foot turned
// toe-down before it touched, as some do in a turn: the impact begins well after
// the rise, with the toes still up, and is far harder than all before it. NaN
// otherwise.
func lateImpact(w *Window, c *Contact, rise float64) float64 {
	from, to := rise-impactBefore*w.Rate, rise+impactAfter*w.Rate
	end := int(to)
	for up := lateUp * PitchAt(c, rise); end < c.Flat && c.Pitch[end] > up; end++ {
	}
	if anyLost(w, from, float64(end)) || strongest(w, to, float64(end)) < lateTimes*strongest(w, from, to) {
		return math.NaN()
	}
	if i := impact(w, to, float64(end), onsetShare); i > rise+lateAfter*w.Rate {
		return i
	}
	return math.NaN()
}

// otherLanding is the onset of the strongest impact between the end of swing
// and mid-stance, for feet that land flat or on the forefoot, or with a rebound,
// in which they turned back at sample back (else -1).
func otherLanding(w *Window, c *Contact, g Gait, back int) float64 {
	before, share := otherBefore, softShare
	if g == Walking {
		share = shuffleShare
	}
	if w.Irregular {
		before, share = shuffleBefore, shuffleShare
	}
	// The heel that comes down after a forefoot may turn faster than the swing
	// did, so the fastest moment does not bound the search.
	from := math.Max(0, float64(w.UpEnd)-before*w.Rate)
	if back >= 0 {
		from = math.Max(0, math.Min(from, float64(back)-reboundBefore*w.Rate))
	}
	i := impact(w, from, float64(c.Flat), share)
	switch up := float64(w.UpEnd); {
	case math.IsNaN(i):
		return up
	case !anyLost(w, i-lostBefore*w.Rate, i):
		return i
	default:
		return lostLanding(w, from, i)
	}
}

// lostLanding is the landing where samples are lost just before the impact at
// i: the touch itself may be among them. It is the impact that begins before
// the loss, if one does, else the end of the toe-up turn, which the ground
// stops.
func lostLanding(w *Window, from, i float64) float64 {
	loss := int(i)
	for loss > int(from) && !lost(w.Void[loss]) {
		loss--
	}
	for loss > int(from) && lost(w.Void[loss]) {
		loss--
	}
	before := strongest(w, float64(loss)-lostBefore*w.Rate, float64(loss))
	if before >= lostShare*strongest(w, i, i+lostBefore*w.Rate) {
		return impact(w, from, float64(loss-1), shuffleShare)
	}
	if up := float64(w.UpEnd); !w.Irregular && up > i {
		return up
	}
	return i
}
