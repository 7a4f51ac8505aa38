package table_test

import (
	"math"
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

// lowered is a step that landed heel first.
func lowered(side recording.Side, n int, t float64) step.Step {
	return step.Step{
		Side: side, Number: n, Gait: event.Running,
		InitialContact: t, FootFlat: t + 0.04, ToeOff: t + 0.25, StrideTime: 0.7, ContactTime: 0.25,
		HeelFirst: step.True, StrikeAngle: 12.3456 * deg, Strike: step.Rearfoot,
		TimeToFootFlat: 0.04, PeakLoweringRate: 412.34 * deg, FootFlatRate: 150 * deg,
		DecelerationFraction: 1 - 150/412.34, HeelContactPeak: 31.25, FootFlatPeak: 12.5, Used: true,
	}
}

// flat is a step that landed on the whole foot, near the end of a recording.
func flat(side recording.Side, n int, t float64) step.Step {
	return step.Step{
		Side: side, Number: n, Gait: event.Running,
		InitialContact: t, FootFlat: nan, ToeOff: nan, StrideTime: nan, ContactTime: nan,
		HeelFirst: step.False, StrikeAngle: -1.5 * deg, Strike: step.Midfoot,
		TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan, DecelerationFraction: nan,
		HeelContactPeak: nan, FootFlatPeak: nan, Reason: `gap at 3.2 s, "short" stride`,
	}
}

// side makes a summary with the same numbers for every metric.
func side(s recording.Side) *session.Side {
	out := &session.Side{Side: s, Steps: 203, Used: 200, Rearfoot: 190, Midfoot: 10,
		LeftOut: []session.Count{{Reason: "gap", Steps: 3}}}
	for _, m := range step.Catalogue() {
		out.Measures = append(out.Measures, session.Measure{Key: m.Key, Estimate: estimate.Estimate{
			N: 200, Center: m.Unit.ToBase(10.123456), Low: m.Unit.ToBase(9), High: m.Unit.ToBase(11), Method: "invented for this test"}})
	}
	return out
}

// result is a session of both sides.
func result() *gait.Result {
	r := &gait.Result{
		Version: "0.1.0", Method: gait.Method, Seed: 1, Start: time.Date(2024, 5, 1, 7, 30, 0, 0, time.UTC),
		Inputs: []gait.Input{{Files: []recording.Input{{Name: "left <a&b>.csv", SHA256: sum, Bytes: 10}}, Label: "left.csv",
			Side: recording.Left, Site: recording.Foot, RateHz: 200, Samples: 1000, DurationS: 4.995,
			Mapping: []recording.Channel{{Name: "t", Role: "time", Unit: "s", UnitFrom: "header"}, {Name: "ax", Role: "acc_x", Unit: "g", UnitFrom: "inferred", Check: "still: 1.00 g"}}}},
		Session: &session.Session{Gait: event.Running, Cadence: estimate.Estimate{N: 400, Center: 2.8, Low: 2.79, High: 2.81, Method: "median"},
			Left: side(recording.Left), Right: side(recording.Right)},
		Steps:    []step.Step{lowered(recording.Left, 1, 1.23456), lowered(recording.Right, 1, 1.58), flat(recording.Left, 2, 1.93)},
		Withheld: []gait.Withheld{{What: "Foot-flat peak, left", Why: "clipped"}},
		Choices:  []gait.Choice{{What: "low-pass", Value: "60 Hz"}},
		Remarks: []remark.Remark{
			{Code: "gap", Level: remark.Loss, Place: remark.At("left.csv", 12, 3.2), Count: 2, Text: "0.4 s without samples"},
			{Code: "unit", Level: remark.Note, Place: remark.At("", 0, nan), Count: 1, Text: "inferred"}},
	}
	r.Injured, r.Asymmetry = asymmetry.InjuredRight, compare()
	return r
}

func compare() *asymmetry.Result {
	a := &asymmetry.Result{Injured: asymmetry.InjuredRight, LandingNote: "the right lands flatter",
		Drifts:  []asymmetry.Drift{{Key: step.Primary, Side: recording.Left, Difference: estimate.None(20), FirstMinute: 1, LastMinute: 9}},
		Changes: []asymmetry.Change{{Key: step.Primary, Side: recording.Left, Minute: 4, Because: "no change of more than the floor"}}}
	for _, m := range step.Catalogue() {
		c := asymmetry.Comparison{Key: m.Key, First: recording.Right, Second: recording.Left, DifferenceOf: "injured - uninjured",
			Difference:           estimate.Estimate{N: 200, Center: m.Unit.ToBase(2), Low: m.Unit.ToBase(1), High: m.Unit.ToBase(3), Method: "difference of medians"},
			SymmetryIndexPercent: 20, LogRatioPercent: nan, ExcludesZero: true, HasInterval: true,
			Floor: m.Floor(1), FloorFrom: m.FloorReason, Verdict: asymmetry.Different, Because: "the interval lies beyond the floor",
			ByLanding: estimate.None(0), ByLandingBecause: "no overlap"}
		if !m.Verdict {
			c.Verdict, c.Because = asymmetry.NoVerdict, m.NoVerdict
		}
		a.Comparisons = append(a.Comparisons, c)
	}
	return a
}

const sum = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
