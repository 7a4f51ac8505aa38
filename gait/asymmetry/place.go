package asymmetry

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// views is how many measures place a change together. What moves a lowering
// besides its control, the load or the pitch rate at contact, moves each of them
// in its own way, so that their mixture can be freed from it.
const views = 3

// ridge is added to the measures' correlation matrix, so that near copies cannot
// be played off against each other. Own choice.
const ridge = 0.02

// placed puts a change that was found where three lowering measures together
// tell best that it began. It leaves f as it is where they cannot tell.
func placed(f estimate.Change, steps []step.Step, first, second recording.Side, cfg estimate.Config) estimate.Change {
	a, b := viewsOf(steps, first), viewsOf(steps, second)
	var d [views]estimate.Series
	for k := range d {
		d[k] = estimate.PairDifferences(a[k], b[k])
	}
	mixed, ok := mixture(d)
	if !ok {
		return f
	}
	if at, low, high := estimate.PlaceChange(mixed, cfg); !math.IsNaN(at) {
		f.At, f.Low, f.High = at, low, high
		f.Method += "; placed by peak lowering rate, time to foot-flat and deceleration fraction together"
	}
	return f
}

// viewsOf are the measures of one side at like landing, step by step, each in the
// form that follows the share of control most nearly in a straight line in the
// model of docs/simulator.md: a bent course would be placed early or late. They
// have equal times: a step that lacks one of them is in none.
func viewsOf(steps []step.Step, side recording.Side) (out [views]estimate.Series) {
	peak, flat, fraction := step.Find(step.Primary), step.Find("time_to_foot_flat_ms"), step.Find("deceleration_fraction")
	for k, value := range [views]func(*step.Step) float64{
		func(s *step.Step) float64 { return -1 / peak.Value(s) },
		func(s *step.Step) float64 { return 1 / flat.Value(s) },
		func(s *step.Step) float64 { return math.Asin(math.Sqrt(fraction.Value(s))) },
	} {
		out[k] = atLikeLanding(steps, side, func(s *step.Step) float64 {
			if !(peak.Value(s) > 0 && flat.Value(s) > 0 && fraction.Value(s) >= 0 && fraction.Value(s) <= 1) {
				return math.NaN()
			}
			return value(s)
		})
	}
	return out
}

// mixture is the sum of series with equal times that moves most from the first to
// the last third against how it scatters among neighbours (the linear
// discriminant, Fisher 1936). It is false with fewer than three values, and where a
// series does not scatter. Its sign does not depend on that of the series: it rises.
func mixture(d [views]estimate.Series) (estimate.Series, bool) {
	n := len(d[0].Values)
	if n < 3 {
		return estimate.Series{}, false
	}
	scatter := scatterAmongNeighbours(d[0].Values, d[1].Values, d[2].Values)
	var unit [views]float64
	for k := range d {
		if unit[k] = math.Sqrt(scatter.At(k, k)); !(unit[k] > 0) {
			return estimate.Series{}, false
		}
	}
	weights, ok := discriminant(correlation(scatter, unit), movement(d, unit))
	if !ok {
		return estimate.Series{}, false
	}
	out := estimate.Series{Times: d[0].Times, Values: make([]float64, n)}
	for i := range out.Values {
		for k := range d {
			out.Values[i] += weights.AtVec(k) / unit[k] * d[k].Values[i]
		}
	}
	return out, true
}

// movement is by how much each series moves from its first to its last third, in
// its unit.
func movement(d [views]estimate.Series, unit [views]float64) *mat.VecDense {
	third, moved := len(d[0].Values)/3, mat.NewVecDense(views, nil)
	for k := range d {
		v := d[k].Values
		moved.SetVec(k, (estimate.Mean(v[len(v)-third:])-estimate.Mean(v[:third]))/unit[k])
	}
	return moved
}

// correlation is the covariance in the series' units, with the ridge.
func correlation(covariance *mat.SymDense, unit [views]float64) *mat.SymDense {
	out := mat.NewSymDense(views, nil)
	for j := range views {
		for k := j; k < views; k++ {
			out.SetSym(j, k, covariance.At(j, k)/(unit[j]*unit[k]))
		}
		out.SetSym(j, j, 1+ridge)
	}
	return out
}

// discriminant are the weights of the sum that moves most against its scatter,
// false where the scatter has no inverse.
func discriminant(scatter *mat.SymDense, moved *mat.VecDense) (*mat.VecDense, bool) {
	var c mat.Cholesky
	var weights mat.VecDense
	if !c.Factorize(scatter) || c.SolveVecTo(&weights, moved) != nil {
		return nil, false
	}
	return &weights, true
}
