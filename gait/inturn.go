package gait

import (
	"math"

	"setdown/signal/recording"
)

// Whether two feet step in turn.
const (
	// inTurnLeast is how alike, 0 to 1, the places are that one foot's contacts have in
	// the strides of the other, as the length of their mean direction on a circle. Of
	// feet that were recorded at once it is 0.92 to 1 in the open walks, with a turn and
	// lost rows among them, and 1.00 in simulated ones; of recordings made one after the
	// other the places wander round as soon as the step rates differ by one stride in all.
	inTurnLeast = 0.7
	// inTurnStrides is how many strides tell.
	inTurnStrides = 12
	// inTurnStride is the longest stride, s, that another foot's contact is looked for
	// in.
	inTurnStride = 2.5
)

// notInTurn is why feet are not compared that do not step in turn.
const notInTurn = "the two feet do not step in turn, so they were not recorded at the same time: what changed in between cannot be told from a difference between the feet; record both at once, or one sensor in the order left, right, left"

// inTurn returns how alike the places of the right contacts in the left strides are, 0
// to 1, in two tracks on one clock; NaN where there are too few strides.
func inTurn(tracks []*recording.Track, results []*trackResult) float64 {
	if len(tracks) != 2 || tracks[0].Side != tracks[1].Side.Other() || tracks[0].Side == recording.SideUnknown {
		return math.NaN()
	}
	own, others := contactTimes{results[0].steps, isUsed}, contactTimes{results[1].steps, isUsed}
	var x, y float64
	n := 0
	from, _ := own.next(math.Inf(1))
	for to, more := own.next(math.Inf(1)); more; to, more = own.next(math.Inf(1)) {
		for early := true; early; {
			_, early = others.next(from)
		}
		if at, ok := others.next(to); ok && to-from <= inTurnStride {
			sin, cos := math.Sincos(2 * math.Pi * (at - from) / (to - from))
			x, y, n = x+cos, y+sin, n+1
		}
		from = to
	}
	if n < inTurnStrides {
		return math.NaN()
	}
	return math.Hypot(x, y) / float64(n)
}
