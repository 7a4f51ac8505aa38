package event

import (
	"errors"
	"math"
	"slices"

	"setdown/signal/orient"
	"setdown/signal/unit"
)

// ErrNoShinSwing means that no turning was found that a shin in gait makes.
var ErrNoShinSwing = errors.New("no swing of a shin found: the sensor never turns as in gait")

// The constants of AlignShin, times in s, rates in rad/s. Own choices.
const (
	shinBox       = 0.10 // box width of the smoothed rate: straps ring at 10–15 Hz
	shinTurning   = 1.0  // smoothed rate above which the shin moves
	shinLeast     = 2.0  // least rate of the fastest turns
	shinStill     = 0.06 // most deviation of the rate while standing still
	shinStillTime = 1.0
	shinFastShare = 0.02 // the share of the fastest samples that is compared
	shinImpact    = 0.30 // an impact is looked for this long around a fast turn
)

// AlignShin finds how a sensor is mounted on a shin. acc (m/s²) and gyr (rad/s)
// are samples at rate Hz along the sensor's axes, without gaps, six slices of
// one length.
//
// A running shin never rests on the ground as a foot does, so nothing is taken
// from stance. The left-right axis is the principal axis of the turning. Up is
// the mean specific force at right angles to it: gravity, and the pull towards
// the knee in swing. The sign of the axis follows from two facts: the forward
// turn of swing is the fastest turn of the stride, and what follows it, rather
// than what goes before it, is an impact. Of the Alignment, ForwardVotes is the
// share of fast turns that an impact follows, and PushOffVotes is 1 where the
// sizes of the turns agree, else 0. Strides is the number of fast turns.
//
// The error is ErrNoShinSwing where nothing turns fast enough.
func AlignShin(rate float64, acc, gyr [3][]float64) (orient.Alignment, error) {
	a := orient.Alignment{ForwardVotes: math.NaN(), PushOffVotes: math.NaN()}
	w := max(1, int(shinBox*rate/2))
	var slow [3][]float64
	for k := range 3 {
		slow[k] = runningMean(gyr[k], w)
	}
	a.Bias, a.StillSeconds = stillRate(rate, slow)
	moving := movingSamples(slow, a.Bias)
	if float64(len(moving)) < rate {
		return a, ErrNoShinSwing
	}
	left, share := turningAxis(slow, a.Bias, moving)
	a.AxisShare = share
	up := meanForce(acc, left, moving)
	turn := along(slow, a.Bias, left)
	skew, fast := fastest(turn, moving)
	if fast < shinLeast {
		return a, ErrNoShinSwing
	}
	votes, n := impactVotes(rate, turn, acc, fast)
	a.Strides = n
	// Positive: swing turns the way of +left, but it must be toe-up, negative.
	if votes+skew > 0 {
		left = [3]float64{-left[0], -left[1], -left[2]}
		votes, skew = -votes, -skew
	}
	a.ForwardVotes = (1 - votes) / 2
	a.PushOffVotes = 0
	if skew < 0 {
		a.PushOffVotes = 1
	}
	a.ToSegment = orient.Matrix{cross(left, up), left, up}
	return a, nil
}

// ShinDoubts returns plain sentences about what could not be decided well.
func ShinDoubts(a orient.Alignment) []string {
	var out []string
	if a.AxisShare < 0.75 {
		out = append(out, "the shin turns about more than one axis: the left-right axis is uncertain")
	}
	if a.PushOffVotes < 1 || !(a.ForwardVotes >= 0.6) {
		out = append(out, "front and back of the shin could not be told apart with certainty")
	}
	return out
}

// movingSamples lists the samples at which the shin turns.
func movingSamples(g [3][]float64, bias [3]float64) []int {
	var out []int
	for i := range g[0] {
		if size([3]float64{g[0][i] - bias[0], g[1][i] - bias[1], g[2][i] - bias[2]}) > shinTurning {
			out = append(out, i)
		}
	}
	return out
}

// stillRate is the mean rate over the longest stretch without turning, zero
// where there is none.
func stillRate(rate float64, g [3][]float64) (bias [3]float64, seconds float64) {
	best, from, start := 0, 0, 0
	for i := 1; i <= len(g[0]); i++ {
		if i < len(g[0]) && size([3]float64{g[0][i], g[1][i], g[2][i]}) < 2*shinStill &&
			size([3]float64{g[0][i] - g[0][start], g[1][i] - g[1][start], g[2][i] - g[2][start]}) < shinStill {
			continue
		}
		if i-start > best {
			best, from = i-start, start
		}
		start = i
	}
	if float64(best) < shinStillTime*rate {
		return bias, 0
	}
	for k := range 3 {
		for i := from; i < from+best; i++ {
			bias[k] += g[k][i] / float64(best)
		}
	}
	return bias, float64(best) / rate
}

// turningAxis is the principal axis of the turning, and its share of the two
// largest.
func turningAxis(g [3][]float64, bias [3]float64, moving []int) (axis [3]float64, share float64) {
	var c [3][3]float64
	for _, i := range moving {
		v := [3]float64{g[0][i] - bias[0], g[1][i] - bias[1], g[2][i] - bias[2]}
		for a := range 3 {
			for b := range 3 {
				c[a][b] += v[a] * v[b]
			}
		}
	}
	values, vectors := orient.Principal(c)
	return vectors[0], values[0] / (values[0] + values[1])
}

// meanForce is the direction of the mean specific force at right angles to the
// axis.
func meanForce(acc [3][]float64, axis [3]float64, moving []int) [3]float64 {
	var m [3]float64
	for _, i := range moving {
		for k := range 3 {
			m[k] += acc[k][i]
		}
	}
	d := m[0]*axis[0] + m[1]*axis[1] + m[2]*axis[2]
	for k := range 3 {
		m[k] -= d * axis[k]
	}
	s := size(m)
	return [3]float64{m[0] / s, m[1] / s, m[2] / s}
}

// along is the rate about an axis.
func along(g [3][]float64, bias, axis [3]float64) []float64 {
	out := make([]float64, len(g[0]))
	for i := range out {
		out[i] = (g[0][i]-bias[0])*axis[0] + (g[1][i]-bias[1])*axis[1] + (g[2][i]-bias[2])*axis[2]
	}
	return out
}

// fastest compares the fastest turns of both directions: 1 where the positive
// ones are a good deal faster, −1 where the negative ones are, and in between;
// fast is the size of the faster ones.
func fastest(turn []float64, moving []int) (skew, fast float64) {
	v := make([]float64, 0, len(moving))
	for _, i := range moving {
		v = append(v, turn[i])
	}
	slices.Sort(v)
	k := int(shinFastShare * float64(len(v)-1))
	lo, hi := math.Max(0, -v[k]), math.Max(0, v[len(v)-1-k])
	fast = math.Max(lo, hi)
	const clear = 0.15 // of the sum: a difference that decides by itself
	return math.Max(-1, math.Min(1, (hi-lo)/(hi+lo)/clear)), fast
}

// impactVotes tells which fast turns are followed by the largest jerk of their
// neighbourhood: 1 where all positive ones are and no negative ones, −1 the
// other way round.
func impactVotes(rate float64, turn []float64, acc [3][]float64, fast float64) (vote float64, n int) {
	near := int(shinImpact * rate)
	var for1, all float64
	for i := near; i+near+1 < len(turn); i++ {
		if math.Abs(turn[i]) < 0.6*fast || !localTop(turn, i, near/2) {
			continue
		}
		before, after := 0.0, 0.0
		for j := 1; j <= near; j++ {
			before = math.Max(before, jump(acc, i-j))
			after = math.Max(after, jump(acc, i+j))
		}
		s := math.Copysign(1, turn[i])
		if after < before {
			s = -s
		}
		for1, all = for1+s, all+1
	}
	if all == 0 {
		return 0, 0
	}
	return for1 / all, int(all)
}

// localTop tells whether |turn| is largest at i within reach.
func localTop(turn []float64, i, reach int) bool {
	for j := max(0, i-reach); j <= min(len(turn)-1, i+reach); j++ {
		if math.Abs(turn[j]) > math.Abs(turn[i]) || j < i && math.Abs(turn[j]) == math.Abs(turn[i]) {
			return false
		}
	}
	return true
}

// jump is the change of acceleration from sample i to i+1 against gravity.
func jump(acc [3][]float64, i int) float64 {
	return size([3]float64{acc[0][i+1] - acc[0][i], acc[1][i+1] - acc[1][i], acc[2][i+1] - acc[2][i]}) / unit.StandardGravity
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// runningMean is the centred mean over 2h+1 samples; the ends use what there is.
func runningMean(x []float64, h int) []float64 {
	out := make([]float64, len(x))
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	for i := range x {
		lo, hi := max(0, i-h), min(len(x), i+h+1)
		out[i] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}
