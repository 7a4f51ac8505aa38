package orient

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"setdown/signal/unit"
)

// Part is the body segment a sensor is fastened to, as far as alignment needs
// to know.
type Part uint8

// The parts that Align knows.
const (
	// FootPart: the sole is flat on the ground once a stride.
	FootPart Part = iota
	// ShinPart: the long axis is near vertical in mid-stance.
	ShinPart
)

// Alignment is how a sensor is mounted on its segment.
type Alignment struct {
	// ToSegment turns a vector in sensor axes into segment axes: X forward, Y to
	// the left, Z up from the sole (or along the shin).
	ToSegment Matrix
	// Bias is the angular rate in sensor axes, rad/s, read while the sensor was
	// still; zero when it never was.
	Bias [3]float64
	// StillSeconds is how long the sensor was still, s.
	StillSeconds float64
	// Strides is how many stance phases were used.
	Strides int
	// UpSpread is the median angle, rad, between the single stances' up and the
	// common one.
	UpSpread float64
	// AxisShare is the share of the horizontal turning that is about the
	// left-right axis, 0.5 to 1.
	AxisShare float64
	// ForwardVotes is the share of strides whose travel agrees with the chosen
	// forward direction; NaN when no stride could be integrated.
	ForwardVotes float64
	// PushOffVotes is the share of strides whose first strong turn after stance
	// is toe-down in the chosen frame.
	PushOffVotes float64
}

// The constants of Align. Times in s, rates in rad/s. All are own choices;
// they were set on simulated recordings and on the open walking recordings.
const (
	alignSmooth    = 0.06  // box width for acceleration and rate; halved where no stance shows
	alignSmoothest = 0.012 // and not beyond this
	alignAxisBox   = 0.10  // box width for the principal axis: straps ring at 10–15 Hz
	alignFewest    = 3     // stances that are worth a shorter box
	alignApart     = 0.35  // least time between two stances
	alignNear      = 1.5   // a stance has strong turning within this time
	alignStrong    = 2.0   // "strong turning", rad/s
	alignQuiet     = 2.5   // most |rate| of a stance, rad/s
	alignGravity   = 0.5   // most |a|/g − 1 of a stance
	alignUnrest    = 2.5   // most unrest of a stance, as a multiple of the calm quarter's
	alignStill     = 0.06  // most |rate| of standing still after removing a bias, rad/s
	alignStillTime = 1.0   // standing still lasts at least this long
	alignVotes     = 0.7   // share of votes for a decision without doubt
	alignTurns     = 0.9   // share of the turns that decides whatever the travel says
	alignTravels   = 0.75  // share of the travels that decides where the turns do not
	alignVoters    = 3     // fewest votes of either kind that decide so
	alignMaxStride = 2.0   // longest stance-to-stance time that is integrated
	alignTravel    = 0.15  // least travel of a stride, m, that has a direction
)

// ErrNoStance means that no moment was found at which the segment rested on
// the ground between strong turns.
var ErrNoStance = errors.New("no stance phase found: the sensor never rests between strong turns")

// Align finds how the sensor is mounted without a set-up pose.
//
// acc (m/s²) and gyr (rad/s) are samples at rate Hz along the sensor's axes,
// without gaps; all six slices have the same length, or Align panics. "Up" is
// the direction of the acceleration in the stillest part of stance, where a
// foot on the ground feels gravity only. The left-right axis is the principal
// axis of the angular rate at right angles to up. Its sign follows the turn
// after stance, which is toe-down (push-off); it is cross-checked with the
// travel of the segment in swing, integrated from stance to stance (strap-down
// with zero velocity at both ends), which decides where the turns are divided.
// Clipped impacts can send the travel astray on every stride alike.
//
// On a shin the left-right axis comes first, and up is what is left of the
// stance acceleration at right angles to it.
//
// room is memory to work in, not nil. The error is ErrNoStance when there is no
// stance.
func Align(part Part, rate float64, acc, gyr [3][]float64, room *Room) (Alignment, error) {
	n := len(acc[0])
	for k := range 3 {
		if len(acc[k]) != n || len(gyr[k]) != n {
			panic("orient: Align needs slices of one length")
		}
	}
	s := newAligner(rate, acc, gyr, room)
	smooth := alignSmooth
	stances := s.stances(smooth)
	for len(stances) < alignFewest && smooth > alignSmoothest {
		smooth /= 2
		stances = s.stances(smooth)
	}
	if len(stances) == 0 {
		return Alignment{}, ErrNoStance
	}
	a := Alignment{Strides: len(stances), ForwardVotes: math.NaN(), PushOffVotes: math.NaN()}
	a.Bias, a.StillSeconds = s.still()
	up, spread := s.up(stances)
	a.UpSpread = spread
	left, share := s.axis(up, part)
	a.AxisShare = share
	if part == ShinPart {
		up = unitVec(sub3(up, scale3(left, dot3(up, left))))
	}
	s.sign(&a, stances, up, left)
	return a, nil
}

// Turn turns samples along the sensor's axes, acc (m/s²) and gyr (rad/s), into
// segment axes, the rate without its bias. toAcc and toGyr are of the same shape
// and may be the samples themselves; Turn panics where lengths differ.
func (a Alignment) Turn(toAcc, toGyr, acc, gyr [3][]float64) {
	a.ToSegment.ApplyAll(toAcc, acc)
	if a.Bias != [3]float64{} {
		for k, bias := range a.Bias {
			to := toGyr[k][:len(gyr[k])]
			for i, v := range gyr[k] {
				to[i] = v - bias
			}
		}
		gyr = toGyr
	}
	a.ToSegment.ApplyAll(toGyr, gyr)
}

// EndsKnown tells whether the travel or the push-off says clearly which end of
// the segment is forward.
func (a Alignment) EndsKnown() bool {
	return a.ForwardVotes >= alignVotes || a.PushOffVotes >= alignVotes
}

// Doubts returns plain sentences about what could not be decided well.
func (a Alignment) Doubts() []string {
	var out []string
	if a.UpSpread > 8*math.Pi/180 {
		out = append(out, fmt.Sprintf("the foot's resting position varies by %.0f deg between steps", a.UpSpread*180/math.Pi))
	}
	if a.AxisShare < 0.75 {
		out = append(out, fmt.Sprintf("only %.0f %% of the turning is about one axis: the left-right axis is uncertain", a.AxisShare*100))
	}
	if !a.EndsKnown() {
		out = append(out, "heel and toe could not be told apart with certainty")
	} else if a.ForwardVotes < 1-alignVotes || a.PushOffVotes < 1-alignVotes {
		out = append(out, "travel and push-off disagree on which way is forward")
	}
	return out
}

// aligner holds the signals of one Align call. Smoothed values are not kept: they
// are cheap to read from running sums, and those of one signal at a time are
// enough.
type aligner struct {
	rate     float64
	acc, gyr [3][]float64 // as given
	room     [3][]float64 // of the running sums, half the principal axis's box longer
	sums     boxes        // of acc or of gyr
	half     int          // half width of the box that smooths, samples
	turn     []float64    // |smoothed rate|
}

func newAligner(rate float64, acc, gyr [3][]float64, room *Room) *aligner {
	s := &aligner{rate: rate, acc: acc, gyr: gyr}
	n := len(acc[0])
	m := n + 1 + s.axisHalf() + 1
	values := room.Values(3*m + n)
	for k := range 3 {
		s.room[k] = values[k*m : (k+1)*m]
	}
	s.turn = values[3*m:]
	return s
}

// sum makes the running sums those of x.
func (s *aligner) sum(x [3][]float64) {
	from := s.axisHalf() + 1
	s.sums = boxes{s.room[0][from:], s.room[1][from:], s.room[2][from:]}
	s.sums.fill(x)
}

// smooth sets the width of the box, s, and leaves the running sums of the
// acceleration.
func (s *aligner) smooth(seconds float64) {
	s.half = s.samples(seconds) / 2
	s.sum(s.gyr)
	for i := range s.turn {
		x, y, z := s.sums.mean(i, s.half)
		s.turn[i] = math.Sqrt(x*x + y*y + z*z)
	}
	s.sum(s.acc)
}

func (s *aligner) samples(seconds float64) int { return max(1, int(math.Round(seconds*s.rate))) }

// smoothed is the smoothed signal that the running sums are of, at sample i.
func (s *aligner) smoothed(i int) [3]float64 {
	x, y, z := s.sums.mean(i, s.half)
	return [3]float64{x, y, z}
}

// up returns the direction of gravity's reaction at the stances and the median
// angle of the single stances to it: the mean of the half that lies nearest to
// the geometric median. Neither depends on how the sensor's axes point.
func (s *aligner) up(stances []int) (up [3]float64, spread float64) {
	dirs := make([][3]float64, len(stances))
	for j, i := range stances {
		dirs[j] = unitVec(s.smoothed(i))
	}
	up = unitVec(geometricMedian(dirs))
	slices.SortStableFunc(dirs, func(a, b [3]float64) int { return cmp.Compare(dot3(b, up), dot3(a, up)) })
	var sum [3]float64
	for _, d := range dirs[:(len(dirs)+1)/2] {
		sum = add3(sum, d)
	}
	up = unitVec(sum)
	angles := make([]float64, len(dirs))
	for j, d := range dirs {
		angles[j] = math.Acos(math.Min(1, dot3(d, up)))
	}
	slices.Sort(angles)
	return up, angles[len(angles)/2]
}

// medianSteps is how many steps of Weiszfeld's iteration are made.
const medianSteps = 40

// geometricMedian returns the point with the least sum of distances to x
// (Weiszfeld 1937, Tohoku Math. J. 43, 355–386; from memory), found from the
// mean by a fixed number of steps.
func geometricMedian(x [][3]float64) [3]float64 {
	var m [3]float64
	for _, v := range x {
		m = add3(m, scale3(v, 1/float64(len(x))))
	}
	for range medianSteps {
		var sx, sy, sz, weight float64
		for _, v := range x {
			w := 1 / max(1e-6, norm3(sub3(v, m)))
			sx, sy, sz, weight = sx+v[0]*w, sy+v[1]*w, sz+v[2]*w, weight+w
		}
		m = scale3([3]float64{sx, sy, sz}, 1/weight)
	}
	return m
}

// axisHalf is half the width of the box of the principal axis, samples.
func (s *aligner) axisHalf() int { return s.samples(alignAxisBox) / 2 }

// axis returns the principal axis of the slow angular rate: at right angles to
// up on a foot, free on a shin. share is its part of the turning. It leaves the
// running sums of the rate.
func (s *aligner) axis(up [3]float64, part Part) (axis [3]float64, share float64) {
	half := s.axisHalf()
	s.sum(s.gyr)
	n := len(s.turn) + 1
	slow := boxes{s.room[0][:n], s.room[1][:n], s.room[2][:n]}
	slow.sumMeans(s.sums, half)
	if part == ShinPart {
		up = [3]float64{}
	}
	// Numbers instead of arrays, which are kept in memory.
	var xx, xy, xz, yy, yz, zz float64
	ux, uy, uz := up[0], up[1], up[2]
	for i := range s.turn {
		x, y, z := slow.mean(i, half)
		d := x*ux + y*uy + z*uz
		x, y, z = x-ux*d, y-uy*d, z-uz*d
		xx, xy, xz = xx+x*x, xy+x*y, xz+x*z
		yy, yz, zz = yy+y*y, yz+y*z, zz+z*z
	}
	s.sum(s.gyr)
	values, vectors := Principal(Matrix{{xx, xy, xz}, {xy, yy, yz}, {xz, yz, zz}})
	axis = vectors[0]
	if part == FootPart {
		axis = unitVec(sub3(axis, scale3(up, dot3(axis, up))))
	}
	return axis, values[0] / (values[0] + values[1])
}

// sign turns left so that forward = left × up points the way the segment
// travels, and fills the frame and the votes.
func (s *aligner) sign(a *Alignment, stances []int, up, left [3]float64) {
	forward := cross3(left, up)
	ahead, behind := 0, 0
	down, upward := 0, 0
	for j, i := range stances {
		switch s.firstTurn(i, left) {
		case 1:
			down++
		case -1:
			upward++
		}
		if j+1 == len(stances) || float64(stances[j+1]-i)/s.rate > alignMaxStride {
			continue
		}
		d := dot3(s.travel(i, stances[j+1], up, a.Bias), forward)
		switch {
		case d > alignTravel:
			ahead++
		case d < -alignTravel:
			behind++
		}
	}
	travelSays := ahead - behind
	turnSays := down - upward
	flip := turnSays < 0
	if !agreed(down, upward, alignTurns) && agreed(ahead, behind, alignTravels) {
		flip = travelSays < 0
	}
	if flip {
		left, forward = scale3(left, -1), scale3(forward, -1)
		ahead, behind, down, upward = behind, ahead, upward, down
	}
	if ahead+behind > 0 {
		a.ForwardVotes = float64(ahead) / float64(ahead+behind)
	}
	if down+upward > 0 {
		a.PushOffVotes = float64(down) / float64(down+upward)
	}
	a.ToSegment = Matrix{forward, left, up}
}

// agreed tells whether there are enough votes and one side has the share.
func agreed(a, b int, share float64) bool {
	return a+b >= alignVoters && float64(max(a, b)) >= share*float64(a+b)
}

// firstTurn looks for the first strong turn about axis after sample i: 1 when
// it is positive (toe-down where axis points left), −1 when negative, 0 when
// there is none within alignNear.
func (s *aligner) firstTurn(i int, axis [3]float64) int {
	for j := i; j < len(s.turn) && j < i+s.samples(alignNear); j++ {
		switch v := dot3(s.smoothed(j), axis); {
		case v > alignStrong:
			return 1
		case v < -alignStrong:
			return -1
		}
	}
	return 0
}

// still returns the mean rate over the longest stretch without movement and
// its length, s; zero where there is none.
func (s *aligner) still() (bias [3]float64, seconds float64) {
	need := s.samples(alignStillTime)
	best, from := 0, 0
	start := 0
	for i := 1; i <= len(s.turn); i++ {
		if i < len(s.turn) && s.turn[i] < alignStill && math.Abs(norm3(s.smoothed(i))/unit.StandardGravity-1) < 0.05 {
			continue
		}
		if i-start > best {
			best, from = i-start, start
		}
		start = i + 1
	}
	if best < need {
		return bias, 0
	}
	for k := range 3 {
		sum := 0.0
		for i := from; i < from+best; i++ {
			sum += s.gyr[k][i]
		}
		bias[k] = sum / float64(best)
	}
	return bias, float64(best) / s.rate
}
