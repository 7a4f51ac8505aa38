package simulate

import (
	"math"

	"setdown/gait/event"
)

// landingStep is the step in s of the fourth-order Runge–Kutta integration of
// the landing (5 kHz; the fastest constant of the model, the forefoot's contact,
// turns by 0.06 rad in one step).
const landingStep = 2e-4

// Landing is one contact of a foot with the ground, from initial contact until
// the foot rests. All other constants of the model are those of the gait.
type Landing struct {
	Gait event.Gait
	// StrikeAngle is the foot pitch at initial contact, rad, toe up positive.
	// Below 0 the forefoot touches first and the heel is lowered.
	StrikeAngle float64
	// PitchRate is the pitch rate at initial contact, rad/s, toe up positive.
	PitchRate float64
	// Gain is the dorsiflexor control gain: 1 healthy, 0 none.
	Gain float64
	// Load scales the moment of the contact force; 1 is the gait's own.
	Load float64
	// Sink and Forward are the speeds, m/s, downwards and forwards, at which the
	// touching part of the foot arrives.
	Sink, Forward float64
}

// landingModel holds the constants of one gait. Moments are per moment of
// inertia of the foot (1/s², 1/s), so that no body mass is needed.
type landingModel struct {
	moment     float64 // load moment at full loading at referenceAngle, rad/s²
	momentRise float64 // time in which the moment of loading rises, s
	flatShare  float64 // share of the load moment left when the foot is flat
	passive    float64 // passive damping of ankle and shoe, 1/s
	damping    float64 // dorsiflexor damping at gain 1, 1/s
	stiffness  float64 // dorsiflexor stiffness at gain 1, 1/s²
	calf       float64 // damping of the calf that lowers the heel, 1/s
	heelRate   float64 // natural rate of the heel on pad and shoe, rad/s
	settle     float64 // compression under the weight, m
	loadRise   float64 // time in which the weight comes onto the heel, s
}

// Constants shared by both gaits; see docs/simulator.md for their origin.
const (
	referenceAngle = 14 * math.Pi / 180  // pitch at which moment applies, rad
	touchAngle     = 1.4 * math.Pi / 180 // pitch at which the forefoot first touches, rad
	contactRate    = 220.0               // natural rate of the pressed forefoot, rad/s
	contactDamping = 130.0               // damping of the touching forefoot, 1/s
	contactOnset   = 0.3 * math.Pi / 180 // depth over which that damping comes in, rad
	relaxTime      = 0.030               // the dorsiflexors relax after the forefoot's touch, s
	engageTime     = 0.004               // muscle and a sole that lands flat take up load, s
	heelDamping    = 0.50                // damping ratio of the heel on pad and shoe
	heelOnset      = 0.0015              // depth over which that damping comes in, m
	gripRate       = 140.0               // natural rate of the shoe's shear, rad/s
	gripDamping    = 0.6                 // damping ratio of the shear
	gripTime       = 0.004               // the sole takes grip, s
	brake          = 12.0                // the leg slows the arriving foot until then, m/s²
)

// runningModel and walkingModel were chosen so that a healthy rearfoot landing
// stays within published ranges: see TestLandingStaysWithinPublishedRanges.
var runningModel = landingModel{
	moment: 1000, momentRise: 0.020, flatShare: 0.32, passive: 22,
	damping: 88, stiffness: 300, calf: 70,
	heelRate: 160, settle: 0.005, loadRise: 0.055,
}

var walkingModel = landingModel{
	moment: 205, momentRise: 0.050, flatShare: 0.26, passive: 14,
	damping: 38, stiffness: 18, calf: 40,
	heelRate: 120, settle: 0.004, loadRise: 0.100,
}

// model returns the constants of a gait. Only walking and running have any.
func model(g event.Gait) *landingModel {
	switch g {
	case event.Running:
		return &runningModel
	case event.Walking:
		return &walkingModel
	}
	panic("simulate: a landing needs walking or running")
}

// landed is a landing after integration: nodes every landingStep s.
type landed struct {
	Landing
	pitch, x, z []jet
}

// smoothRise goes from 0 at t ≤ 0 to 1 at t ≥ span with zero slope at both ends.
func smoothRise(t, span float64) float64 {
	switch s := t / span; {
	case s <= 0:
		return 0
	case s >= 1:
		return 1
	default:
		return s * s * (3 - 2*s)
	}
}

// landingState is pitch, pitch rate, forward and upward position and speed of
// the touching point.
type landingState [6]float64

// landingSystem is the right-hand side of the equations of motion.
type landingSystem struct {
	Landing
	m       *landingModel
	rest    float64 // rotation by which the flat foot's load presses the sole, rad
	touched float64 // time of that touch, s; +Inf before it
}

// contact returns the angular acceleration, rad/s², with which the ground
// resists a sole turned by depth (rad) beyond the first touch, further at rate
// rad/s: sole and pad damp from the touch on, and press back like a spring in
// the last part of the way, firm, which the weight compresses to the rest.
func (s *landingSystem) contact(depth, rate float64) float64 {
	if depth <= 0 {
		return 0
	}
	force := contactDamping * rate * math.Min(1, depth/contactOnset)
	if firm := depth - touchAngle + s.rest; firm > 0 {
		force += contactRate * contactRate * firm
	}
	return math.Max(0, force)
}

// turn returns the pitch acceleration in rad/s².
func (s *landingSystem) turn(t, pitch, rate float64) float64 {
	rise := smoothRise(t, s.m.momentRise)
	engaged := 1 - math.Exp(-t/engageTime)
	if s.StrikeAngle < 0 {
		// forefoot first: the load lowers the heel, the calf slows it
		return s.m.moment*s.Load*rise*s.m.flatShare - s.m.calf*rise*rate -
			engaged*s.contact(pitch+touchAngle, rate)
	}
	share := math.Max(s.m.flatShare, s.m.flatShare+(1-s.m.flatShare)*pitch/referenceAngle)
	active := s.Gain * engaged
	if t > s.touched {
		active *= math.Exp(-(t - s.touched) / relaxTime)
	}
	return -s.m.moment*s.Load*rise*share -
		(s.m.passive*rise+active*s.m.damping)*rate + active*s.m.stiffness*(s.StrikeAngle-pitch) +
		engaged*s.contact(touchAngle-pitch, -rate)
}

// sink returns the upward acceleration of the touching point in m/s².
func (s *landingSystem) sink(t, z, speed float64) float64 {
	weight := s.m.heelRate * s.m.heelRate * s.m.settle
	push := -weight * smoothRise(t, s.m.loadRise)
	if z >= 0 {
		return push
	}
	damper := 2 * heelDamping * s.m.heelRate * speed * math.Min(1, -z/heelOnset)
	return push + math.Max(0, -s.m.heelRate*s.m.heelRate*z-damper)
}

// slope is the time derivative of the state.
func (s *landingSystem) slope(t float64, y landingState) landingState {
	grip := 1 - math.Exp(-t/gripTime)
	return landingState{
		y[1], s.turn(t, y[0], y[1]),
		y[3], grip*(-gripRate*gripRate*y[2]-2*gripDamping*gripRate*y[3]) - (1-grip)*brake,
		y[5], s.sink(t, y[4], y[5]),
	}
}

// step advances the state by one Runge–Kutta step.
func (s *landingSystem) step(t float64, y landingState) landingState {
	const h = landingStep
	at := func(k landingState, f float64) landingState {
		out := y
		for i := range out {
			out[i] += f * k[i]
		}
		return out
	}
	k1 := s.slope(t, y)
	k2 := s.slope(t+h/2, at(k1, h/2))
	k3 := s.slope(t+h/2, at(k2, h/2))
	k4 := s.slope(t+h, at(k3, h))
	for i := range y {
		y[i] += h / 6 * (k1[i] + 2*k2[i] + 2*k3[i] + k4[i])
	}
	return y
}

// land integrates a landing for at least span s. Pitch 0 is where the flat,
// loaded foot comes to rest; the far end first touches at touchAngle from it.
func land(l Landing, span float64) *landed {
	m := model(l.Gait)
	rest := m.moment * l.Load * m.flatShare / (contactRate * contactRate)
	s := &landingSystem{Landing: l, m: m, rest: rest, touched: math.Inf(1)}
	n := int(math.Ceil(span/landingStep)) + 1
	out := &landed{l, make([]jet, n), make([]jet, n), make([]jet, n)}
	y := landingState{l.StrikeAngle, l.PitchRate, 0, l.Forward, 0, -l.Sink}
	for i := range n {
		t := float64(i) * landingStep
		if math.IsInf(s.touched, 1) && l.StrikeAngle >= 0 && y[0] <= touchAngle {
			s.touched = t
		}
		d := s.slope(t, y)
		out.pitch[i] = jet{y[0], y[1], d[1]}
		out.x[i] = jet{y[2], y[3], d[3]}
		out.z[i] = jet{y[4], y[5], d[5]}
		y = s.step(t, y)
	}
	return out
}

// between interpolates nodes at t s after initial contact with a quintic, which
// keeps value, first and second derivative consistent.
func between(nodes []jet, t float64) jet {
	i := min(max(int(t/landingStep), 0), len(nodes)-2)
	q := newQuintic(float64(i)*landingStep, landingStep, nodes[i], nodes[i+1])
	return q.at(t)
}
