package orient

import "setdown/signal/unit"

// travel is Travel from stance i to stance j, with the gyroscope read in the way
// w, and the velocity, m/s, that was left at the end.
func (s *aligner) travel(i, j int, up, bias [3]float64, w Turning) (travel, left [3]float64) {
	var acc, gyr [3][]float64
	for k := range 3 {
		acc[k], gyr[k] = s.acc[k][i:j+1], s.gyr[w.Axis[k]][i:j+1]
	}
	return strapDown(s.rate, acc, gyr, up, w.biasOf(bias), w.Factor)
}

// Travel returns how far a body moved between two rests, m, in the axes it has
// at the first sample: strap-down integration of acc (m/s²) and gyr (rad/s) at
// rate Hz, from rest at the first sample, where up is the direction of gravity's
// reaction, to rest at the last; the velocity that is left there is taken off
// in proportion to time. bias (rad/s) is taken off the rate.
func Travel(rate float64, acc, gyr [3][]float64, up, bias [3]float64) [3]float64 {
	travel, _ := strapDown(rate, acc, gyr, up, bias, asRecorded.Factor)
	return travel
}

// strapDown is Travel with the rates times a factor each; left is the velocity,
// m/s, that was taken off.
func strapDown(rate float64, acc, gyr [3][]float64, up, bias, factor [3]float64) (travel, left [3]float64) {
	dt := 1 / rate
	tx, ty, tz := factor[0]*dt, factor[1]*dt, factor[2]*dt
	q := Identity()
	gx, gy, gz := up[0]*unit.StandardGravity, up[1]*unit.StandardGravity, up[2]*unit.StandardGravity
	n := len(acc[0])
	xa, ya, za := acc[0][:n], acc[1][:n], acc[2][:n]
	xg, yg, zg := gyr[0][:n], gyr[1][:n], gyr[2][:n]
	// Numbers instead of arrays, which are kept in memory.
	var vx, vy, vz, sx, sy, sz, px, py, pz float64
	for k := range n {
		x, y, z := q.rotate(xa[k], ya[k], za[k])
		x, y, z = x-gx, y-gy, z-gz
		if k > 0 {
			vx, vy, vz = vx+(x+px)*(dt/2), vy+(y+py)*(dt/2), vz+(z+pz)*(dt/2)
		}
		px, py, pz = x, y, z
		sx, sy, sz = sx+vx, sy+vy, sz+vz
		q = q.step((xg[k]-bias[0])*tx, (yg[k]-bias[1])*ty, (zg[k]-bias[2])*tz)
	}
	half := float64(n) / 2
	return [3]float64{(sx - vx*half) * dt, (sy - vy*half) * dt, (sz - vz*half) * dt}, [3]float64{vx, vy, vz}
}
