package event

import "math"

// How long before the end of the push-off turn the toe leaves the ground, s.
// The end of the turn keeps its distance to toe-off far better than its fastest
// moment does, on the open treadmill walks as on simulated people, whose
// fastest moment comes 6–90 ms before toe-off. Set on simulated recordings.
const (
	walkingToeOff = 0.042
	runningToeOff = 0.066
)

// dutyFromTurns is the share of the stride from the end of swing to the
// fastest moment of push-off below which a window counts as running.
const dutyFromTurns = 0.48

// Gait tells walking from running by the turns alone; GaitUnknown where no
// swing follows.
func (w *Window) Gait() Gait {
	if w.NextSwing < 0 {
		return GaitUnknown
	}
	duty := float64(stanceEnd(w)-w.UpEnd) / float64(w.NextSwing-w.Swing)
	if duty < dutyFromTurns {
		return Running
	}
	return Walking
}

// toeOff returns the fractional sample of toe-off, NaN where the push-off
// turn does not end in the window. It never comes before the turn is at half
// of its fastest rate.
func toeOff(w *Window) float64 {
	r := w.Gyr[1]
	top := stanceEnd(w)
	lead := walkingToeOff
	if w.Gait() == Running {
		lead = runningToeOff
	}
	rise := top
	for rise > w.UpEnd && r[rise] > r[top]/2 {
		rise--
	}
	for i := top; i+1 < w.Len() && i < w.NextSwing; i++ {
		if r[i] > 0 && r[i+1] <= 0 {
			end := float64(i) + r[i]/(r[i]-r[i+1])
			return math.Max(float64(rise), end-lead*w.Rate)
		}
	}
	return math.NaN()
}

// vertex is the offset, −0.5 to 0.5, of the top of the parabola through three
// equally spaced values of which the middle one is the largest.
func vertex(y0, y1, y2 float64) float64 {
	bend := y0 - 2*y1 + y2
	if bend >= 0 {
		return 0
	}
	return math.Max(-0.5, math.Min(0.5, (y0-y2)/(2*bend)))
}
