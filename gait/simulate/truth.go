package simulate

import (
	"cmp"
	"math"
	"slices"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Thresholds of the truth's definitions; Altman & Davis 2012 for the classes,
// from memory.
const (
	flatWithin    = 1 * degree // foot-flat: pitch this near its mid-stance value
	heelFirstOver = 3 * degree // heel first: toe up by more than this
	rearfootOver  = 8.0 * degree
	forefootUnder = -1.6 * degree
)

// Step is the truth about one contact. The embedded step has the columns of
// steps.csv that a model can know; contact peaks, Used, Reason and Curve are
// unset. NaN means that the step has no such value: a contact that goes over
// into standing has no toe-off.
type Step struct {
	step.Step
	// Gain is the dorsiflexor control gain of this step.
	Gain float64
	// Edge says that the step starts from standing or ends in it; summaries of
	// steady gait leave such steps out.
	Edge bool
}

// truth measures a contact on the model's own motion.
func (c *contactPhase) truth(g event.Gait) Step {
	nan := math.NaN()
	p := &c.plan
	s := Step{Gain: p.land.Gain, Edge: p.edge}
	s.Side, s.Number, s.Gait = p.side, p.number, g
	s.InitialContact, s.ToeOff, s.StrikeAngle = p.ic, p.to, p.land.StrikeAngle
	s.StrideTime, s.ContactTime = nan, p.to-p.ic
	if c.stands() {
		s.ToeOff, s.ContactTime = nan, nan
	}
	s.HeelContactPeak, s.FootFlatPeak = nan, nan
	s.FootFlat = c.footFlat()
	s.Strike = strike(g, s.StrikeAngle)
	s.TimeToFootFlat, s.PeakLoweringRate, s.FootFlatRate, s.DecelerationFraction = nan, nan, nan, nan
	s.HeelFirst = step.False
	if s.StrikeAngle > heelFirstOver {
		s.HeelFirst = step.True
		s.TimeToFootFlat = s.FootFlat - s.InitialContact
		s.PeakLoweringRate = c.peakLowering()
		s.FootFlatRate = math.Max(0, -c.flatPitch(s.FootFlat).d)
		s.DecelerationFraction = 1 - s.FootFlatRate/s.PeakLoweringRate
	}
	return s
}

// Land returns the truth of one landing by itself: what the lowering of the
// forefoot would be with this gain at this strike angle. Times are from initial
// contact; toe-off, contact time and stride time are NaN.
func Land(l Landing) Step {
	side := Defaults(l.Gait).Left
	side.Eversion, side.Inversion = 0, 0
	c := newContactPhase(contactPlan{side: recording.Left, number: 1, to: math.Inf(1), land: l, out: side}, l.Gait)
	return c.truth(l.Gait)
}

// strike classes a running step.
func strike(g event.Gait, angle float64) step.Strike {
	switch {
	case g != event.Running:
		return step.NoStrike
	case angle > rearfootOver:
		return step.Rearfoot
	case angle < forefootUnder:
		return step.Forefoot
	}
	return step.Midfoot
}

// footFlat is the first moment after initial contact at which the pitch is within
// flatWithin of its mid-stance value, which is 0. It is found to a nanosecond by
// halving. A foot that is never flat before its heel rises gives NaN.
func (c *contactPhase) footFlat() float64 {
	last := math.Min(c.heelOff, c.plan.ic+2)
	for t := c.plan.ic; t <= last; t += landingStep {
		if math.Abs(c.flatPitch(t).v) > flatWithin {
			continue
		}
		if t == c.plan.ic {
			return t
		}
		lo, hi := t-landingStep, t
		for hi-lo > 1e-9 {
			if mid := (lo + hi) / 2; math.Abs(c.flatPitch(mid).v) > flatWithin {
				lo = mid
			} else {
				hi = mid
			}
		}
		return hi
	}
	return math.NaN()
}

// peakLowering is the largest toe-down rate in rad/s from initial contact until
// the rotation is arrested (the first toe-up or zero rate after it began).
func (c *contactPhase) peakLowering() float64 {
	peak := 0.0
	last := math.Min(c.heelOff, c.plan.ic+2)
	for t := c.plan.ic; t <= last; t += landingStep {
		rate := -c.flatPitch(t).d
		if rate <= 0 && peak > 0 {
			break
		}
		peak = math.Max(peak, rate)
	}
	return peak
}

// shift puts the times of a step on the clock of a sensor.
func (s *Step) shift(c *SensorSettings) {
	for _, t := range []*float64{&s.InitialContact, &s.FootFlat, &s.ToeOff} {
		*t = c.clock(*t)
	}
	scale := 1 / (1 + c.ClockDrift*1e-6)
	for _, d := range []*float64{&s.ContactTime, &s.StrideTime, &s.TimeToFootFlat} {
		*d *= scale
	}
}

// clock returns what the sensor's clock shows at true time t.
func (c *SensorSettings) clock(t float64) float64 {
	return c.ClockOffset + t/(1+c.ClockDrift*1e-6)
}

// sideSteps makes the truth of one foot.
func sideSteps(s *Settings, side recording.Side) []Step {
	var steps []Step
	note := func(c *contactPhase) {
		if c.land != nil {
			steps = append(steps, c.truth(s.Gait))
		}
	}
	m := footMotion{g: s.Gait, plans: newLegPlans(s, side), landings: note}
	for m.contact() != nil {
	}
	for i := range steps {
		if i+1 < len(steps) {
			steps[i].StrideTime = steps[i+1].InitialContact - steps[i].InitialContact
			if math.IsNaN(steps[i].ToeOff) {
				steps[i].StrideTime = math.NaN()
			}
		}
		steps[i].shift(&s.side(side).Foot)
	}
	return steps
}

// Truth returns the truth of both feet in order of initial contact, without
// making any signal. Times are on the clock of each foot's own sensor.
func Truth(s Settings) []Step {
	steps := append(sideSteps(&s, recording.Left), sideSteps(&s, recording.Right)...)
	slices.SortStableFunc(steps, func(a, b Step) int { return cmp.Compare(a.InitialContact, b.InitialContact) })
	return steps
}
