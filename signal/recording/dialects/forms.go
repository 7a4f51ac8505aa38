package dialects

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Forms are ways to write the plain recording that keep every digit of its values:
// they must read to the very same numbers.
func Forms() []Dialect {
	return slices.Concat(notes(), parts(), wholeSeconds(), differences(), days(), ticksOfAClock(), anatomy(), labels())
}

// notes describe the columns in rows under the heading.
func notes() []Dialect {
	row := func(cells string) []string { return strings.Split(cells, "|") }
	units := row("s|m/s2|m/s2|m/s2|rad/s|rad/s|rad/s")
	words := row("elapsed time|acceleration forward|acceleration left|acceleration up|rate about x|rate about y|rate about z")
	kinds := row("float|float|float|float|float|float|float")
	marked := func(cells []string) []string { return append([]string{"# " + cells[0]}, cells[1:]...) }
	bare := func(name string, rows ...[]string) Dialect {
		return Dialect{Name: name, TimeHead: []string{"time"}, AccHead: head("a", ""), GyrHead: head("g", ""), Notes: rows}
	}
	return []Dialect{
		bare("units, then notes", units, words),
		bare("notes, then units", words, units),
		bare("notes, units and kinds", words, units, kinds),
		bare("kinds of number", kinds),
		bare("two comment rows", marked(units), marked(kinds)),
		bare("units, then a sentence", units, row("Acceleration in m/s2| rates in rad/s")),
		bare("notes with units", row("s since start|forward (m/s2)|left (m/s2)|up (m/s2)|about x (rad/s)|about y (rad/s)|about z (rad/s)")),
	}
}

// parts write a point in time in columns of its parts.
func parts() []Dialect {
	form := func(name, heads, layout string) Dialect {
		return Dialect{Name: "time in parts: " + name, TimeHead: strings.Split(heads, ","), Unmapped: true, Time: func(_ int, t float64) []string {
			return strings.Split(began.Add(time.Duration(math.Round(t*1e9))).Format(layout), ",")
		}}
	}
	micro := func(_ int, t float64) []string {
		at := began.Add(time.Duration(math.Round(t * 1e9)))
		return append(strings.Split(at.Format("15,4,5"), ","), fmt.Sprint(at.Nanosecond()/1e6), fmt.Sprint(at.Nanosecond()/1e3%1000))
	}
	late := func(_ int, t float64) []string {
		t += 3594.5 // the hour, and with it the minutes, starts again
		return []string{fmt.Sprint(int(t/60) % 60), fmt.Sprintf("%.3f", math.Mod(t, 60))}
	}
	night := func(_ int, t float64) []string {
		at := began.Add(time.Duration(math.Round(t*1e9)) + 15*time.Hour + 29*time.Minute + 53*time.Second)
		return strings.Split(at.Format("15,04,05.000"), ",")
	}
	return []Dialect{
		form("year to second", "year,month,day,hour,minute,second", "2006,1,2,15,4,5.000"),
		form("single letters", "Y,M,D,h,m,s", "2006,1,2,15,4,5.000"),
		form("German", "Jahr,Monat,Tag,Stunde,Minute,Sekunde", "2006,01,02,15,04,05.000"),
		form("date and hour to second", "date,hh,mm,ss", "2006-01-02,15,04,05.000"),
		form("date in parts and clock", "year,month,day,time", "2006,1,2,15:04:05.000"),
		form("hour to second", "UTC hour,UTC minute,UTC second", "15,4,5.000"),
		form("AM and PM", "date,hour,minute,second,half", "2006-01-02,3,4,5.000,PM"),
		form("digits", "date,time", "20060102,150405.000"),
		form("digits without a date", "time_hhmmss", "150405.000"),
		{Name: "time in parts: ms and us", TimeHead: []string{"hour", "minute", "second", "millisecond", "microsecond"}, Time: micro, Unmapped: true},
		{Name: "time in parts: minutes and seconds", TimeHead: []string{"minutes", "seconds"}, Unmapped: true, Time: func(_ int, t float64) []string {
			return []string{fmt.Sprint(int((t + 55) / 60)), fmt.Sprintf("%.3f", math.Mod(t+55, 60))}
		}, Start: 55},
		{Name: "time in parts: minutes that start again", TimeHead: []string{"min", "s"}, Unmapped: true, Time: late, Start: 3594.5},
		{Name: "time in parts: across midnight", TimeHead: []string{"hour", "minute", "second"}, Unmapped: true, Time: night},
	}
}

// wholeSeconds stamp with whole seconds, from the first row of one on.
func wholeSeconds() []Dialect {
	return []Dialect{
		{Name: "whole seconds since 1970", TimeHead: []string{"unix"}, Time: func(_ int, t float64) []string { return []string{fmt.Sprint(began.Unix() + int64(t+1e-9))} }},
		{Name: "whole seconds since the start", TimeHead: []string{"time_s"}, Time: func(_ int, t float64) []string { return []string{fmt.Sprint(int(t + 1e-9))} }},
		{Name: "whole seconds in parts", TimeHead: []string{"hour", "minute", "second"}, Unmapped: true, Time: func(_ int, t float64) []string {
			return strings.Split(began.Truncate(time.Second).Add(time.Duration(int(t+1e-9))*time.Second).Format("15,4,5"), ",")
		}},
	}
}

// differences tell the time since the row before.
func differences() []Dialect {
	step := func(name, head string, cells ...string) Dialect {
		return Dialect{Name: "differences: " + name, TimeHead: []string{head}, Unmapped: true, Time: func(i int, _ float64) []string {
			if i == 0 && len(cells) > 1 {
				return cells[:1]
			}
			return cells[len(cells)-1:]
		}}
	}
	counted := step("beside a counter", "sample,dt (ms)", "5.000")
	counted.TimeHead = []string{"sample", "dt (ms)"}
	counted.Time = func(i int, _ float64) []string { return []string{fmt.Sprint(i), "5.000"} }
	return []Dialect{
		step("dt", "dt", "0.00500"), step("from 0 on", "delta_t (ms)", "0", "5.000"), step("nothing first", "interval_us", "", "5000"),
		step("in words", "time since previous sample [ms]", "0.0", "5.0"), step("Greek", "Δt [s]", "0.005000"), counted,
	}
}

// days count days, as spreadsheets keep dates.
func days() []Dialect {
	since := func(zero float64, digits int) func(int, float64) []string {
		whole := math.Floor(float64(began.Unix()) / 86400)
		part := float64(began.Unix())/86400 - whole
		return func(_ int, t float64) []string {
			return []string{strings.Replace(fmt.Sprintf("%.*f", digits, part+t/86400), "0.", fmt.Sprintf("%.0f.", whole+zero), 1)}
		}
	}
	return []Dialect{
		{Name: "days since 1899-12-30", TimeHead: []string{"date"}, Time: since(25569, 11)},
		{Name: "days since the year 0", TimeHead: []string{"datenum"}, Time: since(719529, 11)},
		{Name: "days since the start", TimeHead: []string{"time (days)"}, Time: number(1.0/86400, 12)},
	}
}

// ticksOfAClock count the ticks of a clock that is stated. A tick of the slower
// clocks is a good part of a sample: the fitted axis finds the sample.
func ticksOfAClock() []Dialect {
	ticks := func(rate float64, first, wrap int) func(int, float64) []string {
		return func(_ int, t float64) []string {
			v := first + int(math.Round(t*rate))
			if wrap > 0 {
				v %= wrap
			}
			return []string{fmt.Sprint(v)}
		}
	}
	const crystal = 32768
	return []Dialect{
		{Name: "ticks with the clock in the name", TimeHead: []string{"ticks_32768Hz"}, Time: ticks(crystal, 0, 0)},
		{Name: "ticks with the clock in brackets", TimeHead: []string{"tick (32.768 kHz)"}, Time: ticks(crystal, 0, 0)},
		{Name: "ticks as a share of a second", TimeHead: []string{"time [1/32768 s]"}, Time: ticks(crystal, 0, 0)},
		{Name: "ticks with the clock before", TimeHead: []string{"ticks"}, Time: ticks(crystal, 0, 0), Preamble: []string{"# clock: 32768 Hz"}},
		{Name: "ticks with clock and sampling rate before", TimeHead: []string{"ticks"}, Time: ticks(1e6, 0, 0), Preamble: []string{"timer clock: 1 MHz", "sampling rate: 200 Hz"}},
		{Name: "counter with its rate before", TimeHead: []string{"counter"}, Time: ticks(1000, 0, 0), Preamble: []string{"tick rate: 1000 Hz"}},
		{Name: "samples beside a clock", TimeHead: []string{"sample"}, Time: counter(0, 1, 0), Preamble: []string{"# clock: 16 MHz", "# sampling rate: 200 Hz"}},
		{Name: "ticks in a unit of time", TimeHead: []string{"ticks (us)"}, Time: ticks(1e6, 0, 0)},
		{Name: "ticks per second before", TimeHead: []string{"tick"}, Time: ticks(1e4, 0, 0), Preamble: []string{"ticks per second: 10000"}},
		{Name: "a timer with its clock before", TimeHead: []string{"timer"}, Time: ticks(crystal, 0, 0), Preamble: []string{"RTC 32768 Hz"}},
		{Name: "ticks that wrap", TimeHead: []string{"ticks_32768Hz"}, Time: ticks(crystal, 60000, 1<<16), Start: 60000.0 / crystal},
		{Name: "ticks that wrap at 24 bit", TimeHead: []string{"ticks_32768Hz"}, Time: ticks(crystal, 1<<24-65536, 1<<24), Start: (1<<24 - 65536.0) / crystal},
	}
}

// anatomy names the axes of an accelerometer by the directions of the body.
func anatomy() []Dialect {
	names := func(name, before, x, y, z, after string) Dialect {
		return Dialect{Name: "anatomy: " + name, NoGyro: true, AccHead: func(axis string) string {
			return before + map[string]string{"x": x, "y": y, "z": z}[axis] + after
		}}
	}
	bare := names("signs alone", "", "AP", "ML", "V", "")
	bare.FileName = func(side string) string { return side + "_foot_acc.csv" }
	wide := names("both feet", "acc_", "ap", "ml", "v", "")
	wide.Shape = Wide
	return []Dialect{
		names("signs", "acc_", "ap", "ml", "v", ""), names("signs in capitals", "Acc", "AP", "ML", "V", ""), names("signs joined", "accel", "ap", "ml", "vt", "_m_s2"),
		names("one letter for the sensor", "a_", "AP", "ML", "VT", ""), names("English", "", "anteroposterior", "mediolateral", "vertical", " acceleration (m/s²)"),
		names("hyphens", "Acceleration ", "anterior-posterior", "medio-lateral", "vertical", " [m/s2]"),
		names("German", "Beschleunigung ", "anteroposterior", "mediolateral", "vertikal", " (m/s²)"),
		names("French", "Accélération ", "antéro-postérieure", "médio-latérale", "verticale", " (m/s²)"),
		names("beside letters", "acc_", "x (anteroposterior)", "y (mediolateral)", "z (vertical)", ""), bare, wide,
	}
}

// labels write the name before each value.
func labels() []Dialect {
	return []Dialect{
		{Name: "labels: equals signs", Label: "="}, {Name: "labels: colons", Label: ":"}, {Name: "labels: colons and blanks", Label: ": "},
		{Name: "labels: between blanks", Label: "=", Delim: " "}, {Name: "labels: between tabs", Label: ":", Delim: "\t"},
		{Name: "labels: decimal comma", Label: "=", Delim: ";", Decimal: ","}, {Name: "labels: behind a preamble", Label: "=", Preamble: []string{"recorder 7", "# units: m/s2, rad/s"}},
		{Name: "labels: a side in each row", Label: "=", Shape: LongSide},
		{Name: "labels: a point in time", Label: ":", TimeHead: []string{"timestamp"}, Time: stampAt(func(t time.Time) string { return t.Format("2006-01-02T15:04:05.000Z") })},
	}
}
