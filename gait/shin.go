package gait

import (
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// noLoweringOnShin is the reason of every empty lowering cell of a shin.
const noLoweringOnShin = "lowering withheld: a shin sensor does not see the foot"

// shinTracks are the shins that steps can be measured on, for sets without a
// usable foot.
func shinTracks(set *recording.Set) []*recording.Track {
	var out []*recording.Track
	for _, t := range set.Tracks {
		if t.Site == recording.Shin && t.HasAcc && t.HasGyr {
			out = append(out, t)
		}
	}
	return out
}

// limitsOf says what the place and the rate of a track allow.
func limitsOf(t *recording.Track) step.Limits {
	l := limitsAt(t.Rate)
	if t.Site == recording.Shin {
		l.Lowering, l.Why = false, noLoweringOnShin
	}
	return l
}

// asShin reads the track as a shin's, and says what that means.
func (r *tracker) asShin() {
	r.part = orient.ShinPart
	r.out.remarks.Add(remark.Doubt, "shin-events", remark.In(r.track.Label),
		"events of a shin sensor are uncertain: against force plates the best of 18 published methods kept initial contact within -97 to +132 ms and toe-off within -144 to +151 ms (95 %% of steps of 74 runners, Kiernan et al. 2023); stride time and cadence are not touched by that, contact time is")
}

// align finds how the sensor is mounted.
func (r *tracker) align(acc, gyr [3][]float64) (orient.Alignment, error) {
	if r.part == orient.ShinPart {
		return event.AlignShin(r.track.Rate, acc, gyr)
	}
	return orient.Align(r.part, r.track.Rate, acc, gyr, &r.room)
}

// doubts says what the alignment could not decide well.
func (r *tracker) doubts(a orient.Alignment) []string {
	if r.part == orient.ShinPart {
		return event.ShinDoubts(a)
	}
	return a.Doubts()
}

// meet finds what can be told of a window before it is known how landings are
// read; pitch is scratch space.
func (r *tracker) meet(w *event.Window, pitch []float64) event.Contact {
	if r.part == orient.ShinPart {
		return event.FindShin(w)
	}
	return event.NewContact(w, pitch)
}

// find locates the events of a contact that meet made.
func (r *tracker) find(w *event.Window, c *event.Contact) {
	if r.part == orient.FootPart {
		c.Find(w, r.out.landings)
	}
}
