package gait

import (
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// The codes of the remarks that a sensor sits elsewhere than its name says.
const (
	NotAFoot = "not-a-foot"
	NotAShin = "not-a-shin"
)

// sweepFewest is how many contacts tell where a sensor sits.
const sweepFewest = 10

// offFoot is why no lowering is stated of what moves like a shin.
const offFoot = "lowering withheld: the sensor does not rest on the ground as a foot does; if it sits on the shin, say so in its name (left_shin.csv), else fasten it tightly"

// withholdOffFoot withholds the lowering where the sensor turns on while a foot would
// lie flat: a shin's turn would pass for the foot's.
func (r *tracker) withholdOffFoot(seen []seen) {
	if r.part != orient.FootPart {
		return
	}
	sweeps := make([]float64, 0, len(seen))
	for i := range seen {
		sweeps = append(sweeps, event.Sweep(&seen[i].window))
	}
	sweep := usualSweep(sweeps)
	if !(sweep > event.FootSweep) {
		return
	}
	r.limits.WithholdLowering(offFoot)
	r.out.remarks.Add(remark.Loss, NotAFoot, remark.In(r.track.Label),
		"it never rests while a foot lies flat: over a seventh of each stance it turns by %.1f degrees, a foot by 1.5 at most; if it sits on the shin, say so in its name (left_shin.csv), if on the foot, fasten it tightly", sweep*180/math.Pi)
}

// usualSweep is the median of the sweeps that were found, NaN of too few.
func usualSweep(sweeps []float64) float64 {
	sweeps = slices.DeleteFunc(sweeps, math.IsNaN)
	if len(sweeps) < sweepFewest {
		return math.NaN()
	}
	return estimate.Median(sweeps)
}

// footlike is why no lowering is stated of a sensor that rests as a foot does though it is
// said to be a shin's, and footlikeStep why none of its steps is used.
const (
	footlike     = "lowering withheld: the sensor is said to be a shin's and rests on the ground as a foot does; if it sits on the foot, say so in its name (left_foot.csv)"
	footlikeStep = "a foot's rest in what is said to be a shin's"
)

// doubtShin doubts that the sensor sits on a shin where, read as a foot's, it rests as
// a foot does: read as a shin's, such contacts are wrong, and their times give a wrong
// step rate too.
func (r *tracker) doubtShin() {
	if r.part != orient.ShinPart {
		return
	}
	if sweep := r.sweepAsFoot(); sweep < event.FootSweep {
		r.footlike, r.limits.Why = true, footlike
		r.out.remarks.Add(remark.Loss, NotAShin, remark.In(r.track.Label),
			"it rests on the ground as a foot does, turning by %.1f degrees over a seventh of each stance, a shin by 2.5 at least: if it sits on the foot, say so in its name (left_foot.csv), for what is counted on it as a shin's is wrong and is left out", sweep*180/math.Pi)
	}
}

// leaveOutFootlike leaves out every step of what doubtShin doubts.
func (r *tracker) leaveOutFootlike() {
	if !r.footlike {
		return
	}
	for i := range r.out.steps {
		if s := &r.out.steps[i]; s.Used {
			s.Used, s.Reason = false, footlikeStep
		}
	}
}

// sweepAsFoot is the usual sweep of the buffered part, read as a foot's; NaN where no
// foot could be found in it.
func (r *tracker) sweepAsFoot() float64 {
	a, err := orient.Align(orient.FootPart, r.track.Rate, r.pending.acc, r.pending.gyr, &orient.Room{})
	if err != nil {
		return math.NaN()
	}
	var acc, gyr [3][]float64
	for k := range acc {
		acc[k], gyr[k] = make([]float64, len(r.pending.void)), make([]float64, len(r.pending.void))
	}
	a.Turn(acc, gyr, r.pending.acc, r.pending.gyr)
	usual := event.MeasureSwings(r.track.Rate, gyr[1])
	if usual.N == 0 {
		return math.NaN()
	}
	var sweeps []float64
	d := event.NewDetector(a, r.track.Rate, usual, func(w *event.Window) { sweeps = append(sweeps, event.Sweep(w)) })
	r.pending.replay(func(b *recording.Block) { d.Push(b) })
	d.Flush()
	return usualSweep(sweeps)
}
