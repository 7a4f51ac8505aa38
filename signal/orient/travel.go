package orient

import "setdown/signal/unit"

// travel is Travel from stance i to stance j.
func (s *aligner) travel(i, j int, up, bias [3]float64) [3]float64 {
	var acc, gyr [3][]float64
	for k := range 3 {
		acc[k], gyr[k] = s.acc[k][i:j+1], s.gyr[k][i:j+1]
	}
	return Travel(s.rate, acc, gyr, up, bias)
}

// Travel returns how far a body moved between two rests, m, in the axes it has
// at the first sample: strap-down integration of acc (m/s²) and gyr (rad/s) at
// rate Hz, from rest at the first sample, where up is the direction of gravity's
// reaction, to rest at the last; the velocity that is left there is taken off
// in proportion to time. bias (rad/s) is taken off the rate.
func Travel(rate float64, acc, gyr [3][]float64, up, bias [3]float64) [3]float64 {
	dt := 1 / rate
	q := Identity()
	g := scale3(up, unit.StandardGravity)
	var v, sum, ramp, prev [3]float64
	n := len(acc[0])
	for k := range n {
		a := sub3(q.Rotate([3]float64{acc[0][k], acc[1][k], acc[2][k]}), g)
		if k > 0 {
			v = add3(v, scale3(add3(a, prev), dt/2))
		}
		prev = a
		sum = add3(sum, v)
		q = q.Step(sub3([3]float64{gyr[0][k], gyr[1][k], gyr[2][k]}, bias), dt)
	}
	ramp = scale3(v, float64(n)/2)
	return scale3(sub3(sum, ramp), dt)
}
