package simulate

import (
	"math"
	"math/rand/v2"

	"setdown/signal/unit"
)

// motionRate is the lowest rate in Hz at which motion is evaluated before the
// sensor's bandwidth limits it.
const motionRate = 4000

// reading is what a sensor would read, along the axes of the body part or of the
// sensor: specific force in m/s² and angular rate in rad/s.
type reading struct{ acc, gyr Vector }

// cross returns a × b.
func cross(a, b Vector) Vector {
	return Vector{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// matrix is a rotation, row by row.
type matrix [3]Vector

// apply returns m·v.
func (m *matrix) apply(v Vector) Vector {
	var out Vector
	for i := range out {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

// matrix returns the rotation as a matrix; the quaternion need not have length 1.
func (q Quaternion) matrix() matrix {
	if q == (Quaternion{}) {
		q[0] = 1
	}
	n := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
	w, x, y, z := q[0]/n, q[1]/n, q[2]/n, q[3]/n
	return matrix{
		{1 - 2*(y*y+z*z), 2 * (x*y - w*z), 2 * (x*z + w*y)},
		{2 * (x*y + w*z), 1 - 2*(x*x+z*z), 2 * (y*z - w*x)},
		{2 * (x*z - w*y), 2 * (y*z + w*x), 1 - 2*(x*x+y*y)},
	}
}

// spin returns the body's angular rate and its derivative along the body's axes.
// The attitude is Rz(yaw)·Ry(−pitch)·Rx(roll); with p = −pitch
//
//	ωx = roll' − yaw'·sin p
//	ωy = p'·cos roll + yaw'·cos p·sin roll
//	ωz = −p'·sin roll + yaw'·cos p·cos roll
func (p *pose) spin() (w, dw Vector) {
	sp, cp := math.Sincos(-p.pitch.v)
	sr, cr := math.Sincos(p.roll.v)
	pd, pa := -p.pitch.d, -p.pitch.a
	yd, ya, rd, ra := p.yaw.d, p.yaw.a, p.roll.d, p.roll.a
	w = Vector{rd - yd*sp, pd*cr + yd*cp*sr, -pd*sr + yd*cp*cr}
	dw = Vector{
		ra - ya*sp - yd*pd*cp,
		pa*cr - pd*rd*sr + ya*cp*sr - yd*pd*sp*sr + yd*rd*cp*cr,
		-pa*sr - pd*rd*cr + ya*cp*cr - yd*pd*sp*cr - yd*rd*cp*sr,
	}
	return w, dw
}

// toBody returns the rotation from the world's axes to the body's: the
// transposed attitude.
func (p *pose) toBody() matrix {
	sy, cy := math.Sincos(p.yaw.v)
	sp, cp := math.Sincos(-p.pitch.v)
	sr, cr := math.Sincos(p.roll.v)
	return matrix{
		{cy * cp, sy * cp, -sp},
		{cy*sp*sr - sy*cr, sy*sp*sr + cy*cr, cp * sr},
		{cy*sp*cr + sy*sr, sy*sp*cr - cy*sr, cp * cr},
	}
}

// specific returns the specific force of the pose's point in the world: its
// acceleration minus gravity, which is tilted by slope against the surface.
func (p *pose) specific(slope float64) Vector {
	return Vector{
		p.x.a + unit.StandardGravity*math.Sin(slope),
		p.y.a,
		p.z.a + unit.StandardGravity*math.Cos(slope),
	}
}

// read returns what an ideal sensor at r (m from the pose's point, along the
// body's axes) reads, when f is the specific force of that point in the world:
//
//	Rᵀf + ω'×r + ω×(ω×r)
func (p *pose) read(r, f Vector) reading {
	w, dw := p.spin()
	back := p.toBody()
	g, t, c := back.apply(f), cross(dw, r), cross(w, cross(w, r))
	return reading{Vector{g[0] + t[0] + c[0], g[1] + t[1] + c[1], g[2] + t[2] + c[2]}, w}
}

// transposed returns the inverse rotation.
func (m *matrix) transposed() matrix {
	return matrix{{m[0][0], m[1][0], m[2][0]}, {m[0][1], m[1][1], m[2][1]}, {m[0][2], m[1][2], m[2][2]}}
}

// lowpass is a second-order low-pass of six channels, from an analog prototype
// with natural rate ω and damping ratio ζ by the bilinear transform with the
// rate prewarped.
type lowpass struct {
	b, a1, a2 float64
	s1, s2    [6]float64
	started   bool
}

// newLowpass makes a low-pass for hz with damping ratio zeta at the given rate.
// 1/√2 gives a Butterworth filter with its -3 dB point at hz.
func newLowpass(hz, zeta, rate float64) *lowpass {
	k := math.Tan(math.Pi * hz / rate)
	n := 1 / (1 + 2*zeta*k + k*k)
	return &lowpass{b: k * k * n, a1: 2 * (k*k - 1) * n, a2: (1 - 2*zeta*k + k*k) * n}
}

// apply filters one value of one channel; the first value is taken as having
// been there for ever.
func (f *lowpass) apply(ch int, x float64) float64 {
	if !f.started {
		// steady state of the transposed direct form for input x
		f.s2[ch] = x * (f.b - f.a2)
		f.s1[ch] = x * (1 - f.b)
	}
	y := f.b*x + f.s1[ch]
	f.s1[ch] = 2*f.b*x - f.a1*y + f.s2[ch]
	f.s2[ch] = f.b*x - f.a2*y
	return y
}

// read filters accelerations, and angular rates too if all is set.
func (f *lowpass) read(r reading, all bool) reading {
	for i := range 3 {
		r.acc[i] = f.apply(i, r.acc[i])
		if all {
			r.gyr[i] = f.apply(3+i, r.gyr[i])
		}
	}
	f.started = true
	return r
}

// source yields ideal readings of one body part at times that do not decrease.
type source func(t float64) reading

// sensor turns ideal readings into samples.
type sensor struct {
	s          *SensorSettings
	ideal      source
	mount      matrix
	tick       float64 // s between evaluations; 0 without bandwidth
	n          int     // evaluations so far
	recent     [4]reading
	loose, own *lowpass
	rng        *rand.Rand
	accSD      float64
	gyrSD      float64
}

// newSensor prepares a sensor; stream separates the random numbers of sensors.
func newSensor(s *SensorSettings, ideal source, seed, stream uint64) *sensor {
	n := &sensor{s: s, ideal: ideal, mount: s.Mounting.matrix(), rng: rand.New(rand.NewPCG(seed, 0xacce1<<16|stream))}
	internal := s.Rate * math.Ceil(motionRate/s.Rate)
	if s.MountRate > 0 {
		n.loose = newLowpass(s.MountRate, s.MountDamping, internal)
	}
	if s.Bandwidth > 0 {
		n.own = newLowpass(s.Bandwidth, math.Sqrt2/2, internal)
	}
	if n.loose != nil || n.own != nil {
		n.tick = 1 / internal
	}
	// noise after the low-pass: a second-order Butterworth passes 1.11 times its
	// cut-off; sampling folds the rest, so half the rate is no limit
	band := s.Rate / 2
	if s.Bandwidth > 0 {
		band = 1.11 * s.Bandwidth
	}
	n.accSD, n.gyrSD = s.AccNoise*math.Sqrt(band), s.GyrNoise*math.Sqrt(band)
	return n
}

// advance evaluates the next tick.
func (n *sensor) advance() {
	r := n.ideal(float64(n.n) * n.tick)
	r.acc, r.gyr = n.mount.apply(r.acc), n.mount.apply(r.gyr)
	if n.loose != nil {
		r = n.loose.read(r, false)
	}
	if n.own != nil {
		r = n.own.read(r, true)
	}
	copy(n.recent[:], n.recent[1:])
	n.recent[3] = r
	if n.n == 0 {
		n.recent = [4]reading{r, r, r, r}
	}
	n.n++
}

// analog returns the low-passed reading at t s by cubic (Lagrange) interpolation
// between ticks. Times must not decrease by more than a tick.
func (n *sensor) analog(t float64) reading {
	if n.tick == 0 {
		r := n.ideal(t)
		return reading{n.mount.apply(r.acc), n.mount.apply(r.gyr)}
	}
	at := math.Max(0, t/n.tick)
	for n.n < int(at)+3 {
		n.advance()
	}
	u := at - float64(n.n-3) // 0 to 1 between the two middle ticks
	w := [4]float64{
		-u * (u - 1) * (u - 2) / 6, (u + 1) * (u - 1) * (u - 2) / 2,
		-(u + 1) * u * (u - 2) / 2, (u + 1) * u * (u - 1) / 6,
	}
	var out reading
	for i := range 3 {
		for k := range 4 {
			out.acc[i] += w[k] * n.recent[k].acc[i]
			out.gyr[i] += w[k] * n.recent[k].gyr[i]
		}
	}
	return out
}

// sample returns what the sensor writes at true time t.
func (n *sensor) sample(t float64) reading {
	r := n.analog(t)
	for i := range 3 {
		r.acc[i] = digitise(r.acc[i]+n.s.AccBias[i]+n.accSD*n.rng.NormFloat64(), n.s.AccStep, n.s.AccRange)
		r.gyr[i] = digitise(r.gyr[i]+n.s.GyrBias[i]+n.gyrSD*n.rng.NormFloat64(), n.s.GyrStep, n.s.GyrRange)
	}
	return r
}

// digitise rounds x to a multiple of step and cuts it at ±limit; 0 means neither.
func digitise(x, step, limit float64) float64 {
	if step > 0 {
		x = step * math.Round(x/step)
	}
	if limit > 0 {
		x = math.Min(limit, math.Max(-limit, x))
	}
	return x
}
