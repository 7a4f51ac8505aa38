package orient

import "math"

// Quaternion is a rotation as a unit quaternion W + X i + Y j + Z k, active
// (it turns vectors, not axes) and acting on column vectors: v' = q v q*. The
// quaternions q and −q are the same rotation. Make one with the functions of
// this package; the zero Quaternion is no rotation.
type Quaternion struct{ W, X, Y, Z float64 }

// Identity is the rotation that changes nothing.
func Identity() Quaternion { return Quaternion{W: 1} }

// FromAxisAngle returns the rotation by angle rad about axis, right-handed. The
// length of axis does not matter; a zero axis gives the identity.
func FromAxisAngle(axis [3]float64, angle float64) Quaternion {
	return Exp(scale3(unitVec(axis), angle))
}

// smallHalf is the square of the half angle, rad², below which Exp takes the
// series: the first term left out, x⁵/10! with x = 0.01, is under 3e-17.
const smallHalf = 0.01

// Exp returns the rotation by |v| rad about v:
//
//	q = (cos |v|/2, v/|v| sin |v|/2).
//
// Small turns, as between two samples, use the series of cos and sin instead,
// to the same precision without their cost.
func Exp(v [3]float64) Quaternion { return exp(v[0], v[1], v[2]) }

// exp is Exp of (a, b, c); numbers stay in registers where arrays do not.
func exp(a, b, c float64) Quaternion {
	x := (a*a + b*b + c*c) / 4
	var w, f float64
	if x < smallHalf {
		w, f = series(x)
	} else {
		w, f = closed(x)
	}
	return Quaternion{w, a * f, b * f, c * f}
}

// series returns cos |v|/2 and sin(|v|/2)/|v| for a small x, the square of |v|/2.
func series(x float64) (w, f float64) {
	w = 1 - x*(1.0/2-x*(1.0/24-x*(1.0/720-x*(1.0/40320))))
	f = 1.0/2 - x*(1.0/12-x*(1.0/240-x*(1.0/10080-x*(1.0/725760))))
	return w, f
}

// closed is series for any x above 0.
func closed(x float64) (w, f float64) {
	half := math.Sqrt(x)
	sin, cos := math.Sincos(half)
	return cos, sin / (2 * half)
}

// Log returns the rotation vector of q, rad: its direction is the axis, its
// length the angle from 0 to π. It is the inverse of Exp.
func (q Quaternion) Log() [3]float64 {
	if q.W < 0 {
		q = Quaternion{-q.W, -q.X, -q.Y, -q.Z}
	}
	v := [3]float64{q.X, q.Y, q.Z}
	s := norm3(v)
	if s == 0 {
		return v
	}
	return scale3(v, 2*math.Atan2(s, q.W)/s)
}

// Mul returns q p: the rotation p first, then q.
func (q Quaternion) Mul(p Quaternion) Quaternion {
	return Quaternion{
		q.W*p.W - q.X*p.X - q.Y*p.Y - q.Z*p.Z,
		q.W*p.X + q.X*p.W + q.Y*p.Z - q.Z*p.Y,
		q.W*p.Y - q.X*p.Z + q.Y*p.W + q.Z*p.X,
		q.W*p.Z + q.X*p.Y - q.Y*p.X + q.Z*p.W,
	}
}

// Conj returns the inverse rotation.
func (q Quaternion) Conj() Quaternion { return Quaternion{q.W, -q.X, -q.Y, -q.Z} }

// Unit returns q scaled to length 1. The zero Quaternion becomes the identity.
func (q Quaternion) Unit() Quaternion {
	n := math.Sqrt(q.W*q.W + q.X*q.X + q.Y*q.Y + q.Z*q.Z)
	if n == 0 {
		return Identity()
	}
	return Quaternion{q.W / n, q.X / n, q.Y / n, q.Z / n}
}

// Rotate returns v turned by q:
//
//	v' = v + w t + u × t,  t = 2 u × v,  u = (x, y, z).
func (q Quaternion) Rotate(v [3]float64) [3]float64 {
	x, y, z := q.rotate(v[0], v[1], v[2])
	return [3]float64{x, y, z}
}

// rotate is Rotate of (a, b, c).
func (q Quaternion) rotate(a, b, c float64) (x, y, z float64) {
	x = (q.Y*c - q.Z*b) * 2
	y = (q.Z*a - q.X*c) * 2
	z = (q.X*b - q.Y*a) * 2
	return a + x*q.W + (q.Y*z - q.Z*y), b + y*q.W + (q.Z*x - q.X*z), c + z*q.W + (q.X*y - q.Y*x)
}

// Rise returns the sine of the angle by which the body's x axis points up: the
// third component of Rotate applied to (1, 0, 0).
func (q Quaternion) Rise() float64 { return q.X*(q.Z*2) - (q.Y*2)*q.W }

// Step returns the orientation after dt s of turning at the body rate omega,
// rad/s along the body's own axes:
//
//	q' = q exp(ω dt).
//
// It is exact for a rate that is constant in dt, of any size, and keeps the
// length 1 up to rounding: over hours of steps call Unit now and then.
func (q Quaternion) Step(omega [3]float64, dt float64) Quaternion {
	return q.step(omega[0]*dt, omega[1]*dt, omega[2]*dt)
}

// step is q exp(a, b, c) without a call for small turns.
func (q Quaternion) step(a, b, c float64) Quaternion {
	x := (a*a + b*b + c*c) / 4
	var w, f float64
	if x < smallHalf {
		w, f = series(x)
	} else {
		w, f = closed(x)
	}
	a, b, c = a*f, b*f, c*f
	return Quaternion{
		q.W*w - q.X*a - q.Y*b - q.Z*c,
		q.W*a + q.X*w + q.Y*c - q.Z*b,
		q.W*b - q.X*c + q.Y*w + q.Z*a,
		q.W*c + q.X*b - q.Y*a + q.Z*w,
	}
}

// Angle returns the angle in rad, 0 to π, of the rotation that leads from q
// to p.
func (q Quaternion) Angle(p Quaternion) float64 { return norm3(q.Conj().Mul(p).Log()) }

// Slerp returns the rotation at the fraction t, 0 to 1, of the shortest way
// from q to p, at constant angular rate (Shoemake, 1985, Computer Graphics
// 19(3), 245–254):
//
//	q exp(t log(q* p)).
func (q Quaternion) Slerp(p Quaternion, t float64) Quaternion {
	return q.Mul(Exp(scale3(q.Conj().Mul(p).Log(), t)))
}

// FromEulerZYX returns the rotation with the intrinsic Euler angles yaw about
// z, then pitch about the turned y, then roll about the twice turned x, rad:
// q = qz(yaw) qy(pitch) qx(roll). Positive pitch turns x towards −z, so in the
// foot frame (x forward, z up) it is toe down: foot pitch is −pitch.
func FromEulerZYX(yaw, pitch, roll float64) Quaternion {
	sy, cy := math.Sincos(yaw / 2)
	sp, cp := math.Sincos(pitch / 2)
	sr, cr := math.Sincos(roll / 2)
	return Quaternion{
		cy*cp*cr + sy*sp*sr,
		cy*cp*sr - sy*sp*cr,
		cy*sp*cr + sy*cp*sr,
		sy*cp*cr - cy*sp*sr,
	}
}

// EulerZYX is the inverse of FromEulerZYX: yaw and roll from −π to π, pitch
// from −π/2 to π/2. At a pitch of ±π/2 only yaw ∓ roll is defined; there roll
// is given as 0.
func (q Quaternion) EulerZYX() (yaw, pitch, roll float64) {
	m := q.Matrix()
	pitch = math.Atan2(-m[2][0], math.Hypot(m[0][0], m[1][0]))
	// Both are 0 at the pole, where rounding would make the angles noise.
	const pole = 1e-12
	if math.Hypot(m[0][0], m[1][0]) < pole {
		return math.Atan2(-m[0][1], m[1][1]), pitch, 0
	}
	return math.Atan2(m[1][0], m[0][0]), pitch, math.Atan2(m[2][1], m[2][2])
}

// Matrix returns q as a rotation matrix.
func (q Quaternion) Matrix() Matrix {
	w, x, y, z := q.W, q.X, q.Y, q.Z
	return Matrix{
		{1 - 2*(y*y+z*z), 2 * (x*y - w*z), 2 * (x*z + w*y)},
		{2 * (x*y + w*z), 1 - 2*(x*x+z*z), 2 * (y*z - w*x)},
		{2 * (x*z - w*y), 2 * (y*z + w*x), 1 - 2*(x*x+y*y)},
	}
}
