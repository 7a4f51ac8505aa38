package recording

import (
	"iter"
	"math"
	"slices"
)

// Rules for stamps that tell when samples arrived, by radio or through a queue, and
// not when they were taken. The limits are the project's own: by them, stamps with a
// scatter of 0.2 to 1.2 periods are arrivals, and none of the open recordings' are.
const (
	// arrivalSpread is the least spread of the intervals, in periods: below it the
	// stamps serve as they stand.
	arrivalSpread = 0.25
	// arrivalBack is the correlation of each interval with the next, at most: who is
	// late makes his own interval longer and the next one shorter, by -0.5 where the
	// order is not touched. Of intervals that are uneven themselves, as of a phone, the
	// next knows nothing.
	arrivalBack = -0.2
	// arrivalFar is the interval, in periods, that is left out of account: lost rows.
	arrivalFar = 8
	// arrivalHole is the share of the intervals below which no sample is missing, and
	// arrivalMore how much longer one must be.
	arrivalHole = 0.999
	arrivalMore = 1.5
	// arrivalWhole is how near, as a share, the mean interval of all must be to that of
	// most stretches for no rows to be lost.
	arrivalWhole = 0.005
	// lateShare is the share of packets from which on those that come late are no
	// longer taken for lost ones before them.
	lateShare = 0.01
)

// arrivals tells whether stamps, s, in order, are those of arrival. median is the
// median interval, s.
func arrivals(t []float64, median float64) bool {
	spread, back := scatter(intervalsOf(t), arrivalFar*median)
	return spread > arrivalSpread && back < arrivalBack
}

// late tells whether packets arrive so late now and then that the times from one to
// the next, s, look like holes: the packet after a late one then follows soon.
func late(steps []float64, hole float64) bool {
	n := 0
	for _, d := range steps {
		if d >= hole {
			n++
		}
	}
	_, back := scatter(slices.Values(steps), arrivalFar*hole)
	return float64(n) > lateShare*float64(len(steps)) && back < arrivalBack
}

// intervalsOf are the times, s, from each stamp to the next.
func intervalsOf(t []float64) iter.Seq[float64] {
	return func(yield func(float64) bool) {
		for i, now := range t[1:] {
			if !yield(now - t[i]) {
				return
			}
		}
	}
}

// scatter returns how far intervals spread (standard deviation, as a share of their
// mean) and how each goes with the next (correlation). Those below 0 and from far on, s,
// count as the mean. Of fewer than segmentRows nothing is said.
func scatter(d iter.Seq[float64], far float64) (spread, back float64) {
	sum, n := 0.0, 0
	for x := range d {
		if x >= 0 && x < far {
			sum += x
			n++
		}
	}
	if n < segmentRows {
		return 0, 0
	}
	mean, before, square, product := sum/float64(n), 0.0, 0.0, 0.0
	for x := range d {
		off := x - mean
		if x < 0 || x >= far {
			off = 0
		}
		square += off * off
		product += off * before
		before = off
	}
	return math.Sqrt(square/float64(n)) / mean, product / square
}

// planArrivals decides for stamps of arrival: the rows are in the order in which they
// were taken, evenly, so the time axis is the fitted line.
func planArrivals(t, room []float64) (p stampPlan, ok bool) {
	periods := room[:0]
	for a := 0; a+segmentRows < len(t); a += segmentRows {
		periods = append(periods, (t[a+segmentRows]-t[a])/segmentRows)
	}
	if len(periods) == 0 {
		return p, false
	}
	period := nth(periods, len(periods)/2)
	if whole := (t[len(t)-1] - t[0]) / float64(len(t)-1); math.Abs(whole/period-1) < arrivalWhole {
		period = whole // no rows are lost, and the longer the better
	}
	positive, _ := forward(room, t)
	far := nth(positive, int(arrivalHole*float64(len(positive)-1)))
	p.arrivals, p.shaken, p.mode = true, true, stampsFitted
	p.hole = max(shakenPeriods*period, arrivalMore*far)
	p.jitter = stampJitter(t, period, room)
	p.measured = 1 / period
	p.rate = plainRate(p.measured, t[len(t)-1]-t[0], 4*period)
	return p, p.rate >= MinRate && p.rate <= MaxRate
}
