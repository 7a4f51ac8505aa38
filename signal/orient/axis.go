package orient

import "math"

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

// ballot counts the strides that speak for one way and for the other.
type ballot struct{ yes, no int }

// share is the part of the strides that speak for it, NaN where none speaks.
func (b ballot) share() float64 {
	if b.yes+b.no == 0 {
		return math.NaN()
	}
	return float64(b.yes) / float64(b.yes+b.no)
}

// agreed tells whether there are enough votes and one way has the share.
func (b ballot) agreed(share float64) bool {
	return b.yes+b.no >= alignVoters && float64(max(b.yes, b.no)) >= share*float64(b.yes+b.no)
}

// turned is the ballot about the opposite.
func (b ballot) turned() ballot { return ballot{b.no, b.yes} }

// sign turns left so that forward = left × up points the way the segment
// travels, and fills the frame and the votes.
func (s *aligner) sign(a *Alignment, stances []int, up, left [3]float64) {
	forward := cross3(left, up)
	pushOff := s.pushOffs(stances, left)
	travel, drift := s.travels(stances, up, forward, a.Bias)
	flip := pushOff.no > pushOff.yes
	if !pushOff.agreed(alignTurns) && travel.agreed(alignTravels) {
		flip = travel.no > travel.yes
	}
	if flip {
		left, forward = scale3(left, -1), scale3(forward, -1)
		pushOff, travel = pushOff.turned(), travel.turned()
	}
	a.ForwardVotes, a.PushOffVotes, a.Drift = travel.share(), pushOff.share(), drift
	a.ToSegment = Matrix{forward, left, up}
}

// pushOffs asks of each stance whether the first strong turn after it is toe-down
// where axis points left.
func (s *aligner) pushOffs(stances []int, axis [3]float64) (b ballot) {
	for _, i := range stances {
		switch s.firstTurn(i, axis) {
		case 1:
			b.yes++
		case -1:
			b.no++
		}
	}
	return b
}

// travels asks of each stride whether it carries the segment forward, and how far
// the speed drifts in it: drift is the median, m/s², NaN without strides.
func (s *aligner) travels(stances []int, up, forward, bias [3]float64) (b ballot, drift float64) {
	var all []float64
	for j := 1; j < len(stances); j++ {
		from, to := stances[j-1], stances[j]
		if float64(to-from)/s.rate > alignMaxStride {
			continue
		}
		travel, left := s.travel(from, to, up, bias, asRecorded)
		all = append(all, s.drift(left, from, to))
		switch d := dot3(travel, forward); {
		case d > alignTravel:
			b.yes++
		case d < -alignTravel:
			b.no++
		}
	}
	return b, middle(all)
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
