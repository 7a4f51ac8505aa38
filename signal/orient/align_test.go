package orient

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/unit"
)

const alignDegree = math.Pi / 180

// gaitOf is a made-up foot that moves in a plane: flat on the ground for the
// share stance of each stride, turned toe-down and then toe-up while it is
// carried on by length m.
type gaitOf struct {
	stride, stance, length float64
	wobble                 float64 // rad/s of turning about the other two axes
	strides                int
	still                  float64 // s of standing before
}

var (
	aWalk = gaitOf{stride: 1.1, stance: 0.45, length: 1.35, wobble: 0.4, strides: 30, still: 2}
	aRun  = gaitOf{stride: 0.72, stance: 0.25, length: 2.3, wobble: 0.8, strides: 40, still: 2}
)

// pose is the foot's pitch (toe up positive, rad) and its place (m) at time t s.
// All of it starts and ends each swing with two derivatives of zero.
func (g gaitOf) pose(t float64) (pitch, x, z float64) {
	t -= g.still
	if t < 0 {
		return 0, 0, 0
	}
	k := math.Floor(t / g.stride)
	if k >= float64(g.strides) {
		return 0, g.length * float64(g.strides), 0
	}
	s := (t/g.stride - k - g.stance) / (1 - g.stance)
	if s <= 0 {
		return 0, g.length * k, 0
	}
	bump := func(a, b float64) float64 { // a smooth hill of height 1 between a and b
		if s <= a || s >= b {
			return 0
		}
		u := math.Sin(math.Pi * (s - a) / (b - a))
		return u * u * u * u
	}
	smooth := s * s * s * (10 - 15*s + 6*s*s)
	return -60*alignDegree*bump(0, 0.7) + 20*alignDegree*bump(0.6, 1), g.length * (k + smooth), 0.1 * bump(0, 1)
}

// record samples what a sensor on that foot reads, with a little noise; mounting
// turns its axes into the segment's.
func (g gaitOf) record(rate float64, mounting Matrix, bias [3]float64) (acc, gyr [3][]float64) {
	const h = 1e-4
	r := rand.New(rand.NewPCG(1, 1))
	n := int((2*g.still + float64(g.strides)*g.stride) * rate)
	back := mounting.Transposed()
	for i := range n {
		t := float64(i) / rate
		p0, x0, z0 := g.pose(t - h)
		p1, x1, z1 := g.pose(t)
		p2, x2, z2 := g.pose(t + h)
		ax, az := (x2-2*x1+x0)/(h*h), (z2-2*z1+z0)/(h*h)+unit.StandardGravity
		sin, cos := math.Sincos(p1)
		turning := (p2 - p0) / (2 * h)
		sway := 0.0
		if turning != 0 {
			sway = g.wobble * math.Sin(2*math.Pi*3.3*t)
		}
		a := back.Apply([3]float64{ax*cos + az*sin, 0, -ax*sin + az*cos})
		w := add3(back.Apply([3]float64{sway, -turning, -0.7 * sway}), bias)
		for k := range 3 {
			acc[k], gyr[k] = append(acc[k], a[k]+0.05*r.NormFloat64()), append(gyr[k], w[k]+0.01*r.NormFloat64())
		}
	}
	return acc, gyr
}

// anyMounting draws a rotation, all alike likely.
func anyMounting(r *rand.Rand) Matrix {
	return Quaternion{r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}.Unit().Matrix()
}

// apart is the angle between two rotations, rad.
func apart(a, b Matrix) float64 { return a.Quaternion().Angle(b.Quaternion()) }

func TestAnyMountingIsFoundWithinADegree(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	for name, g := range map[string]gaitOf{"walking": aWalk, "running": aRun} {
		for _, rate := range []float64{100, 200, 400} {
			for range 6 {
				mounting := anyMounting(r)
				acc, gyr := g.record(rate, mounting, [3]float64{})
				a, err := Align(FootPart, rate, acc, gyr, &Room{})
				require.NoError(t, err)
				require.Less(t, apart(mounting, a.ToSegment)/alignDegree, 1.0, "%s at %g Hz", name, rate)
				require.InDelta(t, 1, a.ToSegment.Det(), 1e-9)
				require.GreaterOrEqual(t, a.Strides, g.strides-3, "%s at %g Hz", name, rate)
				require.Less(t, a.UpSpread, 1*alignDegree)
				require.Greater(t, a.ForwardVotes, 0.95)
				require.Greater(t, a.PushOffVotes, 0.95)
				require.Greater(t, a.AxisShare, 0.9)
				require.Empty(t, a.Doubts())
			}
		}
	}
}

func TestTheBiasIsReadWhileTheFootStands(t *testing.T) {
	bias := [3]float64{0.03, -0.02, 0.01}
	acc, gyr := aWalk.record(200, IdentityMatrix(), bias)
	a, err := Align(FootPart, 200, acc, gyr, &Room{})
	require.NoError(t, err)
	for k := range 3 {
		require.InDelta(t, bias[k], a.Bias[k], 0.003)
	}
	require.InDelta(t, 2, a.StillSeconds, 0.6)

	walk := aWalk
	walk.still = 0
	acc, gyr = walk.record(200, IdentityMatrix(), bias)
	a, err = Align(FootPart, 200, acc, gyr, &Room{})
	require.NoError(t, err)
	require.Zero(t, a.Bias, "a foot that is never still for a second shows no bias")
	require.Zero(t, a.StillSeconds)
	require.Less(t, apart(IdentityMatrix(), a.ToSegment)/alignDegree, 1.0)
}

// A walk whose travel is turned round, as clipped impacts can do, keeps its
// turns: they decide, and the votes of the travel go against them.
func TestThePushOffDecidesAgainstTheTravel(t *testing.T) {
	back := aWalk
	back.length = -back.length
	acc, gyr := back.record(200, IdentityMatrix(), [3]float64{})
	a, err := Align(FootPart, 200, acc, gyr, &Room{})
	require.NoError(t, err)
	require.InDelta(t, 0, apart(IdentityMatrix(), a.ToSegment)/alignDegree, 1)
	require.Less(t, a.ForwardVotes, 0.05)
	require.Greater(t, a.PushOffVotes, 0.95)
	require.Equal(t, []string{"travel and push-off disagree on which way is forward"}, a.Doubts())
}

func TestOnTheSpotThePushOffDecides(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 3))
	spot := aWalk
	spot.length = 0
	for range 4 {
		mounting := anyMounting(r)
		acc, gyr := spot.record(200, mounting, [3]float64{})
		a, err := Align(FootPart, 200, acc, gyr, &Room{})
		require.NoError(t, err)
		require.Less(t, apart(mounting, a.ToSegment)/alignDegree, 1.0)
		require.True(t, math.IsNaN(a.ForwardVotes), "nothing travels")
		require.Greater(t, a.PushOffVotes, 0.95)
		require.Empty(t, a.Doubts())
	}
}

func TestWithoutStanceThereIsNoAlignment(t *testing.T) {
	const n = 4000
	constant := func(v float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = v
		}
		return out
	}
	shaken := func(amplitude float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = amplitude * math.Sin(float64(i)/7)
		}
		return out
	}
	zero := constant(0)
	for name, c := range map[string][2][3][]float64{
		"spins without a stop":        {{zero, zero, constant(9.8)}, {zero, constant(6), shaken(1)}},
		"lies still":                  {{zero, zero, constant(9.8)}, {zero, zero, zero}},
		"sways less than a step does": {{zero, zero, constant(9.8)}, {shaken(1), shaken(1), zero}},
		"rests only in free fall":     {{zero, zero, constant(2)}, {zero, shaken(8), zero}},
	} {
		_, err := Align(FootPart, 200, c[0], c[1], &Room{})
		require.ErrorIs(t, err, ErrNoStance, name)
	}
	_, err := Align(FootPart, 200, [3][]float64{}, [3][]float64{}, &Room{})
	require.ErrorIs(t, err, ErrNoStance, "nothing at all")
	require.Panics(t, func() {
		_, _ = Align(FootPart, 200, [3][]float64{zero, zero, zero}, [3][]float64{zero, zero, zero[1:]}, &Room{})
	})
}

func TestDoubtsNameWhatIsUncertain(t *testing.T) {
	sure := Alignment{UpSpread: 0.02, AxisShare: 0.95, ForwardVotes: 1, PushOffVotes: 1}
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		change func(*Alignment)
		want   []string
	}{
		{"nothing", func(*Alignment) {}, nil},
		{"the rest varies", func(a *Alignment) { a.UpSpread = 9 * alignDegree }, []string{"resting position varies by 9 deg"}},
		{"the axis is blurred", func(a *Alignment) { a.AxisShare = 0.7 }, []string{"only 70 % of the turning"}},
		{"one vote is enough", func(a *Alignment) { a.ForwardVotes = nan }, nil},
		{"the other is too", func(a *Alignment) { a.PushOffVotes = 0.5 }, nil},
		{"no vote is clear", func(a *Alignment) { a.ForwardVotes, a.PushOffVotes = nan, 0.6 }, []string{"could not be told apart"}},
		{"the votes are opposed", func(a *Alignment) { a.PushOffVotes = 0.1 }, []string{"disagree"}},
		{"two at once", func(a *Alignment) { a.AxisShare, a.ForwardVotes = 0.6, 0.1 }, []string{"only 60 %", "disagree"}},
	} {
		a := sure
		c.change(&a)
		got := a.Doubts()
		require.Len(t, got, len(c.want), c.name)
		for i := range c.want {
			require.Contains(t, got[i], c.want[i], c.name)
		}
	}
}

// From rest to rest along x − sin(2πx)/2π the body moves by distance, whatever
// the leftover velocity that a bias makes.
func TestTravelIntegratesFromRestToRest(t *testing.T) {
	const rate, seconds, distance, yaw = 200.0, 0.8, 1.4, 1.5
	n := int(rate*seconds) + 1
	for _, c := range []struct {
		turning, offset float64
		tolerance       float64
	}{{0, 0, 1e-3}, {yaw, 0, 5e-3}, {0, 0.3, 0.06}} {
		var acc, gyr [3][]float64
		for i := range n {
			x := float64(i) / float64(n-1)
			push := distance * 2 * math.Pi / (seconds * seconds) * math.Sin(2*math.Pi*x)
			sin, cos := math.Sincos(-c.turning * float64(i) / rate)
			acc[0], acc[1], acc[2] = append(acc[0], push*cos+c.offset), append(acc[1], push*sin), append(acc[2], unit.StandardGravity)
			gyr[0], gyr[1], gyr[2] = append(gyr[0], 0.1), append(gyr[1], 0), append(gyr[2], c.turning)
		}
		got := Travel(rate, acc, gyr, [3]float64{0, 0, 1}, [3]float64{0.1, 0, 0})
		require.InDelta(t, distance, got[0], c.tolerance)
		require.InDelta(t, 0, got[1], c.tolerance)
		require.InDelta(t, 0, got[2], c.tolerance)
	}
}

func TestGeometricMedianHoldsAgainstOutliers(t *testing.T) {
	x := [][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}
	got := geometricMedian(append(x, x...))
	require.InDelta(t, 0, norm3(got), 1e-6)
	far := append(append([][3]float64{}, x...), [3]float64{0, 0, 0}, [3]float64{0, 0, 0}, [3]float64{100, 0, 0})
	require.Less(t, norm3(geometricMedian(far)), 0.1, "the mean lies at 11")
	require.InDelta(t, 1, norm3(geometricMedian([][3]float64{{0, 1, 0}})), 1e-9)
}

func TestBoxesKeepTheEnds(t *testing.T) {
	filled := func(x [3][]float64) boxes {
		n := len(x[0]) + 1
		b := boxes{make([]float64, n), make([]float64, n), make([]float64, n)}
		b.fill(x)
		return b
	}
	b := filled([3][]float64{{1, 2, 3, 4, 5}, {0, 0, 3, 0, 0}, {5, 4, 3, 2, 1}})
	want := [3][]float64{{1.5, 2, 3, 4, 4.5}, {0, 1, 1, 1, 0}, {4.5, 4, 3, 2, 1.5}}
	for i := range 5 {
		x, y, z := b.mean(i, 1)
		require.InDeltaSlice(t, []float64{want[0][i], want[1][i], want[2][i]}, []float64{x, y, z}, 1e-12)
		_, y, z = b.mean(i, 0)
		require.InDeltaSlice(t, []float64{[]float64{0, 0, 3, 0, 0}[i], float64(5 - i)}, []float64{y, z}, 1e-12)
	}
	x, y, z := b.mean(4, 5)
	require.InDeltaSlice(t, []float64{3, 0.6, 3}, []float64{x, y, z}, 1e-12, "a box wider than the signal has all of it")
}

func TestMeansAreSummedInTheMemoryOfTheSums(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 3, 20, 100} {
		for _, half := range []int{0, 1, 4, 30} {
			var signal, means [3][]float64
			var apart, in boxes
			for k, b := range []*[]float64{&apart.x, &apart.y, &apart.z} {
				for range n {
					signal[k] = append(signal[k], random.NormFloat64())
				}
				means[k], *b = make([]float64, n), make([]float64, n+1)
			}
			apart.fill(signal)
			for i := range n {
				means[0][i], means[1][i], means[2][i] = apart.mean(i, half)
			}
			apart.fill(means)
			room := make([]float64, 3*(n+half+2))
			m := n + half + 2
			late := boxes{room[half+1 : m], room[m+half+1 : 2*m], room[2*m+half+1:]}
			late.fill(signal)
			in = boxes{room[:n+1], room[m : m+n+1], room[2*m : 2*m+n+1]}
			in.sumMeans(late, half)
			require.Equal(t, apart, in, "%d values, %d on either side", n, half)
		}
	}
}

func TestStrongTurnsAreLookedForOnBothSides(t *testing.T) {
	strong := 2 * alignStrong
	s := strongTurns{turn: []float64{0, 0, strong, 0, 0, 0, strong, 0, 0, 0, 0}, near: 2}
	var got []int
	for i := range s.turn {
		if s.around(i) {
			got = append(got, i)
		}
	}
	require.Equal(t, []int{2, 4, 6}, got)
}

func TestOneClearVoteTellsTheEnds(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		travel, pushOff float64
		want            bool
	}{{1, 1, true}, {nan, 0.7, true}, {0.7, nan, true}, {0, 1, true}, {0.6, 0.6, false}, {nan, 0.5, false}, {nan, nan, false}} {
		require.Equal(t, c.want, Alignment{ForwardVotes: c.travel, PushOffVotes: c.pushOff}.EndsKnown(), "%v", c)
	}
}
