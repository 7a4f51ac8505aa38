package agreement

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
)

// Shrout & Fleiss, 1979, table 2: six targets, four judges. The data are from
// memory and confirmed by the published coefficients .17, .29, .71, .44, .62,
// .91; the longer figures were computed apart from this code.
var judges = Table{Rows: [][]float64{
	{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7},
}}

// Weir, 2005, J. Strength Cond. Res. 19, 231–240, data set A.
var trials = Table{Rows: [][]float64{
	{146, 140}, {148, 152}, {170, 152}, {90, 99}, {157, 145}, {156, 153}, {176, 167}, {205, 218},
}}

// tol is half a unit of the last digit quoted.
const tol = 5e-7

func TestVarianceOfTheJudges(t *testing.T) {
	v, err := NewVariance(judges)
	require.NoError(t, err)
	require.InDelta(t, 11.241667, v.BetweenMS, tol)
	require.InDelta(t, 6.263889, v.WithinMS, tol)
	require.InDelta(t, 32.486111, v.OccasionMS, tol)
	require.InDelta(t, 1.019444, v.ErrorMS, tol)
	f, p := v.F(1)
	require.InDelta(t, 1.794678, f, tol)
	require.InDelta(t, 0.164769, p, tol)
	f, p = v.F(3)
	require.InDelta(t, 11.027248, f, tol)
	require.InDelta(t, 0.000134567, p, 5e-10)
	require.InDelta(t, 4.785144, v.satterthwaiteFreedom(0.28976377952755905), tol)
}

func TestCorrelationsOfTheJudges(t *testing.T) {
	v, err := NewVariance(judges)
	require.NoError(t, err)
	for _, c := range []struct {
		form              Form
		center, low, high float64
	}{
		{Form{1, false}, 0.165742, -0.132932, 0.722560},
		{Form{2, false}, 0.289764, 0.018787, 0.761084},
		{Form{3, false}, 0.714841, 0.342465, 0.945858},
	} {
		e := v.ICC(c.form, estimate.Config{})
		require.InDelta(t, c.center, e.Center, tol, c.form)
		require.InDelta(t, c.low, e.Low, tol, c.form)
		require.InDelta(t, c.high, e.High, tol, c.form)
		require.Equal(t, 6, e.N)
		require.Equal(t, Enough, e.Needed)
	}
	for form, center := range map[Form]float64{{1, true}: 0.442797, {2, true}: 0.620051, {3, true}: 0.909316} {
		e := v.ICC(form, estimate.Config{})
		require.InDelta(t, center, e.Center, tol, form)
		require.Less(t, e.Low, e.Center)
		require.Greater(t, e.High, e.Center)
	}
}

// The mean of k follows from a single measurement by the Spearman–Brown
// formula k r/(1+(k−1) r), ends of the interval included.
func TestMeanOfOccasionsFollowsFromSingleOnes(t *testing.T) {
	v, err := NewVariance(judges)
	require.NoError(t, err)
	for model := 1; model <= 3; model++ {
		single, mean := v.ICC(Form{model, false}, estimate.Config{}), v.ICC(Form{model, true}, estimate.Config{})
		stepped := func(r float64) float64 { return 4 * r / (1 + 3*r) }
		require.InDelta(t, stepped(single.Center), mean.Center, 1e-12)
		require.InDelta(t, stepped(single.Low), mean.Low, 1e-12)
		require.InDelta(t, stepped(single.High), mean.High, 1e-12)
	}
}

func TestVarianceAndCorrelationsOfTheTrials(t *testing.T) {
	v, err := NewVariance(trials)
	require.NoError(t, err)
	require.InDelta(t, 14689.75, v.BetweenSS, 1e-9)
	require.InDelta(t, 30.25, v.OccasionSS, 1e-9)
	require.InDelta(t, 399.75, v.ErrorSS, 1e-9)
	require.InDelta(t, 15119.75, v.TotalSS, 1e-9)
	require.InDelta(t, 2098.535714, v.BetweenMS, tol)
	require.InDelta(t, 57.107143, v.ErrorMS, tol)
	require.InDelta(t, 53.75, v.WithinMS, 1e-9)
	require.InDelta(t, 31.748753, v.SD, tol)
	for form, want := range map[Form]float64{
		{1, false}: 0.950053, {2, false}: 0.949975, {3, false}: 0.947016,
		{1, true}: 0.974387, {2, true}: 0.974346, {3, true}: 0.972787,
	} {
		require.InDelta(t, want, v.ICC(form, estimate.Config{}).Center, tol, form)
	}
}

func TestTablesThatCannotBeAnalysed(t *testing.T) {
	_, err := NewVariance(Table{Rows: [][]float64{{1, 2}}})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = NewVariance(Table{Rows: [][]float64{{1}, {2}}})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = NewVariance(Table{Rows: [][]float64{{1, 2}, {2}}})
	require.ErrorContains(t, err, "subject 2")
	require.Panics(t, func() { Variance{}.ICC(Form{Model: 4}, estimate.Config{}) })
}
