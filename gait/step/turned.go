package step

import (
	"cmp"
	"math"
	"slices"

	"setdown/gait/event"
)

// The limits of LeaveOutTurned.
const (
	// turnedBy is from which angle, rad, to the usual turning axis the sensor sits
	// turned: 10° about the upward axis took 7 % off the peak lowering rate of a
	// simulated runner, 20° took 20 %. Over nine steps of the open walks the axis stays
	// within 6° of the usual.
	turnedBy = 12 * deg
	// turnedAround is over how many steps on either side the axis is averaged
	// (median), and turnedFewest how many turned steps in a row count: turning round
	// takes three or four.
	turnedAround = 4
	turnedFewest = 10
	// turnedUsual is how many steps of a gait tell its usual axis where that gait
	// begins only after the minutes from which the sensor's mounting is found.
	turnedUsual = 60
)

// Turned is a stretch of steps over which the sensor sat turned on the foot.
type Turned struct {
	// From is the initial contact of the first step, s; Steps counts them.
	From  float64
	Steps int
	// Angle is by how much it was turned, rad: the median over the steps.
	Angle float64
	// Early tells that it began in the time from which the mounting was found.
	Early bool
}

// Turned tells whether the sensor sat turned in the step.
func (s *Step) Turned() bool { return s.turned }

// turnedReason is why the steps of a Turned are left out.
const turnedReason = "the sensor sat turned on the foot"

// TurnedEarly is why no step of a foot keeps its lowering where one of Turned is Early.
const TurnedEarly = "lowering withheld: the sensor turned on the foot while its mounting was found; fasten it so that it cannot turn"

// turningAxis returns by how much the axis about which the foot turns through a
// window, in swing and push-off above all, lies off the foot's left-right axis: about
// the upward axis (yaw) and about the forward one (roll), rad. It is the regression of
// the other two rates on the pitch rate.
func turningAxis(w *event.Window) (yaw, roll tilt) {
	var xy, yy, zy float64
	for i, y := range w.Gyr[1] {
		xy += w.Gyr[0][i] * y
		yy += y * y
		zy += w.Gyr[2][i] * y
	}
	return tilted(math.Atan(xy / yy)), tilted(math.Atan(zy / yy))
}

// tilt is an angle in steps of tiltStep rad, small since a long run has a hundred
// thousand steps; noTilt stands for NaN.
type tilt int16

const (
	tiltStep = 1e-4
	noTilt   = math.MinInt16
)

func tilted(angle float64) tilt {
	if math.IsNaN(angle) {
		return noTilt
	}
	return tilt(math.Round(angle / tiltStep))
}

func (t tilt) rad() float64 { return float64(t) * tiltStep }

// LeaveOutTurned leaves out the steps of one foot, in time order and finished, over
// which its sensor sat turned: the axis about which the foot turns has moved from where
// it was, in the same gait, until the time, s, up to which the mounting was found. What is
// measured about the old axis is not the lowering any more. Where it moved before that
// time, the mounting itself is of both positions: then no step is left out, but the
// lowering of all is withheld. A turn about the left-right axis itself changes nothing
// and is not seen.
func LeaveOutTurned(steps []Step, until float64) []Turned {
	var out []Turned
	for _, gait := range []event.Gait{event.Walking, event.Running} {
		n, tells := 0, func(s *Step) bool { return s.Used && s.Gait == gait && s.yaw != noTilt && s.roll != noTilt }
		for i := range steps {
			if tells(&steps[i]) {
				n++
			}
		}
		a := axes{steps: steps, of: make([]int32, 0, n)}
		for i := range steps {
			if tells(&steps[i]) {
				a.of = append(a.of, int32(i))
			}
		}
		out = append(out, a.turned(until)...)
	}
	slices.SortStableFunc(out, func(a, b Turned) int { return cmp.Compare(a.From, b.From) })
	early := slices.ContainsFunc(out, func(t Turned) bool { return t.Early })
	for i := range steps {
		s := &steps[i]
		switch {
		case early:
			s.WithholdLowering(TurnedEarly)
		case s.turned:
			s.LeaveOut(turnedReason)
		}
	}
	return out
}

// axes are the turning axes of some steps, whose indices are in of.
type axes struct {
	steps []Step
	of    []int32
	room  []float64
}

// turned marks the steps of the stretches that it returns.
func (a *axes) turned(until float64) []Turned {
	usual := 0
	for usual < len(a.of) && a.steps[a.of[usual]].InitialContact <= until {
		usual++
	}
	if usual < turnedFewest {
		usual = min(len(a.of), turnedUsual)
	}
	if usual < turnedFewest {
		return nil
	}
	yaw, roll := a.middle(0, usual)
	off := make([]float64, len(a.of))
	for k := range off {
		y, r := a.middle(max(0, k-turnedAround), min(len(off), k+turnedAround+1))
		off[k] = math.Hypot(y-yaw, r-roll)
	}
	var out []Turned
	for from := 0; from < len(off); from++ {
		to := from
		for to < len(off) && off[to] > turnedBy {
			to++
		}
		if to-from >= turnedFewest {
			out = append(out, a.mark(from, to, off[from:to], until))
		}
		from = to
	}
	return out
}

// mark marks the steps of a stretch, which lie off by angles.
func (a *axes) mark(from, to int, angles []float64, until float64) Turned {
	for _, i := range a.of[from:to] {
		a.steps[i].turned = true
	}
	slices.Sort(angles)
	begin := a.steps[a.of[from]].InitialContact
	return Turned{From: begin, Steps: to - from, Angle: angles[len(angles)/2], Early: begin <= until}
}

// middle returns the medians of the axes of the steps from one place in of to another.
func (a *axes) middle(from, to int) (yaw, roll float64) {
	return a.median(from, to, func(s *Step) tilt { return s.yaw }), a.median(from, to, func(s *Step) tilt { return s.roll })
}

func (a *axes) median(from, to int, value func(*Step) tilt) float64 {
	a.room = a.room[:0]
	for _, i := range a.of[from:to] {
		a.room = append(a.room, value(&a.steps[i]).rad())
	}
	slices.Sort(a.room)
	return a.room[len(a.room)/2]
}
