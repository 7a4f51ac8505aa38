// Package dialects writes one recording in every CSV dialect and shape that
// setdown understands, so that tests can ask whether each gives the same
// samples and the same steps. A new dialect is one row of Table.
//
// It knows nothing of gait and is used by tests only.
package dialects

import (
	"math"

	"setdown/signal/unit"
)

// Samples is one sensor's recording: time i/Rate s, acceleration in m/s², angular
// rate in rad/s. All six slices have the same length.
type Samples struct {
	Rate     float64
	Acc, Gyr [3][]float64
}

// Len returns the number of samples.
func (s Samples) Len() int { return len(s.Acc[0]) }

// Swinging makes a smooth recording that looks like a foot to the checks of the
// reader: at rest for 2 s, then it swings through 1 rad once in 1.1 s and lies
// still in between, with a bump at each landing. phase, s, shifts the swings. It
// is not a model of gait.
func Swinging(rate, seconds, phase float64) Samples {
	n := int(rate * seconds)
	s := Samples{Rate: rate}
	for c := range 3 {
		s.Acc[c], s.Gyr[c] = make([]float64, n), make([]float64, n)
	}
	for i := range n {
		t := float64(i) / rate
		pitch, turn, bump := swing(t - phase)
		g := unit.StandardGravity
		s.Acc[0][i] = g*math.Sin(pitch) + 4*bump + 0.02*math.Sin(37*t)
		s.Acc[1][i] = 0.3 + 0.5*bump + 0.03*math.Sin(23*t)
		s.Acc[2][i] = g*math.Cos(pitch) + 9*bump
		s.Gyr[0][i] = 0.02*math.Sin(11*t) + 0.1*turn
		s.Gyr[1][i] = turn + 0.01*math.Cos(9*t)
		s.Gyr[2][i] = 0.01 + 0.05*turn
	}
	return s
}

// swing returns the pitch, rad, its rate, rad/s, and the size of a landing bump
// at time t.
func swing(t float64) (pitch, turn, bump float64) {
	const period, share = 1.1, 0.55
	if t < 2 {
		return 0, 0, 0
	}
	k := math.Mod(t, period)
	if w := period * share; k < w {
		a := 2 * math.Pi * k / w
		pitch = -0.5 * math.Sin(a)
		pitch *= 1 - math.Cos(a)
		turn = -0.5 * 2 * math.Pi / w * (math.Cos(a) - math.Cos(2*a))
	}
	d := (k - period*share - 0.03) / 0.02
	return pitch, turn, math.Exp(-d * d)
}
