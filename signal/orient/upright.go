package orient

import (
	"cmp"
	"math"
	"slices"
)

// up returns the direction of gravity's reaction at the stances and the median
// angle of the single stances to it: the mean of the half that lies nearest to
// the geometric median. Neither depends on how the sensor's axes point.
func (s *aligner) up(stances []int) (up [3]float64, spread float64) {
	dirs := make([][3]float64, len(stances))
	for j, i := range stances {
		dirs[j] = unitVec(s.smoothed(i))
	}
	up = unitVec(geometricMedian(dirs))
	slices.SortStableFunc(dirs, func(a, b [3]float64) int { return cmp.Compare(dot3(b, up), dot3(a, up)) })
	var sum [3]float64
	for _, d := range dirs[:(len(dirs)+1)/2] {
		sum = add3(sum, d)
	}
	up = unitVec(sum)
	angles := make([]float64, len(dirs))
	for j, d := range dirs {
		angles[j] = math.Acos(math.Min(1, dot3(d, up)))
	}
	slices.Sort(angles)
	return up, angles[len(angles)/2]
}

// medianSteps is how many steps of Weiszfeld's iteration are made.
const medianSteps = 40

// geometricMedian returns the point with the least sum of distances to x
// (Weiszfeld 1937, Tohoku Math. J. 43, 355–386; from memory), found from the
// mean by a fixed number of steps.
func geometricMedian(x [][3]float64) [3]float64 {
	var m [3]float64
	for _, v := range x {
		m = add3(m, scale3(v, 1/float64(len(x))))
	}
	for range medianSteps {
		var sx, sy, sz, weight float64
		for _, v := range x {
			w := 1 / max(1e-6, norm3(sub3(v, m)))
			sx, sy, sz, weight = sx+v[0]*w, sy+v[1]*w, sz+v[2]*w, weight+w
		}
		m = scale3([3]float64{sx, sy, sz}, 1/weight)
	}
	return m
}
