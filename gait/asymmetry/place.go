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
// have equal times.
func viewsOf(steps []step.Step, side recording.Side) (out [views]estimate.Series) {
	peak, flat, fraction := step.Find(step.Primary), step.Find("time_to_foot_flat_ms"), step.Find("deceleration_fraction")
	var whole []step.Step
	for i := range steps {
		if s := &steps[i]; peak.Value(s) > 0 && flat.Value(s) > 0 && fraction.Value(s) >= 0 && fraction.Value(s) <= 1 {
			whole = append(whole, *s)
		}
	}
	for k, value := range [views]func(*step.Step) float64{
		func(s *step.Step) float64 { return -1 / peak.Value(s) },
		func(s *step.Step) float64 { return 1 / flat.Value(s) },
		func(s *step.Step) float64 { return math.Asin(math.Sqrt(fraction.Value(s))) },
	} {
		out[k] = atLikeLanding(whole, side, value)
	}
	return out
}

// mixture is the sum of series with equal times that moves most from the first to
// the last third against how it scatters among neighbours (the linear
// discriminant, Fisher 1936). It is false with fewer than three values, and where a
// series does not scatter. Its sign does not depend on that of the series: it rises.
func mixture(d [views]estimate.Series) (estimate.Series, bool) {
	n, third := len(d[0].Values), len(d[0].Values)/3
	scatter, moved := scatterAmongNeighbours(d), mat.NewVecDense(views, nil)
	if third == 0 {
		return estimate.Series{}, false
	}
	unit := [views]float64{}
	for k := range d {
		unit[k] = math.Sqrt(scatter.At(k, k))
		if !(unit[k] > 0) {
			return estimate.Series{}, false
		}
		moved.SetVec(k, (estimate.Mean(d[k].Values[n-third:])-estimate.Mean(d[k].Values[:third]))/unit[k])
	}
	for j := range d {
		for k := j; k < views; k++ {
			scatter.SetSym(j, k, scatter.At(j, k)/(unit[j]*unit[k]))
		}
		scatter.SetSym(j, j, 1+ridge)
	}
	var c mat.Cholesky
	var weights mat.VecDense
	if !c.Factorize(scatter) || c.SolveVecTo(&weights, moved) != nil {
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

// scatterAmongNeighbours is the covariance of the series within groups of
// alikeSteps values, times the number of values.
func scatterAmongNeighbours(d [views]estimate.Series) *mat.SymDense {
	sum := mat.NewSymDense(views, nil)
	n := len(d[0].Values)
	for from := 0; from < n; from += alikeSteps {
		to := min(from+alikeSteps, n)
		var mean [views]float64
		for k := range d {
			mean[k] = estimate.Mean(d[k].Values[from:to])
		}
		for i := from; i < to; i++ {
			for j := range d {
				for k := j; k < views; k++ {
					sum.SetSym(j, k, sum.At(j, k)+(d[j].Values[i]-mean[j])*(d[k].Values[i]-mean[k]))
				}
			}
		}
	}
	return sum
}
