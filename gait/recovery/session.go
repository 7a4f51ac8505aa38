// Package recovery follows a case over its sessions: is control of lowering
// coming back. It compares like with like only, says one of five words, and
// says why, and what would settle a doubt.
//
// Its input is small and complete in itself, so that it can be fed from what a
// casebook keeps: no recording is needed to follow a case. The package knows
// nothing of pain; whether running may go on is the business of package diary,
// and nothing here can make that advice bolder.
package recovery

import (
	"encoding/json"
	"math"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/signal/recording"
)

// Real is a number that may not exist: NaN, written as null.
type Real float64

// MarshalJSON writes null for NaN and infinities.
func (r Real) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(r)) || math.IsInf(float64(r), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(r))
}

// UnmarshalJSON reads null as NaN.
func (r *Real) UnmarshalJSON(text []byte) error {
	var v *float64
	if err := json.Unmarshal(text, &v); err != nil {
		return err
	}
	*r = Real(math.NaN())
	if v != nil {
		*r = Real(*v)
	}
	return nil
}

// Value is an estimate as it is kept: base units, NaN where it does not exist.
type Value struct {
	N      int    `json:"n"`
	Center Real   `json:"center"`
	Low    Real   `json:"low"`
	High   Real   `json:"high"`
	Method string `json:"method"`
	// Needed is how many values it takes for an interval where there is none; else
	// 0.
	Needed int `json:"needed,omitempty"`
}

// ValueOf keeps an estimate.
func ValueOf(e estimate.Estimate) Value {
	return Value{e.N, Real(e.Center), Real(e.Low), Real(e.High), e.Method, e.Needed}
}

// known tells whether the value has a centre.
func (v Value) known() bool { return v.N > 0 && !math.IsNaN(float64(v.Center)) }

// negated returns the value of the opposite difference.
func (v Value) negated() Value {
	v.Center, v.Low, v.High = -v.Center, -v.High, -v.Low
	return v
}

// TurnedFor gives a value of left − right as DifferenceOf of the same side says:
// injured − uninjured, or right − left where no single side is injured.
func (v Value) TurnedFor(injured asymmetry.Injured) Value {
	if injured == asymmetry.InjuredLeft {
		return v
	}
	return v.negated()
}

// DifferenceOf says what a difference is of, in words that show which foot is
// which.
func DifferenceOf(injured asymmetry.Injured) string {
	switch injured {
	case asymmetry.InjuredLeft:
		return "left − right (injured − uninjured)"
	case asymmetry.InjuredRight:
		return "right − left (injured − uninjured)"
	}
	return "right − left"
}

// Measure is one metric of one session.
type Measure struct {
	Left  Value `json:"left"`
	Right Value `json:"right"`
	// Difference is left − right of the same session with its own interval.
	Difference Value `json:"left_minus_right"`
}

// side returns the value of a side.
func (m Measure) side(s recording.Side) Value {
	if s == recording.Right {
		return m.Right
	}
	return m.Left
}

// minus returns first − other side.
func (m Measure) minus(first recording.Side) Value {
	if first == recording.Right {
		return m.Difference.negated()
	}
	return m.Difference
}

// Conditions are what must be alike for sessions to be compared. Empty text and
// nil are "not recorded", which is alike to nothing but itself.
type Conditions struct {
	Shoe string `json:"shoe"`
	// DropMM is the shoe's heel-to-toe drop in mm.
	DropMM  *float64 `json:"drop_mm"`
	Insole  string   `json:"insole"`
	Tape    string   `json:"tape"`
	Surface string   `json:"surface"`
	// SlopePercent is rise over run in percent, uphill positive.
	SlopePercent *float64 `json:"slope_percent"`
	// Direction is the way round a track or along a cambered road.
	Direction string `json:"direction"`
	// SpeedMPS is the mean speed in m/s.
	SpeedMPS  *float64     `json:"speed_m_s"`
	Treadmill diary.Answer `json:"treadmill"`
	// MinutesIntoRun is how long the run had lasted when the recording began.
	MinutesIntoRun *float64 `json:"minutes_into_run"`
	// Intervals is the walk–run plan, "" for running throughout.
	Intervals string `json:"intervals"`
	// Placement is where and how the sensors were fastened.
	Placement string `json:"placement"`
	// Refitted tells that the sensors were taken off and put on again since the
	// session before.
	Refitted diary.Answer `json:"refitted"`
	// SensorsSwapped tells that the left sensor was on the right foot and the
	// other way round, to tell the sensor from the foot; the sides of the
	// session are still those of the feet.
	SensorsSwapped diary.Answer `json:"sensors_swapped"`
	// StepRateHint is a step rate asked for by a metronome, steps/min, both
	// feet; nil when the runner chose freely.
	StepRateHint *float64 `json:"step_rate_asked"`
}

// Session is one session as recovery sees it.
type Session struct {
	ID string `json:"id"`
	// Date is the civil date on which the session was run.
	Date diary.Date `json:"date"`
	// Order tells sessions of one day apart: s since midnight, or any rising
	// number.
	Order      float64    `json:"order"`
	Conditions Conditions `json:"conditions"`
	// Method is the version of the method that made the numbers.
	Method string `json:"method"`
	// Gait is "running" or "walking".
	Gait string `json:"gait"`
	// Used counts the used steps of each side.
	UsedLeft  int `json:"used_left"`
	UsedRight int `json:"used_right"`
	// StepRate is the cadence in steps/s, both feet.
	StepRate Value `json:"step_rate"`
	// Measures is by metric key of package step; values in base units.
	Measures map[string]Measure `json:"measures"`
}
