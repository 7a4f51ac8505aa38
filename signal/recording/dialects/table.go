package dialects

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"setdown/signal/unit"
)

// began is the instant at which the invented recordings began.
var began = time.Date(2024, 3, 9, 8, 30, 0, 250_000_000, time.UTC)

// stampAt makes a stamp of an instant.
func stampAt(format func(time.Time) string) func(int, float64) []string {
	return func(_ int, t float64) []string {
		return []string{format(began.Add(time.Duration(math.Round(t * 1e9))))}
	}
}

// number makes a stamp of t × scale with some decimals.
func number(scale float64, decimals int) func(int, float64) []string {
	return func(_ int, t float64) []string { return []string{fmt.Sprintf("%.*f", decimals, t*scale)} }
}

// head joins parts around an axis.
func head(before, after string) func(string) string {
	return func(axis string) string { return before + axis + after }
}

// upper writes the axis in capitals.
func upper(before, after string) func(string) string {
	return func(axis string) string { return before + strings.ToUpper(axis) + after }
}

// encoded writes text in an encoding.
func encoded(e encoding.Encoding, mark string) func([]byte) []byte {
	return func(b []byte) []byte {
		out, err := e.NewEncoder().Bytes(b)
		if err != nil {
			panic("dialects: " + err.Error())
		}
		return append([]byte(mark), out...)
	}
}

// zip packs with gzip.
func gz(b []byte) []byte {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	w.Write(b)
	w.Close()
	return out.Bytes()
}

// counter makes a counter that starts at first and wraps at wrap (0: never).
func counter(first, step, wrap int64) func(int, float64) []string {
	return func(i int, _ float64) []string {
		v := first + int64(i)*step
		if wrap > 0 {
			v %= wrap
		}
		return []string{fmt.Sprint(v)}
	}
}

// Table is every dialect that must be read without a flag.
func Table() []Dialect {
	return slices.Concat(layouts(), clocks(), languages(), unitsAndShapes(), stamps(), plates(), sidesInWords(), companions(), fullCounters(), styles(), Forms())
}

// layouts differ in delimiters, decimals, line ends, encodings and packing.
func layouts() []Dialect {
	return []Dialect{
		{Name: "plain"},
		{Name: "semicolon", Delim: ";"},
		{Name: "tab", Delim: "\t"},
		{Name: "space", Delim: " "},
		{Name: "several spaces", Delim: "   "},
		{Name: "bar", Delim: "|"},
		{Name: "comma and space", Delim: ", "},
		{Name: "semicolon and decimal comma", Delim: ";", Decimal: ","},
		{Name: "tab and decimal comma", Delim: "\t", Decimal: ","},
		{Name: "quoted decimal comma between commas", Decimal: ",", Quote: true},
		{Name: "every cell quoted", Quote: true},
		{Name: "CRLF", EOL: "\r\n"},
		{Name: "CR alone", EOL: "\r"},
		{Name: "byte order mark", Encode: func(b []byte) []byte { return append([]byte("\xef\xbb\xbf"), b...) }},
		{Name: "UTF-16 little endian", Encode: encoded(unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "\xff\xfe")},
		{Name: "UTF-16 big endian", Encode: encoded(unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), "\xfe\xff")},
		{Name: "UTF-16 without mark", Encode: encoded(unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "")},
		{Name: "Latin-1 units", AccHead: head("acc_", " [m/s²]"), GyrHead: head("gyr_", " [°/s]"), GyrUnit: unit.DegreePerSecond, Encode: encoded(charmap.ISO8859_1, "")},
		{Name: "trailing separator", Trail: true},
		{Name: "preamble with rate", TimeHead: []string{"sample"}, Time: counter(0, 1, 0), Preamble: []string{"Device: imu 7", "Sampling rate: 200 Hz", ""}},
		{Name: "preamble without time", TimeHead: []string{}, Time: func(int, float64) []string { return nil }, Preamble: []string{"# fs = 200"}},
		{Name: "preamble table", Preamble: []string{"Subject,12", "Date,2024-03-09", "Sampling frequency (Hz),200", "Range (g),16"}},
		{Name: "long preamble", Preamble: strings.Split(strings.Repeat("note to nobody\n", 60)+"end", "\n")},
		{Name: "hash comments", Preamble: []string{"# written by a logger", "# acc in m/s2"}},
		{Name: "slash comments", Preamble: []string{"// written by a logger"}},
		{Name: "heading in a comment", TimeHead: []string{"# time_s"}},
		{Name: "heading repeated", Again: 500},
		{Name: "units row", UnitsRow: []string{"s", "g", "g", "g", "deg/s", "deg/s", "deg/s"}, TimeHead: []string{"time"}, AccUnit: unit.G, GyrUnit: unit.DegreePerSecond},
		{Name: "units row in brackets", UnitsRow: []string{"[ms]", "[m/s^2]", "[m/s^2]", "[m/s^2]", "[rad/s]", "[rad/s]", "[rad/s]"}, TimeHead: []string{"time"}, Time: number(1000, 3)},
		{Name: "no heading", NoHeader: true},
		{Name: "an unused column", Extra: "temperature_c"},
		{Name: "gzip", Encode: gz, FileName: func(s string) string { return s + "_foot.csv.gz" }},
	}
}

// clocks differ in how they tell time.
func clocks() []Dialect {
	return []Dialect{
		{Name: "milliseconds", TimeHead: []string{"time_ms"}, Time: number(1e3, 3)},
		{Name: "whole milliseconds", TimeHead: []string{"timestamp (ms)"}, Time: number(1e3, 0)},
		{Name: "microseconds", TimeHead: []string{"t_us"}, Time: number(1e6, 0)},
		{Name: "microseconds with sign", TimeHead: []string{"time (µs)"}, Time: number(1e6, 0)},
		{Name: "nanoseconds", TimeHead: []string{"time [ns]"}, Time: number(1e9, 0)},
		{Name: "milliseconds unstated", TimeHead: []string{"timestamp"}, Time: number(1e3, 0)},
		{Name: "microseconds unstated", TimeHead: []string{"timestamp"}, Time: number(1e6, 0)},
		{Name: "does not start at 0", Begin: 312.5, Start: 312.5},
		{Name: "epoch s", TimeHead: []string{"epoch"}, Time: stampAt(func(t time.Time) string { return fmt.Sprintf("%d.%06d", t.Unix(), t.Nanosecond()/1000) })},
		{Name: "epoch ms", TimeHead: []string{"unix_ms"}, Time: stampAt(func(t time.Time) string { return fmt.Sprint(t.UnixMilli()) })},
		{Name: "epoch us", TimeHead: []string{"timestamp"}, Time: stampAt(func(t time.Time) string { return fmt.Sprint(t.UnixMicro()) })},
		{Name: "epoch ns", TimeHead: []string{"timestamp"}, Time: stampAt(func(t time.Time) string { return fmt.Sprint(t.UnixNano()) })},
		{Name: "ISO 8601 in UTC", TimeHead: []string{"timestamp"}, Time: stampAt(func(t time.Time) string { return t.Format("2006-01-02T15:04:05.000Z") })},
		{Name: "RFC 3339 with zone", TimeHead: []string{"time"}, Time: stampAt(func(t time.Time) string {
			return t.In(time.FixedZone("", 5400)).Format("2006-01-02T15:04:05.000000-07:00")
		})},
		{Name: "ISO with space", TimeHead: []string{"datetime"}, Time: stampAt(func(t time.Time) string { return t.Format("2006-01-02 15:04:05.000") })},
		{Name: "day.month.year", TimeHead: []string{"Zeit"}, Time: stampAt(func(t time.Time) string { return t.Format("02.01.2006 15:04:05.000") })},
		{Name: "date and time columns", TimeHead: []string{"date", "time"}, Time: stampParts},
		{Name: "time of day", TimeHead: []string{"clock"}, Time: stampAt(func(t time.Time) string { return t.Format("15:04:05.000") })},
		{Name: "across midnight", TimeHead: []string{"time"}, Time: stampAt(func(t time.Time) string {
			return t.Add(15*time.Hour + 29*time.Minute + 50*time.Second).Format("15:04:05.000")
		})},
		{Name: "clock put back", TimeHead: []string{"time"}, Time: clockPutBack},
		{Name: "clock put forward", TimeHead: []string{"time"}, Time: clockPutForward},
		{Name: "stopwatch", TimeHead: []string{"elapsed"}, Time: stampFrom0},
		{Name: "counter 16 bit", TimeHead: []string{"counter"}, Time: counter(64000, 1, 1<<16), Preamble: []string{"rate: 200 Hz"}, Start: 320},
		{Name: "ticks 16 bit ms", TimeHead: []string{"time_ms"}, Time: counter(60000, 5, 1<<16), Start: 60},
		{Name: "ticks 32 bit us", TimeHead: []string{"time_us"}, Time: counter(1<<32-8_000_000, 5000, 1<<32), Start: (1<<32 - 8e6) / 1e6},
		{Name: "packets of 10", Time: func(i int, t float64) []string {
			return []string{fmt.Sprintf("%.6f", math.Floor(float64(i)/10)*10/200)}
		}},
		{Name: "whole seconds", TimeHead: []string{"timestamp"}, Time: stampAt(func(t time.Time) string { return t.Add(-250 * time.Millisecond).Format("2006-01-02 15:04:05") })},
		{Name: "index and time", TimeHead: []string{"", "time_s"}, Time: func(i int, t float64) []string { return []string{fmt.Sprint(i), fmt.Sprintf("%.4f", t)} }},
	}
}

// stampParts gives date and time of day in two cells.
func stampParts(_ int, t float64) []string {
	at := began.Add(time.Duration(math.Round(t * 1e9)))
	return []string{at.Format("2006-01-02"), at.Format("15:04:05.000")}
}

// clockPutBack is local time when summer time ends after 10 s.
func clockPutBack(_ int, t float64) []string {
	at := time.Date(2024, 10, 27, 2, 59, 50, 0, time.UTC).Add(time.Duration(math.Round(t * 1e9)))
	if t >= 10 {
		at = at.Add(-time.Hour)
	}
	return []string{at.Format("2006-01-02 15:04:05.000")}
}

// stampFrom0 is a stopwatch.
func stampFrom0(_ int, t float64) []string {
	at := time.Time{}.Add(time.Duration(math.Round(t * 1e9)))
	return []string{at.Format("15:04:05.000")}
}

// languages differ in the words of the heading.
func languages() []Dialect {
	deg := unit.DegreePerSecond
	return []Dialect{
		{Name: "English words", TimeHead: []string{"Time (s)"}, AccHead: upper("Acceleration ", " (m/s^2)"), GyrHead: upper("Angular velocity ", " (deg/s)"), GyrUnit: deg},
		{Name: "German", Delim: ";", Decimal: ",", TimeHead: []string{"Zeit [s]"}, AccHead: upper("Beschleunigung ", " [m/s²]"), GyrHead: upper("Drehrate ", " [°/s]"), GyrUnit: deg, FileName: func(s string) string {
			return map[string]string{"left": "Fuß links.csv", "right": "Fuß rechts.csv"}[s]
		}},
		{Name: "French", Delim: ";", Decimal: ",", TimeHead: []string{"Temps (s)"}, AccHead: upper("Accélération ", " (m/s²)"), GyrHead: upper("Vitesse angulaire ", " (rad/s)"), FileName: func(s string) string {
			return map[string]string{"left": "pied gauche.csv", "right": "pied droit.csv"}[s]
		}},
		{Name: "Spanish", Delim: ";", Decimal: ",", TimeHead: []string{"Tiempo (s)"}, AccHead: head("Aceleración ", " (g)"), AccUnit: unit.G, GyrHead: head("Velocidad angular ", " (°/s)"), GyrUnit: deg, FileName: func(s string) string {
			return map[string]string{"left": "pie_izquierdo.csv", "right": "pie_derecho.csv"}[s]
		}},
		{Name: "Italian", Delim: ";", Decimal: ",", TimeHead: []string{"Tempo (s)"}, AccHead: head("Accelerazione ", " (m/s²)"), GyrHead: head("Velocità angolare ", " (rad/s)"), FileName: func(s string) string {
			return map[string]string{"left": "piede_sinistro.csv", "right": "piede_destro.csv"}[s]
		}},
		{Name: "Dutch", Delim: ";", Decimal: ",", TimeHead: []string{"Tijd (s)"}, AccHead: head("Versnelling ", " (m/s²)"), GyrHead: head("Hoeksnelheid ", " (°/s)"), GyrUnit: deg, FileName: func(s string) string {
			return map[string]string{"left": "linkervoet voet links.csv", "right": "voet rechts.csv"}[s]
		}},
		{Name: "joined words", TimeHead: []string{"t"}, AccHead: head("a", ""), GyrHead: head("g", "")},
		{Name: "omega", TimeHead: []string{"t"}, AccHead: head("a_", ""), GyrHead: head("omega_", "")},
		{Name: "camel case", TimeHead: []string{"timeStamp"}, AccHead: upper("accel", ""), GyrHead: upper("gyro", "")},
		{Name: "axes by number", AccHead: numbered("acc_", "", 1), GyrHead: numbered("gyr_", "", 1)},
		{Name: "axes by index", AccHead: numbered("acc[", "]", 0), GyrHead: numbered("gyr[", "]", 0)},
		{Name: "phrases", AccHead: head("specific force ", " (m/s2)"), GyrHead: head("rate of turn ", " (rad/s)")},
		{Name: "phrases joined", AccHead: upper("acceleration", ""), GyrHead: upper("rotationRate", "")},
		{Name: "sides in short", FileName: func(s string) string { return map[string]string{"left": "S01-LF.csv", "right": "S01-RF.csv"}[s] }},
		{Name: "sides glued on", FileName: func(s string) string { return "run3" + s + "foot.txt" }},
		{Name: "axis first", AccHead: upper("", " acceleration [m/s2]"), GyrHead: upper("", " gyro [dps]"), GyrUnit: deg},
	}
}

// unitsAndShapes differ in units and in the layout of rows and files.
func unitsAndShapes() []Dialect {
	g, deg := unit.G, unit.DegreePerSecond
	return []Dialect{
		{Name: "g and deg/s unstated", AccUnit: g, GyrUnit: deg},
		{Name: "mg and mdeg/s", AccUnit: unit.MilliG, GyrUnit: unit.MilliDegPerSecond, AccHead: head("acc_", "_mg"), GyrHead: head("gyr_", "_mdps"), Digits: 1},
		{Name: "mg and deg/s unstated", AccUnit: unit.MilliG, GyrUnit: deg, Digits: 2},
		{Name: "g in brackets", AccUnit: g, AccHead: head("Acc ", " [g]"), GyrUnit: deg, GyrHead: head("Gyro ", " [deg/s]")},
		{Name: "no gyroscope", NoGyro: true},
		{Name: "wide", Shape: Wide},
		{Name: "wide with single letters", Shape: Wide, Sides: [2]string{"L", "R"}},
		{Name: "wide joined", Shape: Wide, WideHead: func(side, name string) string { return name + "_" + side }},
		{Name: "wide German", Shape: Wide, Delim: ";", Decimal: ",", Sides: [2]string{"links", "rechts"}},
		{Name: "wide camel case", Shape: Wide, Sides: [2]string{"LeftFoot", "RightFoot"}, AccHead: upper("Acc", ""), GyrHead: upper("Gyr", ""), WideHead: func(side, name string) string { return side + name }},
		{Name: "long by side", Shape: LongSide},
		{Name: "long by foot", Shape: LongSide, KeyHead: "foot", Sides: [2]string{"L", "R"}},
		{Name: "long by sensor", Shape: LongSensor},
		{Name: "long by channel", Shape: LongChannel},
		{Name: "separate files", Shape: SeparateFiles, FileName: func(s string) string { return s + ".csv" }},
		{Name: "separate files of x, y, z", Shape: SeparateFiles, AccHead: head("", ""), GyrHead: head("", ""), FileName: func(s string) string { return s + ".csv" }},
		{Name: "interleaved", Shape: Interleaved},
		{Name: "side by side", Shape: SideBySide},
		{Name: "wide in short", Shape: Wide, Sides: [2]string{"IMU_LF", "IMU_RF"}},
		{Name: "wide of shins", Shape: Wide, Sides: [2]string{"LShank", "RShank"}},
		{Name: "counter and stamps", TimeHead: []string{"packet_no", "sample_time"}, Time: counterAndStamp, Start: 3},
		{Name: "two stamps", Shape: SeparateFiles, TimeHead: []string{"time", "elapsed_seconds"}, Time: epochAndElapsed, AccHead: head("", ""), GyrHead: head("", ""), FileName: func(s string) string { return s + ".csv" }},
	}
}

// clockPutForward is local time when summer time begins after 10 s.
func clockPutForward(_ int, t float64) []string {
	at := time.Date(2024, 3, 31, 1, 59, 50, 0, time.UTC).Add(time.Duration(math.Round(t * 1e9)))
	if t >= 10 {
		at = at.Add(time.Hour)
	}
	return []string{at.Format("2006-01-02 15:04:05.000")}
}

// numbered makes headings whose axes are numbers from first on.
func numbered(before, after string, first int) func(string) string {
	return func(axis string) string { return fmt.Sprint(before, int(axis[0]-'x')+first, after) }
}

// counterAndStamp gives a counter of packets and a stamp in µs.
func counterAndStamp(i int, _ float64) []string {
	return []string{fmt.Sprint(i), fmt.Sprint(3_000_000 + i*5000)}
}

// epochAndElapsed gives ns since 1970 and s since the start.
func epochAndElapsed(_ int, t float64) []string {
	at := began.Add(time.Duration(math.Round(t * 1e9)))
	return []string{fmt.Sprint(at.UnixNano()), fmt.Sprintf("%.6f", t)}
}
