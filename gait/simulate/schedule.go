package simulate

import (
	"math"
	"math/rand/v2"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// settleTime is the time in s from the start of movement to the first contact.
const settleTime = 0.9

// edgeScale shortens the landing of a step from or into standing: a foot that
// is set down beside the other arrives flatter and slower.
const edgeScale = 0.6

// flatGive and flatGiveSD say how far, in rad, the pitch of the flat foot moves
// to either side of its mid-stance value while the load passes over it: in the
// open recordings a foot in mid-stance turns toe-down at 5–10 deg/s in walking
// and at some tens of deg/s in running.
const (
	flatGive   = 0.15 * degree
	flatGiveSD = 0.10 * degree
)

// contactPlan is one contact as planned, before mechanics: where and when the
// foot lands, how, and when and how it leaves.
type contactPlan struct {
	side   recording.Side
	number int // steps of this side, from 1; 0 for standing at the start
	ic     float64
	to     float64 // +Inf when the foot stays
	land   Landing
	out    SideSettings // with this step's own push-off, lift and so on
	// x, y and heading of the path at this contact; track is the distance of the
	// foot from the path's line to the left.
	x, y, heading, track float64
	lean                 float64 // how far the flat foot gives way, rad
	edge                 bool    // next to standing
}

// variation is a standardised random series: a fast part with lag-one
// correlation and a slow drift.
type variation struct {
	fast, slow           float64
	keep, drift, slowShr float64
	rng                  *rand.Rand
}

// newVariation starts a series in its stationary state.
func newVariation(s *Settings, rng *rand.Rand) *variation {
	v := &variation{keep: s.Correlation, drift: 1, slowShr: s.SlowShare, rng: rng}
	if s.SlowSteps > 0 {
		v.drift = math.Exp(-1 / s.SlowSteps)
	}
	v.fast, v.slow = rng.NormFloat64(), rng.NormFloat64()
	return v
}

// next advances the series; the result has mean 0 and variance 1, cut at ±3 so
// that no step leaves what a leg can do.
func (v *variation) next() float64 {
	v.fast = v.keep*v.fast + math.Sqrt(1-v.keep*v.keep)*v.rng.NormFloat64()
	v.slow = v.drift*v.slow + math.Sqrt(1-v.drift*v.drift)*v.rng.NormFloat64()
	x := math.Sqrt(1-v.slowShr)*v.fast + math.Sqrt(v.slowShr)*v.slow
	return math.Min(3, math.Max(-3, x))
}

// legVariation holds the series of one leg.
type legVariation struct {
	strike, gain, rate, load, arrival, contact, push, lean *variation
}

// newLegVariation seeds the series of one leg independently of the other's.
func newLegVariation(s *Settings, side recording.Side) *legVariation {
	rng := func(n uint64) *variation {
		return newVariation(s, rand.New(rand.NewPCG(s.Seed, uint64(side)<<8|n)))
	}
	return &legVariation{rng(1), rng(2), rng(3), rng(4), rng(5), rng(6), rng(7), rng(8)}
}

// schedule produces the contacts of both feet in order of time. It is a
// deterministic function of the settings, so that each foot's signal can be
// made by itself.
type schedule struct {
	s       *Settings
	timing  *variation
	legs    [3]*legVariation
	counts  [3]int
	t       float64 // time of the next contact
	n       int     // contacts made
	side    recording.Side
	heading float64
	x, y    float64
	starts  int // contacts still to come that start from standing
	closing bool
	pauses  []Pause
	done    bool
}

// newSchedule starts a schedule; the left foot steps first.
func newSchedule(s *Settings) *schedule {
	return &schedule{
		s: s, side: recording.Left, t: s.StandBefore + settleTime, starts: 2, pauses: possiblePauses(s),
		timing: newVariation(s, rand.New(rand.NewPCG(s.Seed, 0x5eed))),
		legs:   [3]*legVariation{recording.Left: newLegVariation(s, recording.Left), recording.Right: newLegVariation(s, recording.Right)},
	}
}

// possiblePauses leaves out pauses after which no time to move is left.
func possiblePauses(s *Settings) []Pause {
	var out []Pause
	for _, p := range s.Pauses {
		if p.At+p.Length+8*settleTime < s.Duration-s.StandAfter {
			out = append(out, p)
		}
	}
	return out
}

// stepTime returns the time in s to the next contact.
func (c *schedule) stepTime() float64 {
	return 60 / c.s.Cadence * math.Exp(c.s.StepTimeVariation*c.timing.next())
}

// advance moves the path by one step of the given length and turns it.
func (c *schedule) advance(length, time float64) {
	for _, turn := range c.s.Turns {
		if c.t >= turn.At && c.t < turn.At+turn.Length {
			c.heading += turn.Angle * time / turn.Length
		}
	}
	c.x += length * math.Cos(c.heading)
	c.y += length * math.Sin(c.heading)
}

// next returns the next contact without its toe-off, which depends on the
// contact after it. The second result is false when there are no more.
func (c *schedule) next() (contactPlan, bool) {
	if c.done {
		return contactPlan{}, false
	}
	side := c.side
	c.counts[side]++
	p := contactPlan{side: side, number: c.counts[side], ic: c.t, to: math.Inf(1)}
	c.n++
	time := c.stepTime()
	length := c.s.Speed * time
	switch {
	case c.closing:
		length = 0
	case c.starts == 2 || c.n == 1:
		length *= 0.9
	}
	c.advance(length, time)
	p.x, p.y, p.heading = c.x, c.y, c.heading
	p.edge = c.starts > 0 || c.closing
	c.perform(&p)
	c.proceed(&p, time)
	c.side = side.Other()
	return p, true
}

// proceed sets the time of the following contact: a usual step, one that closes
// for a stop, or the first after a stop.
func (c *schedule) proceed(p *contactPlan, time float64) {
	c.starts = max(0, c.starts-1)
	last := c.s.Duration - c.s.StandAfter - settleTime
	switch {
	case c.closing && len(c.pauses) > 0:
		c.t += c.pauses[0].Length + settleTime
		c.pauses, c.closing, c.starts = c.pauses[1:], false, 2
	case c.closing:
		c.done = true
	case p.ic+time >= last:
		c.pauses, c.closing, p.edge = nil, true, true
		c.t += time * 1.2
	case len(c.pauses) > 0 && p.ic >= c.pauses[0].At:
		c.closing, p.edge = true, true
		c.t += time * 1.2
	default:
		c.t += time
	}
}

// perform draws how the foot lands and leaves.
func (c *schedule) perform(p *contactPlan) {
	v, s := c.legs[p.side], *c.s.side(p.side)
	gain := s.gainAt(p.ic) * (1 + s.GainSD*v.gain.next())
	arrival := 1 + s.ArrivalSD*v.arrival.next()
	p.land = Landing{
		Gait:        c.s.Gait,
		StrikeAngle: s.StrikeAngle + s.StrikeAngleSD*v.strike.next(),
		PitchRate:   s.PitchRate + s.PitchRateSD*v.rate.next(),
		Gain:        math.Min(1.3, math.Max(0, gain)),
		Load:        math.Max(0.3, 1+s.LoadSD*v.load.next()) * s.Load,
		Sink:        s.Sink * arrival, Forward: s.Forward * arrival,
	}
	s.ContactTime += s.ContactTimeSD * v.contact.next()
	s.PushOffAngle += s.PushOffAngleSD * v.push.next()
	p.lean = flatGive + flatGiveSD*v.lean.next()
	p.out = s
	p.track = trackWidth(c.s.Gait)
	if p.side == recording.Right {
		p.track = -p.track
	}
	if p.edge {
		p.land.StrikeAngle *= edgeScale
		p.land.PitchRate *= edgeScale
		p.land.Sink *= edgeScale
		p.land.Forward *= edgeScale
	}
}

// trackWidth is half the step width in m (common practice, no source).
func trackWidth(g event.Gait) float64 {
	if g == event.Running {
		return 0.03
	}
	return 0.06
}

// legPlans filters a schedule to one foot and completes each contact with its
// toe-off.
type legPlans struct {
	c     *schedule
	s     *Settings
	side  recording.Side
	held  contactPlan
	ended bool
}

// newLegPlans starts the contacts of one foot with its standing contact.
func newLegPlans(s *Settings, side recording.Side) *legPlans {
	l := &legPlans{c: newSchedule(s), s: s, side: side}
	l.held = contactPlan{side: side, ic: math.Inf(-1), to: math.Inf(1), out: *s.side(side), edge: true}
	l.held.track = trackWidth(s.Gait)
	if side == recording.Right {
		l.held.track = -l.held.track
	}
	return l
}

// next returns the next contact of the foot; the last one has no toe-off.
func (l *legPlans) next() (contactPlan, bool) {
	if l.ended {
		return contactPlan{}, false
	}
	for {
		p, ok := l.c.next()
		if !ok {
			l.ended = true
			return l.held, true
		}
		if p.side == l.side {
			out := l.held
			out.leave(&p, l.s)
			l.held = p
			return out, true
		}
	}
}

// leave sets the toe-off. A foot that is not left standing leaves after its own
// contact time; one that stands leaves a usual swing before it lands again.
func (p *contactPlan) leave(next *contactPlan, s *Settings) {
	swing := 120/s.Cadence - p.out.ContactTime
	p.to = p.ic + p.out.ContactTime
	if math.IsInf(p.ic, -1) || next.ic-p.to > 1.6*swing {
		p.to = next.ic - swing
		p.edge = true
	}
}
