package asymmetry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"setdown/gait/estimate"
	"setdown/signal/recording"
)

// The discriminant is the solution of Sw w = mean₂ − mean₁ (Fisher 1936, Annals
// of Eugenics 7:179): here for two levels without a course, so that the groups
// of neighbours and the thirds are the groups, and solved by gonum from its own
// covariance.
func TestTheMixtureIsFishersDiscriminant(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	const n = 9 * alikeSteps
	step := [views]float64{0.5, -0.2, 0.9}
	var d [views]estimate.Series
	x := mat.NewDense(n, views, nil)
	for i := range n {
		shared := r.NormFloat64()
		for k := range d {
			v := shared + 0.3*float64(k+1)*r.NormFloat64()
			x.Set(i, k, v)
			if i >= n/3 {
				v += step[k]
			}
			d[k].Times, d[k].Values = append(d[k].Times, float64(i)), append(d[k].Values, v)
		}
	}
	got, ok := mixture(d)
	require.True(t, ok)

	var within, sum mat.SymDense
	within.ReuseAsSym(views)
	for from := 0; from < n; from += alikeSteps {
		stat.CovarianceMatrix(&sum, x.Slice(from, from+alikeSteps, 0, views), nil)
		within.AddSym(&within, &sum)
	}
	for k := range views {
		within.SetSym(k, k, within.At(k, k)*(1+ridge))
	}
	moved := mat.NewVecDense(views, nil)
	for k := range d {
		moved.SetVec(k, estimate.Mean(d[k].Values[2*n/3:])-estimate.Mean(d[k].Values[:n/3]))
	}
	var weights mat.VecDense
	require.NoError(t, weights.SolveVec(&within, moved))
	want := make([]float64, n)
	for i := range want {
		for k := range d {
			want[i] += weights.AtVec(k) * d[k].Values[i]
		}
	}
	require.InDelta(t, 1, stat.Correlation(got.Values, want, nil), 1e-9)
	require.Greater(t, estimate.Mean(got.Values[2*n/3:]), estimate.Mean(got.Values[:n/3]), "it rises")
	for k := range d {
		d[k].Values = negated(d[k].Values)
	}
	again, _ := mixture(d)
	require.InDeltaSlice(t, got.Values, again.Values, 1e-9, "which foot is called the first does not matter")
}

func negated(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = -v
	}
	return out
}

func TestThereIsNoMixtureOfWhatDoesNotScatter(t *testing.T) {
	_, ok := mixture([views]estimate.Series{})
	require.False(t, ok)
	var d [views]estimate.Series
	for k := range d {
		d[k].Times, d[k].Values = make([]float64, 90), make([]float64, 90)
	}
	_, ok = mixture(d)
	require.False(t, ok)
}

// A load that wanders hides when the peak rate began to change, but moves the
// time to foot-flat the other way than control does: together they tell.
func TestOtherMeasuresPlaceAChangeThatTheFirstHides(t *testing.T) {
	by, alone, found := 0.0, 0.0, 0.0
	const runs, from = 12, 8.0 // min
	for seed := range uint64(runs) {
		a := aRun{minutes: 20, seed: seed, changes: recording.Left, from: from, over: 8, by: 0.6}
		steps := a.steps()
		r := rand.New(rand.NewPCG(seed, 5))
		load := [2]float64{r.NormFloat64(), r.NormFloat64()}
		for i := range steps { // the sides alternate
			load[i%2] += -load[i%2]/150 + r.NormFloat64()*math.Sqrt(2.0/150)
			steps[i].PeakLoweringRate *= 1 + 0.04*load[i%2]
		}
		first := within(steps, InjuredUnknown).Changes[0]
		if !first.Found {
			continue // the drift hides it: the other measures place, they do not find
		}
		found++
		require.NotContains(t, first.Because, "together")
		alone += math.Abs(first.Minute - from)

		for i := range steps {
			s := &steps[i]
			lost := 0.0
			if s.Side == recording.Left {
				lost = a.by * min(max(((s.InitialContact-startAt)/60-from)/a.over, 0), 1)
			}
			loaded := s.PeakLoweringRate/usualRate - 1 - lost
			s.TimeToFootFlat = 0.05 / (1 + lost - 0.5*loaded + 0.02*r.NormFloat64())
			s.DecelerationFraction = math.Pow(math.Sin(0.7-0.5*lost+0.05*r.NormFloat64()), 2)
		}
		c := within(steps, InjuredUnknown).Changes[0]
		require.True(t, c.Found)
		require.Equal(t, recording.Left, c.Side)
		require.Contains(t, c.Because, "together")
		by += math.Abs(c.Minute - from)
	}
	t.Logf("mean distance in %.0f runs: %.2f min by the peak rate alone, %.2f min together", found, alone/found, by/found)
	require.Greater(t, found, runs/2.0)
	require.Less(t, by, alone/2)
}
