package orient

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// digits is the tolerance for reference values printed with 12 digits.
const digits = 1e-12

// deg is one degree in rad.
const deg = math.Pi / 180

func equalQ(t *testing.T, want, got Quaternion) {
	t.Helper()
	require.InDeltaSlice(t, []float64{want.W, want.X, want.Y, want.Z}, []float64{got.W, got.X, got.Y, got.Z}, digits)
}

func equalV(t *testing.T, want, got [3]float64, tol float64) {
	t.Helper()
	require.InDeltaSlice(t, want[:], got[:], tol)
}

// Values computed with SciPy 1.10.1, scipy.spatial.transform.Rotation; see
// testdata/scipy.
func TestQuaternionReferenceValues(t *testing.T) {
	x90, y90 := FromAxisAngle([3]float64{1, 0, 0}, 90*deg), FromAxisAngle([3]float64{0, 2, 0}, 90*deg)
	z90 := FromAxisAngle([3]float64{0, 0, 3}, 90*deg)
	for _, c := range []struct {
		name      string
		got, want Quaternion
	}{
		{"90° about z", z90, Quaternion{math.Sqrt2 / 2, 0, 0, math.Sqrt2 / 2}},
		{"intrinsic ZYX 90 45 30", FromEulerZYX(90*deg, 45*deg, 30*deg), Quaternion{.701057384650, -.092295955641, .430459334577, .560985526797}},
		{"intrinsic ZYX 30 -20 10", FromEulerZYX(30*deg, -20*deg, 10*deg), Quaternion{.943714364147, .127679440696, -.144878125417, .268535822752}},
		{
			"extrinsic zyx 90 45 30",
			FromAxisAngle([3]float64{1, 0, 0}, 30*deg).Mul(FromAxisAngle([3]float64{0, 1, 0}, 45*deg)).Mul(z90),
			Quaternion{.560985526797, .430459334577, .092295955641, .701057384650},
		},
		{"y first, then x", x90.Mul(y90), Quaternion{.5, .5, .5, .5}},
		{"x first, then y", y90.Mul(x90), Quaternion{.5, .5, .5, -.5}},
		{"exp", Exp([3]float64{.1, -.2, .3}), Quaternion{.982550982155, .049708843325, -.099417686650, .149126529975}},
		{"slerp", Identity().Slerp(z90, .25), Quaternion{.980785280403, 0, 0, .195090322016}},
		{"body rate about y", Identity().Step([3]float64{0, 100 * deg, 0}, .5), Quaternion{.906307787037, 0, .422618261741, 0}},
		{"body rate about all", Identity().Step([3]float64{20 * deg, 100 * deg, -30 * deg}, .5), Quaternion{.894346677170, .084170921983, .420854609914, -.126256382974}},
	} {
		t.Run(c.name, func(t *testing.T) { equalQ(t, c.want, c.got) })
	}
	equalV(t, [3]float64{0, 1, 0}, z90.Rotate([3]float64{1, 0, 0}), digits)
}

// Values computed with SciPy 1.10.1.
func TestMatrixReferenceValues(t *testing.T) {
	m := FromEulerZYX(90*deg, 45*deg, 30*deg).Matrix()
	equalV(t, [3]float64{0, -.866025404, .5}, m[0], 1e-9)
	equalV(t, [3]float64{.707106781, .353553391, .612372436}, m[1], 1e-9)
	equalV(t, [3]float64{-.707106781, .353553391, .612372436}, m[2], 1e-9)
}

// Values computed with SciPy 1.10.1: integrating one gyroscope axis alone would
// give 50°, wrong by 0.72°.
func TestStepsOfABodyRate(t *testing.T) {
	omega := [3]float64{20 * deg, 100 * deg, -30 * deg}
	q := Identity()
	for range 100 {
		q = q.Step(omega, .005)
	}
	equalQ(t, Identity().Step(omega, .5), q)
	yaw, pitch, roll := q.EulerZYX()
	require.InDelta(t, -14.169350, yaw/deg, 1e-6)
	require.InDelta(t, 50.717540, pitch/deg, 1e-6)
	require.InDelta(t, 4.010788, roll/deg, 1e-6)

	_, pitch, _ = Identity().Step([3]float64{0, 100 * deg, 0}, .5).EulerZYX()
	require.InDelta(t, 50, pitch/deg, 1e-10)
}

// In the foot frame (x forward, z up) a positive rate about y lowers the toe:
// foot pitch, toe up positive, is the negative of the Euler pitch.
func TestPositiveRateAboutYLowersTheToe(t *testing.T) {
	q := Identity().Step([3]float64{0, 100 * deg, 0}, .1)
	toe := q.Rotate([3]float64{1, 0, 0})
	require.Less(t, toe[2], 0.0)
	_, pitch, _ := q.EulerZYX()
	require.InDelta(t, -pitch, math.Asin(toe[2]), digits)
}

// Values computed with NumPy 1.24.2.
func TestTilt(t *testing.T) {
	roll, pitch := Tilt([3]float64{.5, 0, .866025})
	require.InDelta(t, 0, roll/deg, 1e-6)
	require.InDelta(t, -30, pitch/deg, 1e-4)
	roll, pitch = Tilt([3]float64{.1, -.2, .97})
	require.InDelta(t, -11.650299, roll/deg, 1e-6)
	require.InDelta(t, -5.765552, pitch/deg, 1e-6)

	// A body with these Euler angles feels gravity's reaction in its own axes.
	felt := FromEulerZYX(1.1, .4, -.7).Conj().Rotate([3]float64{0, 0, 9.80665})
	roll, pitch = Tilt(felt)
	require.InDelta(t, -.7, roll, digits)
	require.InDelta(t, .4, pitch, digits)
}

// randomRotation draws a rotation; every fourth is a turn by nearly π.
func randomRotation(r *rand.Rand, i int) Quaternion {
	axis := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
	angle := r.Float64() * math.Pi
	if i%4 == 0 {
		angle = math.Pi - r.Float64()*1e-7
	}
	return FromAxisAngle(axis, angle)
}

func TestRotationIdentities(t *testing.T) {
	const tol = 1e-14
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 2000 {
		p, q := randomRotation(r, i), randomRotation(r, i+1)
		v := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		m, n := p.Matrix(), q.Matrix()
		equalV(t, p.Rotate(v), m.Apply(v), 10*tol)
		require.Equal(t, p.Rotate([3]float64{1, 0, 0})[2], p.Rise())
		equalV(t, m.Mul(n).Apply(v), p.Mul(q).Rotate(v), 10*tol)
		equalV(t, v, m.Transposed().Apply(m.Apply(v)), 10*tol)
		require.InDelta(t, 1, m.Det(), 10*tol)
		require.InDelta(t, 0, p.Angle(m.Quaternion()), 1e-13)
		require.InDelta(t, 0, p.Angle(Exp(p.Log())), 1e-13)
		yaw, pitch, roll := p.EulerZYX()
		require.InDelta(t, 0, p.Angle(FromEulerZYX(yaw, pitch, roll)), 1e-12)
		require.InDelta(t, 0, q.Angle(p.Slerp(q, 1)), 1e-12)
		require.InDelta(t, .3*p.Angle(q), p.Angle(p.Slerp(q, .3)), 1e-12)
	}
}

// The series for small turns and the functions for large ones meet.
func TestExpOnBothSidesOfTheSeries(t *testing.T) {
	for _, angle := range []float64{1e-12, 1e-6, .01, .1, .1999999, .2, .2000001, 1, 3, 10} {
		q := Exp([3]float64{.6 * angle, 0, -.8 * angle})
		require.InDelta(t, math.Cos(angle/2), q.W, 2e-16)
		require.InEpsilon(t, .6*math.Sin(angle/2), q.X, 5e-16)
		require.InEpsilon(t, -.8*math.Sin(angle/2), q.Z, 5e-16)
	}
}

func TestEulerAnglesAtThePole(t *testing.T) {
	for _, pitch := range []float64{90, -90} {
		q := FromEulerZYX(.5, pitch*deg, .2)
		yaw, got, roll := q.EulerZYX()
		require.InDelta(t, pitch, got/deg, 1e-6)
		require.Zero(t, roll)
		require.InDelta(t, 0, q.Angle(FromEulerZYX(yaw, got, roll)), 1e-7)
	}
}

func TestDegenerateRotations(t *testing.T) {
	equalQ(t, Identity(), FromAxisAngle([3]float64{}, 1))
	equalQ(t, Identity(), Exp([3]float64{}))
	equalQ(t, Identity(), Quaternion{}.Unit())
	require.Equal(t, [3]float64{}, Identity().Log())
	equalV(t, [3]float64{1e-9, 0, 2e-6}, Exp([3]float64{1e-9, 0, 2e-6}).Log(), 1e-20)
}

func TestFromAxes(t *testing.T) {
	m, ok := FromAxes([3]float64{2, 0, 1}, [3]float64{0, 0, 5})
	require.True(t, ok)
	require.Equal(t, IdentityMatrix(), m)
	m, ok = FromAxes([3]float64{1, 1, 0}, [3]float64{0, 1, 1})
	require.True(t, ok)
	require.InDelta(t, 1, m.Det(), 1e-14)
	equalV(t, unitVec([3]float64{0, 1, 1}), m[2], 1e-15)
	_, ok = FromAxes([3]float64{0, 0, 1}, [3]float64{0, 0, -2})
	require.False(t, ok)
	_, ok = FromAxes([3]float64{}, [3]float64{0, 0, 1})
	require.False(t, ok)
	_, ok = FromAxes([3]float64{1, 0, 0}, [3]float64{})
	require.False(t, ok)
}

func TestPrincipalAxesTurnWithTheMatrix(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	d := Matrix{{9, 0, 0}, {0, 4, 0}, {0, 0, 1}}
	for i := range 100 {
		m := randomRotation(r, i).Matrix() // rows are the axes
		values, axes := Principal(m.Transposed().Mul(d).Mul(m))
		equalV(t, [3]float64{9, 4, 1}, values, 1e-12)
		for k := range 3 {
			require.InDelta(t, 1, math.Abs(dot3(axes[k], m[k])), 1e-12)
			require.Positive(t, largest(axes[k]))
		}
	}
	values, axes := Principal(Matrix{{math.NaN()}})
	require.True(t, math.IsNaN(values[0]) && math.IsNaN(axes[2][2]))
}

func TestApplyAll(t *testing.T) {
	m := FromEulerZYX(.1, .2, .3).Matrix()
	x := [3][]float64{{1, 2}, {3, 4}, {5, 6}}
	want := m.Apply([3]float64{2, 4, 6})
	m.ApplyAll(x, x)
	equalV(t, want, [3]float64{x[0][1], x[1][1], x[2][1]}, 1e-15)
	require.Panics(t, func() { m.ApplyAll(x, [3][]float64{{1}, {2}, {3, 4}}) })
}

func BenchmarkApplyAll(b *testing.B) {
	var x [3][]float64
	for k := range x {
		x[k] = make([]float64, 4096)
	}
	m := FromEulerZYX(.1, .2, .3).Matrix()
	b.ReportAllocs()
	for b.Loop() {
		m.ApplyAll(x, x)
	}
}

func BenchmarkStep(b *testing.B) {
	q := Identity()
	b.ReportAllocs()
	for b.Loop() {
		q = q.Step([3]float64{.3, 5, -.2}, .005)
	}
}
