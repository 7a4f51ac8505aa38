package gait

import (
	"fmt"
	"math"

	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/remark"
)

// SensorTurned is the code of the remark that a sensor sat turned on the foot.
const SensorTurned = "sensor-turned"

// leaveOutTurned leaves out the steps over which a foot's sensor sat otherwise than in
// the minutes from which its mounting was found.
func (r *tracker) leaveOutTurned() {
	if r.part != orient.FootPart {
		return
	}
	for _, t := range step.LeaveOutTurned(r.out.steps, r.decided) {
		so := fmt.Sprintf("%d steps are left out, for what it measures in them is not the lowering any more", t.Steps)
		if t.Early {
			r.limits.WithholdLowering(step.TurnedEarly)
			so = fmt.Sprintf("over %d steps; since how it sits is found from this time, no lowering of this foot is stated", t.Steps)
		}
		r.out.remarks.Add(remark.Loss, SensorTurned, remark.At(r.track.Label, 0, t.From),
			"from here the sensor sits turned on the foot, by about %.0f degrees: %s; fasten it so that it cannot turn (docs/recording.md, Fasten it)", t.Angle*180/math.Pi, so)
	}
}
