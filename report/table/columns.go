// Package table writes and reads the tables that a session leaves behind:
// steps.csv, a row a step, and session.json, the session in numbers.
//
// Both range over the catalogue of package step, so that a metric that is
// added there appears in both. Values are written in the unit that the column
// or key names; "not measured" is an empty cell in CSV and null in JSON, never
// a zero and never NaN. The same result gives the same bytes.
package table

import (
	"math"
	"strconv"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// extraDigits is how many decimals files have beyond those that people are
// shown: enough to compute on, few enough that the last bit of a float, which
// differs between processors, does not show.
const extraDigits = 2

// timeDigits is the number of decimals of a time in steps.csv: 10 µs, a
// hundredth of a sample at 1000 Hz.
const timeDigits = 5

// column is one column of steps.csv: how it is written and how it is read.
type column struct {
	name string
	// put appends the cell to dst; nothing for "not measured".
	put func(dst []byte, s *step.Step) []byte
	// get sets the field from the cell and tells whether the cell could be read.
	get func(s *step.Step, cell string) bool
}

// columns returns the columns of steps.csv in the order of the contract.
// Metrics of the catalogue that the contract does not list follow at the end.
func columns() []column {
	cols := []column{
		{"side", func(d []byte, s *step.Step) []byte { return append(d, s.Side.String()...) }, getSide},
		{"step", func(d []byte, s *step.Step) []byte { return strconv.AppendInt(d, int64(s.Number), 10) }, getNumber},
		{"gait", func(d []byte, s *step.Step) []byte { return append(d, s.Gait.String()...) }, getGait},
		seconds("initial_contact_s", func(s *step.Step) *float64 { return &s.InitialContact }),
		seconds("foot_flat_s", func(s *step.Step) *float64 { return &s.FootFlat }),
		seconds("toe_off_s", func(s *step.Step) *float64 { return &s.ToeOff }),
		measure("stride_time_s", func(s *step.Step) *float64 { return &s.StrideTime }),
		measure("contact_time_s", func(s *step.Step) *float64 { return &s.ContactTime }),
		{step.HeelFirstKey, func(d []byte, s *step.Step) []byte { return append(d, s.HeelFirst.String()...) }, getHeelFirst},
		measure("strike_angle_deg", func(s *step.Step) *float64 { return &s.StrikeAngle }),
		{"strike", func(d []byte, s *step.Step) []byte { return append(d, s.Strike.String()...) }, getStrike},
		measure("time_to_foot_flat_ms", func(s *step.Step) *float64 { return &s.TimeToFootFlat }),
		measure("peak_lowering_rate_deg_s", func(s *step.Step) *float64 { return &s.PeakLoweringRate }),
		measure("foot_flat_rate_deg_s", func(s *step.Step) *float64 { return &s.FootFlatRate }),
		measure("deceleration_fraction", func(s *step.Step) *float64 { return &s.DecelerationFraction }),
		measure("heel_contact_peak_m_s2", func(s *step.Step) *float64 { return &s.HeelContactPeak }),
		measure("foot_flat_peak_m_s2", func(s *step.Step) *float64 { return &s.FootFlatPeak }),
		{"used", func(d []byte, s *step.Step) []byte { return strconv.AppendBool(d, s.Used) }, getUsed},
		{"reason", func(d []byte, s *step.Step) []byte { return appendText(d, s.Reason) }, getReason},
	}
	return append(cols, unlisted(cols)...)
}

// unlisted makes a column for each metric that cols lacks. They can be written
// but are skipped by ReadSteps.
func unlisted(cols []column) []column {
	known := make(map[string]bool, len(cols))
	for _, c := range cols {
		known[c.name] = true
	}
	var out []column
	for _, m := range step.Catalogue() {
		if known[m.Key] {
			continue
		}
		u, digits := ColumnUnit(m), fileDigits(m)
		out = append(out, column{m.Key, func(d []byte, s *step.Step) []byte {
			return appendNumber(d, u.FromBase(m.Value(s)), digits)
		}, func(*step.Step, string) bool { return true }})
	}
	return out
}

// Columns returns the headings of steps.csv in order.
func Columns() []string {
	var names []string
	for _, c := range columns() {
		names = append(names, c.name)
	}
	return names
}

// ColumnUnit returns the unit of a metric in files, which is the one its key
// names. It differs from the unit people are shown for shares only: a share is
// a percentage on the page and a number from 0 to 1 in files.
func ColumnUnit(m step.Metric) unit.Unit {
	if m.Share {
		return unit.One
	}
	return m.Unit
}

// fileDigits returns the number of decimals of a metric in files.
func fileDigits(m step.Metric) int {
	if m.Share {
		return m.Digits + 2 + extraDigits
	}
	return m.Digits + extraDigits
}

// seconds is a column of times on the recording's axis.
func seconds(name string, field func(*step.Step) *float64) column {
	return number(name, unit.Second, timeDigits, field)
}

// measure is the column of a metric of the catalogue.
func measure(key string, field func(*step.Step) *float64) column {
	m := step.Find(key)
	return number(key, ColumnUnit(m), fileDigits(m), field)
}

func number(name string, u unit.Unit, digits int, field func(*step.Step) *float64) column {
	return column{name, func(d []byte, s *step.Step) []byte {
		return appendNumber(d, u.FromBase(*field(s)), digits)
	}, func(s *step.Step, cell string) bool {
		*field(s) = math.NaN()
		if cell == "" {
			return true
		}
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
		*field(s) = u.ToBase(v)
		return true
	}}
}

// appendNumber appends v with a fixed number of decimals, or nothing when it
// was not measured. A value that rounds to zero has no sign.
func appendNumber(dst []byte, v float64, digits int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	start := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', digits, 64)
	if dst[start] == '-' && isZero(dst[start+1:]) {
		dst = append(dst[:start], dst[start+1:]...)
	}
	return dst
}

func isZero(digits []byte) bool {
	for _, c := range digits {
		if c != '0' && c != '.' {
			return false
		}
	}
	return true
}

func getSide(s *step.Step, cell string) bool {
	return oneOf(&s.Side, cell, recording.Left, recording.Right)
}

func getGait(s *step.Step, cell string) bool {
	return oneOf(&s.Gait, cell, event.Walking, event.Running, event.GaitUnknown)
}

func getHeelFirst(s *step.Step, cell string) bool {
	return oneOf(&s.HeelFirst, cell, step.Unknown, step.False, step.True)
}

func getStrike(s *step.Step, cell string) bool {
	return oneOf(&s.Strike, cell, step.NoStrike, step.Rearfoot, step.Midfoot, step.Forefoot)
}

// oneOf sets dst to the value whose word is cell.
func oneOf[T interface{ String() string }](dst *T, cell string, values ...T) bool {
	for _, v := range values {
		if v.String() == cell {
			*dst = v
			return true
		}
	}
	return false
}

func getNumber(s *step.Step, cell string) bool {
	n, err := strconv.Atoi(cell)
	s.Number = n
	return err == nil && n > 0
}

func getUsed(s *step.Step, cell string) bool {
	s.Used = cell == "true"
	return cell == "true" || cell == "false"
}

func getReason(s *step.Step, cell string) bool {
	s.Reason = Unguard(cell)
	return true
}
