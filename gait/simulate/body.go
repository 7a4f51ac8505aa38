package simulate

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// ankle is the ankle's place on the foot, in m from the heel's lower edge
// (common practice, no source).
var ankle = Vector{0.050, 0, 0.085}

// shinModel holds the tilt of the shin against the vertical at the events, in
// rad, leaning back positive as the foot's toe up. The sizes are read off the
// open treadmill walking recordings (walking) and chosen to match usual joint
// angles (running, common practice, no source).
type shinModel struct {
	landing, landingRate float64 // tilt and rate at initial contact
	leaving, leavingRate float64 // tilt and rate at toe-off
	folded, foldShare    float64 // largest forward tilt, at this share of swing
}

var (
	runningShin = shinModel{5 * degree, -3.5, -42 * degree, -3.0, -78 * degree, 0.28}
	walkingShin = shinModel{17 * degree, -1.2, -45 * degree, -2.5, -57 * degree, 0.15}
)

// shinMotion is the motion of one shin: it stands on the ankle of the moving
// foot and tilts on its own.
type shinMotion struct {
	s     *Settings
	m     shinModel
	foot  *footMotion
	at    Vector
	bound [2]float64 // interval on which the pieces below hold
	parts [2]quintic
}

// newShinMotion starts the motion of a shin; at is the sensor's place in m from
// the ankle, X forward, Z up the shank.
func newShinMotion(s *Settings, side recording.Side, at Vector) *shinMotion {
	m := &shinMotion{s: s, m: runningShin, foot: newFootMotion(s, side, nil), at: at}
	if s.Gait == event.Walking {
		m.m = walkingShin
	}
	m.bound = [2]float64{math.Inf(1), math.Inf(-1)}
	return m
}

// stance prepares the tilt during a contact: from the landing, or upright
// standing, to toe-off, or upright standing.
func (m *shinMotion) stance(c *contactPhase) {
	from := jet{m.m.landing, m.m.landingRate, 0}
	to := jet{m.m.leaving, m.m.leavingRate, 0}
	m.bound = [2]float64{c.plan.ic, c.plan.to}
	if !c.stands() {
		m.parts[0] = newQuintic(c.plan.ic, c.plan.to-c.plan.ic, from, to)
		m.parts[1] = m.parts[0]
		return
	}
	upright := still(0)
	m.parts[0], m.parts[1] = newQuintic(0, 1, upright, upright), newQuintic(0, 1, upright, upright)
	if c.land != nil {
		m.parts[0] = newQuintic(c.plan.ic, c.plan.out.ContactTime, from, upright)
	}
	if !math.IsInf(c.plan.to, 1) {
		m.parts[1] = newQuintic(c.plan.to-c.plan.out.ContactTime, c.plan.out.ContactTime, upright, to)
	}
}

// swing prepares the tilt between two contacts.
func (m *shinMotion) swing(from, to *contactPhase) {
	t0, t1 := from.plan.to, to.plan.ic
	fold := (t1 - t0) * m.m.foldShare
	low := jet{v: m.m.folded, a: 4 * (m.m.landing - m.m.folded) / ((t1 - t0 - fold) * (t1 - t0 - fold))}
	m.bound = [2]float64{t0, t1}
	m.parts[0] = newQuintic(t0, fold, jet{m.m.leaving, m.m.leavingRate, 0}, low)
	m.parts[1] = newQuintic(t0+fold, t1-t0-fold, low, jet{m.m.landing, m.m.landingRate, 0})
}

// tilt returns the tilt at t s, after the foot was asked for the same time.
func (m *shinMotion) tilt(t float64) jet {
	if t < m.bound[0] || t >= m.bound[1] {
		if t < m.foot.now.plan.to {
			m.stance(m.foot.now)
		} else {
			m.swing(m.foot.now, m.foot.next)
		}
	}
	if q := &m.parts[1]; t >= q.t0 && q.t0 > m.parts[0].t0 {
		return q.at(t)
	}
	return held(&m.parts[0], t)
}

// read returns the ideal reading at t s.
func (m *shinMotion) read(t float64) reading {
	p := m.foot.at(t)
	f := p.read(fromBall(ankle), p.specific(m.s.Slope)).acc
	back := p.toBody()
	world := back.transposed()
	shin := pose{yaw: p.yaw, pitch: m.tilt(t)}
	return shin.read(m.at, world.apply(f))
}

// trunkMotion is the motion of the trunk as far as it shows cadence: the
// vertical force of every step, a little sway, and the swing of an arm.
type trunkMotion struct {
	s          *Settings
	c          *schedule
	from, to   contactPlan
	ended      bool
	arm        quintic
	stepLength float64 // s, nominal
}

// newTrunkMotion starts the motion of the trunk in standing.
func newTrunkMotion(s *Settings) *trunkMotion {
	m := &trunkMotion{s: s, c: newSchedule(s), stepLength: 60 / s.Cadence}
	m.from = contactPlan{ic: math.Inf(-1), edge: true}
	m.to, _ = m.c.next()
	return m
}

// Sizes of the trunk's motion (common practice, no source).
const (
	walkingBounce = 3.0           // amplitude of the vertical force, m/s²
	foreAft       = 1.5           // amplitude of braking and propulsion, m/s²
	sideways      = 1.0           // amplitude of the sway, m/s²
	pelvisTurn    = 5 * degree    // amplitude of the pelvis about the vertical
	pelvisDrop    = 3 * degree    // amplitude of the pelvis about the forward axis
	runningArm    = 28 * degree   // amplitude of the arm
	walkingArm    = 22 * degree   //
	elbowTurn     = -60 * degree  // mean attitude of the forearm in running
	stopsAfter    = 1.6           // a gap longer than this many steps is standing
	shareRunning  = math.Pi / 2.0 // peak over mean of half a sine
)

// advance moves to the step that holds t.
func (m *trunkMotion) advance(t float64) {
	for !m.ended && t >= m.to.ic {
		m.from = m.to
		var ok bool
		if m.to, ok = m.c.next(); !ok {
			m.ended = true
			m.to = contactPlan{ic: math.Inf(1)}
		}
		turn := 1.0
		if m.from.side == recording.Left {
			turn = -1
		}
		m.arm = m.armPiece(turn)
	}
}

// moving tells whether the present step is one, rather than standing.
func (m *trunkMotion) moving() bool {
	return m.to.ic-m.from.ic < stopsAfter*m.stepLength
}

// armPiece carries the arm from one end of its swing to the other, or to rest.
func (m *trunkMotion) armPiece(turn float64) quintic {
	size := walkingArm
	if m.s.Gait == event.Running {
		size = runningArm
	}
	to, span := jet{-turn * size, 0, turn * size * math.Pow(math.Pi/m.stepLength, 2)}, m.to.ic-m.from.ic
	if !m.moving() {
		to, span = jet{}, m.stepLength
	}
	from := jet{} // the first swing starts from rest
	if m.arm.span > 0 {
		from = m.arm.at(m.arm.t0 + m.arm.span)
	}
	return newQuintic(m.from.ic, span, from, to)
}

// force returns the specific force of the trunk in the world and the phase of
// the stride in rad (0 at a left contact).
func (m *trunkMotion) force(t float64) (Vector, float64) {
	f := Vector{0, 0, unit.StandardGravity}
	if !m.moving() {
		return f, 0
	}
	span := m.to.ic - m.from.ic
	s := (t - m.from.ic) / span
	phase := math.Pi * s
	if m.from.side == recording.Right {
		phase += math.Pi
	}
	if m.s.Gait == event.Running {
		contact := math.Min(m.from.out.ContactTime, span*0.98)
		f[2] = 0
		if on := (t - m.from.ic) / contact; on < 1 {
			f[2] = unit.StandardGravity * shareRunning * span / contact * math.Sin(math.Pi*on)
			f[0] = -foreAft * math.Sin(2*math.Pi*on)
		}
	} else {
		f[2] += walkingBounce * math.Cos(2*math.Pi*(s-0.1))
		f[0] = -foreAft * math.Sin(2*math.Pi*s)
	}
	f[1] = sideways * math.Sin(phase)
	return f, phase
}

// waist returns the ideal reading of a sensor at the back of the pelvis.
func (m *trunkMotion) waist(t float64) reading {
	m.advance(t)
	f, phase := m.force(t)
	var p pose
	if m.moving() {
		rate := math.Pi / m.stepLength
		s, c := math.Sincos(phase)
		p.yaw = jet{pelvisTurn * c, -pelvisTurn * rate * s, -pelvisTurn * rate * rate * c}
		p.roll = jet{pelvisDrop * s, pelvisDrop * rate * c, -pelvisDrop * rate * rate * s}
	}
	return p.read(Vector{}, f)
}

// wrist returns the ideal reading of a sensor at r m from the shoulder (walking,
// Z up along the arm) or the elbow (running).
func (m *trunkMotion) wrist(t float64, r Vector) reading {
	m.advance(t)
	f, _ := m.force(t)
	var p pose
	if m.arm.span > 0 {
		p.pitch = held(&m.arm, t)
	}
	if m.s.Gait == event.Running {
		p.pitch.v -= elbowTurn
	}
	return p.read(r, f)
}
