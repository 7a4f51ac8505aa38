package asymmetry

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setdown/gait/estimate"
)

// alikeSteps is how many neighbouring steps of a side make a group: among few,
// control does not change. Own choice.
const alikeSteps = 25

// scatterAmongNeighbours is the covariance of columns of equal lengths within
// groups of alikeSteps values, times the number of values. A group in which a
// value is NaN has no part in it.
func scatterAmongNeighbours(columns ...[]float64) *mat.SymDense {
	sum := mat.NewSymDense(len(columns), nil)
	n := len(columns[0])
	for from := 0; from < n; from += alikeSteps {
		to := min(from+alikeSteps, n)
		addScatter(sum, columns, from, to)
	}
	return sum
}

// addScatter adds one group's products about its means to sum.
func addScatter(sum *mat.SymDense, columns [][]float64, from, to int) {
	mean := make([]float64, len(columns))
	for k, c := range columns {
		if mean[k] = estimate.Mean(c[from:to]); math.IsNaN(mean[k]) {
			return
		}
	}
	for j, x := range columns {
		for k := j; k < len(columns); k++ {
			product := sum.At(j, k)
			for i := from; i < to; i++ {
				product += (x[i] - mean[j]) * (columns[k][i] - mean[k])
			}
			sum.SetSym(j, k, product)
		}
	}
}

// slopeAmongNeighbours is the least-squares slope of y on x within groups of
// alikeSteps values, 0 where x does not vary.
func slopeAmongNeighbours(x, y []float64) float64 {
	s := scatterAmongNeighbours(x, y)
	if s.At(0, 0) == 0 {
		return 0
	}
	return s.At(0, 1) / s.At(0, 0)
}
