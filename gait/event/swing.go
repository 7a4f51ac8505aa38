package event

import "math"

// swing is one toe-up turn of the segment between push-off and landing. The
// fields are sample indices within the span.
type swing struct {
	// downEnd is where the toe-down turn of push-off ends, upEnd where the
	// toe-up turn of swing ends; peak is the fastest toe-up moment between.
	downEnd, peak, upEnd int
	// angle is the toe-up turn, rad; fastest its largest rate, rad/s.
	angle, fastest float64
	// irregular marks a movement between two rests without a swing's shape.
	irregular bool
}

// The limits of a swing. They keep standing, fidgeting and drift out; the
// published foot-sensor methods use fixed rate thresholds of the same order
// (Sabatini et al. 2005), the values here are own choices.
const (
	// turnBack is how far, rad, the segment must turn back before a turn counts
	// as ended. Lowering after heel contact (up to about 25°) may be taken for
	// the end of a turn, which does no harm: it follows the swing's end.
	turnBack = 12 * math.Pi / 180
	// leastSwing and leastRate are the smallest swing, rad, and its smallest
	// fastest rate, rad/s.
	leastSwing = 14 * math.Pi / 180
	leastRate  = 1.0
	// shareSwing and shareRate are the smallest swing as shares of the person's
	// usual one.
	shareSwing = 0.18
	shareRate  = 0.20
	// spent and again are shares of the fastest rate: below spent the toe-up
	// turn has died down, above again it has come back (many walkers turn up in
	// two pushes). The lowest angle itself is no good end: a foot that lands flat
	// creeps on for all of stance.
	spent, again = 0.10, 0.35
	// longestSwing is the longest time, s, between the ends of a swing.
	longestSwing = 1.6
)

// swingFinder cuts the integrated pitch rate into turns with a dead band, one
// sample at a time. It needs no filter, works at any rate, and its result does
// not depend on how the samples were cut into blocks.
type swingFinder struct {
	dt           float64
	leastAngle   float64
	leastFastest float64
	i            int
	angle        float64 // toe-down positive
	prev         float64
	// rising is true while the segment turns toe-down.
	rising  bool
	high    float64
	highAt  int
	low     float64
	lowAt   int
	fastest float64 // since highAt, positive
	peakAt  int
	endAt   int // where the toe-up turn has died down, −1 while it has not
	started bool
	found   swing // the last one that push has confirmed
}

func newSwingFinder(rate float64, usual usualSwing) *swingFinder {
	return &swingFinder{
		dt:           1 / rate,
		leastAngle:   math.Max(leastSwing, shareSwing*usual.angle),
		leastFastest: math.Max(leastRate, shareRate*usual.fastest),
	}
}

// usualSwing is the median swing of the person, found in the first minutes;
// zero while it is unknown.
type usualSwing struct{ angle, fastest float64 }

// push takes the toe-down rate of the next sample, rad/s, and tells whether a
// swing is confirmed, which is found then. (It is not returned: no sample but a
// few has one to copy.)
func (f *swingFinder) push(rate float64) bool {
	if f.started {
		f.angle += (rate + f.prev) / 2 * f.dt
	} else {
		f.started, f.rising = true, true
	}
	f.prev = rate
	i := f.i
	f.i++
	if f.rising {
		f.rise(i)
		return false
	}
	return f.fall(i, rate)
}

// rise follows a toe-down turn until the segment has turned back.
func (f *swingFinder) rise(i int) {
	if f.angle >= f.high {
		f.high, f.highAt = f.angle, i
		f.low, f.lowAt, f.fastest, f.peakAt, f.endAt = f.angle, i, 0, i, -1
		return
	}
	f.follow(i, f.prev)
	if f.high-f.angle > turnBack {
		f.rising = false
	}
}

// follow keeps the lowest point and the fastest toe-up moment since the top.
func (f *swingFinder) follow(i int, rate float64) {
	if -rate > f.fastest {
		f.fastest, f.peakAt, f.endAt = -rate, i, -1
	}
	switch {
	case -rate > again*f.fastest:
		f.endAt = -1
	case f.endAt < 0 && -rate < spent*f.fastest:
		f.endAt = i
	}
	if f.angle < f.low {
		f.low, f.lowAt = f.angle, i
	}
}

// fall follows a toe-up turn and ends it when the segment turns back.
func (f *swingFinder) fall(i int, rate float64) bool {
	f.follow(i, rate)
	if f.angle-f.low <= turnBack {
		return false
	}
	var ok bool
	f.found, ok = f.take()
	f.rising, f.high, f.highAt = true, f.angle, i
	f.low, f.lowAt, f.fastest, f.peakAt, f.endAt = f.angle, i, 0, i, -1
	return ok
}

// take returns the turn from the last top to the last low, if it is a swing. Where
// the foot came to rest while it still turned up, after a turn back, the fastest
// moment may lie behind the low: the turn does not end before it.
func (f *swingFinder) take() (swing, bool) {
	s := swing{downEnd: f.highAt, peak: f.peakAt, upEnd: max(f.lowAt, f.peakAt), angle: f.high - f.low, fastest: f.fastest}
	if f.endAt >= 0 {
		s.upEnd = f.endAt
	}
	ok := s.angle >= f.leastAngle && s.fastest >= f.leastFastest &&
		float64(s.upEnd-s.peak)*f.dt <= longestSwing/2 && float64(s.peak-s.downEnd)*f.dt <= longestSwing
	return s, ok
}

// possible tells whether the fastest moment since the last top may become a
// swing's.
func (f *swingFinder) possible() bool {
	return f.fastest >= f.leastFastest && float64(f.peakAt-f.highAt)*f.dt <= longestSwing
}

// settle ends the turn under way, because the foot rests, and returns the
// swing that it was.
func (f *swingFinder) settle() (swing, bool) {
	s, ok := f.flush()
	i := f.i - 1
	f.rising, f.high, f.highAt = true, f.angle, i
	f.low, f.lowAt, f.fastest, f.peakAt, f.endAt = f.angle, i, 0, i, -1
	return s, ok
}

// flush returns the swing that the end of the span left unconfirmed.
func (f *swingFinder) flush() (swing, bool) {
	if f.rising {
		return swing{}, false
	}
	return f.take()
}
