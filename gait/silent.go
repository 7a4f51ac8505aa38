package gait

import (
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// FootSilent is the code of the remark that one foot has no steps where the other has.
const FootSilent = "foot-silent"

// silentSteps is how many steps of the other foot, all usable, in a time without one of
// this foot are worth a remark: turning round or a stumble takes two or three.
const silentSteps = 10

// remarkSilent says where one of two feet that were recorded together has no steps
// though the other takes many: what is wrong is the sensor, not the foot.
func remarkSilent(tracks []*recording.Track, results []*trackResult, remarks *remark.List) {
	if len(tracks) != 2 {
		return
	}
	for i, t := range tracks {
		sum, from := &results[i].summary, results[i].summary.Begin
		own, _ := stepTimes(results[i].steps, func(s step.Step) bool { return s.Used || s.Turned() })
		other, _ := stepTimes(results[1-i].steps, func(s step.Step) bool { return s.Used })
		for _, to := range append(own, sum.End) {
			n := 0
			for len(other) > 0 && other[0] < to {
				if other[0] > from {
					n++
				}
				other = other[1:]
			}
			// Lost samples and a turned sensor have remarks of their own.
			if n >= silentSteps && sum.GapSeconds < (to-from)/2 {
				remarks.Add(remark.Loss, FootSilent, remark.At(t.Label, 0, from),
					"no usable step is found on this foot from %.0f to %.0f s, while the other takes %d: its sensor may have come off or turned far round", from, to, n)
			}
			from = to
		}
	}
}
