package recording

import "math"

// stampMode is how the time stamps of a feed are to be taken.
type stampMode uint8

const (
	// stampsFitted: samples were taken evenly; the stamps only round, or come
	// in packets. The time axis is a line fitted to them, bent slowly.
	stampsFitted stampMode = iota
	// stampsMeant: each stamp tells when its sample was taken.
	stampsMeant
)

// Rules for time stamps. The sources are the properties of decimal rounding;
// the limits are common practice, no source.
const (
	// evenWithin is the deviation from an even grid, in periods, up to which a
	// sample is taken as it stands.
	evenWithin = 1e-3
	// gapPeriods is the interval, in periods, beyond which a sample is missing.
	gapPeriods = 1.5
	// BridgeSeconds is the longest hole, s, that is filled by interpolation, with
	// every filled sample marked void; a longer one starts a new span. It is
	// shorter than a stance, so that a filled hole cannot hide a whole step.
	BridgeSeconds = 0.15
	// QuietSeconds is the hole, s, up to which a filled hole is a note, not a loss.
	QuietSeconds = 0.02
	// MinSpan is the shortest span, s, that is kept.
	MinSpan = 1.0
	// MinRate and MaxRate bound the sampling rates, Hz, that are read.
	MinRate, MaxRate = 4, 4000
	// shakenSteps is the number of small steps back in the first rows from which
	// on stamps count as shaken, shakenPeriods how far, in periods, they scatter.
	// One or two may be rows that changed places.
	shakenSteps   = 3
	shakenPeriods = 3.5
	// segmentRows is how many samples make one point of the fitted time axis.
	segmentRows = 256
)

// stampPlan is what was decided about a feed's time stamps.
type stampPlan struct {
	mode stampMode
	// rate is the sampling rate in Hz, frozen.
	rate float64
	// hole is the interval, s, from which on a sample is missing.
	hole float64
	// shaken tells that stamps scatter so much that neighbours change places, or
	// that they are those of arrival.
	shaken bool
	// arrivals tells that stamps are of when samples arrived.
	arrivals bool
	// mixed tells that the rate changes among the first rows.
	mixed bool
	// packets tells that several samples share one stamp.
	packets bool
	// counted tells that they share it because stamps are rounded, and that nearly
	// all stamps have as many rows: one that has not then tells of lost rows.
	counted bool
	// jitter is the spread of the stamps about an even grid, s.
	jitter float64
	// measured is the rate before it was rounded to a plain number, Hz.
	measured float64
}

// planStamps decides from the stamps of the first rows, s, which are rounded to
// quantum s (0 when unknown). ok is false when no rate comes out. room has room
// for as many numbers as there are stamps.
func planStamps(t []float64, quantum float64, room []float64) (p stampPlan, ok bool) {
	if len(t) < 3 {
		return p, false
	}
	positive, same := forward(room, t)
	if len(positive) == 0 {
		return p, false
	}
	median := nth(positive, len(positive)/2)
	// Stamps too coarse for the rate repeat now and then by rounding alone.
	coarse := same > 0 && quantum > 0.4*median
	if coarse || float64(same) > 0.2*float64(len(t)-1) {
		return planPackets(t, quantum)
	}
	if shaken(t, median) {
		return planShaken(t, median, room)
	}
	p = planSteady(t, median, quantum, room)
	if p.mode == stampsMeant && arrivals(t, median) {
		return planArrivals(t, room)
	}
	return p, p.rate >= MinRate && p.rate <= MaxRate
}

// planSteady decides for stamps that advance from row to row. They are meant as they
// stand where they scatter by more than rounding makes them, or where the rate changes.
func planSteady(t []float64, median, quantum float64, room []float64) (p stampPlan) {
	period := evenPeriod(t, median)
	if p.mixed = mixedRates(t, median); p.mixed {
		period = median // no mean of two rates
	}
	p.jitter = stampJitter(t, period, room)
	p.hole = gapPeriods * period
	if p.mixed {
		p.mode = stampsMeant
	} else if p.jitter > max(evenWithin*period, 0.75*quantum+1e-9) {
		p.mode = stampsMeant
		positive, _ := forward(room, t)
		if far := nth(positive, int(0.995*float64(len(positive)-1))); far < 2.2*period {
			p.hole = max(p.hole, 1.2*far)
		}
	}
	p.measured = 1 / period
	p.rate = plainRate(p.measured, t[len(t)-1]-t[0], max(quantum, evenWithin*period))
	if p.mode == stampsMeant && p.rate > 10 {
		// Every sample is interpolated anyway: a plain rate serves as well.
		p.rate = math.Round(p.rate)
	}
	return p
}

// forward gives the intervals by which stamps advance, in room, and counts those
// that are 0.
func forward(room, t []float64) (positive []float64, same int) {
	positive = room[:0]
	for i, now := range t[1:] {
		if d := now - t[i]; d > 0 {
			positive = append(positive, d)
		} else if d == 0 {
			same++
		}
	}
	return positive, same
}

// shaken tells stamps that scatter by a good part of the period: neighbours then
// change places now and then.
func shaken(t []float64, median float64) bool {
	back := 0
	for i, now := range t[1:] {
		if x := now - t[i]; x < 0 && x > -shakenPeriods*median {
			back++
		}
	}
	return back >= shakenSteps
}

// planShaken decides for stamps that scatter by a good part of the period. The
// rows are in the order in which they were taken, whatever their stamps say, so
// the time axis is the fitted line.
func planShaken(t []float64, median float64, room []float64) (p stampPlan, ok bool) {
	sum, n := 0.0, 0
	for i, now := range t[1:] {
		if x := now - t[i]; math.Abs(x) < shakenPeriods*median {
			sum += x
			n++
		}
	}
	if sum <= 0 {
		return p, false
	}
	period := sum / float64(n)
	p.shaken, p.mode = true, stampsFitted
	p.jitter = stampJitter(t, period, room)
	p.hole = shakenPeriods * period
	p.measured = 1 / period
	p.rate = plainRate(p.measured, t[len(t)-1]-t[0], 4*period)
	return p, p.rate >= MinRate && p.rate <= MaxRate
}

// intervals returns the differences of t.
func intervals(t []float64) []float64 {
	if len(t) < 2 {
		return nil
	}
	d := make([]float64, len(t)-1)
	for i := range d {
		d[i] = t[i+1] - t[i]
	}
	return d
}

// evenPeriod averages the intervals that are not holes, s.
func evenPeriod(t []float64, median float64) float64 {
	sum, n := 0.0, 0
	for i, now := range t[1:] {
		if x := now - t[i]; x > 0 && x < gapPeriods*median {
			sum += x
			n++
		}
	}
	if mean := sum / float64(n); math.Abs(mean-median) < 0.2*median {
		return mean
	}
	return median
}

// stampJitter is the 95th percentile of the deviation, s, of stamps from a line
// through each segment without a hole; room is for the deviations.
func stampJitter(t []float64, period float64, room []float64) float64 {
	dev := room[:0]
	for a := 0; a < len(t); {
		b := a + 1
		for b < len(t) && b-a < segmentRows && t[b] > t[b-1] && t[b]-t[b-1] < gapPeriods*period {
			b++
		}
		if b-a >= 8 {
			dev = appendDeviations(dev, t[a:b])
		}
		a = b
	}
	if len(dev) == 0 {
		return 0
	}
	return nth(dev, int(0.95*float64(len(dev)-1)))
}

// appendDeviations appends |t − line| for the least-squares line through t.
func appendDeviations(dst, t []float64) []float64 {
	n := float64(len(t))
	mx, my := (n-1)/2, 0.0
	for _, y := range t {
		my += (y - t[0]) / n
	}
	sxy, sxx := 0.0, 0.0
	for i, y := range t {
		x := float64(i) - mx
		sxy += x * (y - t[0] - my)
		sxx += x * x
	}
	slope := sxy / sxx
	for i, y := range t {
		dst = append(dst, math.Abs(y-t[0]-my-slope*(float64(i)-mx)))
	}
	return dst
}

// plainRate gives the plain number near rate (a whole, half or tenth of a Hz)
// where it differs from it by less than slack over the length of the stamps, s;
// otherwise rate to nine digits, so that an even file written out and read
// again has the same rate.
func plainRate(rate, length, slack float64) float64 {
	for _, step := range []float64{1, 0.5, 0.1} {
		if r := math.Round(rate/step) * step; r > 0 && math.Abs(rate/r-1)*length < slack {
			return roundDigits(r, 9)
		}
	}
	return roundDigits(rate, 9)
}

// roundDigits rounds x to n significant digits.
func roundDigits(x float64, n int) float64 {
	if x == 0 {
		return 0
	}
	shift := math.Pow10(min(22, max(0, n-1-int(math.Floor(math.Log10(math.Abs(x)))))))
	return math.Round(x*shift) / shift
}
