package simulate

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// Format says how sensor files are written.
type Format struct {
	// Headings are those of time, three accelerations and three angular rates.
	Headings [7]string
	// Acc and Gyr are the units written.
	Acc, Gyr unit.Unit
	// Digits is the number of significant digits of accelerations and rates.
	Digits int
}

// Plain is the plain dialect in base units; Everyday has g and deg/s, as most
// sensors export. Times are in s with six decimals in both.
var (
	Plain = Format{
		[7]string{"time_s", "acc_x_m_s2", "acc_y_m_s2", "acc_z_m_s2", "gyr_x_rad_s", "gyr_y_rad_s", "gyr_z_rad_s"},
		unit.MetrePerSecond2, unit.RadianPerSecond, 6,
	}
	Everyday = Format{
		[7]string{"time (s)", "acc x (g)", "acc y (g)", "acc z (g)", "gyr x (deg/s)", "gyr y (deg/s)", "gyr z (deg/s)"},
		unit.G, unit.DegreePerSecond, 6,
	}
)

// FileName returns the usual name of a sensor's file: left_foot.csv, waist.csv.
func FileName(side recording.Side, site recording.Site) string {
	if side == recording.SideUnknown {
		return site.String() + ".csv"
	}
	return side.String() + "_" + site.String() + ".csv"
}

// WriteCSV writes one sensor's samples, a row a sample, as they are made.
func (r *Recording) WriteCSV(w io.Writer, side recording.Side, site recording.Site, f Format) error {
	out := bufio.NewWriterSize(w, 1<<16)
	cw := csv.NewWriter(out)
	if err := cw.Write(f.Headings[:]); err != nil {
		return err
	}
	cw.Flush()
	row := make([]byte, 0, 128)
	err := r.Samples(side, site, func(s Sample) error {
		row = strconv.AppendFloat(row[:0], s.Time, 'f', 6, 64)
		for _, a := range s.Acc {
			row = strconv.AppendFloat(append(row, ','), f.Acc.FromBase(a), 'g', f.Digits, 64)
		}
		for _, g := range s.Gyr {
			row = strconv.AppendFloat(append(row, ','), f.Gyr.FromBase(g), 'g', f.Digits, 64)
		}
		_, err := out.Write(append(row, '\n'))
		return err
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// truthColumns are the headings of the truth file: those of steps.csv that a
// model can know, then gain and edge.
var truthColumns = []string{
	"side", "step", "gait", "initial_contact_s", "foot_flat_s", "toe_off_s", "stride_time_s", "contact_time_s",
	"heel_first", "strike_angle_deg", "strike", "time_to_foot_flat_ms", "peak_lowering_rate_deg_s",
	"foot_flat_rate_deg_s", "deceleration_fraction", "gain", "edge",
}

// cell writes a number in its unit with six decimals; NaN becomes an empty cell.
func cell(x float64, u unit.Unit) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(u.FromBase(x), 'f', 6, 64)
}

// WriteTruth writes the truth, a row a step in order of initial contact. Empty
// cells are values that the step does not have.
func (r *Recording) WriteTruth(w io.Writer) error { return WriteTruth(w, r.steps) }

// WriteTruth writes steps as Recording.WriteTruth does.
func WriteTruth(w io.Writer, steps []Step) error {
	cw := csv.NewWriter(w)
	if err := cw.Write(truthColumns); err != nil {
		return err
	}
	for i := range steps {
		s := &steps[i]
		row := []string{
			s.Side.String(), strconv.Itoa(s.Number), s.Gait.String(),
			cell(s.InitialContact, unit.Second), cell(s.FootFlat, unit.Second), cell(s.ToeOff, unit.Second),
			cell(s.StrideTime, unit.Second), cell(s.ContactTime, unit.Second),
			s.HeelFirst.String(), cell(s.StrikeAngle, unit.Degree), s.Strike.String(),
			cell(s.TimeToFootFlat, unit.Millisecond), cell(s.PeakLoweringRate, unit.DegreePerSecond),
			cell(s.FootFlatRate, unit.DegreePerSecond), cell(s.DecelerationFraction, unit.One),
			cell(s.Gain, unit.One), strconv.FormatBool(s.Edge),
		}
		if err := cw.Write(row); err != nil {
			return err
		}
	}
	cw.Flush()
	return cw.Error()
}

// ReadTruth reads what WriteTruth wrote, and any table with its columns in any
// order: side, initial_contact_s and the rest may be edited by hand. Columns
// other than side and initial_contact_s may be absent and then give NaN, unknown
// or 0. name is used in errors only: "name:line: column "x": …".
func ReadTruth(in io.Reader, name string) ([]Step, error) {
	cr := csv.NewReader(in)
	head, err := cr.Read()
	if err != nil {
		return nil, fmt.Errorf("%s:1: no heading: %w", name, err)
	}
	at := map[string]int{}
	for i, h := range head {
		at[h] = i
	}
	for _, need := range []string{"side", "initial_contact_s"} {
		if _, ok := at[need]; !ok {
			return nil, fmt.Errorf("%s:1: no column %q", name, need)
		}
	}
	var steps []Step
	for {
		row, err := cr.Read()
		if err == io.EOF {
			return steps, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := cr.FieldPos(0)
		t := truthRow{at: at, row: row, where: fmt.Sprintf("%s:%d", name, line)}
		s := t.step()
		if t.err != nil {
			return nil, t.err
		}
		steps = append(steps, s)
	}
}

// truthRow reads the cells of one row and keeps the first error.
type truthRow struct {
	at    map[string]int
	row   []string
	where string
	err   error
}

// text returns a cell, or "" where the column is absent.
func (t *truthRow) text(column string) string {
	if i, ok := t.at[column]; ok {
		return t.row[i]
	}
	return ""
}

// number returns a cell in base units, NaN where it is empty.
func (t *truthRow) number(column string, u unit.Unit) float64 {
	s := t.text(column)
	if s == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		t.fail(column, s, "a number")
	}
	return u.ToBase(x)
}

// fail keeps the first error.
func (t *truthRow) fail(column, got, want string) {
	if t.err == nil {
		t.err = fmt.Errorf("%s: column %q: %q is not %s", t.where, column, got, want)
	}
}

// word returns the index of a cell among words; an empty cell is the first.
func (t *truthRow) word(column, want string, words ...string) int {
	s := t.text(column)
	for i, w := range words {
		if s == w || s == "" && i == 0 {
			return i
		}
	}
	t.fail(column, s, want)
	return 0
}

// step reads the row.
func (t *truthRow) step() Step {
	var s Step
	s.Side = recording.Side(t.word("side", "left or right", "unknown", "left", "right"))
	if n := t.text("step"); n != "" {
		number, err := strconv.Atoi(n)
		if err != nil {
			t.fail("step", n, "a whole number")
		}
		s.Number = number
	}
	s.Gait = event.Gait(t.word("gait", "walking or running", "unknown", "walking", "running"))
	s.InitialContact = t.number("initial_contact_s", unit.Second)
	if math.IsNaN(s.InitialContact) {
		t.fail("initial_contact_s", "", "a number")
	}
	s.FootFlat, s.ToeOff = t.number("foot_flat_s", unit.Second), t.number("toe_off_s", unit.Second)
	s.StrideTime, s.ContactTime = t.number("stride_time_s", unit.Second), t.number("contact_time_s", unit.Second)
	s.HeelFirst = step.Truth(t.word("heel_first", "true or false", "", "false", "true"))
	s.StrikeAngle = t.number("strike_angle_deg", unit.Degree)
	s.Strike = step.Strike(t.word("strike", "rearfoot, midfoot or forefoot", "", "rearfoot", "midfoot", "forefoot"))
	s.TimeToFootFlat = t.number("time_to_foot_flat_ms", unit.Millisecond)
	s.PeakLoweringRate = t.number("peak_lowering_rate_deg_s", unit.DegreePerSecond)
	s.FootFlatRate = t.number("foot_flat_rate_deg_s", unit.DegreePerSecond)
	s.DecelerationFraction = t.number("deceleration_fraction", unit.One)
	s.HeelContactPeak, s.FootFlatPeak = math.NaN(), math.NaN()
	s.Gain = t.number("gain", unit.One)
	s.Edge = t.word("edge", "true or false", "false", "true") == 1
	return s
}
