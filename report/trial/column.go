package trial

import (
	"fmt"
	"slices"

	"setdown/gait/step"
	"setdown/report/table"
	"setdown/signal/unit"
)

// Type is what the cells of a column hold, in the words of Table Schema 2.0.
type Type string

// The types.
const (
	Text    Type = "string"
	Integer Type = "integer"
	Decimal Type = "number"
	Boolean Type = "boolean"
)

// Column describes one column of a table of the trial. Names, types and units
// do not change within a major version.
type Column struct {
	Name string
	Type Type
	// Unit is the unit's symbol; "" for a pure number, a share, or a text.
	Unit string
	// Title is a heading for people, Description one sentence.
	Title, Description string
	// Enum lists the only values allowed; nil allows all.
	Enum []string
	// Required says that no cell is empty.
	Required bool
}

// Sheet describes one table.
type Sheet struct {
	// Name is the table's name and the stem of its files.
	Name, Title, Description string
	Columns                  []Column
	// Key lists the columns that tell rows apart.
	Key []string
}

// The names of the tables.
const (
	StepsSheet     = "steps"
	SidesSheet     = "sides"
	SessionsSheet  = "sessions"
	AsymmetrySheet = "asymmetry"
	RemarksSheet   = "remarks"
)

// Sheets returns the tables of a trial. What a measure is called, its unit and
// its definition come from the catalogue of package step.
func Sheets() []Sheet {
	return []Sheet{
		{StepsSheet, "Steps", "A row a step, in time order within each recording.", append(keyColumns(), stepColumns()...), []string{"recording", "side", "step"}},
		{SidesSheet, "Sides", "A row for each side of each recording: the middle of every measure over the used steps, with its 95 % interval.", append(keyColumns(), sideColumns()...), []string{"recording", "side"}},
		{SessionsSheet, "Sessions", "A row a recording, also for those that could not be analysed.", append(keyColumns(), sessionColumns()...), []string{"recording"}},
		{AsymmetrySheet, "Asymmetry", "A row for each measure of each recording with two sides: the difference between the sides against its limit. Values are in the unit of the row's column unit.", append(keyColumns(), asymmetryColumns()...), []string{"recording", "measure"}},
		{RemarksSheet, "Remarks", "What a reader must know of a recording: a row a remark, also of a foot that is missing and of a file that another recording has too, and a row for each recording that could not be analysed.", append(keyColumns(), remarkColumns()...), nil},
	}
}

// keyColumns stand first in every table.
func keyColumns() []Column {
	return []Column{
		{Name: "recording", Type: Text, Title: "Recording", Description: "Name of the recording, unique in the trial", Required: true},
		{Name: "subject", Type: Text, Title: "Subject", Description: "Label of the person, as the trial has it"},
		{Name: "session", Type: Text, Title: "Session", Description: "Label of the session, as the trial has it"},
		{Name: "condition", Type: Text, Title: "Condition", Description: "Label of the condition; in a Motion-BIDS data set the task"},
		{Name: "run", Type: Text, Title: "Run", Description: "Label of the run, as the trial has it"},
	}
}

var sideNames = []string{"left", "right"}

// stepColumns are the columns of steps.csv in its own order.
func stepColumns() []Column {
	known := map[string]Column{
		"side":              {Type: Text, Title: "Side", Description: "Foot that landed; unknown where the recording does not say", Enum: append(slices.Clone(sideNames), "unknown"), Required: true},
		"step":              {Type: Integer, Title: "Step", Description: "Number of the step of this side, from 1 in time order", Required: true},
		"gait":              {Type: Text, Title: "Gait", Description: "Gait of the step", Enum: []string{"walking", "running", "unknown"}, Required: true},
		"initial_contact_s": {Type: Decimal, Unit: "s", Title: "Initial contact", Description: "Time of initial contact on the recording's own axis, or since the first sample where its times are absolute", Required: true},
		"foot_flat_s":       {Type: Decimal, Unit: "s", Title: "Foot-flat", Description: "Time at which foot pitch first is within 1 deg of its mid-stance value"},
		"toe_off_s":         {Type: Decimal, Unit: "s", Title: "Toe-off", Description: "Time at which the foot leaves the ground"},
		"strike":            {Type: Text, Title: "Strike", Description: "Strike class of a running step (Altman & Davis 2012); empty in walking", Enum: []string{"rearfoot", "midfoot", "forefoot"}},
		"used":              {Type: Boolean, Title: "Used", Description: "Whether the step enters the summaries", Required: true},
		"reason":            {Type: Text, Title: "Reason", Description: "Why the step is not used, or why measures are missing"},
		step.HeelFirstKey:   {Type: Boolean, Title: "Heel first", Description: "Whether the step landed with the toes up by more than 3 deg and then turned toe-down to flat"},
	}
	var out []Column
	for _, name := range table.Columns() {
		c, ok := known[name]
		if !ok {
			c = measureColumn(step.Find(name))
		}
		c.Name = name
		out = append(out, c)
	}
	return out
}

// measureColumn is the column of a metric in the unit of files.
func measureColumn(m step.Metric) Column {
	return Column{Name: m.Key, Type: Decimal, Unit: table.ColumnUnit(m).Symbol, Title: m.Label,
		Description: m.Definition + " (source: " + m.Source + ")"}
}

// sideColumns are the columns of the table of sides: four for each metric.
func sideColumns() []Column {
	out := []Column{
		{Name: "side", Type: Text, Title: "Side", Description: "Foot", Enum: sideNames, Required: true},
		{Name: "injured", Type: Text, Title: "Injured side", Description: "The injured side of the person", Enum: injuredNames, Required: true},
		{Name: "gait", Type: Text, Title: "Gait", Description: "Gait of most steps; the others are left out", Enum: []string{"walking", "running", "unknown"}, Required: true},
		{Name: "steps_found", Type: Integer, Title: "Steps found", Description: "Steps found on this side", Required: true},
		{Name: "steps_used", Type: Integer, Title: "Steps used", Description: "Steps that enter the summaries", Required: true},
		{Name: "rearfoot_steps", Type: Integer, Title: "Rearfoot steps", Description: "Used running steps that land on the rearfoot", Required: true},
		{Name: "midfoot_steps", Type: Integer, Title: "Midfoot steps", Description: "Used running steps that land on the midfoot", Required: true},
		{Name: "forefoot_steps", Type: Integer, Title: "Forefoot steps", Description: "Used running steps that land on the forefoot", Required: true},
	}
	for _, m := range step.Catalogue() {
		c := measureColumn(m)
		what := "Median over the used steps: "
		if m.Share {
			what = "Share of the used steps, 0 to 1: "
		}
		c.Description = what + c.Description
		out = append(out, c,
			Column{Name: m.Key + "_low", Type: Decimal, Unit: c.Unit, Title: m.Label + ", low", Description: "Lower end of the 95 % interval of " + m.Key},
			Column{Name: m.Key + "_high", Type: Decimal, Unit: c.Unit, Title: m.Label + ", high", Description: "Upper end of the 95 % interval of " + m.Key},
			Column{Name: m.Key + "_n", Type: Integer, Title: m.Label + ", n", Description: "Steps with a value of " + m.Key, Required: true})
	}
	return out
}

var injuredNames = []string{"left", "right", "both", "unknown"}

// sessionColumns are the columns of the table of sessions.
func sessionColumns() []Column {
	out := []Column{
		{Name: "state", Type: Text, Title: "State", Description: "Whether the recording could be analysed", Enum: []string{stateDone, stateFailed}, Required: true},
		{Name: "message", Type: Text, Title: "Message", Description: "Why the recording could not be analysed"},
		{Name: "gait", Type: Text, Title: "Gait", Description: "Gait of most steps", Enum: []string{"walking", "running", "unknown"}},
		{Name: "injured", Type: Text, Title: "Injured side", Description: "The injured side of the person", Enum: injuredNames},
		{Name: "start", Type: Text, Title: "Start", Description: "Absolute time of 0 s (RFC 3339), where the recording has one"},
		{Name: "duration_s", Type: Decimal, Unit: "s", Title: "Duration", Description: "Length of the longest sensor's recording"},
		{Name: "cadence_steps_per_min", Type: Decimal, Unit: "1/min", Title: "Cadence", Description: "Steps of both feet a minute"},
		{Name: "cadence_steps_per_min_low", Type: Decimal, Unit: "1/min", Title: "Cadence, low", Description: "Lower end of the 95 % interval of the cadence"},
		{Name: "cadence_steps_per_min_high", Type: Decimal, Unit: "1/min", Title: "Cadence, high", Description: "Upper end of the 95 % interval of the cadence"},
	}
	for _, side := range sideNames {
		out = append(out,
			Column{Name: side + "_rate_hz", Type: Decimal, Unit: "Hz", Title: "Sampling rate, " + side, Description: "Sampling rate of the sensor on the " + side + " foot"},
			Column{Name: side + "_steps_found", Type: Integer, Title: "Steps found, " + side, Description: "Steps found on the " + side + " side"},
			Column{Name: side + "_steps_used", Type: Integer, Title: "Steps used, " + side, Description: "Steps of the " + side + " side that enter the summaries"})
	}
	return append(out,
		Column{Name: "land_differently", Type: Boolean, Title: "Land differently", Description: "Whether the sides differ in the share of heel-first steps, so that their lowering is not compared"},
		Column{Name: "notes", Type: Integer, Title: "Notes", Description: "Remarks that only inform", Required: true},
		Column{Name: "doubts", Type: Integer, Title: "Doubts", Description: "Remarks that say that a number may be wrong", Required: true},
		Column{Name: "losses", Type: Integer, Title: "Losses", Description: "Remarks that say that something was left out", Required: true},
		Column{Name: "events", Type: Integer, Title: "Events", Description: "Rows of the recording's Motion-BIDS events file"},
		Column{Name: "inputs", Type: Text, Title: "Inputs", Description: "Names of the input files, without folders", Required: true},
		Column{Name: "inputs_sha256", Type: Text, Title: "Hashes", Description: "SHA-256 of the input files in the same order; - for a file that could not be read", Required: true},
		Column{Name: "version", Type: Text, Title: "Version", Description: "Version of the tool", Required: true},
		Column{Name: "method", Type: Text, Title: "Method", Description: "Version of the method; do not pool different ones", Required: true})
}

// asymmetryColumns are the columns of the table of comparisons.
func asymmetryColumns() []Column {
	inUnit := ", in the unit of the column unit"
	return []Column{
		{Name: "measure", Type: Text, Title: "Measure", Description: "Key of the measure in the catalogue", Enum: metricKeys(), Required: true},
		{Name: "unit", Type: Text, Title: "Unit", Description: "Unit of the row's values; empty for a number without unit"},
		{Name: "difference_of", Type: Text, Title: "Difference of", Description: "Which side is taken from which", Enum: []string{"injured - uninjured", "right - left"}},
		{Name: "n", Type: Integer, Title: "n", Description: "Values that went into the difference", Required: true},
		{Name: "difference", Type: Decimal, Title: "Difference", Description: "Difference of the sides" + inUnit},
		{Name: "difference_low", Type: Decimal, Title: "Difference, low", Description: "Lower end of its 95 % interval" + inUnit},
		{Name: "difference_high", Type: Decimal, Title: "Difference, high", Description: "Upper end of its 95 % interval" + inUnit},
		{Name: "symmetry_index_percent", Type: Decimal, Unit: "%", Title: "Symmetry index", Description: "Difference over the mean of the sides (Robinson et al. 1987); empty where signs differ or the mean is near zero"},
		{Name: "log_ratio_percent", Type: Decimal, Unit: "%", Title: "Log ratio", Description: "100 times the natural logarithm of the ratio of the sides"},
		{Name: "excludes_zero", Type: Boolean, Title: "Excludes zero", Description: "Whether the interval leaves out zero"},
		{Name: "floor", Type: Decimal, Title: "Limit", Description: "Difference up to which sides count as alike" + inUnit},
		{Name: "floor_from", Type: Text, Title: "Limit from", Description: "Where the limit comes from"},
		{Name: "verdict", Type: Text, Title: "Verdict", Description: "different: the interval lies beyond the limit; alike: within it; cannot_tell: neither; empty for a measure that is shown only", Enum: []string{"different", "alike", "cannot_tell"}},
		{Name: "because", Type: Text, Title: "Because", Description: "Why the verdict is what it is"},
		{Name: "power", Type: Decimal, Title: "Power", Description: powerWords},
		{Name: "steps_for_power_80", Type: Integer, Title: "Steps for 80 % power", Description: "Used steps a side at which the power would reach 0.8, at the same step-to-step scatter"},
	}
}

func metricKeys() []string {
	var out []string
	for _, m := range step.Catalogue() {
		out = append(out, m.Key)
	}
	return out
}

// remarkColumns are the columns of the table of remarks.
func remarkColumns() []Column {
	return []Column{
		{Name: "level", Type: Text, Title: "Level", Description: "note informs, doubt says that a number may be wrong, loss that something was left out, failed that the recording could not be analysed", Enum: []string{"note", "doubt", "loss", "failed"}, Required: true},
		{Name: "code", Type: Text, Title: "Code", Description: "Short name of the kind of remark", Required: true},
		{Name: "file", Type: Text, Title: "File", Description: "Input file, without folders"},
		{Name: "line", Type: Integer, Title: "Line", Description: "Line of the file, from 1"},
		{Name: "time_s", Type: Decimal, Unit: unit.Second.Symbol, Title: "Time", Description: "Time on the recording's axis"},
		{Name: "count", Type: Integer, Title: "Count", Description: "How many times it happened; the place is that of the first", Required: true},
		{Name: "text", Type: Text, Title: "Text", Description: "What happened", Required: true},
		{Name: "hint", Type: Text, Title: "Hint", Description: "What to do about it"},
	}
}

// check panics on a row that does not fit: a mistake of the program.
func (s Sheet) check(row []string) {
	if len(row) != len(s.Columns) {
		panic(fmt.Sprintf("trial: table %s: %d cells for %d columns", s.Name, len(row), len(s.Columns)))
	}
}
