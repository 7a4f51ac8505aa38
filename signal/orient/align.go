package orient

import (
	"errors"
	"fmt"
	"math"

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
	// Drift is how badly gyroscope and accelerometer fit together, m/s²: the median
	// over the strides of the speed that strap-down integration leaves from rest
	// to rest, over the stride's time; NaN where no stride could be integrated.
	Drift float64
	// Other is a way to read the gyroscope's columns that fits a good deal better,
	// nil where there is none, and OtherDrift its drift.
	Other      *Turning
	OtherDrift float64
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
	a := Alignment{Strides: len(stances)}
	a.Bias, a.StillSeconds = s.still()
	if norm3(a.Bias) > alignStill {
		return alignWithout(a.Bias, part, rate, acc, gyr, room)
	}
	up, spread := s.up(stances)
	a.UpSpread = spread
	left, share := s.axis(up, part)
	a.AxisShare = share
	if part == ShinPart {
		up = unitVec(sub3(up, scale3(left, dot3(up, left))))
	}
	s.sign(&a, stances, up, left)
	s.turning(&a, stances, up)
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
	if bias := norm3(a.Bias); bias > alignStill {
		out = append(out, fmt.Sprintf("standing still, the gyroscope reads %.0f deg/s: that was taken off", bias*180/math.Pi))
	}
	if a.AxisShare < 0.75 {
		out = append(out, fmt.Sprintf("only %.0f %% of the turning is about one axis: the left-right axis is uncertain", a.AxisShare*100))
	}
	if !a.EndsKnown() {
		out = append(out, "heel and toe could not be told apart with certainty")
	} else if a.ForwardVotes < 1-alignVotes || a.PushOffVotes < 1-alignVotes {
		out = append(out, "travel and push-off disagree on which way is forward")
	}
	if a.Other != nil {
		out = append(out, a.turningDoubt())
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
		return s.steady()
	}
	return s.meanRate(from, best), float64(best) / s.rate
}

// meanRate is the mean of n rates from sample from on.
func (s *aligner) meanRate(from, n int) (mean [3]float64) {
	for k := range 3 {
		sum := 0.0
		for i := from; i < from+n; i++ {
			sum += s.gyr[k][i]
		}
		mean[k] = sum / float64(n)
	}
	return mean
}
