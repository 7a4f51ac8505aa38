package simulate

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/step"
)

// usual is the landing that Defaults gives a gait, without variation.
func usual(g event.Gait) Landing {
	s := Defaults(g).Left
	return Landing{g, s.StrikeAngle, s.PitchRate, s.Gain, s.Load, s.Sink, s.Forward}
}

// De Cock et al. 2005, Gait Posture 21:432, running barefoot at 3.3 m/s: heel
// only for 8.2 % of contact, all metatarsals down by 8.2 + 11.3 = 19.5 %. Our
// foot-flat lies between the two; shod running lands steeper and may take a
// little longer, so the bounds are 8 and 25 % of the contact time. Walking: a
// loading response of about 0–12 % of the gait cycle (Perry's handbook, from
// memory), 0.13 s at 112 steps/min; the open treadmill recordings have 0.15 s.
// The rates follow from spending a strike angle of 8–20° in that time: 205–410
// deg/s on average over 49 ms, and the peak is more; walking peaks of 150–350
// deg/s are common practice, no source.
func TestLandingStaysWithinPublishedRanges(t *testing.T) {
	tests := []struct {
		gait             event.Gait
		angle            float64 // deg
		minTime, maxTime float64 // s
		minRate, maxRate float64 // deg/s
	}{
		{event.Running, 8, 0.08 * 0.26, 0.25 * 0.26, 205, 500},
		{event.Running, 14, 0.08 * 0.26, 0.25 * 0.26, 250, 700},
		{event.Running, 20, 0.08 * 0.26, 0.25 * 0.26, 250, 700},
		{event.Walking, 20, 0.10, 0.17, 150, 350},
		{event.Walking, 28, 0.10, 0.17, 150, 350},
	}
	for _, test := range tests {
		l := usual(test.gait)
		l.StrikeAngle = test.angle * degree
		s := Land(l)
		require.Greater(t, s.TimeToFootFlat, test.minTime, "%v %v°", test.gait, test.angle)
		require.Less(t, s.TimeToFootFlat, test.maxTime, "%v %v°", test.gait, test.angle)
		require.Greater(t, s.PeakLoweringRate/degree, test.minRate, "%v %v°", test.gait, test.angle)
		require.Less(t, s.PeakLoweringRate/degree, test.maxRate, "%v %v°", test.gait, test.angle)
	}
}

func TestMoreControlGivesSlowerLowering(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		for _, angle := range []float64{4, 6, 8, 11, 14, 18, 22, 26} {
			l := usual(g)
			l.StrikeAngle = angle * degree
			var last Step
			for i := range 25 {
				l.Gain = float64(i) * 0.05
				s := Land(l)
				if i > 0 {
					require.Less(t, s.PeakLoweringRate, last.PeakLoweringRate, "%v %v° gain %v", g, angle, l.Gain)
					require.Greater(t, s.TimeToFootFlat, last.TimeToFootFlat, "%v %v° gain %v", g, angle, l.Gain)
				}
				// Deceleration is compared every 0.1: from one gain to the next
				// a hundredth may fall below the resolution of the peak.
				if i%2 == 0 && i > 0 {
					l.Gain -= 0.1
					before := Land(l)
					require.Greater(t, s.DecelerationFraction, before.DecelerationFraction, "%v %v° gain %v", g, angle, l.Gain)
				}
				last = s
			}
		}
	}
}

// Without control the foot is dropped: it is hardly slowed before it is flat.
// With control it has lost a good part of its rate.
func TestGainSeparatesDroppedFromSetDown(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		l := usual(g)
		healthy := Land(l)
		l.Gain = 0
		dropped := Land(l)
		require.Less(t, dropped.DecelerationFraction, 0.15, g)
		require.Greater(t, healthy.DecelerationFraction, 0.4, g)
		require.Greater(t, dropped.PeakLoweringRate/healthy.PeakLoweringRate, 1.5, g)
	}
}

func TestFlatterLandingLowersSlower(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		last := 0.0
		for angle := 4.0; angle <= 26; angle++ {
			l := usual(g)
			l.StrikeAngle = angle * degree
			s := Land(l)
			require.Greater(t, s.PeakLoweringRate, last, "%v %v°", g, angle)
			last = s.PeakLoweringRate
		}
	}
}

func TestForefootLandingHasNoLowering(t *testing.T) {
	tests := []struct {
		angle     float64
		heelFirst step.Truth
		strike    step.Strike
	}{
		{14, step.True, step.Rearfoot}, {8.1, step.True, step.Rearfoot}, {7.9, step.True, step.Midfoot},
		{3.1, step.True, step.Midfoot}, {2.9, step.False, step.Midfoot}, {-1.5, step.False, step.Midfoot},
		{-1.7, step.False, step.Forefoot}, {-9, step.False, step.Forefoot},
	}
	for _, test := range tests {
		l := usual(event.Running)
		l.StrikeAngle = test.angle * degree
		s := Land(l)
		require.Equal(t, test.heelFirst, s.HeelFirst, test.angle)
		require.Equal(t, test.strike, s.Strike, test.angle)
		require.Equal(t, test.heelFirst != step.True, math.IsNaN(s.PeakLoweringRate), test.angle)
		require.Equal(t, test.heelFirst != step.True, math.IsNaN(s.TimeToFootFlat), test.angle)
		require.False(t, math.IsNaN(s.FootFlat), "the foot becomes flat however it lands")
	}
	l := usual(event.Walking)
	require.Equal(t, step.NoStrike, Land(l).Strike)
}

// Halving the step of the integration must not move the result: with nodes every
// landingStep, the truth of a fast landing is compared with a landing
// integrated from the same equations by much smaller Euler steps.
func TestIntegrationHasConverged(t *testing.T) {
	l := usual(event.Running)
	l.Gain = 0
	nodes := land(l, 0.06)
	s := &landingSystem{Landing: l, m: model(l.Gait), touched: math.Inf(1)}
	s.rest = s.m.moment * l.Load * s.m.flatShare / (contactRate * contactRate)
	const h = 1e-7
	pitch, rate := l.StrikeAngle, l.PitchRate
	for i := 0; float64(i)*h < 0.05; i++ {
		at := float64(i) * h
		if math.IsInf(s.touched, 1) && pitch <= touchAngle {
			s.touched = at
		}
		rate += h * s.turn(at, pitch, rate)
		pitch += h * rate
	}
	got := between(nodes.pitch, 0.05)
	require.InDelta(t, pitch, got.v, 2e-4, "rad")
	require.InDelta(t, rate, got.d, 0.02, "rad/s")
}

// The table of docs/simulator.md is what the model gives.
func TestDocumentedTableIsCurrent(t *testing.T) {
	doc, err := os.ReadFile(filepath.Join("..", "..", "docs", "simulator.md"))
	require.NoError(t, err)
	for _, test := range []struct {
		gait  event.Gait
		angle float64
	}{{event.Running, 8}, {event.Running, 14}, {event.Running, 20}, {event.Walking, 23}} {
		for _, gain := range []float64{0, 0.25, 0.5, 0.75, 1, 1.2} {
			l := usual(test.gait)
			l.StrikeAngle, l.Gain = test.angle*degree, gain
			s := Land(l)
			row := fmt.Sprintf("| %v, %v° | %v | %.0f | %.0f | %.2f |", test.gait, test.angle, gain,
				s.TimeToFootFlat*1000, s.PeakLoweringRate/degree, s.DecelerationFraction)
			require.Contains(t, string(doc), row)
		}
	}
}
