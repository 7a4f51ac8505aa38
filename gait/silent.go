package gait

import (
	"fmt"
	"math"

	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// FootSilent is the code of the remark that one foot has no steps where the other has.
const FootSilent = "foot-silent"

// silentSteps is how many steps of the other foot, all usable, in a time without one of
// this foot are worth a remark: turning round or a stumble takes two or three.
const silentSteps = 10

// silence is a time, s, in which a foot has no usable step, and how many the other has.
type silence struct {
	from, to float64
	steps    int
}

// remarkSilent says where one of two feet that were recorded together has no steps
// though the other takes many: what is wrong is the sensor, not the foot.
func remarkSilent(tracks []*recording.Track, results []*trackResult, remarks *remark.List) {
	if len(tracks) != 2 {
		return
	}
	for i, t := range tracks {
		var longest silence
		times, steps := 0, 0
		for _, s := range silences(results[i], results[1-i]) {
			times++
			steps += s.steps
			if s.steps > longest.steps {
				longest = s
			}
		}
		if times == 0 {
			continue
		}
		where := fmt.Sprintf("from %.0f to %.0f s", longest.from, longest.to)
		if times > 1 {
			where = fmt.Sprintf("%d times, the longest %s", times, where)
		}
		remarks.Add(remark.Loss, FootSilent, remark.At(t.Label, 0, longest.from),
			"no usable step is found on this foot %s, while the other takes %d: its sensor may have come off or turned far round, or its rows are damaged", where, steps)
	}
}

// silences are the times in which a track has no usable step, but the other has. Those
// of lost samples and of a turned sensor have remarks of their own.
func silences(track, other *trackResult) (out []silence) {
	own := contactTimes{track.steps, func(s *step.Step) bool { return s.Used || s.Turned() }}
	theirs := contactTimes{other.steps, isUsed}
	s := silence{from: track.summary.Begin}
	for more := true; more; s.from = s.to {
		if s.to, more = own.next(math.Inf(1)); !more {
			s.to = track.summary.End
		}
		s.steps = 0
		for at, ok := theirs.next(s.to); ok; at, ok = theirs.next(s.to) {
			if at > s.from {
				s.steps++
			}
		}
		if s.steps >= silentSteps && track.summary.GapSeconds < (s.to-s.from)/2 {
			out = append(out, s)
		}
	}
	return out
}

// contactTimes hands out the initial contacts, s, of the steps that are kept, without
// room for them: a day's run has a hundred thousand.
type contactTimes struct {
	steps []step.Step
	keep  func(*step.Step) bool
}

func isUsed(s *step.Step) bool { return s.Used }

// next returns the next contact before a time, s; false where there is none.
func (c *contactTimes) next(before float64) (float64, bool) {
	for ; len(c.steps) > 0; c.steps = c.steps[1:] {
		if s := &c.steps[0]; c.keep(s) {
			if s.InitialContact >= before {
				return 0, false
			}
			c.steps = c.steps[1:]
			return s.InitialContact, true
		}
	}
	return 0, false
}
