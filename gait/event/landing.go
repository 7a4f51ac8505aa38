package event

import (
	"fmt"
	"math"
	"slices"

	"setdown/signal/recording"
)

// The constants of the landing search, times in s. Own choices; see
// docs/events.md for how they were found and what they were judged on.
const (
	// riseShare is the share of the first toe-down peak after swing at which the
	// rise is timed: the steepest part, where noise moves the crossing least.
	riseShare = 0.6
	// firstPeak is the share of the largest toe-down rate that a first peak has.
	firstPeak = 0.6
	// impactBefore and impactAfter bound the search for the heel's impact around
	// the rise.
	impactBefore, impactAfter = 0.070, 0.005
	// otherBefore is how long before the end of the toe-up turn a foot that does
	// not land heel first may land.
	otherBefore = 0.08
	// shuffleBefore is the same before the foot rests after a shuffle.
	shuffleBefore = 0.35
	// onsetShare is the share of the strongest jerk at which an impact begins;
	// shuffleShare is the same for turns, shuffles and flat walking steps, which
	// have no clear first touch.
	onsetShare   = 0.45
	shuffleShare = 0.65
	// lostBefore is how near before an impact lost samples make it doubtful;
	// lostShare is the share of it that must show before them to be its start.
	lostBefore = 0.03
	lostShare  = 0.35
	// softShare is the same for a forefoot or flat foot in running, and for a
	// walking heel, of the jerk beyond late swing's.
	softShare = 0.30
	// heelShare is the least jerk of a heel contact against the jerk at flat, or,
	// before a dropped forefoot that hits hard, heelTimes the bends of late swing.
	heelShare = 0.12
	heelTimes = 3.0
	// heelUp is the least toe-up pitch, rad, before the rise of a heel contact,
	// and toeUnder the pitch below flat that shows that the forefoot came first.
	heelUp   = 2.5 * math.Pi / 180
	toeUnder = -3.5 * math.Pi / 180
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
// gait, the last before the recording ends, is read as the foot's usual ones.
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

// initialContact returns the fractional sample of initial contact, NaN where
// no landing is seen.
func initialContact(w *Window, c *Contact, how Landings) float64 {
	l := findLobe(w, c)
	if !l.ok || !l.heel || w.Irregular || rebounds(w, c) {
		return otherLanding(w, c)
	}
	g := w.Gait()
	if how.ByImpact[g] {
		i := heelImpact(w, l.rise, g)
		if math.Abs(i-l.rise-how.Shift[g]*w.Rate) < 0.02*w.Rate {
			return i
		}
	}
	if i := lateImpact(w, c, l.rise); g != Running && !math.IsNaN(i) {
		return i
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

// rebounds tells whether a foot had landed before its toe-up turn ended: it had
// turned back, and what hit the ground then is far harder than all that follows.
// A foot that lands flat or on the forefoot turns toe-up as the heel comes down.
func rebounds(w *Window, c *Contact) bool {
	back, up := turnedBack(w), float64(w.UpEnd)
	return back >= 0 && strongest(w, float64(back)-reboundBefore*w.Rate, up) >= reboundTimes*strongest(w, up, float64(c.Flat))
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
// and mid-stance, for feet that land flat or on the forefoot.
func otherLanding(w *Window, c *Contact) float64 {
	before, share := otherBefore, softShare
	if w.Gait() == Walking {
		share = shuffleShare
	}
	if w.Irregular {
		before, share = shuffleBefore, shuffleShare
	}
	// The heel that comes down after a forefoot may turn faster than the swing
	// did, so the fastest moment does not bound the search.
	from := math.Max(0, float64(w.UpEnd)-before*w.Rate)
	if rebounds(w, c) {
		from = math.Max(0, math.Min(from, float64(turnedBack(w))-reboundBefore*w.Rate))
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

// heelImpact returns the onset of the heel's impact around the toe-down rise.
// A walking heel lands softly, and late swing brakes nearly as hard: there only
// what goes beyond the braking counts.
func heelImpact(w *Window, rise float64, g Gait) float64 {
	from, to := rise-impactBefore*w.Rate, rise+impactAfter*w.Rate
	if g == Walking {
		return softImpact(w, from, to)
	}
	return impact(w, from, to, onsetShare)
}

// lost tells a sample that was not recorded. A clipped acceleration is none: its
// flank is the very impact, only its peak is not known.
func lost(v recording.Void) bool {
	const both = recording.VoidAcc | recording.VoidGyr
	return v&both == both
}

// jerk is the size of the change of acceleration from sample i to i+1, m/s²;
// 0 next to a lost sample.
func jerk(w *Window, i int) float64 {
	if lost(w.Void[i]) || lost(w.Void[i+1]) {
		return 0
	}
	x, y, z := w.Acc[0][i+1]-w.Acc[0][i], w.Acc[1][i+1]-w.Acc[1][i], w.Acc[2][i+1]-w.Acc[2][i]
	return math.Sqrt(x*x + y*y + z*z)
}

// anyLost tells whether a sample between two fractional samples is lost.
func anyLost(w *Window, from, to float64) bool {
	for i := max(0, int(from)); i <= min(w.Len()-1, int(to)+1); i++ {
		if lost(w.Void[i]) {
			return true
		}
	}
	return false
}

// strongest is the largest jerk between two fractional samples.
func strongest(w *Window, from, to float64) float64 {
	best := 0.0
	for i := max(0, int(from)); i < min(w.Len()-1, int(to)); i++ {
		best = math.Max(best, jerk(w, i))
	}
	return best
}

// impact returns the fractional sample at which the first strong impact
// between from and to begins, NaN where the range is empty or nothing moves.
//
// The jerk of sample interval k is the change of acceleration over it. The
// first interval above share of the range's largest one, or the next, runs
// at the full slope; what the intervals before it show of that slope is the
// part of them that lies behind the onset:
//
//	onset = k + 1 − J(k)/S − (J(k−1) − J₀)/S,  S = max(J(k), J(k+1)),
//
// with J₀ the jerk before, in the smooth swing.
func impact(w *Window, from, to, share float64) float64 {
	lo, hi := max(3, int(from)), min(w.Len()-3, int(math.Ceil(to)))
	if hi <= lo {
		return math.NaN()
	}
	level := share * strongest(w, float64(lo), float64(hi+1))
	if level == 0 {
		return math.NaN()
	}
	k := lo
	for k < hi && jerk(w, k) < level {
		k++
	}
	slope := math.Max(jerk(w, k), jerk(w, k+1))
	quiet := math.Min(jerk(w, k-2), jerk(w, k-3))
	part := math.Max(0, math.Min(1, (jerk(w, k-1)-quiet)/slope))
	return float64(k+1) - jerk(w, k)/slope - part
}

// softImpact is impact with the jerk of each interval less that of two
// intervals before it, as vectors: steady braking drops out and a bend of the
// acceleration is left.
func softImpact(w *Window, from, to float64) float64 {
	lo, hi := max(4, int(from)), min(w.Len()-3, int(math.Ceil(to)))
	level := softShare * strongestBend(w, from, to)
	if hi <= lo || level == 0 {
		return math.NaN()
	}
	k := lo
	for k < hi && excess(w, k, k-2) < level {
		k++
	}
	slope := math.Max(excess(w, k, k-2), excess(w, k+1, k-2))
	part := (excess(w, k-1, k-2) - excess(w, k-2, k-3)) / slope
	return float64(k+1) - excess(w, k, k-2)/slope - math.Max(0, math.Min(1, part))
}

// strongestBend is the largest excess between two fractional samples, each over
// the interval two before it.
func strongestBend(w *Window, from, to float64) float64 {
	best := 0.0
	for i := max(4, int(from)); i <= min(w.Len()-3, int(math.Ceil(to))); i++ {
		best = math.Max(best, excess(w, i, i-2))
	}
	return best
}

// excess is the size of the change of acceleration from sample i to i+1 less
// that from base to base+1, m/s²; 0 next to a sample that is voided.
func excess(w *Window, i, base int) float64 {
	if lost(w.Void[i]) || lost(w.Void[i+1]) || lost(w.Void[base]) || lost(w.Void[base+1]) {
		return 0
	}
	sum := 0.0
	for k := range 3 {
		d := w.Acc[k][i+1] - w.Acc[k][i] - w.Acc[k][base+1] + w.Acc[k][base]
		sum += d * d
	}
	return math.Sqrt(sum)
}
