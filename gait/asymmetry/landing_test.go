package asymmetry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/step"
)

// foot draws steps whose measure is gain times (100 deg/s plus 20 deg/s per
// degree of strike angle) with 15 deg/s of scatter; angles scatter by spread,
// deg, and are read with the error that the method takes them to have.
func foot(seed uint64, n int, angle, spread, gain float64) []pair {
	r := rand.New(rand.NewPCG(seed, 9))
	out := make([]pair, n)
	for i := range out {
		a := angle + spread*r.NormFloat64()
		out[i] = pair{
			angle: a*degrees + angleError*r.NormFloat64(),
			value: (gain*(100+20*a) + 15*r.NormFloat64()) * degrees,
		}
	}
	return out
}

func values(p []pair) []float64 {
	out := make([]float64, len(p))
	for i := range p {
		out[i] = p[i].value
	}
	return out
}

// A foot that lands 2° flatter with the same control lowers by 40 deg/s more
// slowly, all of it by the landing.
func TestADifferenceMadeByTheLandingIsExplained(t *testing.T) {
	a, b := foot(1, 400, 14, 3, 1), foot(2, 400, 16, 3, 1)
	e, why := byLanding(a, b)
	require.Empty(t, why)
	require.Equal(t, 400, e.N)
	require.InDelta(t, -40, e.Center/degrees, 8)
	require.Less(t, e.Low, -40*degrees)
	require.Greater(t, e.High, -40*degrees)
	require.Less(t, e.High, 0.0)
	observed := estimate.Mean(values(a)) - estimate.Mean(values(b))
	require.InDelta(t, 1, e.Center/observed, 0.15, "the landing explains what was seen")

	back, _ := byLanding(b, a)
	require.InDelta(t, -e.Center, back.Center, 1e-12, "swapping the sides changes the sign only")
	require.InDelta(t, -e.Low, back.High, 1e-12)
}

// A foot with less control that lands the same way lowers faster by 120 deg/s,
// none of it by the landing.
func TestADifferenceMadeByControlIsNotExplainedByTheLanding(t *testing.T) {
	a, b := foot(3, 400, 15, 3, 1.3), foot(4, 400, 15, 3, 1)
	require.InDelta(t, 120, (estimate.Mean(values(a))-estimate.Mean(values(b)))/degrees, 15)
	e, why := byLanding(a, b)
	require.Empty(t, why)
	require.InDelta(t, 0, e.Center/degrees, 12)
	require.LessOrEqual(t, e.Low, 0.0)
	require.GreaterOrEqual(t, e.High, 0.0)
}

// The slope of 20 a second is recovered although the angle is read with an
// error, which flattens the plain one by 9/10 at a scatter of 3°.
func TestTheSlopeIsCorrectedForTheAnglesError(t *testing.T) {
	slope, se, ok := pooledSlope(foot(5, 4000, 15, 3, 1), foot(6, 4000, 10, 3, 1))
	require.True(t, ok)
	require.InDelta(t, 20, slope, 3*se)
	require.InDelta(t, 0.9, 18/slope, 0.03)
}

func TestTheLandingExplainsNothingWhereItCannotBeTold(t *testing.T) {
	flat := foot(9, 100, 15, 0, 1) // scatters by the angle's error alone
	for _, c := range []struct {
		name string
		a, b []pair
		why  string
	}{
		{"too few steps", foot(1, 11, 15, 3, 1), foot(2, 400, 15, 3, 1), "at least 12 heel-first steps"},
		{"no steps", nil, nil, "at least 12 heel-first steps"},
		{"angles that hardly overlap", foot(1, 100, 5, 2, 1), foot(2, 100, 17, 2, 1), "overlap too little (0 % of steps; 50 % are needed)"},
		{"one side's angles within the wide ones of the other", foot(1, 100, 15, 1, 1), foot(2, 100, 15, 14, 1), "overlap too little"},
		{"angles that do not vary", flat, foot(10, 100, 15, 0, 1), "varies too little"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, swap := range []bool{false, true} {
				a, b := c.a, c.b
				if swap {
					a, b = b, a
				}
				e, why := byLanding(a, b)
				require.Contains(t, why, c.why)
				require.True(t, math.IsNaN(e.Center))
				require.False(t, e.HasInterval())
			}
		})
	}
	_, why := byLanding(foot(1, 12, 15, 3, 1), foot(2, 12, 15, 3, 1))
	require.NotContains(t, why, "at least", "twelve are enough to try")
}

func TestOverlapIsTheShareInsideTheOtherSidesRange(t *testing.T) {
	line := func(from, to float64) []pair {
		var out []pair
		for i := range 101 {
			out = append(out, pair{angle: from + (to-from)*float64(i)/100})
		}
		return out
	}
	// 1–99 % of 0…100 is 1…99.
	require.InDelta(t, 99.0/101, overlap(line(0, 100), line(0, 100)), 1e-12)
	require.InDelta(t, 50.0/101, overlap(line(50, 150), line(0, 100)), 1e-12)
	require.Zero(t, overlap(line(200, 300), line(0, 100)))
	require.Equal(t, 1.0, overlap(line(40, 60), line(0, 100)))
}

func TestOnlyLoweringIsSetBesideTheLanding(t *testing.T) {
	left := usualSide(100)
	r := compare(left, usualSide(100), together())
	for _, m := range step.Catalogue() {
		c := get(t, r, m.Key)
		if !m.Lowering {
			require.Zero(t, c.ByLanding.N, m.Key)
			require.Empty(t, c.ByLandingBecause, m.Key)
		}
		require.True(t, c.ByLanding.HasInterval() || c.ByLandingBecause != "" || !m.Lowering, m.Key)
	}
}

func TestTheLandingNoteNamesTheFlatterFoot(t *testing.T) {
	for _, c := range []struct {
		left, right float64 // deg
		want        string
	}{
		{15, 15, ""},
		{16, 15, ""}, // within the 3° of uninjured runners
		{22, 12, "The feet land differently: the right foot lands flatter than the left by 10 degrees."},
		{12, 22, "The feet land differently: the left foot lands flatter than the right by 10 degrees."},
	} {
		for _, injured := range []Injured{InjuredUnknown, InjuredLeft, InjuredRight} {
			left, right := usualSide(100), usualSide(100)
			left.angle, right.angle = c.left, c.right
			set := together()
			set.Injured = injured
			require.Equal(t, c.want, compare(left, right, set).LandingNote, "%g and %g, injured %s", c.left, c.right, injured)
		}
	}
}
