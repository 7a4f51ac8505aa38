package table

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"setdown/signal/recording"
)

// Schema names the form of session.json. The number changes when a key is
// renamed or removed or its meaning changes, not when one is added. The form is
// described in docs/session.schema.json.
const Schema = "setdown-session/1"

// Document is session.json.
type Document struct {
	Schema string `json:"schema"`
	Tool   Tool   `json:"tool"`
	// Start is the absolute time of 0 s in RFC 3339, null where the inputs have
	// no absolute time.
	Start   *time.Time             `json:"start"`
	Gait    string                 `json:"gait"`
	Injured string                 `json:"injured"`
	Inputs  []Input                `json:"inputs"`
	Cadence Cadence                `json:"cadence"`
	Steps   BothSides[*StepCounts] `json:"steps"`
	// Sides holds every metric of a side; null where no sensor was on it.
	Sides BothSides[ByMetric[Estimate]] `json:"sides"`
	// Difference and Asymmetry hold every metric, also where only one side was
	// recorded and nothing but the reason can be given.
	Difference ByMetric[Estimate]  `json:"difference"`
	Asymmetry  ByMetric[Asymmetry] `json:"asymmetry"`
	Landing    Landing             `json:"landing"`
	WithinRun  WithinRun           `json:"within_run"`
	Withheld   []Withheld          `json:"withheld"`
	Choices    []Choice            `json:"choices"`
	Remarks    []Remark            `json:"remarks"`
}

// Tool says what made the numbers.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	// Method is the version of the method; sessions of different methods are not
	// pooled without being computed again.
	Method string `json:"method"`
	Seed   uint64 `json:"seed"`
}

// Input is one sensor and the file or files it came from.
type Input struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	// Files lists all files of the input; Name and SHA256 are those of the first.
	Files    []File              `json:"files"`
	Label    string              `json:"label"`
	Side     string              `json:"side"`
	Site     string              `json:"site"`
	RateHz   Number              `json:"rate_hz"`
	Mapping  []recording.Channel `json:"mapping"`
	Units    ByMetric[string]    `json:"units"`
	Samples  int                 `json:"samples"`
	Duration Number              `json:"duration_s"`
}

// File is one input file.
type File struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Cadence is the step rate of both feet.
type Cadence struct {
	StepsPerMinute Number `json:"steps_per_min"`
	Low            Number `json:"low"`
	High           Number `json:"high"`
	N              int    `json:"n"`
	Method         string `json:"method"`
}

// BothSides holds one value a side.
type BothSides[T any] struct {
	Left  T `json:"left"`
	Right T `json:"right"`
}

// StepCounts says how many steps were found, used and left out, and why.
type StepCounts struct {
	Found    int       `json:"found"`
	Used     int       `json:"used"`
	LeftOut  []LeftOut `json:"left_out"`
	Rearfoot int       `json:"rearfoot"`
	Midfoot  int       `json:"midfoot"`
	Forefoot int       `json:"forefoot"`
}

// LeftOut is how many steps share a reason.
type LeftOut struct {
	Reason string `json:"reason"`
	Steps  int    `json:"steps"`
}

// Asymmetry is the comparison of the sides in one metric, in the unit that the
// metric's key names; the two percentages are in percent.
type Asymmetry struct {
	DifferenceOf         string  `json:"difference_of"`
	SymmetryIndexPercent Number  `json:"symmetry_index_percent"`
	LogRatioPercent      Number  `json:"log_ratio_percent"`
	ExcludesZero         *bool   `json:"excludes_zero"`
	Floor                Number  `json:"floor"`
	FloorFrom            *string `json:"floor_from"`
	// Verdict is different, alike or cannot_tell; null for a measure that is
	// shown only.
	Verdict *string `json:"verdict"`
	Because string  `json:"because"`
	// ExplainedByLanding is the part of the difference that goes with the strike
	// angle; null where that cannot be told.
	ExplainedByLanding        *Estimate `json:"explained_by_landing"`
	ExplainedByLandingBecause *string   `json:"explained_by_landing_because"`
}

// Landing says whether the feet land in different ways.
type Landing struct {
	LandDifferently *bool   `json:"land_differently"`
	Note            *string `json:"note"`
}

// WithinRun compares the first with the last third and says when a side began
// to change.
type WithinRun struct {
	Drift  []Drift  `json:"drift"`
	Change []Change `json:"change"`
}

// Drift is last third − first third of one metric of one side.
type Drift struct {
	Metric string `json:"metric"`
	Side   string `json:"side"`
	Estimate
	FirstMinute Number `json:"first_minute"`
	LastMinute  Number `json:"last_minute"`
}

// Change is the minute at which one side began to change; the minutes are null
// where no change was found.
type Change struct {
	Metric  string `json:"metric"`
	Side    string `json:"side"`
	Found   bool   `json:"found"`
	Minute  Number `json:"minute"`
	Low     Number `json:"low"`
	High    Number `json:"high"`
	Because string `json:"because"`
}

// Withheld is a measure that was not given, with the reason.
type Withheld struct {
	What string `json:"what"`
	Why  string `json:"why"`
}

// Choice is one setting or decision.
type Choice struct {
	What  string `json:"what"`
	Value string `json:"value"`
}

// Remark is one thing the reader must know, with its place.
type Remark struct {
	Code  string  `json:"code"`
	Level string  `json:"level"`
	File  *string `json:"file"`
	Line  *int    `json:"line"`
	TimeS Number  `json:"time_s"`
	Count int     `json:"count"`
	Text  string  `json:"text"`
}

// Write writes the document as indented JSON with a final line feed.
func (d *Document) Write(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(d)
}

// ReadSession reads a session.json. Name is used in errors only. A file of
// another schema is refused.
func ReadSession(r io.Reader, name string) (*Document, error) {
	var d Document
	if err := json.NewDecoder(r).Decode(&d); err != nil {
		return nil, fmt.Errorf("%s: not a session.json: %w", name, err)
	}
	if d.Schema != Schema {
		return nil, fmt.Errorf("%s: schema is %q, this version reads %q", name, d.Schema, Schema)
	}
	return &d, nil
}
