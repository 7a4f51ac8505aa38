// Package orient holds rotations, the alignment of a sensor with the body
// segment it is fastened to, and the strap-down pitch of that segment.
//
// Vectors are arrays of three; frames are right-handed; angles are in rad and
// angular rates in rad/s. Rotations are active and act on column vectors.
package orient

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Matrix is a 3×3 matrix, m[row][column]. A rotation that turns sensor axes
// into segment axes has the segment's axes, written in sensor axes, as rows.
type Matrix [3][3]float64

// IdentityMatrix returns the matrix that changes nothing.
func IdentityMatrix() Matrix { return Matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} }

// Apply returns the product m v.
func (m Matrix) Apply(v [3]float64) [3]float64 {
	return [3]float64{dot3(m[0], v), dot3(m[1], v), dot3(m[2], v)}
}

// ApplyAll turns the samples x, three slices of one length, by m into dst,
// which has the same shape and may be x. It panics if a length differs.
func (m Matrix) ApplyAll(dst, x [3][]float64) {
	n := len(x[0])
	for k := range 3 {
		if len(x[k]) != n || len(dst[k]) != n {
			panic("orient: slices of different length")
		}
	}
	xa, xb, xc := x[0][:n], x[1][:n], x[2][:n]
	ya, yb, yc := dst[0][:n], dst[1][:n], dst[2][:n]
	for i := range n {
		a, b, c := xa[i], xb[i], xc[i]
		ya[i] = m[0][0]*a + m[0][1]*b + m[0][2]*c
		yb[i] = m[1][0]*a + m[1][1]*b + m[1][2]*c
		yc[i] = m[2][0]*a + m[2][1]*b + m[2][2]*c
	}
}

// Transposed returns m with rows and columns exchanged: the inverse of a
// rotation.
func (m Matrix) Transposed() Matrix {
	return Matrix{
		{m[0][0], m[1][0], m[2][0]},
		{m[0][1], m[1][1], m[2][1]},
		{m[0][2], m[1][2], m[2][2]},
	}
}

// Mul returns the product m n: n first, then m.
func (m Matrix) Mul(n Matrix) Matrix {
	var p Matrix
	t := n.Transposed()
	for r := range 3 {
		p[r] = t.Apply(m[r])
	}
	return p
}

// Det returns the determinant: 1 for a rotation, −1 for a mirror image.
func (m Matrix) Det() float64 { return dot3(m[0], cross3(m[1], m[2])) }

// FromAxes returns the rotation whose rows are the right-handed orthonormal
// axes next to x and z: z keeps its direction, x is made perpendicular to it,
// and y = z × x. It is false if x or z is zero or if they are parallel.
func FromAxes(x, z [3]float64) (Matrix, bool) {
	z = unitVec(z)
	x = unitVec(x)
	x = sub3(x, scale3(z, dot3(x, z)))
	// Below this sine the direction of x would be rounding noise.
	const parallel = 1e-9
	if norm3(x) < parallel || norm3(z) == 0 {
		return Matrix{}, false
	}
	x = unitVec(x)
	return Matrix{x, cross3(z, x), z}, true
}

// Quaternion returns the rotation matrix m as a quaternion with W ≥ 0. The
// branch with the largest component is taken (Shepperd, 1978, J. Guidance and
// Control 1(3), 223–224), so nothing is lost near half turns.
func (m Matrix) Quaternion() Quaternion {
	trace := m[0][0] + m[1][1] + m[2][2]
	var q Quaternion
	switch {
	case trace >= max(m[0][0], m[1][1], m[2][2]):
		q = Quaternion{1 + trace, m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]}
	case m[0][0] >= max(m[1][1], m[2][2]):
		q = Quaternion{m[2][1] - m[1][2], 1 + 2*m[0][0] - trace, m[0][1] + m[1][0], m[0][2] + m[2][0]}
	case m[1][1] >= m[2][2]:
		q = Quaternion{m[0][2] - m[2][0], m[0][1] + m[1][0], 1 + 2*m[1][1] - trace, m[1][2] + m[2][1]}
	default:
		q = Quaternion{m[1][0] - m[0][1], m[0][2] + m[2][0], m[1][2] + m[2][1], 1 + 2*m[2][2] - trace}
	}
	if q.W < 0 {
		q = Quaternion{-q.W, -q.X, -q.Y, -q.Z}
	}
	return q.Unit()
}

// Principal returns the eigenvalues of the symmetric matrix c, the largest
// first, and the unit eigenvectors in the same order as rows. The sign of an
// eigenvector is chosen so that its largest component is positive. The lower
// triangle of c is not read. A NaN or infinity in c gives NaN everywhere.
func Principal(c Matrix) (values [3]float64, vectors Matrix) {
	sym := mat.NewSymDense(3, []float64{
		c[0][0], c[0][1], c[0][2],
		c[0][1], c[1][1], c[1][2],
		c[0][2], c[1][2], c[2][2],
	})
	var eigen mat.EigenSym
	if sum := mat.Sum(sym); sum-sum != 0 || !eigen.Factorize(sym, true) {
		nan := [3]float64{math.NaN(), math.NaN(), math.NaN()}
		return nan, Matrix{nan, nan, nan}
	}
	rising := eigen.Values(nil)
	var columns mat.Dense
	eigen.VectorsTo(&columns)
	for k := range 3 {
		values[k] = rising[2-k]
		v := [3]float64{columns.At(0, 2-k), columns.At(1, 2-k), columns.At(2, 2-k)}
		vectors[k] = scale3(v, math.Copysign(1, largest(v)))
	}
	return values, vectors
}

// largest returns the component of v with the largest magnitude, the first of
// equal ones.
func largest(v [3]float64) float64 {
	best := v[0]
	for _, c := range v[1:] {
		if math.Abs(c) > math.Abs(best) {
			best = c
		}
	}
	return best
}

// Tilt returns roll and pitch in rad of a body at rest that feels the specific
// force acc (any unit; z up reads +1 g when level):
//
//	roll = atan2(ay, az),  pitch = atan2(−ax, √(ay² + az²)).
//
// With yaw 0 they are the Euler angles of FromEulerZYX. A zero acc gives 0, 0.
func Tilt(acc [3]float64) (roll, pitch float64) {
	return math.Atan2(acc[1], acc[2]), math.Atan2(-acc[0], math.Hypot(acc[1], acc[2]))
}
