// Package gait is the front door: Analyze turns opened recordings into one
// Result that the command line, the report and the web page all show.
package gait

import (
	"time"

	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Method is the version of the method. It changes whenever the same input can
// give another number; sessions of different methods are never pooled.
const Method = "1"

// Input is what session.json says of one track.
type Input struct {
	// Files are the files the track came from.
	Files []recording.Input
	Label string
	Side  recording.Side
	Site  recording.Site
	// RateHz is the frozen rate of the uniform grid.
	RateHz  float64
	Mapping []recording.Channel
	Samples int
	// DurationS is s from the first to the last sample.
	DurationS float64
}

// Withheld is a measure that was not given, with the reason.
type Withheld struct {
	// What is the measure's label, with the side where only one is concerned.
	What string
	Why  string
}

// Together tells how the recordings of the two sides stand to each other.
type Together struct {
	// Comparable is false where what changed between the recordings cannot be
	// told from a difference between the feet; Because is then the reason, else "".
	Comparable bool
	Because    string
	// Simultaneous tells that both sides were recorded at the same time on one
	// clock, so that they can be followed through the recording.
	Simultaneous bool
}

// Excerpt is a few seconds of one foot's motion for the raw-signal figure.
type Excerpt struct {
	Side recording.Side
	// Time is s on the recording's axis; PitchRate is toe-down positive, rad/s;
	// Acc is the magnitude of the specific force, m/s². Equal lengths.
	Time, PitchRate, Acc []float64
}

// Result is one analysed session.
type Result struct {
	// Version is the version of the tool, Method that of the method.
	Version, Method string
	// Seed of the resampling.
	Seed uint64
	// Start is the absolute time of 0 s, zero where inputs have none.
	Start  time.Time
	Inputs []Input
	// Unused are the files that were given and that no step was measured on; the
	// remarks say why (NotUsed).
	Unused []recording.Input
	// Injured is the side that was named, also where only one was recorded.
	Injured asymmetry.Injured
	Session *session.Session
	// Asymmetry is nil where only one side was recorded.
	Asymmetry *asymmetry.Result
	// Together says whether the sides were recorded so that they may be
	// compared: who compares them anew over other steps needs it.
	Together Together
	// Steps are in time order, both sides together.
	Steps    []step.Step
	Excerpts []Excerpt
	Withheld []Withheld
	// Choices lists every setting and decision in words, for methods sections:
	// filters with cut-offs, alignment, rates.
	Choices []Choice
	// Remarks are sorted by place.
	Remarks []remark.Remark
}

// Choice is one setting or decision, for example {"low-pass of the pitch
// rate", "Butterworth, 60 Hz, zero-phase"}.
type Choice struct{ What, Value string }
