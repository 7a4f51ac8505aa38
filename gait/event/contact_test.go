package event

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/unit"
)

// A foot that turns at (20, 100, −30) deg/s about its own axes for half a second
// has the pitch −50.717540° then, and had 47.01° before: 0.72° and 3° off the
// single axis' 50°. Reference: rotation vector ωt of 0.5 s as quaternion
// 0.894346677170 0.084170921983 0.420854609914 −0.126256382974, ZYX angles
// −14.169350° 50.717540° 4.010788° (SciPy, as in the tests of package orient), toe-down positive
// there; the pitch before is that of the inverse rotation.
func TestPitchIsIntegratedAboutAllAxes(t *testing.T) {
	const rate = 200
	w := resting(301, rate)
	w.UpEnd = 30
	for i := range w.Len() {
		w.Gyr[0][i], w.Gyr[1][i], w.Gyr[2][i] = 20*degree, 100*degree, -30*degree
	}
	c := Contact{Flat: 150, From: 0, To: 300, Pitch: make([]float64, 301)}
	c.walk(w, 1)
	c.walk(w, -1)
	require.InDelta(t, -50.717540, c.Pitch[250]/degree, 1e-6)
	qw, qx, qy, qz := 0.894346677170, 0.084170921983, 0.420854609914, -0.126256382974
	require.InDelta(t, math.Asin(2*(qx*qz+qw*qy))/degree, c.Pitch[50]/degree, 1e-6)
	require.Zero(t, c.Pitch[150])
}

func TestPitchIsZeroInMidStanceAndNaNOutsideItsRange(t *testing.T) {
	const rate = 200
	w := resting(300, rate)
	w.UpEnd, w.DownEnd, w.NextSwing = 60, 250, 280
	for i := range w.Len() {
		w.Gyr[1][i] = 0.2 // creeps toe-down at 0.2 rad/s all along
	}
	scratch := make([]float64, 7)
	c := NewContact(w, scratch)
	require.Len(t, c.Pitch, 300)
	require.Equal(t, 60-24, c.From, "0.12 s before the end of swing")
	require.Equal(t, c.Flat+10, c.To, "0.05 s after mid-stance")
	for i, p := range c.Pitch {
		if i < c.From || i > c.To {
			require.True(t, math.IsNaN(p), "sample %d", i)
			continue
		}
		require.InDelta(t, -0.2*float64(i-c.Flat)/rate, p, 1e-3, "sample %d", i)
	}
	again := NewContact(w, c.Pitch)
	require.Same(t, &c.Pitch[0], &again.Pitch[0], "scratch space that is large enough is used")
}

func TestPitchAtInterpolatesAndEndsAtTheRange(t *testing.T) {
	c := &Contact{Pitch: []float64{9, 1, 2, 4, 9}, From: 1, To: 3}
	for at, want := range map[float64]float64{1: 1, 1.5: 1.5, 2.25: 2.5, 3: 4} {
		require.InDelta(t, want, PitchAt(c, at), 1e-15)
	}
	for _, at := range []float64{0.9, 4, -1} {
		require.True(t, math.IsNaN(PitchAt(c, at)), "%g", at)
	}
}

func TestMidStanceIsWhereTheFootFeelsGravityAlone(t *testing.T) {
	w := resting(300, 200)
	w.UpEnd = 40
	for i := range w.Len() {
		w.Gyr[1][i] = 1.5
		if i >= 60 && i < 130 {
			w.Gyr[1][i] = 0 // still in the air: no turning, but little force
			w.Acc[2][i] = 3
		}
		if i >= 180 && i < 240 {
			w.Gyr[1][i] = 0.3 // creeping on the ground
		}
	}
	at, unrest := flat(w)
	require.GreaterOrEqual(t, at, 190)
	require.Less(t, at, 230)
	require.InDelta(t, 0.3, unrest, 1e-9)
	for i := 60; i < 130; i++ {
		w.Acc[2][i] = unit.StandardGravity
	}
	at, unrest = flat(w)
	require.Greater(t, at, 70)
	require.Less(t, at, 120, "with gravity felt in both the stiller one is taken")
	require.InDelta(t, 0, unrest, 1e-6)
}

func TestAContactTooShortForMidStanceSaysSo(t *testing.T) {
	w := resting(60, 200)
	w.UpEnd, w.DownEnd, w.NextSwing = 40, 44, 58
	at, unrest := flat(w)
	require.True(t, math.IsNaN(unrest))
	require.InDelta(t, 42, at, 1)
}

// The pitch (x−r)(1 + 0.5x + 0.3x²) is a cubic of sample x that crosses its
// level at r; Hermite's interpolation with the true slopes is exact for it.
func TestFootFlatCrossesBetweenSamplesAlongTheCubic(t *testing.T) {
	const rate, size, level = 100.0, -0.05, 0.02
	for _, r := range []float64{0.01, 0.37, 0.5, 0.93} {
		w := resting(12, rate)
		c := &Contact{Pitch: make([]float64, 12), From: 0, To: 11}
		for i := range 12 {
			x := float64(i - 5)
			c.Pitch[i] = level + size*(x-r)*(1+0.5*x+0.3*x*x)
			slope := size * ((1 + 0.5*x + 0.3*x*x) + (x-r)*(0.5+0.6*x)) // a sample
			w.Gyr[1][i] = -slope * rate
		}
		require.InDelta(t, 5+r, crossing(w, c, 6, level), 1e-7)
	}
	c := &Contact{Pitch: []float64{1, 0}, From: 1, To: 1}
	require.Equal(t, 1.0, crossing(resting(2, rate), c, 1, 0.5), "nothing is known before the range")
}

func TestFootFlatIsWherePitchComesWithinOneDegree(t *testing.T) {
	// From 15° by a half cosine over the samples 40 to 60; within 1° of 0 at
	// cos πx = 2/15 − 1.
	falling := 40 + 20*math.Acos(2.0/15-1)/math.Pi
	w, c := strike(15*degree, 0)
	c.IC = 40
	require.InDelta(t, falling, footFlat(w, c), 0.02)

	for i := range c.Pitch { // a foot that lands toe-down comes up to flat
		c.Pitch[i], w.Gyr[1][i] = -c.Pitch[i], -w.Gyr[1][i]
	}
	require.InDelta(t, falling, footFlat(w, c), 0.02)

	w, c = strike(0.9*degree, 0)
	c.IC = 40.5
	require.Equal(t, 40.5, footFlat(w, c), "a foot that lands within 1° is flat at once")

	w, c = strike(15*degree, 0)
	c.Flat = 50
	c.IC = 40
	require.True(t, math.IsNaN(footFlat(w, c)), "flat after mid-stance is not searched for")
	for _, ic := range []float64{math.NaN(), -1, 400} {
		c.IC = ic
		require.True(t, math.IsNaN(footFlat(w, c)))
	}
}

func TestAFootThatCreepsOnIsFlatWhereTheLoweringComesToRest(t *testing.T) {
	w, c := strike(15*degree, 4*degree)
	for i := 61; i < 160; i++ { // 4° more through stance
		c.Pitch[i] = 4 * degree * math.Max(0, 1-float64(i-60)/50)
		w.Gyr[1][i] = 4 * degree / 50 * 200
	}
	c.IC = 40
	require.InDelta(t, 3.5, restingPitch(w, c)/degree, 0.7)
	// Within 1° of the resting pitch of about 3.5 to 4°, far before 1° of 0 at sample 98.
	got := footFlat(w, c)
	require.Greater(t, got, 52.0)
	require.Less(t, got, 60.0)

	w, c = strike(15*degree, 0)
	for i := range w.Gyr[1] {
		w.Gyr[1][i] = 2 // never rests
	}
	c.IC = 40
	require.True(t, math.IsNaN(restingPitch(w, c)))
}

// A made-up stride has its heel contact at 0.7 s with the toes up by 20°, which
// fall by a half cosine in 0.1 s: within 1° at cos πx = −0.9.
func TestFindGivesTheEventsOfAMadeUpStep(t *testing.T) {
	for _, rate := range []float64{100, 200, 500} {
		k := trackOf(rate, append([]turn{stand(1)}, append(steps(4), stand(2))...)...)
		for i := range 4 {
			hit := 1.7 + float64(i)
			for j := range k.void {
				k.acc[2][j] += 400 * (math.Max(0, math.Min(0.02, float64(j)/rate-hit)) - math.Max(0, math.Min(0.02, float64(j)/rate-hit-0.05)))
			}
		}
		how := DefaultLandings()
		for g := range how.ByImpact {
			how.ByImpact[g], how.Shift[g] = true, -0.0205
		}
		for i, w := range detect(k, 777, 0) {
			c := Find(&w, how, nil)
			near := 0.5 / rate
			if i == 3 {
				// Read from the rise: a rate stands half a sample beside its turn,
				// and a line between the samples of a sine is up to 0.6 ms off it.
				near += 0.0006
			}
			require.InDelta(t, 1.7+float64(i), w.Time(c.IC), near)
			require.InDelta(t, 1.7+float64(i)+0.1*math.Acos(-0.9)/math.Pi, w.Time(c.FF), 1/rate)
			require.InDelta(t, 20, PitchAt(&c, c.IC)/degree, 0.6)
			if i == 3 {
				require.True(t, math.IsNaN(c.TO), "nobody pushes off from the last one")
				continue
			}
			require.InDelta(t, 2.3+float64(i)-walkingToeOff, w.Time(c.TO), 1/rate)
			require.Equal(t, Walking, w.Gait())
		}
	}
}
