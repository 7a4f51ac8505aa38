package recording

import "math"

// steps finds the step of each sensor; from some of the rows where none repeats, so
// that a step is hardly to be seen.
func (p *lostPlan) steps(f *feed, h *head, all bool) {
	every := 1
	if !all {
		every += len(h.t) / someRows
	}
	for s := range 2 {
		p.step[s] = smallestStep(&h.v, len(h.t), 3*s, every)
		for c := 3 * s; c < 3*s+3; c++ {
			if f.col[c] >= 0 {
				p.step[s] /= math.Abs(f.scale[c])
				break
			}
		}
	}
}

// smallestStep is the smallest change of a sensor, over all its axes, from one row to
// the next, at every so many rows: one step of one axis, however the axes were turned
// since. 0 where it never changes.
func smallestStep(v *[6][]float64, rows, from, every int) float64 {
	least := math.Inf(1)
	for i := 1; i < rows; i += every {
		size := 0.0
		for c := from; c < from+3; c++ {
			if v[c] != nil {
				d := v[c][i] - v[c][i-1]
				size += d * d
			}
		}
		if size > 0 && size < least {
			least = size
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return math.Sqrt(least)
}
