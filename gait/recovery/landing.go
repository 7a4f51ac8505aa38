package recovery

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

const strikeKey = "strike_angle_deg"

// equivalentSessions is how many sessions in a row must agree before the sides
// are called equivalent.
const equivalentSessions = 2

// farFlatter is up to which ratio of strike angles rates are brought to one
// landing at all, and strikeSD the assumed error, rad, of a session's strike
// angle that the bringing carries along (half a degree; an assumption, no source).
const (
	farFlatter = 1.3
	strikeSD   = 0.5 * math.Pi / 180
)

// atLanding returns by how much, base units, a side's peak lowering rate must be
// raised to stand for a foot that lands at reference instead of angle. The rate
// grows with the angle that is lowered through, so
//
//	raise = rate · (reference/angle − 1)   where angle < reference, else 0.
//
// (Geometry only: mean rate = angle / time to flat.) It is never negative: a
// steeper landing earns no credit. The result is +Inf where the angle is not
// above zero or is not known.
func atLanding(rate, angle, reference float64) float64 {
	switch {
	case angle >= reference:
		return 0
	case !(angle > 0) || math.IsNaN(reference):
		return math.Inf(1)
	}
	return rate * (reference/angle - 1)
}

// medianOver returns the median over sessions of a side's metric, NaN where
// there is none.
func medianOver(ss []Session, key string, side recording.Side) float64 {
	var xs []float64
	for _, s := range ss {
		if v := s.Measures[key].side(side); v.known() {
			xs = append(xs, float64(v.Center))
		}
	}
	if len(xs) == 0 {
		return math.NaN()
	}
	return estimate.Median(xs)
}

// firstDays returns the sessions of the first k days of ss, oldest first.
func firstDays(ss []Session, k int) []Session {
	for i, s := range ss {
		if i > 0 && s.Date != ss[i-1].Date {
			k--
		}
		if k == 0 {
			return ss[:i]
		}
	}
	return ss
}

// flatter tells in words why an improvement may be landing: the course must
// still improve when every session is brought to the first sessions' landing,
// and heel-first contact must not have become rarer. "" means that it is not.
func flatter(g Group, side recording.Side, c Course) string {
	early := firstDays(g.Sessions, levelDays(len(c.points)))
	base := medianOver(early, strikeKey, side)
	adjusted := make([]point, len(c.points))
	noise := c.Noise
	for i, p := range c.points {
		day := slices.Collect(sessionsOn(g, c.Points[i]))
		raise := atLanding(medianOver(day, step.Primary, side), medianOver(day, strikeKey, side), base)
		p.y += raise
		adjusted[i] = p
		switch now := medianOver(day, strikeKey, side); {
		case math.IsInf(raise, 0):
			return "the number became smaller, but how the foot lands is not known in every session, and landing flatter would do the same"
		case base/now > farFlatter:
			return "the number became smaller, but the foot lands so much flatter than at first that the sessions cannot be compared"
		case now < base:
			noise.SD = math.Max(noise.SD, math.Hypot(c.Noise.SD, strikeSD*medianOver(day, step.Primary, side)*base/(now*now)))
		}
	}
	if look(adjusted, noise) != falling {
		return "the number became smaller together with the strike angle: the foot lands flatter than at first, which lowers the number without better control"
	}
	if heelLess(early, g.Sessions, side) {
		return "the number became smaller, but fewer steps land heel first than at first, which leaves out the steps with most to lower"
	}
	return ""
}

// sessionsOn yields the sessions of a point.
func sessionsOn(g Group, p Point) func(func(Session) bool) {
	return func(yield func(Session) bool) {
		for _, s := range g.Sessions {
			if slices.Contains(p.Sessions, s.ID) && !yield(s) {
				return
			}
		}
	}
}

// heelLess tells whether heel-first contact of a side is rarer in the last two
// sessions of now than in early, by more than half the catalogue's floor, or is
// not known.
func heelLess(early, now []Session, side recording.Side) bool {
	before := medianOver(early, step.HeelFirstKey, side)
	after := medianOver(now[max(0, len(now)-equivalentSessions):], step.HeelFirstKey, side)
	return !(after >= before-step.Find(step.HeelFirstKey).FloorAbsolute/2)
}

// otherSide tells in words why a smaller difference may come from the uninjured
// side; "" where it does not.
func otherSide(g Group, side recording.Side, c Course) string {
	early, late := firstDays(g.Sessions, levelDays(len(c.points))), lastDays(g.Sessions, levelDays(len(c.points)))
	change := func(s recording.Side) float64 {
		return medianOver(late, step.Primary, s) - medianOver(early, step.Primary, s)
	}
	if other := change(side.Other()); other > -float64(c.Change.Center)/2 {
		return fmt.Sprintf("the difference became smaller because the uninjured side rose (by %s), not only because the injured side fell", show(other))
	}
	return ""
}

func lastDays(ss []Session, k int) []Session {
	for i := len(ss) - 1; i >= 0; i-- {
		if i < len(ss)-1 && ss[i].Date != ss[i+1].Date {
			k--
		}
		if k == 0 {
			return ss[i+1:]
		}
	}
	return ss
}

// equivalent sets SidesEquivalent when the last two like sessions each have the
// interval of the difference inside the floor, as it is and with the injured
// side brought to the steepest landing it is measured by (its own first days,
// in any conditions, and the other foot in the same session), while the
// uninjured side is not worse and heel-first contact is not rarer.
func (r *Result) equivalent(all []Session, g Group, side recording.Side) bool {
	if len(g.Sessions) < equivalentSessions+2 {
		return false
	}
	ordered := slices.Clone(all)
	slices.SortStableFunc(ordered, func(a, b Session) int {
		return cmp.Or(a.Date.Since(b.Date), cmp.Compare(a.Order, b.Order), cmp.Compare(a.ID, b.ID))
	})
	early := firstDays(ordered, baselineDays)
	last := g.Sessions[len(g.Sessions)-equivalentSessions:]
	own := medianOver(early, strikeKey, side)
	like := firstDays(g.Sessions, 2)
	for _, s := range last {
		if !inside(s, side, math.Max(own, medianOver(like, strikeKey, side))) {
			return false
		}
	}
	for _, s := range []recording.Side{side, side.Other()} {
		if heelLess(early, last, s) || heelLess(like, last, s) {
			return false
		}
	}
	rise := medianOver(last, step.Primary, side.Other()) - medianOver(like, step.Primary, side.Other())
	if !(rise <= r.Primary[0].Noise.MDC()/2) {
		return false
	}
	r.Word = SidesEquivalent
	r.Because = "in the last two like sessions the difference between the sides, with its interval, lies inside the floor, also at equal landing; the uninjured side is not worse and heel-first contact is not rarer"
	return true
}

// inside tells whether a session's difference lies wholly inside the floor,
// unadjusted and adjusted for landing, and the feet land alike.
func inside(s Session, side recording.Side, reference float64) bool {
	m := step.Find(step.Primary)
	rates := s.Measures[step.Primary]
	a, b, d := rates.side(side), rates.side(side.Other()), rates.minus(side)
	strike := s.Measures[strikeKey]
	mine, other := strike.side(side), strike.side(side.Other())
	heels := s.Measures[step.HeelFirstKey]
	if !a.known() || !b.known() || !d.known() || !mine.known() || !other.known() || !heels.Left.known() || !heels.Right.known() {
		return false
	}
	floor := m.Floor((float64(a.Center) + float64(b.Center)) / 2)
	raise := atLanding(float64(a.Center), float64(mine.Center), math.Max(reference, float64(other.Center)))
	fits := float64(d.Low) > -floor && float64(d.High) < floor && float64(d.High)+raise < floor
	alike := math.Abs(float64(heels.Left.Center-heels.Right.Center)) < step.Find(step.HeelFirstKey).FloorAbsolute
	return fits && alike
}

// list joins words as in "shoe, surface and speed".
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func days(n int) string {
	if n == 1 {
		return "day"
	}
	return "days"
}

func sessionsWord(n int) string {
	if n == 1 {
		return "session"
	}
	return "sessions"
}
