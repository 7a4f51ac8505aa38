package recovery

import (
	"fmt"
	"math"
)

// Step lengths, m, of which no runner or walker is far outside: at the top of a sprint
// steps measure some 2.5 m and runners over kilometres stay below 2.2 m, a slow walk
// has 0.3 m (from memory; the margins are the project's own). Outside lies a speed in
// another unit, as km/h or min/km.
const shortStep, longStep = 0.2, 2.6

// SpeedDoubt says that the recorded speed and the measured step rate make steps that
// nobody takes; "" where one of them is not known or they fit.
func (s Session) SpeedDoubt() string {
	rate := float64(s.StepRate.Center)
	if s.Conditions.SpeedMPS == nil || s.StepRate.N == 0 || math.IsNaN(rate) || rate <= 0 {
		return ""
	}
	speed := *s.Conditions.SpeedMPS
	if l := speed / rate; l >= shortStep && l <= longStep {
		return ""
	}
	return fmt.Sprintf("a speed of %.3g m/s with %.0f steps a minute makes steps of %.2g m, which nobody takes: if it was meant in km/h, it is %.2g m/s, if in min/km, %.2g m/s",
		speed, 60*rate, speed/rate, speed/3.6, 1000/(60*speed))
}
