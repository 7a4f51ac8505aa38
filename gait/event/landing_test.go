package event

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/unit"
)

// resting is a window of n samples of a foot that rests.
func resting(n int, rate float64) *Window {
	w := &Window{Rate: rate, DownEnd: -1, NextSwing: -1, Void: make([]recording.Void, n)}
	for k := range 3 {
		w.Acc[k], w.Gyr[k] = make([]float64, n), make([]float64, n)
	}
	for i := range n {
		w.Acc[2][i] = unit.StandardGravity
	}
	return w
}

// ramp lets the acceleration along an axis rise from the fractional sample at,
// by slope a sample, for the given number of samples.
func ramp(w *Window, axis int, at, slope, samples float64) {
	for i := range w.Len() {
		w.Acc[axis][i] += slope * math.Max(0, math.Min(samples, float64(i)-at))
	}
}

// A ramp from nothing, over two sample intervals and more, is what the formula
// of impact is exact for.
func TestTheOnsetOfARampIsFoundBetweenSamples(t *testing.T) {
	for _, axis := range []int{0, 2} {
		for k := range 20 {
			at := 50 + float64(k)/20
			w := resting(100, 200)
			ramp(w, axis, at, 12, 3)
			require.InDelta(t, at, impact(w, 20, 80, onsetShare), 1e-9, "axis %d", axis)
		}
	}
}

// Swing is smooth, not still: a steady change of a twentieth of the impact's
// moves the onset by no more than that share of a sample.
func TestTheOnsetHoldsOnASteadilyChangingAcceleration(t *testing.T) {
	for k := range 20 {
		at := 50 + float64(k)/20
		w := resting(100, 200)
		ramp(w, 0, 0, 0.6, 1000)
		ramp(w, 0, at, 12, 3)
		require.InDelta(t, at, impact(w, 20, 80, onsetShare), 0.1)
	}
}

func TestTheFirstStrongImpactIsTakenNotTheStrongest(t *testing.T) {
	for _, c := range []struct{ first, want float64 }{{0.3, 60}, {0.6, 40}} {
		w := resting(100, 200)
		ramp(w, 2, 40, 12*c.first, 3)
		ramp(w, 2, 60, 12, 3)
		require.InDelta(t, c.want, impact(w, 20, 80, onsetShare), 0.1, "the first is %g of the strongest", c.first)
		require.InDelta(t, 60, impact(w, 50, 80, onsetShare), 0.1, "only what lies in the range counts")
	}
}

func TestThereIsNoImpactWhereNothingHits(t *testing.T) {
	w := resting(100, 200)
	require.True(t, math.IsNaN(impact(w, 20, 80, onsetShare)), "nothing moves")
	ramp(w, 2, 50, 12, 3)
	require.True(t, math.IsNaN(impact(w, 80, 20, onsetShare)), "an empty range")
	for i := 48; i < 58; i++ {
		w.Void[i] = recording.VoidAcc | recording.VoidGyr
	}
	require.True(t, math.IsNaN(impact(w, 20, 80, onsetShare)), "what was bridged is no impact")
	for i := 48; i < 58; i++ {
		w.Void[i] = recording.VoidGyr
	}
	require.InDelta(t, 50, impact(w, 20, 80, onsetShare), 1e-9, "a clipped rate says nothing of the acceleration")
}

// The flank of a clipped impact is all there: only its peak is cut off.
func TestAClippedImpactKeepsItsTime(t *testing.T) {
	const limit = 2.5 // of 12 a sample
	for k := range 10 {
		at := 50 + float64(k)/10
		w := resting(100, 200)
		ramp(w, 0, at, 12, 3)
		for i, v := range w.Acc[0] {
			if v > 12*limit {
				w.Acc[0][i], w.Void[i] = 12*limit, recording.VoidAcc
			}
		}
		require.InDelta(t, at, impact(w, 20, 80, onsetShare), 0.01)
	}
}

// study is a foot whose impacts lie at middle ± each of the distances, s: the
// scaled MAD is 1.4826 times the distance.
func study(g Gait, n int, middle, distance float64) *LandingStudy {
	s := &LandingStudy{}
	for i := range n {
		s.gaps[g] = append(s.gaps[g], middle+distance*float64(1-2*(i%2)))
	}
	return s
}

func TestHowInitialContactIsReadIsDecidedForAllFeetTogether(t *testing.T) {
	const (
		sharp, scattered, useless = 0.002, 0.005, 0.012 // MAD 3.0, 7.4 and 17.8 ms
		usual                     = walkingShift
	)
	type foot struct {
		n                int
		middle, distance float64
	}
	for _, c := range []struct {
		name     string
		feet     []foot
		byImpact bool
		shift    []float64
		from     string
	}{
		{"steady impacts are the initial contact", []foot{{20, -0.030, sharp}, {20, -0.027, sharp}}, true, []float64{-0.030, -0.027}, "the onset of the impact"},
		{"scattered impacts give a shift of the rise", []foot{{20, -0.030, scattered}, {20, -0.027, scattered}}, false, []float64{-0.030, -0.027}, "shifted to the median impact"},
		{"useless impacts leave the usual shift", []foot{{20, -0.030, useless}, {20, -0.027, useless}}, false, []float64{usual, usual}, "too much to time by"},
		{"one scattered foot decides for both", []foot{{20, -0.030, sharp}, {20, -0.027, scattered}}, false, []float64{-0.030, -0.027}, "shifted to the median impact"},
		{"one useless foot decides for both", []foot{{20, -0.030, useless}, {20, -0.027, sharp}}, false, []float64{usual, usual}, "too much to time by"},
		{"impacts far ahead of the rise are none", []foot{{20, -0.060, sharp}, {20, -0.027, sharp}}, false, []float64{usual, usual}, "lies too far before"},
		{"a foot with too few landings has no say", []foot{{4, -0.030, useless}, {6, -0.027, sharp}}, true, []float64{usual, -0.027}, "the onset of the impact"},
		{"nobody has enough landings", []foot{{4, -0.030, sharp}, {0, 0, 0}}, false, []float64{usual, usual}, ""},
		{"one foot alone", []foot{{6, -0.030, sharp}}, true, []float64{-0.030}, "the onset of the impact"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var studies, reversed []*LandingStudy
			for _, f := range c.feet {
				s := study(Walking, f.n, f.middle, f.distance)
				studies, reversed = append(studies, s), append([]*LandingStudy{s}, reversed...)
			}
			got := DecideLandings(studies)
			back := DecideLandings(reversed)
			require.Len(t, got, len(c.feet))
			for i, l := range got {
				require.Equal(t, c.byImpact, l.ByImpact[Walking])
				require.InDelta(t, c.shift[i], l.Shift[Walking], 1e-12)
				require.Equal(t, c.from == "", l.From[Walking] == "")
				require.Contains(t, l.From[Walking], c.from)
				require.Equal(t, l, back[len(back)-1-i], "the order of the feet does not matter")
				require.False(t, l.ByImpact[Running], "walking says nothing of running")
				require.Equal(t, DefaultLandings().Shift[Running], l.Shift[Running])
				require.Empty(t, l.From[Running])
			}
		})
	}
}

// The gait of a landing before a stop cannot be told from its own turns.
func TestTheUsualGaitIsThatOfMostLandingsOfAllFeet(t *testing.T) {
	for _, c := range []struct {
		walked, ran [2]int
		want        Gait
	}{
		{[2]int{0, 0}, [2]int{0, 0}, Walking},
		{[2]int{9, 9}, [2]int{9, 9}, Walking},
		{[2]int{3, 2}, [2]int{40, 41}, Running},
		{[2]int{40, 0}, [2]int{10, 29}, Walking},
		{[2]int{40, 0}, [2]int{10, 31}, Running},
	} {
		var studies []*LandingStudy
		for i := range 2 {
			studies = append(studies, &LandingStudy{landings: [3]int{Walking: c.walked[i], Running: c.ran[i]}})
		}
		for _, l := range DecideLandings(studies) {
			require.Equal(t, c.want, l.Usual, "%+v", c)
		}
	}
}

func TestRunningIsDecidedApartFromWalking(t *testing.T) {
	s := study(Running, 20, -0.02, 0.001)
	s.gaps[Walking] = study(Walking, 20, -0.03, 0.02).gaps[Walking]
	l := DecideLandings([]*LandingStudy{s})[0]
	require.True(t, l.ByImpact[Running])
	require.False(t, l.ByImpact[Walking])
	require.InDelta(t, -0.02, l.Shift[Running], 1e-12)
	require.InDelta(t, walkingShift, l.Shift[Walking], 1e-12)
	require.Contains(t, l.From[Walking], fmt.Sprintf("%.0f ms", walkingShift*1e3))
}

// strike is a hand-made contact in stance: swing ends at sample 20, the foot
// then lies at pitch before, turns toe-down from sample 40 to 60, where it is at
// pitch after, and rests.
func strike(before, after float64) (*Window, *Contact) {
	w := resting(160, 200)
	w.Swing, w.UpEnd = 5, 20
	c := &Contact{IC: math.NaN(), FF: math.NaN(), TO: math.NaN(), Flat: 110, Pitch: make([]float64, 160), To: 159}
	for i := range 160 {
		x := math.Max(0, math.Min(1, float64(i-40)/20))
		c.Pitch[i] = after + (before-after)*(1+math.Cos(math.Pi*x))/2
		if x > 0 && x < 1 {
			w.Gyr[1][i] = (before - after) * math.Pi / 2 * math.Sin(math.Pi*x) / 0.1
		} else {
			w.Gyr[1][i] = -1e-3 // not quite still, as a foot never is
		}
	}
	return w, c
}

func TestALoweringAfterHeelContactIsToldFromATurnInTheAir(t *testing.T) {
	for _, c := range []struct {
		name          string
		before, after float64 // deg
		heel, flat    float64 // jerk as the lowering begins, and later, m/s² a sample
		lost          bool
		bend          float64 // of the acceleration in late swing, m/s² a sample
		want          bool
	}{
		{"toes up, impact, flat", 15, 0, 5, 5, false, 0, true},
		{"the heel's impact may be the weaker one", 15, 0, 1, 5, false, 0, true},
		{"nothing hits the ground as the turn begins", 15, 0, 0.3, 5, false, 0, false},
		{"a soft heel that stands out from swing before a hard slap", 15, 0, 0.3, 5, false, 0.05, true},
		{"what late swing does as well is no heel", 15, 0, 0.3, 5, false, 0.2, false},
		{"the impact was lost", 15, 0, 0.3, 5, true, 0, true},
		{"the toes are hardly up", 2, 0, 5, 5, false, 0, false},
		{"the foot turns beyond flat: the forefoot came first", 10, -5, 5, 5, false, 0, false},
		{"a little beyond flat is no forefoot", 10, -3, 5, 5, false, 0, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, contact := strike(c.before*degree, c.after*degree)
			ramp(w, 0, 12, c.bend, 4)
			ramp(w, 2, 40, c.heel, 3)
			ramp(w, 2, 60, c.flat, 3)
			if c.lost {
				w.Void[42] = recording.VoidAcc | recording.VoidGyr
			}
			l := findLobe(w, contact)
			require.True(t, l.ok)
			require.Equal(t, 50, l.peak)
			// A sine is at 0.6 after asin(0.6)/π of its half.
			require.InDelta(t, 40+20*math.Asin(0.6)/math.Pi, l.rise, 0.05)
			require.Equal(t, c.want, l.heel)
		})
	}
}

func TestNoToeDownTurnIsNoLobe(t *testing.T) {
	w, c := strike(0, 0)
	require.False(t, findLobe(w, c).ok)
}

func TestInitialContactFollowsTheImpactOrTheRise(t *testing.T) {
	w, c := strike(15*degree, 0)
	ramp(w, 2, 41.3, 5, 3)
	rise := findLobe(w, c).rise
	how := DefaultLandings()
	require.InDelta(t, rise+walkingShift*200, initialContact(w, c, how), 1e-9, "from the rise")
	how.ByImpact[Walking], how.Shift[Walking] = true, -0.015
	require.InDelta(t, rise-0.015*200, initialContact(w, c, how), 1e-9, "no swing follows: the impact of a last landing is softer")
	w.NextSwing = w.Swing + 200
	require.Equal(t, Walking, w.Gait())
	require.InDelta(t, 41.3, initialContact(w, c, how), 1e-9, "the impact itself")
	how.Shift[Walking] = -0.040
	require.InDelta(t, rise-0.040*200, initialContact(w, c, how), 1e-9, "an impact far from the usual one is another impact")
	how.Usual, how.Shift[Running], w.NextSwing = Running, -0.012, -1
	require.Equal(t, GaitUnknown, w.Gait(), "no swing follows")
	require.InDelta(t, rise-0.012*200, initialContact(w, c, how), 1e-9, "the last landing is read as most are")
}

func TestAFootThatDoesNotLandHeelFirstLandsWithItsImpact(t *testing.T) {
	w, c := strike(0, 0)
	ramp(w, 2, 30.4, 5, 3)
	require.InDelta(t, 30.4, initialContact(w, c, DefaultLandings()), 1e-9)
	still, c := strike(0, 0)
	require.Equal(t, 20.0, initialContact(still, c, DefaultLandings()), "without an impact the end of swing stands for it")
	// A shuffle's landing is looked for from long before the foot rests.
	w, c = strike(15*degree, 0)
	w.UpEnd, w.Irregular = 70, true
	ramp(w, 2, 12.5, 5, 3)
	require.InDelta(t, 12.5, initialContact(w, c, DefaultLandings()), 1e-9)
}

// The heel that comes down after a forefoot may turn faster than the swing did:
// the touch then stands before the fastest moment.
func TestTheTouchOfAForefootMayStandBeforeTheFastestTurn(t *testing.T) {
	w, c := strike(0, 0)
	w.Swing, w.UpEnd = 28, 30
	ramp(w, 2, 16.5, 5, 3)
	require.InDelta(t, 16.5, initialContact(w, c, DefaultLandings()), 1e-9)
}

func TestALandingBehindLostSamplesIsNotTheirEnd(t *testing.T) {
	lose := func(w *Window, from, to int) {
		for i := from; i < to; i++ {
			w.Void[i] = recording.VoidAcc | recording.VoidGyr
		}
	}
	w, c := strike(0, 0)
	ramp(w, 2, 12.5, 5, 3) // the touch, then a hole, then the rest of the impact
	ramp(w, 2, 20, 7, 3)
	lose(w, 16, 20)
	w.UpEnd = 26
	require.InDelta(t, 12.5, initialContact(w, c, DefaultLandings()), 1e-9, "the start shows before the hole")

	w, c = strike(0, 0)
	ramp(w, 2, 20, 7, 3)
	lose(w, 16, 20)
	w.UpEnd = 26
	require.Equal(t, 26.0, initialContact(w, c, DefaultLandings()), "the touch is lost: the end of the turn stands for it")

	w.UpEnd = 15
	require.InDelta(t, 20, initialContact(w, c, DefaultLandings()), 1, "nothing better than what is left")
}

func TestAddTakesHeelFirstLandingsOnly(t *testing.T) {
	s := &LandingStudy{}
	list := append([]turn{stand(1)}, steps(12)...)
	k := trackOf(200, append(list, stand(1.5))...)
	for i := range 12 {
		// The heel hits the ground 0.7 s into each step, the forefoot at 0.8 s.
		for j := range k.void {
			k.acc[2][j] += 5*math.Max(0, math.Min(3, float64(j)-200*(1.7+float64(i)))) - 5*math.Max(0, math.Min(3, float64(j)-200*(1.75+float64(i))))
		}
	}
	var scratch []float64
	for _, w := range detect(k, 1000, 0) {
		c := NewContact(&w, scratch)
		scratch = c.Pitch
		s.Add(&w, &c)
		w.Irregular = true
		s.Add(&w, &c)
	}
	require.Len(t, s.gaps[Walking], 11)
	require.Empty(t, s.gaps[GaitUnknown], "no swing follows the last one")
	require.Equal(t, [3]int{Walking: 11}, s.landings)
	middle, mad := s.spread(Walking)
	// From the touch at 0.7 s to 0.6 of the first peak: asin(0.6)/π of 0.1 s.
	require.InDelta(t, -0.1*math.Asin(0.6)/math.Pi, middle, 0.003)
	require.Less(t, mad, 0.001)
}

// A heel that is turned toe-down before it touches hits after the rise with the
// toes still up; a forefoot that slaps hits with the foot nearly flat.
func TestAHeelMayTouchAfterItWasTurnedDown(t *testing.T) {
	const rate, rise, soft = 200, 40.0, 2.0
	for _, c := range []struct {
		name            string
		hit, hard, fall float64 // sample and slope of the hit, pitch lost a sample, rad
		lost            bool
		found           bool
	}{
		{"well after the rise and much harder", 45.3, 12, 0.008, false, true},
		{"as hard as what came before", 45.3, 5, 0.008, false, false},
		{"at the rise", 41.6, 12, 0.008, false, false},
		{"the foot is nearly flat: the forefoot", 45.3, 12, 0.030, false, false},
		{"what was before is lost", 45.3, 12, 0.008, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := resting(100, rate)
			ramp(w, 0, 35, soft, 3)
			ramp(w, 2, c.hit, c.hard, 3)
			if c.lost {
				w.Void[36] = recording.VoidAcc | recording.VoidGyr
			}
			contact := Contact{Flat: 80, To: 99, Pitch: make([]float64, 100)}
			for i := range contact.Pitch {
				contact.Pitch[i] = math.Max(0, math.Min(0.2, 0.2-c.fall*(float64(i)-rise)))
			}
			got := lateImpact(w, &contact, rise)
			if !c.found {
				require.True(t, math.IsNaN(got), "%g", got)
				return
			}
			require.InDelta(t, c.hit, got, 0.05)
		})
	}
}

// A running foot that lands flat is thrown toe-down and back toe-up: its toe-up
// turn seems to end after it has landed.
func TestAFootThatReboundsHadLandedBefore(t *testing.T) {
	const rate, hit = 200, 60.4
	for _, c := range []struct {
		name  string
		later float64 // slope of what hits after the turn's end, m/s² a sample
		burst float64 // toe-down turning between, rad/s
		want  bool
	}{
		{"the ground stops and throws it", 1, 5, true},
		{"what follows is as hard", 12, 5, false},
		{"the turn never came back", 1, -1, false},
		{"what follows is lost", 1, 5, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := resting(140, rate)
			for i := range w.Gyr[1] {
				switch {
				case i < 58:
					w.Gyr[1][i] = -6
				case i < 64:
					w.Gyr[1][i] = c.burst
				case i < 69:
					w.Gyr[1][i] = -7
				case i < 72:
					w.Gyr[1][i] = 0.5 // no lobe of a lowering follows
				}
			}
			w.Swing, w.UpEnd, w.DownEnd, w.NextSwing = 66, 69, 125, 139
			ramp(w, 0, hit, 12, 3)
			ramp(w, 0, 74, c.later, 3)
			if c.name == "what follows is lost" {
				w.Void[74] = recording.VoidAcc | recording.VoidGyr
			}
			contact := NewContact(w, nil)
			require.Equal(t, c.want, rebound(w, &contact) == 58)
			if c.want {
				require.InDelta(t, hit, initialContact(w, &contact, DefaultLandings()), 0.1)
			}
		})
	}
}
