package event

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

const degree = math.Pi / 180

// turn is one turn: half a sine of an angle (rad, toe-down positive) and a
// length (s).
type turn struct{ angle, seconds float64 }

// turns samples the turns one after the other at rate Hz; the sum of the
// samples over the rate is the angle, within rounding.
func turns(rate float64, list ...turn) []float64 {
	var out []float64
	for _, l := range list {
		n := int(l.seconds*rate + 0.5)
		for i := range n {
			x := (float64(i) + 0.5) / float64(n)
			out = append(out, l.angle*math.Pi/2/l.seconds*math.Sin(math.Pi*x))
		}
	}
	return out
}

// The turns of one made-up stride of one second: push-off 40° down, swing 60°
// up, lowering 20° down. The swing's fastest moment is at 0.475 s and its end at
// 0.65 s.
var (
	pushOff  = turn{40 * degree, 0.30}
	swingUp  = turn{-60 * degree, 0.35}
	hang     = turn{0, 0.05}
	lowering = turn{20 * degree, 0.10}
	rest     = turn{0, 0.20}
	oneStep  = []turn{pushOff, swingUp, hang, lowering, rest}
)

func stand(seconds float64) turn { return turn{0, seconds} }

// feed pushes all rates and returns the confirmed swings.
func feed(f *swingFinder, rates []float64) []swing {
	var out []swing
	for _, r := range rates {
		if f.push(r) {
			out = append(out, f.found)
		}
	}
	return out
}

func TestEachSwingIsFoundOnceAtAnyRate(t *testing.T) {
	for _, rate := range []float64{52, 100, 200, 1000} {
		list := []turn{stand(1)}
		for range 10 {
			list = append(list, oneStep...)
		}
		f := newSwingFinder(rate, usualSwing{})
		found := feed(f, turns(rate, list...))
		require.Len(t, found, 10, "at %g Hz", rate)
		for i, s := range found {
			begin := 1 + float64(i)
			require.InDelta(t, begin+0.300, float64(s.downEnd)/rate, 1.6/rate)
			require.InDelta(t, begin+0.475, float64(s.peak)/rate, 1.6/rate)
			// Half a sine falls below a tenth at 0.968 of its length.
			require.InDelta(t, begin+0.300+0.968*0.35, float64(s.upEnd)/rate, 1.6/rate)
			require.InDelta(t, 60*degree, s.angle, 1.5*degree)
			require.InDelta(t, 60*degree*math.Pi/2/0.35, s.fastest, 0.03*60*degree*math.Pi/2/0.35)
			require.False(t, s.irregular)
		}
		_, again := f.flush()
		require.False(t, again, "a confirmed swing must not come again at the end")
	}
}

func TestWhatIsNoSwingIsNotTakenForOne(t *testing.T) {
	const rate = 200
	ring := func(top, hertz float64) []float64 { // top: from crest to trough, rad
		var out []float64
		for i := range 60 * rate {
			w := 2 * math.Pi * hertz
			out = append(out, top/2*w*math.Cos(w*float64(i)/rate))
		}
		return out
	}
	steady := func(v float64) []float64 { return slices.Repeat([]float64{v}, 60*rate) }
	r := rand.New(rand.NewPCG(1, 2))
	noisy := steady(-0.02)
	for i := range noisy {
		noisy[i] += 0.05 * r.NormFloat64()
	}
	for _, c := range []struct {
		name  string
		rates []float64
		usual usualSwing
		want  int
	}{
		{"ringing inside the dead band", ring(11*degree, 8), usualSwing{}, 0},
		{"ringing beyond the dead band but below the least swing", ring(13.5*degree, 8), usualSwing{}, 0},
		{"turns above the least swing, so that the cases before mean something", ring(16*degree, 2), usualSwing{}, 120},
		{"the same turns in a person who swings ten times as far", ring(16*degree, 2), usualSwing{angle: 160 * degree}, 0},
		{"the same turns in a person who swings ten times as fast", ring(16*degree, 2), usualSwing{fastest: 17.6}, 0},
		{"wide but slower than the least rate", ring(60*degree, 0.25), usualSwing{}, 0},
		{"a minute of standing with a rate left over, toe-down", steady(0.02), usualSwing{}, 0},
		{"the same toe-up", steady(-0.02), usualSwing{}, 0},
		{"the same with noise", noisy, usualSwing{}, 0},
		{"standing", steady(0), usualSwing{}, 0},
		{"a toe-up turn whose end drags on", turns(rate, pushOff, turn{-60 * degree, 2.4}, turn{20 * degree, 0.1}), usualSwing{}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			found := feed(newSwingFinder(rate, c.usual), c.rates)
			// The first turn has no top before it, the last none behind it.
			require.InDelta(t, c.want, len(found), 1)
			if c.want == 0 {
				require.Empty(t, found)
			}
		})
	}
}

func TestStepsAfterAMinuteOfDriftAreFound(t *testing.T) {
	const rate = 200
	for _, drift := range []float64{0.02, -0.02} {
		list := slices.Repeat([]float64{drift}, 60*rate)
		for range 5 {
			list = append(list, turns(rate, oneStep...)...)
		}
		require.Len(t, feed(newSwingFinder(rate, usualSwing{}), list), 5)
	}
}

func TestASwingEndsWhereItsTurnDiesDownNotWhereTheFootStopsCreeping(t *testing.T) {
	const rate = 200
	creep := turn{-6 * degree, 0.4} // fastest 0.41 rad/s, under a tenth of the swing's 4.7
	s := feed(newSwingFinder(rate, usualSwing{}), turns(rate, stand(0.5), pushOff, swingUp, creep, pushOff))
	require.Len(t, s, 1)
	require.InDelta(t, 0.5+0.3+0.968*0.35, float64(s[0].upEnd)/rate, 0.01)
	require.InDelta(t, 66*degree, s[0].angle, 0.5*degree, "the angle is that of the whole turn")
}

func TestASwingOfTwoPushesEndsAfterTheSecond(t *testing.T) {
	const rate = 200
	first, second := turn{-35 * degree, 0.2}, turn{-30 * degree, 0.2} // nearly as fast: the first does not end it
	s := feed(newSwingFinder(rate, usualSwing{}), turns(rate, stand(0.5), pushOff, first, stand(0.03), second, hang, lowering, rest))
	require.Len(t, s, 1)
	require.InDelta(t, 0.5+0.3+0.2+0.03+0.968*0.2, float64(s[0].upEnd)/rate, 0.01)
}

func TestAWobbleInsideTheDeadBandDoesNotSplitASwing(t *testing.T) {
	const rate = 200
	for back, want := range map[float64]int{8: 1, 16: 2} {
		s := feed(newSwingFinder(rate, usualSwing{}), turns(rate, stand(0.5), pushOff, turn{-35 * degree, 0.2}, turn{back * degree, 0.1},
			turn{-(25 + back) * degree, 0.2}, hang, lowering, rest))
		require.Len(t, s, want, "%g deg back", back)
		require.InDelta(t, 0.5, float64(s[0].downEnd)/rate-0.3, 0.01)
	}
}

func TestAnUnconfirmedSwingComesOutAtTheEndOrAtRest(t *testing.T) {
	const rate = 200
	flat := turns(rate, stand(0.5), pushOff, swingUp, stand(0.2)) // lands flat: nothing turns back
	for name, end := range map[string]func(*swingFinder) (swing, bool){"flush": (*swingFinder).flush, "settle": (*swingFinder).settle} {
		f := newSwingFinder(rate, usualSwing{})
		require.Empty(t, feed(f, flat), name)
		s, ok := end(f)
		require.True(t, ok, name)
		require.InDelta(t, 0.975, float64(s.peak)/rate, 0.01, name)
	}
	f := newSwingFinder(rate, usualSwing{})
	feed(f, flat)
	f.settle()
	_, twice := f.settle()
	require.False(t, twice, "a settled swing is given once")
	require.Len(t, feed(f, turns(rate, append(oneStep, oneStep...)...)), 2, "and the next ones are found as ever")
	_, ok := newSwingFinder(rate, usualSwing{}).flush()
	require.False(t, ok, "nothing was pushed")
}

func TestMeasureSwingsGivesTheMedianSwing(t *testing.T) {
	const rate = 200
	var list []turn
	for k := range 9 {
		up := swingUp
		if k == 4 {
			up.angle *= 1.5 // a single high step must not count
		}
		list = append(list, pushOff, up, hang, turn{-up.angle - pushOff.angle, lowering.seconds}, rest)
	}
	s := MeasureSwings(rate, turns(rate, list...))
	require.Equal(t, 9, s.N)
	require.InDelta(t, 60*degree, s.Angle, 0.5*degree)
	require.InDelta(t, 60*degree*math.Pi/2/0.35, s.Fastest, 0.02)
	require.Zero(t, MeasureSwings(rate, make([]float64, 1000)))
	require.Zero(t, MeasureSwings(rate, nil))
}
