package gait

import (
	"fmt"
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Smoothing is the code of the remark that a recording was smoothed.
const Smoothing = "smoothed"

// What a recording must hold, Hz, for what it is used for. docs/validation.md shows
// what a low-pass does to the lowering: at 20 Hz a dropped foot loses a fifth of its
// peak rate, at 8 Hz it looks like the other.
const (
	// loweringBand is needed for the lowering: what a sensor at the least rate for it
	// holds below its own low-pass.
	loweringBand = 0.4 * recording.RateLowering
	// contactBand is needed for contact times: smoothed to 20 Hz they are up to 10 ms
	// longer, to 8 Hz 20 to 30 ms (open treadmill walks, simulated runs).
	contactBand = 19.0
)

// smoothedTo is to what the buffered part was smoothed, Hz; NaN where it was not.
func (r *tracker) smoothedTo() float64 {
	return event.Smoothed(r.track.Rate, r.pending.acc, r.pending.gyr, r.pending.void)
}

// withholdSmoothed looks whether the buffered part was smoothed, and withholds what
// cannot be measured any more: a drop of the forefoot that takes 30 ms is drawn out
// until it looks like a lowering.
func (r *tracker) withholdSmoothed() {
	cut := r.smoothedTo()
	if math.IsNaN(cut) || r.settings.smoothedToo {
		return
	}
	why := func(what string) string {
		return fmt.Sprintf("%s withheld: the recording was smoothed, to about %.0f Hz; export it without a filter", what, cut)
	}
	l := &r.limits
	if l.NoPeaks == "" {
		l.NoPeaks = why("contact peaks")
	}
	if cut < loweringBand {
		l.WithholdLowering(why("lowering"))
	}
	if cut < contactBand && l.NoContact == "" {
		l.NoContact = why("contact time")
	}
	r.out.remarks.Add(remark.Loss, Smoothing, remark.In(r.track.Label),
		"what is faster than about %.0f Hz was smoothed away, by a filter of the export or in the sensor, or by a strap that lets it swing: %s; fasten it tightly, export it without a filter, and set the sensor's own low-pass to 50 Hz at least (docs/recording.md, Save it whole)", cut, lostTo(cut))
}

// lostTo says what a recording that was smoothed to cut, Hz, does not show.
func lostTo(cut float64) string {
	switch {
	case cut < contactBand:
		return "a forefoot that drops then looks like one that is set down, and contacts longer than they are, so neither is stated"
	case cut < loweringBand:
		return "a forefoot that drops then looks like one that is set down, so no lowering is stated"
	}
	return "the peaks at contact are blunted, so they are not stated"
}
