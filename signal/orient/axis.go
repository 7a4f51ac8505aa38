package orient

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
		travel, _ := s.travel(i, stances[j+1], up, a.Bias, asRecorded)
		d := dot3(travel, forward)
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
