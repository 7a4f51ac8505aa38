package page_test

import (
	"math"
	"math/rand/v2"
	"time"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

const deg = math.Pi / 180

var nan = math.NaN()

// made says what an invented session is like.
type made struct {
	n           int                    // steps a side
	left, right float64                // peak lowering rate, deg/s
	injured     asymmetry.Injured      // named side
	verdict     asymmetry.Verdict      // of the main measure
	change      func(res *gait.Result) // last touch
}

// result invents a session. It is drawn, not measured.
func (m made) result() *gait.Result {
	rng := rand.New(rand.NewPCG(3, 4))
	r := &gait.Result{Version: "0.1.0", Method: gait.Method, Seed: 1, Start: time.Date(2024, 5, 1, 7, 30, 0, 0, time.UTC),
		Session:  &session.Session{Gait: event.Running, Cadence: estimate.Estimate{N: 2 * m.n, Center: 171.2 / 60, Low: 170.6 / 60, High: 171.9 / 60, Method: "median"}},
		Withheld: []gait.Withheld{{What: "Foot-flat peak, right foot", Why: "the accelerometer clipped at 157 m/s²"}},
		Choices:  []gait.Choice{{What: "low-pass of the pitch rate", Value: "Butterworth, 60 Hz, zero-phase"}, {What: "resampling", Value: "2000 block resamples, seed 1"}},
		Remarks: []remark.Remark{
			{Code: "unit-inferred", Level: remark.Note, Place: remark.At("left.csv", 1, nan), Count: 1, Text: "acceleration is taken as g: the still sensor reads 1.00"},
			{Code: "gap", Level: remark.Loss, Place: remark.At("right.csv", 10422, 52.11), Count: 3, Text: "0.42 s without samples"}},
	}
	for i := range m.n {
		for k, side := range []recording.Side{recording.Left, recording.Right} {
			peak, flat := m.left+18*rng.NormFloat64(), 0.046+0.003*rng.NormFloat64()
			if side == recording.Right {
				peak, flat = m.right+26*rng.NormFloat64(), 0.034+0.003*rng.NormFloat64()
			}
			r.Steps = append(r.Steps, lowered(side, i+1, 2+0.7*float64(i)+0.35*float64(k), peak*deg, flat))
		}
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		in := gait.Input{Label: side.String() + ".csv", Side: side, Site: recording.Foot, RateHz: 200, Samples: 28000, DurationS: 140,
			Files: []recording.Input{{Name: side.String() + ".csv", SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Bytes: 2 << 20}},
			Mapping: []recording.Channel{{Name: "time_s", Role: "time", Unit: "s", UnitFrom: "header"},
				{Name: "ax", Role: "acc_x", Unit: "g", UnitFrom: "inferred", Check: "still sensor reads 1.00 g"}}}
		r.Inputs = append(r.Inputs, in)
		r.Excerpts = append(r.Excerpts, excerpt(r, side))
	}
	r.Session.Left, r.Session.Right = summary(r, recording.Left), summary(r, recording.Right)
	exact(r.Session.Left, m.left)
	exact(r.Session.Right, m.right)
	r.Injured, r.Asymmetry = m.injured, m.compare(r)
	if m.change != nil {
		m.change(r)
	}
	return r
}

// exact gives the main measure of a side the value asked for, deg/s.
func exact(s *session.Side, v float64) {
	for i := range s.Measures {
		if e := &s.Measures[i].Estimate; s.Measures[i].Key == step.Primary {
			e.Center, e.Low, e.High = v*deg, (v-5)*deg, (v+5)*deg
		}
	}
}

func (m made) compare(r *gait.Result) *asymmetry.Result {
	a := &asymmetry.Result{Injured: m.injured}
	first, second, of := recording.Right, recording.Left, "right - left"
	if m.injured == asymmetry.InjuredLeft {
		first, second = second, first
	}
	if m.injured == asymmetry.InjuredLeft || m.injured == asymmetry.InjuredRight {
		of = "injured - uninjured"
	}
	for _, metric := range step.Catalogue() {
		f, s := r.Session.Of(first).Get(metric.Key), r.Session.Of(second).Get(metric.Key)
		d := f.Center - s.Center
		width := 0.1*math.Abs(d) + 0.01*math.Abs(f.Center)
		c := asymmetry.Comparison{Key: metric.Key, First: first, Second: second, DifferenceOf: of,
			Difference:           estimate.Estimate{N: m.n, Center: d, Low: d - width, High: d + width, Method: "difference of medians, block bootstrap"},
			SymmetryIndexPercent: 200 * d / (f.Center + s.Center), LogRatioPercent: nan, HasInterval: true, ExcludesZero: math.Abs(d) > width,
			Floor: metric.Floor((f.Center + s.Center) / 2), FloorFrom: metric.FloorReason, Verdict: asymmetry.Alike,
			Because: "the whole interval of the difference lies within the limit", ByLanding: estimate.None(m.n), ByLandingBecause: ""}
		if metric.Key == step.Primary {
			c.Verdict, c.Because = m.verdict, "the reason for the verdict"
		}
		if !metric.Verdict {
			c.Verdict, c.Because = asymmetry.NoVerdict, "shown without a verdict: "+metric.NoVerdict
		}
		a.Comparisons = append(a.Comparisons, c)
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		a.Drifts = append(a.Drifts, asymmetry.Drift{Key: step.Primary, Side: side, FirstMinute: 0.4, LastMinute: 1.9,
			Difference: estimate.Estimate{N: m.n / 3, Center: 12 * deg, Low: -3 * deg, High: 27 * deg, Method: "difference of medians"}})
		a.Changes = append(a.Changes, asymmetry.Change{Key: step.Primary, Side: side, Because: "no change of more than 54 deg/s was shown"})
	}
	return a
}

func lowered(side recording.Side, n int, t, peak, flat float64) step.Step {
	s := step.Step{Side: side, Number: n, Gait: event.Running, InitialContact: t, FootFlat: t + flat, ToeOff: t + 0.25,
		StrideTime: 0.7 + 0.001*float64(n%5), ContactTime: 0.25 + 0.002*float64(n%3), HeelFirst: step.True, StrikeAngle: (12 + 0.1*float64(n%9)) * deg, Strike: step.Rearfoot, TimeToFootFlat: flat,
		PeakLoweringRate: peak, FootFlatRate: peak / 2, DecelerationFraction: 0.5, HeelContactPeak: 31, FootFlatPeak: 12, Used: true}
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
	for i := range r.Steps {
		if r.Steps[i].Side == side {
			s.Steps, s.Used, s.Rearfoot = s.Steps+1, s.Used+1, s.Rearfoot+1
		}
	}
	for _, m := range step.Catalogue() {
		var v []float64
		for i := range r.Steps {
			if x := m.Value(&r.Steps[i]); r.Steps[i].Side == side && !math.IsNaN(x) {
				v = append(v, x)
			}
		}
		c := estimate.Median(v)
		s.Measures = append(s.Measures, session.Measure{Key: m.Key, Estimate: estimate.Estimate{N: len(v), Center: c,
			Low: c * 0.985, High: c * 1.015, Method: "invented for this test"}})
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
