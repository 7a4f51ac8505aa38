package orient

import "setdown/signal/unit"

// The limits of steady.
const (
	// biasMost is the largest rate, rad/s, that a gyroscope at rest may show: data
	// sheets allow up to 20 deg/s an axis, uncalibrated (common practice, no source).
	biasMost = 1.0
	// biasTime is for how long, s, all must stay as it is, twice what a gyroscope
	// without a large bias needs: a slow walker's foot rests for up to a second.
	biasTime = 2 * alignStillTime
	// biasGravity is by how much, as a share of gravity, the acceleration may move.
	biasGravity = 0.05
)

// alignWithout is Align for a gyroscope with a bias so large that it moves what passes
// for rest: it is taken off before anything else is decided.
func alignWithout(bias [3]float64, part Part, rate float64, acc, gyr [3][]float64, room *Room) (Alignment, error) {
	var clean [3][]float64
	for k := range clean {
		clean[k] = make([]float64, len(gyr[k]))
		for i, v := range gyr[k] {
			clean[k][i] = v - bias[k]
		}
	}
	a, err := Align(part, rate, acc, clean, room)
	a.Bias = add3(a.Bias, bias)
	return a, err
}

// steady is still for a gyroscope with a large bias, whose rate is never small: the
// longest stretch over which neither rate nor acceleration changes.
func (s *aligner) steady() (bias [3]float64, seconds float64) {
	s.sum(s.gyr)
	rates := make([][3]float64, len(s.turn))
	for i := range rates {
		rates[i] = s.smoothed(i)
	}
	s.sum(s.acc)
	best, from, start := 0, 0, 0
	var rate, force [3]float64
	for i := 0; i <= len(rates); i++ {
		if i < len(rates) && i > start && norm3(sub3(rates[i], rate)) < alignStill && norm3(sub3(s.smoothed(i), force)) < biasGravity*unit.StandardGravity {
			continue
		}
		if i-start > best {
			best, from = i-start, start
		}
		if i < len(rates) {
			start, rate, force = i, rates[i], s.smoothed(i)
		}
	}
	if best < s.samples(biasTime) || norm3(rates[from]) > biasMost {
		return bias, 0
	}
	return s.meanRate(from, best), float64(best) / s.rate
}
