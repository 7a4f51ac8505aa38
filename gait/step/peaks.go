package step

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// The contact peaks.
const (
	// peakBefore and peakAfter bound the search for the contact peaks, s.
	peakBefore, peakAfter = 0.010, 0.025
	// peakBox is the running mean, s, that is taken off the acceleration for the
	// contact peaks: it passes what is faster than about 20 Hz.
	peakBox = 0.05
)

// measurePeaks fills the contact peaks unless a clipped acceleration voids
// them.
func (s *Step) measurePeaks(w *event.Window, c *event.Contact) {
	if voided(w, c.IC-peakBefore*w.Rate, c.IC+peakAfter*w.Rate, recording.VoidAcc) {
		s.addReason("contact peaks withheld: acceleration clipped or missing")
		s.Hard = voided(w, c.IC-peakBefore*w.Rate, c.IC+peakAfter*w.Rate, recording.VoidHard)
		return
	}
	s.HeelContactPeak = fastPeak(w, c.IC)
	if s.HeelFirst != True {
		return
	}
	if voided(w, c.FF-peakBefore*w.Rate, c.FF+peakAfter*w.Rate, recording.VoidAcc) {
		s.Hard = voided(w, c.FF-peakBefore*w.Rate, c.FF+peakAfter*w.Rate, recording.VoidHard)
		return
	}
	s.FootFlatPeak = fastPeak(w, c.FF)
}

// WithholdPeaks takes away the contact peaks and says why, unless they were
// withheld before.
func (s *Step) WithholdPeaks(why string) {
	if !math.IsNaN(s.HeelContactPeak) {
		s.addReason(why)
	}
	s.HeelContactPeak, s.FootFlatPeak = math.NaN(), math.NaN()
}

// fastPeak is the largest size of the acceleration less its running mean near
// the fractional sample i, m/s².
func fastPeak(w *event.Window, i float64) float64 {
	h := max(1, int(peakBox*w.Rate/2))
	from, to := max(0, int(i-peakBefore*w.Rate)), min(w.Len()-1, int(i+peakAfter*w.Rate))
	best := math.NaN()
	for j := from; j <= to; j++ {
		lo, hi := max(0, j-h), min(w.Len(), j+h+1)
		sum := 0.0
		for k := range 3 {
			mean := 0.0
			for _, v := range w.Acc[k][lo:hi] {
				mean += v
			}
			d := w.Acc[k][j] - mean/float64(hi-lo)
			sum += d * d
		}
		if v := math.Sqrt(sum); !(v <= best) {
			best = v
		}
	}
	return best
}

// lostNear tells whether samples were lost, and filled in, near the fractional
// sample i: more than recording.QuietSeconds no further away than the longest hole
// that is filled. An event may lie anywhere in such a hole, or be taken for another
// beside it. False for NaN.
func lostNear(w *event.Window, i float64) bool {
	if math.IsNaN(i) {
		return false
	}
	reach := int(recording.BridgeSeconds * w.Rate)
	near := w.Void[max(0, int(i)-reach):min(w.Len(), int(i)+2+reach)]
	least := int(recording.QuietSeconds*w.Rate+1e-9) + 1 // samples together that count: looking at every least-th meets them
	for k := 0; k < len(near); k += least {
		if filled(near[k]) && filledAround(near, k) >= least {
			return true
		}
	}
	return false
}

// filled tells whether nothing was measured at a sample. What a sensor's range cut
// off was.
func filled(v recording.Void) bool {
	const both, cut = recording.VoidAcc | recording.VoidGyr, recording.VoidFast | recording.VoidHard
	return v&(both|cut) == both
}

// filledAround is how many filled samples stand together round one.
func filledAround(near []recording.Void, at int) int {
	from, to := at, at+1
	for from > 0 && filled(near[from-1]) {
		from--
	}
	for to < len(near) && filled(near[to]) {
		to++
	}
	return to - from
}

// voided tells whether a sample from…to (fractional, rounded outwards) has the
// bit.
func voided(w *event.Window, from, to float64, bit recording.Void) bool {
	lo, hi := max(0, int(math.Floor(from))), min(w.Len()-1, int(math.Ceil(to)))
	for i := lo; i <= hi; i++ {
		if w.Void[i]&bit != 0 {
			return true
		}
	}
	return false
}
