package dialects

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/signal/recording"
	"setdown/signal/unit"
)

// Shape is how the samples of two feet are laid out over files, rows and
// columns.
type Shape uint8

// The shapes.
const (
	OneFileAFoot  Shape = iota
	Wide                // both feet in the columns of one file
	LongSide            // a column names the side
	LongSensor          // a column names side and sensor; rows have x, y, z
	LongChannel         // a column names the channel; rows have one value
	LongAxis            // columns name side, quantity and axis; rows have one value
	SeparateFiles       // accelerometer and gyroscope in files of their own
	Interleaved         // rows hold either acceleration or angular rate
	SideBySide          // each sensor has its own time column
)

// Dialect is one way to write a recording. The zero value of each field is the
// plain dialect's.
type Dialect struct {
	// Name describes the dialect; it is the test's name.
	Name  string
	Shape Shape
	// Delim separates cells ("," by default); Decimal is "." by default; EOL "\n".
	Delim, Decimal, EOL string
	// Time makes the time cells of sample i at t s; TimeHead their headings.
	Time     func(i int, t float64) []string
	TimeHead []string
	// AccHead and GyrHead make the headings of an axis ("x", "y", "z"); in wide
	// shapes the side ("left", "right") stands before them, unless WideHead joins
	// them.
	AccHead, GyrHead func(axis string) string
	WideHead         func(side, name string) string
	// SideHead is the heading of the key columns and Sides their words.
	KeyHead string
	Sides   [2]string
	// AccUnit and GyrUnit are the units of the values; Digits their decimals.
	AccUnit, GyrUnit unit.Unit
	Digits           int
	// UnitsRow is written under the heading.
	UnitsRow []string
	// Notes are further rows under the heading, as they are.
	Notes [][]string
	// Preamble stands before the heading.
	Preamble []string
	// NoHeader leaves the heading out.
	NoHeader bool
	// Extra adds a column that is not used, before the channels.
	Extra string
	// Label, where it is not empty, stands behind the heading before each value, and
	// the heading is left out.
	Label string
	// Quote quotes every cell; Trail adds a separator at the end of each line.
	Quote, Trail bool
	// Again repeats the heading every so many rows.
	Again int
	// AfterRow lets a row be changed or left out; nil keeps all.
	Encode func([]byte) []byte
	// FileName makes the file's name from "left", "right" or "both".
	FileName func(side string) string
	// Start is the time, s, that the first sample must be read at.
	Start float64
	// Begin, s, is what Time adds to the time: Start for relative times.
	Begin float64
	// NoGyro leaves the gyroscope out.
	NoGyro bool
	// Rate is given as an option when the file has no time.
	Rate float64
	// TailHead and Tail add columns behind the channels that are not used.
	TailHead, Tail []string
	// Footer stands behind the rows.
	Footer []string
	// Blank, where above 1, empties the time cells of all but every so many rows.
	Blank int
	// Unmapped tells that a mapping file cannot say how the rows are laid out.
	Unmapped bool
	// MaxShift, s, is how far the time may be off; 1 ms where it is 0.
	MaxShift float64
}

// table is text in rows.
type table struct {
	d    *Dialect
	b    strings.Builder
	rows int
	head []string
}

// Sources writes the recordings of the left and the right foot.
func (d Dialect) Sources(left, right Samples) []recording.Source {
	d.defaults()
	both := [2]Samples{left, right}
	switch d.Shape {
	case OneFileAFoot:
		return d.perFoot(both)
	case SeparateFiles:
		return d.perSensor(both)
	}
	t := &table{d: &d}
	switch d.Shape {
	case Wide:
		t.wide(both)
	case LongSide:
		t.longSide(both)
	case LongSensor:
		t.longSensor(both)
	case LongChannel:
		t.longChannel(both)
	case LongAxis:
		t.longAxis(both)
	case Interleaved:
		t.interleaved(both)
	case SideBySide:
		t.sideBySide(both)
	}
	return []recording.Source{t.source("both")}
}

// defaults fills in the plain dialect.
func (d *Dialect) defaults() {
	or := func(s *string, v string) {
		if *s == "" {
			*s = v
		}
	}
	or(&d.Delim, ",")
	or(&d.Decimal, ".")
	or(&d.EOL, "\n")
	or(&d.KeyHead, "side")
	if d.Sides[0] == "" {
		d.Sides = [2]string{"left", "right"}
	}
	if d.Time == nil {
		d.Time = func(_ int, t float64) []string { return []string{fmt.Sprintf("%.6f", t)} }
	}
	if d.TimeHead == nil {
		d.TimeHead = []string{"time_s"}
	}
	if d.AccHead == nil {
		d.AccHead = func(a string) string { return "acc_" + a }
	}
	if d.GyrHead == nil {
		d.GyrHead = func(a string) string { return "gyr_" + a }
	}
	if d.WideHead == nil {
		d.WideHead = func(side, name string) string { return side + "_" + name }
	}
	if d.AccUnit.Factor == 0 {
		d.AccUnit = unit.MetrePerSecond2
	}
	if d.GyrUnit.Factor == 0 {
		d.GyrUnit = unit.RadianPerSecond
	}
	if d.Digits == 0 {
		d.Digits = 5
	}
	if d.FileName == nil {
		d.FileName = func(side string) string { return side + "_foot.csv" }
	}
}

// row writes cells as one line.
func (t *table) row(cells ...string) {
	if t.d.Again > 0 && t.rows > 0 && t.rows%t.d.Again == 0 {
		t.line(t.head...)
	}
	t.rows++
	if t.d.Label != "" {
		cells = slices.Clone(cells)
		for i := range cells {
			cells[i] = t.head[i] + t.d.Label + cells[i]
		}
	}
	t.line(cells...)
}

func (t *table) line(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			t.b.WriteString(t.d.Delim)
		}
		if t.d.Quote || strings.Contains(c, t.d.Delim) && t.d.Delim != " " {
			c = `"` + c + `"`
		}
		t.b.WriteString(c)
	}
	if t.d.Trail {
		t.b.WriteString(t.d.Delim)
	}
	t.b.WriteString(t.d.EOL)
}

// begin writes preamble, heading and units row.
func (t *table) begin(head ...string) {
	for _, p := range t.d.Preamble {
		t.b.WriteString(p + t.d.EOL)
	}
	t.head = head
	if !t.d.NoHeader && t.d.Label == "" {
		t.line(head...)
	}
	if t.d.UnitsRow != nil {
		t.line(t.d.UnitsRow...)
	}
	for _, n := range t.d.Notes {
		t.line(n...)
	}
}

// source ends the table.
func (t *table) source(side string) recording.Source {
	for _, f := range t.d.Footer {
		t.b.WriteString(f + t.d.EOL)
	}
	data := []byte(t.b.String())
	if t.d.Encode != nil {
		data = t.d.Encode(data)
	}
	return recording.Bytes(t.d.FileName(side), data, recording.SideUnknown)
}

// time makes the time cells of sample i.
func (t *table) time(s Samples, i int) []string {
	cells := t.d.Time(i, t.d.Begin+float64(i)/s.Rate)
	if t.d.Blank > 1 && i%t.d.Blank > 0 {
		clear(cells)
	}
	for k, c := range cells {
		if t.d.Decimal != "." && !strings.Contains(c, ":") {
			cells[k] = strings.Replace(c, ".", t.d.Decimal, 1)
		}
	}
	return cells
}

// num prints a value given in base units.
func (t *table) num(v float64, u unit.Unit) string {
	x := u.FromBase(v)
	if t.d.Digits < 0 {
		return fmt.Sprint(int(math.Round(x)))
	}
	return strings.Replace(fmt.Sprintf("%.*f", t.d.Digits, x), ".", t.d.Decimal, 1)
}

func (t *table) acc(s Samples, i int) []string {
	return []string{t.num(s.Acc[0][i], t.d.AccUnit), t.num(s.Acc[1][i], t.d.AccUnit), t.num(s.Acc[2][i], t.d.AccUnit)}
}

func (t *table) gyr(s Samples, i int) []string {
	if t.d.NoGyro {
		return nil
	}
	return []string{t.num(s.Gyr[0][i], t.d.GyrUnit), t.num(s.Gyr[1][i], t.d.GyrUnit), t.num(s.Gyr[2][i], t.d.GyrUnit)}
}

func (t *table) accHead() []string { return heads(t.d.AccHead) }

func (t *table) gyrHead() []string {
	if t.d.NoGyro {
		return nil
	}
	return heads(t.d.GyrHead)
}

func heads(name func(string) string) []string { return []string{name("x"), name("y"), name("z")} }

// join puts groups of cells into one row.
func join(groups ...[]string) []string {
	var out []string
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}
