package figure_test

import (
	"math"
	"math/rand/v2"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
)

const deg = math.Pi / 180

// invented makes a run of n steps a side whose right foot is dropped. It is
// drawn, not measured: good enough to look at.
func invented(n int) *gait.Result {
	rng := rand.New(rand.NewPCG(1, 2))
	r := &gait.Result{Session: &session.Session{Gait: event.Running}}
	for i := range n {
		for k, side := range []recording.Side{recording.Left, recording.Right} {
			late := float64(i) / float64(n)
			peak, flat := 305+20*rng.NormFloat64(), 0.046+0.003*rng.NormFloat64()
			if side == recording.Right {
				peak, flat = 400+60*late+28*rng.NormFloat64(), 0.034+0.003*rng.NormFloat64()
			}
			r.Steps = append(r.Steps, lowered(side, i+1, 2+0.7*float64(i)+0.35*float64(k), peak*deg, flat))
		}
	}
	r.Session.Left, r.Session.Right = summary(r, recording.Left), summary(r, recording.Right)
	r.Injured = asymmetry.InjuredRight
	r.Asymmetry = &asymmetry.Result{Injured: asymmetry.InjuredRight, Changes: []asymmetry.Change{
		{Key: step.Primary, Side: recording.Right, Found: true, Minute: 1.1, Low: 0.8, High: 1.5}}}
	r.Excerpts = []gait.Excerpt{excerpt(r, recording.Left), excerpt(r, recording.Right)}
	return r
}

func lowered(side recording.Side, n int, t, peak, flat float64) step.Step {
	s := step.Step{Side: side, Number: n, Gait: event.Running, InitialContact: t, FootFlat: t + flat, ToeOff: t + 0.25,
		StrideTime: 0.7, ContactTime: 0.25, HeelFirst: step.True, StrikeAngle: 12 * deg, TimeToFootFlat: flat,
		PeakLoweringRate: peak, FootFlatRate: peak / 2, DecelerationFraction: 0.5, Used: true}
	for i := range step.CurveLen {
		s.Curve = append(s.Curve, float32(rate(step.CurveStart+float64(i)*step.CurveStep, peak, flat)))
	}
	return s
}

// rate is a bump that peaks before flat.
func rate(t, peak, flat float64) float64 {
	z := (t - 0.6*flat) / (0.55 * flat)
	return peak*math.Exp(-z*z/2) - 0.1*peak*math.Exp(-math.Pow((t-0.12)/0.05, 2))
}

func summary(r *gait.Result, side recording.Side) *session.Side {
	s := &session.Side{Side: side}
	for _, m := range step.Catalogue() {
		var v []float64
		for i := range r.Steps {
			if x := m.Value(&r.Steps[i]); r.Steps[i].Side == side && !math.IsNaN(x) {
				v = append(v, x)
			}
		}
		s.Measures = append(s.Measures, session.Measure{Key: m.Key, Estimate: estimate.Estimate{N: len(v), Center: estimate.Median(v)}})
	}
	return s
}

func excerpt(r *gait.Result, side recording.Side) gait.Excerpt {
	e := gait.Excerpt{Side: side}
	for t := 10.0; t < 14; t += 0.005 {
		var w float64
		for i := range r.Steps {
			if s := &r.Steps[i]; s.Side == side && math.Abs(s.InitialContact-t) < 1 {
				dt := t - s.InitialContact
				w += rate(dt, s.PeakLoweringRate, s.TimeToFootFlat) + 8*math.Exp(-math.Pow((dt-0.24)/0.04, 2)) - 6*math.Exp(-math.Pow((dt-0.4)/0.07, 2))
			}
		}
		e.Time, e.PitchRate, e.Acc = append(e.Time, t), append(e.PitchRate, w), append(e.Acc, 9.8+math.Abs(w)*2)
	}
	return e
}
