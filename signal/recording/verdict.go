package recording

import "math"

// verdict is what became of a run.
type verdict uint8

const (
	undecided verdict = iota
	measured
	notMeasured
)

// jump is the change from the last row to v, in steps, of the sensor that changes
// less.
func (s *screen) jump(v *[6]float64) float64 {
	var size [2]float64
	for _, c := range s.present {
		d := v[c] - s.last[c]
		size[c/3] += d * d
	}
	least := math.Inf(1)
	for i, step := range s.step {
		if step > 0 {
			least = min(least, size[i]/step)
		}
	}
	return math.Sqrt(least)
}

// far tells that a row beside zeros is far from them: a sensor in free flight reads
// near 0 before and after, and one at rest whose gravity was taken out reads some of
// its steps.
func (s *screen) far(v *[6]float64) bool {
	return v[0]*v[0]+v[1]*v[1]+v[2]*v[2] >= max(s.weight*s.weight, heldJump*heldJump*s.step[0]) ||
		s.f.axes(3) > 0 && v[3]*v[3]+v[4]*v[4]+v[5]*v[5] >= heldJump*heldJump*s.step[1]
}

// restsAtZero tells that most of the rows beside zeros are near them: gravity was taken
// out, and a sensor at rest measures 0. Left out, its rest could not show that.
func (s *screen) restsAtZero(h *head) bool {
	near, beside := 0, 0
	all := batch{t: h.t, v: h.v}
	var r row
	for i := range h.t {
		if h.zero(i) || !(i > 0 && h.zero(i-1) || i+1 < len(h.t) && h.zero(i+1)) {
			continue
		}
		beside++
		if all.row(i, &r); !s.far(&r.v) {
			near++
		}
	}
	return 2*near > beside
}

// judge decides about the run; exit is the jump to the row after it.
func (s *screen) judge(exit float64) verdict {
	if s.zeros && s.loud || !s.zeros && len(s.run) >= s.f.lost.least && s.jumps(exit) {
		return notMeasured
	}
	return measured
}

// jumps tells whether the jumps to a run and from it are those of a sensor that
// moves all the while.
func (s *screen) jumps(exit float64) bool {
	if s.step[0] > 0 && s.step[1] > 0 {
		end := s.f.lost.end
		if !s.f.lost.fine && float64(len(s.run))*heldWait > float64(s.f.lost.wait)*heldRest {
			end = heldEnd
		}
		return max(s.entry, exit) >= heldJump && min(s.entry, exit) >= end
	}
	return min(s.entry, exit) >= heldJump
}
