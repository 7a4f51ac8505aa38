package agreement

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
)

// Bland & Altman, 1986, Lancet i, 307–310: peak flow, l/min, of 17 people with
// two meters, twice each. The paper rounds; the longer figures were computed
// apart from this code.
var (
	wright1 = []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	wright2 = []float64{490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421}
	mini1   = []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	mini2   = []float64{525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443}
)

func repeated(a, b []float64) Table {
	var t Table
	for i := range a {
		t.Rows = append(t.Rows, []float64{a[i], b[i]})
	}
	return t
}

func TestLimitsOfTheTwoMeters(t *testing.T) {
	l, err := NewLimits(wright1, mini1, estimate.Config{})
	require.NoError(t, err)
	require.InDelta(t, -2.117647, l.Mean.Center, tol)
	require.InDelta(t, 38.765130, l.SD, tol)
	require.InDelta(t, -22.048838, l.Mean.Low, tol)
	require.InDelta(t, 17.813544, l.Mean.High, tol)
	require.InDelta(t, -78.095905, l.Lower.Center, tol) // q = 1.959964
	require.InDelta(t, 73.860611, l.Upper.Center, tol)

	// With the paper's 2 SD, limits and their intervals: −79.7 (−114.3 to
	// −45.1) and 75.5 there.
	l, err = newLimits(wright1, mini1, 2, 0, estimate.Config{})
	require.NoError(t, err)
	require.InDelta(t, -79.647907, l.Lower.Center, tol)
	require.InDelta(t, -114.169742, l.Lower.Low, tol)
	require.InDelta(t, -45.126072, l.Lower.High, tol)
	require.InDelta(t, 75.412613, l.Upper.Center, tol)
	require.InDelta(t, 40.890778, l.Upper.Low, tol)
	require.InDelta(t, 109.934448, l.Upper.High, tol)
}

func TestRepeatabilityOfEachMeter(t *testing.T) {
	require.InDelta(t, 43.293798, Repeatability(repeated(wright1, wright2), estimate.Config{}).Rounded, tol)
	require.InDelta(t, 56.316334, Repeatability(repeated(mini1, mini2), estimate.Config{}).Rounded, 1e-6)
	require.True(t, math.IsNaN(Repeatability(Table{Rows: [][]float64{{1}}}, estimate.Config{}).SD))
}

func TestLimitsOfMeansPutTheErrorBack(t *testing.T) {
	l, err := NewLimitsOfMeans(repeated(wright1, wright2), repeated(mini1, mini2), estimate.Config{})
	require.NoError(t, err)
	require.InDelta(t, -6.029412, l.Mean.Center, tol)
	require.InDelta(t, 33.204137, estimate.SD(l.Differences), tol)
	require.InDelta(t, 37.654779, l.SD, tol)
	require.InDelta(t, -81.338969, l.Mean.Center-2*l.SD, tol)
	require.InDelta(t, 69.280146, l.Mean.Center+2*l.SD, 1e-6)
}

func TestLimitsRefuseBrokenPairs(t *testing.T) {
	_, err := NewLimits([]float64{1, 2}, []float64{1, 2}, estimate.Config{})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = NewLimits([]float64{1, 2, 3}, []float64{1, 2}, estimate.Config{})
	require.Error(t, err)
	_, err = NewLimits([]float64{1, 2, math.NaN()}, []float64{1, 2, 3}, estimate.Config{})
	require.Error(t, err)
}

// Weir, 2005, p. 236, prints SEM 7.6, SEE 7.1 and SEP 10.2.
func TestErrorsOfTheTrials(t *testing.T) {
	v, err := NewVariance(trials)
	require.NoError(t, err)
	sem := v.SEM(estimate.Config{})
	require.InDelta(t, 7.556927, sem.Center, tol)
	require.InDelta(t, 20.946732, v.MDC(Normal, estimate.Config{}).Center*1.96/1.959964, 1e-5) // the reference takes 1.96
	icc := v.ICC(Form{3, false}, estimate.Config{}).Center
	require.InDelta(t, 7.307999, SEMFromICC(v.SD, icc), tol)
	require.InDelta(t, 7.111761, SEE(v.SD, icc), tol)
	require.InDelta(t, 10.197255, SEP(v.SD, icc), tol)
	// t with 7 degrees of freedom is 2.364624 (any table of t).
	require.InDelta(t, 2.364624*math.Sqrt2*7.556927, v.MDC(Student, estimate.Config{}).Center, 1e-4)
	// χ² with 7 degrees of freedom: 1.689869 and 16.012764 (any table of χ²).
	require.InDelta(t, math.Sqrt(7*57.107143/16.012764), sem.Low, 1e-5)
	require.InDelta(t, math.Sqrt(7*57.107143/1.689869), sem.High, 1e-5)
	require.True(t, math.IsNaN(SEMFromICC(1, -0.2)))
}

func TestCompleteLeavesOutWhatIsMissingAndSaysWhich(t *testing.T) {
	table := Table{Subjects: []string{"a", "b", "c"}, Rows: [][]float64{{1, 2}, {math.NaN(), 3}, {4, 5}}}
	complete, leftOut := table.Complete()
	require.Equal(t, []int{1}, leftOut)
	require.Equal(t, []string{"a", "c"}, complete.Subjects)
	require.Equal(t, [][]float64{{1, 2}, {4, 5}}, complete.Rows)
}

// The floor must do what it says: a difference that is refitting alone lies
// within it in 95 % of new sessions, however few refittings it came from.
func TestFloorFromFewRefittingsHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	const people = 20000
	within, changed := 0, 0
	for range people {
		set := Refitted{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		d, err := Detect(estimate.Config{}, set)
		require.NoError(t, err)
		next := r.NormFloat64()
		if math.Abs(next) <= d.Difference {
			within++
		}
		if math.Abs(next-r.NormFloat64()) <= d.Change {
			changed++
		}
	}
	const chance = 3 * 0.0016 // three standard errors of 95 % of 20,000
	require.InDelta(t, 0.95, float64(within)/people, chance)
	require.InDelta(t, 0.95, float64(changed)/people, chance)
}

func TestRefittingsArePooledWithinSets(t *testing.T) {
	d, err := Detect(estimate.Config{}, Refitted{1, 3}, Refitted{10, 12, 14}, Refitted{99})
	require.NoError(t, err)
	require.Equal(t, 3, d.Freedom)
	require.Equal(t, 5, d.Sessions)
	require.InDelta(t, math.Sqrt((2.0+8)/3), d.SE.Center, 1e-12)
	require.InDelta(t, d.Change, d.ChangeOf(1, 1, estimate.Config{}), 1e-12)
	require.Less(t, d.ChangeOf(3, 1, estimate.Config{}), d.Change)
	_, err = Detect(estimate.Config{}, Refitted{1})
	require.ErrorIs(t, err, ErrTooFew)
}
