package step

import (
	"math"
	"slices"
	"strings"

	"setdown/gait/event"
)

// The limits of Finish.
const (
	// runningDuty is the share of the stride on the ground below which a step is
	// running where its turns do not tell: with both feet's contacts below half
	// there is a flight phase.
	runningDuty = 0.5
	// dutyAround is over how many steps on either side the gait is decided, so
	// that one bad step does not change it.
	dutyAround = 3
	// longestStride is the longest time between two contacts of one foot that
	// still belong to one bout, s.
	longestStride = 2.5
	// outlying is how far, as a factor, contact and stride time of a used step
	// may lie from the median of their gait.
	outlying = 1.6
)

// Finish completes the steps of one side, which must be in time order and of
// one recording: numbers, stride times, gait, strike class, and which steps are
// used. cut[i] is true where the recording ended or broke during step i, so
// that nothing may be said from it to the next.
func Finish(steps []Step, cut []bool) {
	for i := range steps {
		s := &steps[i]
		s.Number, s.Ends = i+1, true
		if i+1 < len(steps) && !cut[i] {
			next := &steps[i+1]
			d := next.InitialContact - s.InitialContact
			s.Ends = !(d > 0 && d <= longestStride)
			if !s.Ends && !s.lost && !next.lost {
				s.StrideTime = d
			}
		}
	}
	classify(steps)
	for i := range steps {
		steps[i].judge(cut[i])
	}
	bouts(steps)
	outliers(steps)
}

// classify sets gait and strike class from the neighbours: most of their turns,
// where their windows told a gait, else the median of their duty factors. Without
// a duty factor among them, and so a whole stride, the gait is unknown. The turns
// come first because they need no event: a toe-off that is late by a twentieth of
// the stride makes a slow run a walk.
func classify(steps []Step) {
	duty, byTurns := make([]float64, len(steps)), make([]event.Gait, len(steps))
	for i, s := range steps {
		duty[i], byTurns[i] = math.NaN(), s.Gait
		if !s.Ends { // roughly is enough, so that what was filled in may do too
			duty[i] = (s.ToeOff - s.InitialContact) / (steps[i+1].InitialContact - s.InitialContact)
		}
	}
	var duties []float64
	for i := range steps {
		duties = duties[:0]
		votes := 0
		for j := max(0, i-dutyAround); j <= min(len(steps)-1, i+dutyAround); j++ {
			if !near(&steps[i], &steps[j]) {
				continue
			}
			votes += vote(byTurns[j])
			if !math.IsNaN(duty[j]) {
				duties = append(duties, duty[j])
			}
		}
		steps[i].Gait = gaitOf(votes, duties)
		if steps[i].Gait == event.Running {
			steps[i].Strike = strikeOf(steps[i].StrikeAngle)
		}
	}
}

// near tells whether a step may belong to the bout of another.
func near(a, b *Step) bool {
	return math.Abs(a.InitialContact-b.InitialContact) < dutyAround*longestStride
}

// vote is what one window's turns say, positive for running.
func vote(g event.Gait) int {
	return [...]int{event.GaitUnknown: 0, event.Walking: -1, event.Running: 1}[g]
}

// gaitOf is the gait that most turns of some neighbours name, else that of the
// median of their duty factors, which it sorts; unknown without any.
func gaitOf(votes int, duties []float64) event.Gait {
	if len(duties) == 0 {
		return event.GaitUnknown
	}
	slices.Sort(duties)
	if votes > 0 || votes == 0 && duties[len(duties)/2] < runningDuty {
		return event.Running
	}
	return event.Walking
}

// strikeOf classes a strike angle, rad; NoStrike where it is NaN.
func strikeOf(angle float64) Strike {
	switch {
	case math.IsNaN(angle):
		return NoStrike
	case angle > rearfootAbove:
		return Rearfoot
	case angle < forefootBelow:
		return Forefoot
	}
	return Midfoot
}

// judge decides from the step itself whether it may be used.
func (s *Step) judge(cut bool) {
	s.Used = true
	switch {
	case s.Irregular:
		s.LeaveOut("a turn or shuffle without a clear swing")
	case math.IsNaN(s.ToeOff) && cut:
		s.LeaveOut("the recording ends or breaks in this step")
	case math.IsNaN(s.ToeOff):
		s.LeaveOut("no push-off follows: standing")
	case s.Gait == event.GaitUnknown:
		s.LeaveOut("no neighbouring steps")
	case s.lost:
		s.LeaveOut("samples were lost near initial contact")
	}
}

// reasonBreak parts the reasons of a step.
const reasonBreak = "; "

// LeftOutFor is why a step that is not used was left out: the first of its
// reasons. Those that follow say what was withheld of it besides.
func (s *Step) LeftOutFor() string {
	why, _, _ := strings.Cut(s.Reason, reasonBreak)
	return why
}

// LeaveOut marks the step as not used, and why.
func (s *Step) LeaveOut(why string) {
	s.Used = false
	if s.Reason != "" {
		why += reasonBreak + s.Reason
	}
	s.Reason = why
}

// bouts leaves out the first and the last step of each bout: starts and stops.
func bouts(steps []Step) {
	for i := range steps {
		s := &steps[i]
		if !s.Used {
			continue
		}
		switch {
		case i == 0 || steps[i-1].Ends:
			s.LeaveOut("first step of a bout")
		case s.Ends:
			s.LeaveOut("last step of a bout")
		}
	}
}

// outliers leaves out steps whose times are far from the usual of their gait:
// stumbles, turns, missed contacts.
func outliers(steps []Step) {
	for _, gait := range []event.Gait{event.Walking, event.Running} {
		contact := middle(steps, gait, func(s *Step) float64 { return s.ContactTime })
		stride := middle(steps, gait, func(s *Step) float64 { return s.StrideTime })
		for i := range steps {
			s := &steps[i]
			if !s.Used || s.Gait != gait {
				continue
			}
			if far(s.ContactTime, contact) || far(s.StrideTime, stride) {
				s.LeaveOut("contact or stride time far from the usual")
			}
		}
	}
}

func middle(steps []Step, gait event.Gait, of func(*Step) float64) float64 {
	var v []float64
	for i := range steps {
		if x := of(&steps[i]); steps[i].Used && steps[i].Gait == gait && !math.IsNaN(x) {
			v = append(v, x)
		}
	}
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[len(v)/2]
}

func far(x, usual float64) bool { return x > usual*outlying || x < usual/outlying }
