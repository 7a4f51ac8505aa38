// Package step measures each step and holds the one catalogue of metrics that
// CSV columns, JSON keys, headings, plots and docs/metrics.md all range over.
package step

import (
	"setdown/gait/event"
	"setdown/signal/recording"
)

// Strike is the strike class of a running step (Altman & Davis, 2012).
type Strike uint8

// The strike classes. Walking steps have NoStrike.
const (
	NoStrike Strike = iota
	Rearfoot
	Midfoot
	Forefoot
)

// String returns "", "rearfoot", "midfoot" or "forefoot".
func (s Strike) String() string { return [...]string{"", "rearfoot", "midfoot", "forefoot"}[s] }

// Truth is a yes/no answer that may be unknown.
type Truth uint8

// The answers.
const (
	Unknown Truth = iota
	False
	True
)

// String returns "", "false" or "true".
func (t Truth) String() string { return [...]string{"", "false", "true"}[t] }

// Step is one contact of one foot with the ground, in base units. NaN means
// "not measured"; it is written as an empty cell, never as zero.
type Step struct {
	// Small fields stand together: a long run has a hundred thousand steps.

	Side recording.Side
	Gait event.Gait
	// HeelFirst tells whether the step landed heel first: toe up by more than
	// 3° at initial contact, followed by a toe-down rotation to flat.
	HeelFirst Truth
	Strike    Strike
	// Irregular marks a step without the shape of a swing: a turn or a shuffle.
	Irregular bool
	// Fast marks a step that turned faster between initial contact and foot-flat
	// than its gyroscope's range can show, Hard one that hit the ground harder
	// there than its accelerometer's can.
	Fast, Hard bool
	// Ends marks the last step of a bout: no step of the same foot follows it soon.
	Ends   bool
	lost   bool // samples were lost near initial contact
	turned bool // the sensor sat turned on the foot
	// yaw and roll tell how the turning axis lies: see turningAxis.
	yaw, roll tilt
	// Used tells whether the step enters the summaries; Reason says why not, or
	// which measures were withheld and why.
	Used   bool
	Reason string
	// Number counts the steps of this side from 1, in time order.
	Number int
	// InitialContact, FootFlat and ToeOff are s on the recording's time axis.
	InitialContact, FootFlat, ToeOff float64
	// StrideTime is s from this initial contact to the next of the same foot.
	StrideTime float64
	// ContactTime is s from initial contact to toe-off.
	ContactTime float64
	// StrikeAngle is the foot pitch at initial contact, rad, toe up positive.
	StrikeAngle float64
	// TimeToFootFlat is s from initial contact to foot-flat. NaN unless HeelFirst.
	TimeToFootFlat float64
	// PeakLoweringRate and FootFlatRate are toe-down pitch rates, rad/s,
	// positive. NaN unless HeelFirst.
	PeakLoweringRate, FootFlatRate float64
	// DecelerationFraction is 1 − FootFlatRate/PeakLoweringRate: 0 dropped,
	// towards 1 set down. NaN unless HeelFirst.
	DecelerationFraction float64
	// HeelContactPeak and FootFlatPeak are peaks of the high-passed
	// acceleration, m/s², near initial contact and foot-flat.
	HeelContactPeak, FootFlatPeak float64
	// Curve is the toe-down pitch rate, rad/s, sampled every CurveStep s from
	// CurveStart s relative to initial contact; nil when it was not kept.
	Curve []float32
}

// CurveStart, CurveStep and CurveLen describe Step.Curve: s before (negative)
// initial contact, s between samples, and the number of samples.
const (
	CurveStart = -0.05
	CurveStep  = 0.005
	CurveLen   = 61
)
