package simulate

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// Sizes of the foot, in m; an adult's shoe, common practice, no source.
const (
	ballForward = 0.185 // heel to ball along the sole
	ballRadius  = 0.055 // the forefoot rolls on an arc of this radius
)

// Shares of contact time; De Cock et al. 2005 give 45 % of contact before the
// heel rises in running (push-off is the last 55.1 %), Perry's handbook about
// half of the gait cycle, 0.6 of stance, in walking (from memory).
const (
	runningHeelOff = 0.45
	walkingHeelOff = 0.62
)

// pose is where the foot is: the centre of the ball's arc in m, and the angles
// in rad of heading (to the left), pitch (toe up) and roll (left edge up).
type pose struct{ x, y, z, yaw, pitch, roll jet }

// contactPhase is one contact of one foot as motion: landing, rest, push-off.
type contactPhase struct {
	plan            contactPlan
	land            *landed // nil for the contact the recording starts with
	rested, heelOff float64 // end of the landing, start of the push-off, s
	peak            float64 // time of the push-off's largest rate, s
	pitchRest       quintic
	xRest, zRest    quintic
	give            creep   // the flat foot gives way a little
	rise, release   quintic // pitch from heel-off to the peak, from there to toe-off
	rollIn, rollOut quintic
	yaw0            float64 // direction of the foot on the ground
	mirror          float64 // +1 right, −1 left
	height          float64 // of the resting sole
}

// newContactPhase works out one contact.
func newContactPhase(p contactPlan, g event.Gait) *contactPhase {
	c := &contactPhase{plan: p, mirror: 1, height: -model(g).settle}
	if p.side == recording.Left {
		c.mirror = -1
	}
	c.yaw0 = p.heading - c.mirror*p.out.ToeOut
	share := runningHeelOff
	if g == event.Walking {
		share = walkingHeelOff
	}
	c.heelOff = p.to - (1-share)*p.out.ContactTime
	if math.IsInf(p.ic, -1) {
		c.rested = math.Inf(-1)
		c.pitchRest = newQuintic(0, 1, jet{}, jet{})
		c.xRest, c.zRest = c.pitchRest, newQuintic(0, 1, still(c.height), still(c.height))
		c.rollIn = c.pitchRest
	} else {
		c.touchDown(0.8 * share * p.out.ContactTime)
	}
	if !math.IsInf(p.to, 1) {
		c.pushOff()
	}
	return c
}

// touchDown integrates the landing over span s and joins it to the rest.
func (c *contactPhase) touchDown(span float64) {
	p := &c.plan
	c.land = land(p.land, span)
	c.rested = p.ic + span
	until := math.Min(c.heelOff, c.rested+0.1)
	start := p.ic + 0.6*span
	c.give = creep{start, math.Min(c.heelOff, p.ic+p.out.ContactTime) - start, p.lean}
	c.pitchRest = newQuintic(c.rested, until-c.rested, between(c.land.pitch, span), jet{})
	x := between(c.land.x, span)
	c.xRest = newQuintic(c.rested, until-c.rested, x, still(x.v+x.d/gripRate))
	c.zRest = newQuintic(c.rested, until-c.rested, between(c.land.z, span), still(c.height))
	everted := c.mirror * -p.out.Eversion
	if c.stands() {
		everted = 0
	}
	c.rollIn = newQuintic(p.ic, 0.30*p.out.ContactTime, still(c.mirror*p.out.Inversion), still(everted))
}

// stands tells whether the person stands still during the contact.
func (c *contactPhase) stands() bool { return c.plan.to-c.plan.ic > 2*c.plan.out.ContactTime }

// pushOff shapes the rotation about the ball: from rest at heel-off to the
// largest rate PushOffLead before toe-off, and on to PushOffKeep of it.
func (c *contactPhase) pushOff() {
	p, o := &c.plan, &c.plan.out
	c.peak = p.to - o.PushOffLead
	span := c.peak - c.heelOff
	// A rise from rest whose rate levels off at its end has covered about 0.42 of
	// rate × span (0.5 would be a parabola's symmetric rise); the release covers
	// the mean of a parabola from 1 to PushOffKeep.
	const covered = 0.42
	release := (2 + o.PushOffKeep) / 3 * o.PushOffLead
	rate := o.PushOffAngle / (covered*span + release)
	top := jet{-covered * rate * span, -rate, 0}
	end := jet{-o.PushOffAngle, -o.PushOffKeep * rate, 2 * (1 - o.PushOffKeep) * rate / o.PushOffLead}
	c.rise = newQuintic(c.heelOff, span, jet{}, top)
	c.release = newQuintic(c.peak, o.PushOffLead, top, end)
	everted := 0.0
	if !c.stands() {
		everted = c.mirror * -o.Eversion
	}
	c.rollOut = newQuintic(c.heelOff, p.to-c.heelOff, still(everted), jet{})
}

// held evaluates a quintic that keeps its end value afterwards.
func held(q *quintic, t float64) jet {
	if t >= q.t0+q.span {
		return still(q.at(q.t0 + q.span).v)
	}
	return q.at(t)
}

// roll returns the frontal angle at t.
func (c *contactPhase) roll(t float64) jet {
	if t > c.heelOff {
		return c.rollOut.at(t)
	}
	return held(&c.rollIn, t)
}

// at returns the pose at t s, between initial contact and toe-off.
func (c *contactPhase) at(t float64) pose {
	switch {
	case t < c.rested:
		s := t - c.plan.ic
		return c.onPivot(t, c.flatPitch(t), between(c.land.x, s), between(c.land.z, s))
	case t < c.heelOff:
		return c.onPivot(t, c.flatPitch(t), held(&c.xRest, t), held(&c.zRest, t))
	case t < c.peak:
		return c.onBall(t, c.rise.at(t))
	default:
		return c.onBall(t, c.release.at(t))
	}
}

// flatPitch returns the pitch between initial contact and heel-off.
func (c *contactPhase) flatPitch(t float64) jet {
	if t < c.rested {
		return between(c.land.pitch, t-c.plan.ic).add(c.give.at(t))
	}
	return held(&c.pitchRest, t).add(c.give.at(t))
}

// onPivot is the pose of a foot that turns about its heel, or about the ball
// where that touched first; x and z are the pivot's own motion along the path
// and upwards.
func (c *contactPhase) onPivot(t float64, pitch, x, z jet) pose {
	forward, up := still(ballForward), still(ballRadius)
	if c.heelFirst() {
		cos, sin := pitch.cos(), pitch.sin()
		forward = cos.scale(ballForward).add(sin.scale(-ballRadius))
		up = sin.scale(ballForward).add(cos.scale(ballRadius))
	}
	return c.place(t, x, forward, z.add(up), pitch)
}

// heelFirst tells whether the heel is the pivot of the landing.
func (c *contactPhase) heelFirst() bool { return c.land == nil || c.plan.land.StrikeAngle >= 0 }

// onBall is the pose of a foot that rolls over the ball without slipping.
func (c *contactPhase) onBall(t float64, pitch jet) pose {
	x, z := still(0), still(c.height+ballRadius)
	if c.land != nil {
		x = still(c.xRest.at(c.xRest.t0 + c.xRest.span).v)
	}
	return c.place(t, x, pitch.scale(-ballRadius).add(still(ballForward)), z, pitch)
}

// place puts path motion and motion along the foot into the world.
func (c *contactPhase) place(t float64, path, forward, z, pitch jet) pose {
	sp, cp := math.Sincos(c.plan.heading)
	sf, cf := math.Sincos(c.yaw0)
	x0 := c.plan.x - c.plan.track*sp
	y0 := c.plan.y + c.plan.track*cp
	return pose{
		x: path.scale(cp).add(forward.scale(cf)).add(still(x0)),
		y: path.scale(sp).add(forward.scale(sf)).add(still(y0)),
		z: z, yaw: still(c.yaw0), pitch: pitch, roll: c.roll(t),
	}
}

// swingPhase carries the foot from toe-off to the next initial contact.
type swingPhase struct {
	x, y, z, yaw, roll quintic
	fold, reach        quintic // pitch: to its lowest, then to the landing
	lift, wobble       bump
}

// Times in s from toe-off to the lowest pitch; the recovery is quick in walking,
// where the foot leaves late in its turn (open walking recordings: 10–40 ms).
const (
	runningFold = 0.065
	walkingFold = 0.040
)

// newSwingPhase joins two contacts.
func newSwingPhase(from, to *contactPhase, g event.Gait) *swingPhase {
	t0, t1 := from.plan.to, to.plan.ic
	a, b := from.at(t0), to.at(t1)
	span := t1 - t0
	w := &swingPhase{
		x: newQuintic(t0, span, a.x, b.x), y: newQuintic(t0, span, a.y, b.y),
		z: newQuintic(t0, span, a.z, b.z), yaw: newQuintic(t0, span, a.yaw, b.yaw),
		roll: newQuintic(t0, span, a.roll, b.roll),
		lift: bump{t0, span, from.plan.out.Lift},
	}
	w.wobble = bump{t0, span, from.mirror * from.plan.out.SwingYaw}
	fold := runningFold
	if g == event.Walking {
		fold = walkingFold
	}
	// the recovery starts with the acceleration of a rise to the landing; the
	// lowest pitch is where a rate that falls as a cubic leads
	turn := 4 * (b.pitch.v - a.pitch.v) / ((span - fold) * (span - fold))
	low := jet{a.pitch.v + fold*(a.pitch.d/2+(a.pitch.a-turn)*fold/12), 0, turn}
	w.fold = newQuintic(t0, fold, a.pitch, low)
	w.reach = newQuintic(t0+fold, span-fold, low, b.pitch)
	return w
}

// at returns the pose at t s, in swing.
func (w *swingPhase) at(t float64) pose {
	p := pose{x: w.x.at(t), y: w.y.at(t), z: w.z.at(t).add(w.lift.at(t)),
		yaw: w.yaw.at(t).add(w.wobble.at(t)), roll: w.roll.at(t)}
	if t < w.reach.t0 {
		p.pitch = w.fold.at(t)
	} else {
		p.pitch = w.reach.at(t)
	}
	return p
}

// footMotion is the motion of one foot, asked for at times that do not decrease.
type footMotion struct {
	g         event.Gait
	plans     *legPlans
	now, next *contactPhase
	swing     *swingPhase
	landings  func(*contactPhase) // told of every contact, in order
}

// newFootMotion starts the motion of one foot. landings may be nil.
func newFootMotion(s *Settings, side recording.Side, landings func(*contactPhase)) *footMotion {
	m := &footMotion{g: s.Gait, plans: newLegPlans(s, side), landings: landings}
	m.now = m.contact()
	m.prepare()
	return m
}

// contact takes the next contact, or nil after the last.
func (m *footMotion) contact() *contactPhase {
	p, ok := m.plans.next()
	if !ok {
		return nil
	}
	c := newContactPhase(p, m.g)
	if m.landings != nil {
		m.landings(c)
	}
	return c
}

// prepare works out the swing after the present contact.
func (m *footMotion) prepare() {
	m.next = m.contact()
	if m.next != nil {
		m.swing = newSwingPhase(m.now, m.next, m.g)
	}
}

// at returns the pose at t s.
func (m *footMotion) at(t float64) pose {
	for m.next != nil && t >= m.next.plan.ic {
		m.now = m.next
		m.prepare()
	}
	if t < m.now.plan.to {
		return m.now.at(t)
	}
	return m.swing.at(t)
}
