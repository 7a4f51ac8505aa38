package dialects

import (
	"fmt"
	"math"
	"strings"
	"time"

	"setdown/signal/unit"
)

// layoutOf writes stamps in a layout of package time.
func layoutOf(layout string) func(int, float64) []string {
	return stampAt(func(t time.Time) string { return t.Format(layout) })
}

// stamps are further ways to write a point in time.
func stamps() []Dialect {
	at := []string{"timestamp"}
	var out []Dialect
	for _, l := range []string{
		"2006-01-02 15:04:05.000 UTC", "2006-01-02 15:04:05.000 GMT+1", "2006-01-02 15:04:05.000 UTC+01:00", "2006-01-02T15:04:05.000+0100",
		"2006-01-02 15:04:05.000 CET", "2006-01-02T15:04:05.000Z[UTC]", "2006-01-02T15:04:05.000+01:00[Europe/Berlin]", "01/02/2006 03:04:05.000 PM",
		"1/2/2006 3:04:05.000\u202fAM", "2006-01-02_15-04-05.000", "2006_01_02_15_04_05.000", "2006/01/02 15:04:05,000", "20060102T150405.000Z",
		"20060102 15:04:05.000", "Mon 2006-01-02 15:04:05.000", "20060102150405.000", "02-Jan-2006 15:04:05.000", "Jan 2 2006 15:04:05.000", "Sat Jan 2 15:04:05.000 2006",
		"2 January 2006 03:04:05.000 PM", "02.01.06 15:04:05.000", "15h04m05.000s",
	} {
		out = append(out, Dialect{Name: "stamp " + strings.ReplaceAll(l, "/", "-"), TimeHead: at, Time: layoutOf(l)})
	}
	march := stampAt(func(t time.Time) string { return t.Format("2. ") + "März" + t.Format(" 2006 15:04:05.000") })
	return append(out,
		Dialect{Name: "German month", TimeHead: []string{"Messzeit"}, Time: march},
		Dialect{Name: "date, time and ms", TimeHead: []string{"Date", "Time", "Millis"}, Time: dateTimeMillis, Unmapped: true},
		Dialect{Name: "s and us", TimeHead: []string{"sec", "usec"}, Time: secondsAnd(1000), Unmapped: true},
		Dialect{Name: "s and ns", TimeHead: []string{"stamp.sec", "stamp.nanosec"}, Time: secondsAnd(1), Unmapped: true},
		Dialect{Name: "stamp in the first row of a packet only", TimeHead: at, Time: number(1000, 0), Blank: 10},
		Dialect{Name: "arrival in ms", TimeHead: []string{"received_ms"}, Time: number(1000, 0)},
		Dialect{Name: "elapsed in words", TimeHead: []string{"Timestamp (us since boot)"}, Time: number(1e6, 0)},
		Dialect{Name: "clock and full date", Delim: "\t", TimeHead: []string{"node", "Clock", "Date and time"}, Time: addressed, Unmapped: true},
	)
}

func dateTimeMillis(_ int, t float64) []string {
	at := began.Add(time.Duration(math.Round(t * 1e9)))
	return []string{at.Format("2006-01-02"), at.Format("15:04:05"), fmt.Sprint(at.Nanosecond() / 1e6)}
}

// secondsAnd gives whole seconds since 1970 and the rest in units of div ns.
func secondsAnd(div int) func(int, float64) []string {
	return func(_ int, t float64) []string {
		at := began.Add(time.Duration(math.Round(t * 1e9)))
		return []string{fmt.Sprint(at.Unix()), fmt.Sprint(at.Nanosecond() / div)}
	}
}

func addressed(_ int, t float64) []string {
	at := began.Add(time.Duration(math.Round(t * 1e9)))
	return []string{"0x50", at.Format("15:04:05.000"), at.Format("2006-1-2 15:04:05.000")}
}

// numberRow numbers the columns of a row; the first cell is given.
func numberRow(first string, from, n int) string {
	cells := []string{first}
	for i := range n - 1 {
		cells = append(cells, fmt.Sprint(from+i))
	}
	return strings.Join(cells, ",")
}

// plates differ in what else stands in the file, and in headings that name their
// sensors in unusual ways.
func plates() []Dialect {
	g, deg := unit.G, unit.DegreePerSecond
	index := func(i int, t float64) []string { return []string{fmt.Sprint(i + 1), fmt.Sprintf("%.4f", t)} }
	return []Dialect{
		{Name: "sample and time, tight", TimeHead: []string{"Sample", "Timestamp(ms)"}, Time: func(i int, t float64) []string { return []string{fmt.Sprint(i), fmt.Sprintf("%.0f", t*1000)} },
			AccHead: upper("Acc", "(mg)"), AccUnit: unit.MilliG, GyrHead: upper("Gyro", "(dps)"), GyrUnit: deg},
		{Name: "magnetometer, quaternion, temperature, pressure", TailHead: []string{"mx", "my", "mz", "q0", "q1", "q2", "q3", "temp_c", "press_hpa"},
			Tail: []string{"12.1", "-33.0", "4.1", "0.99", "0.01", "0.02", "0.03", "24.5", "1013.2"}, AccHead: head("a", ""), GyrHead: head("g", "")},
		{Name: "linear acceleration, gravity and angles", TailHead: []string{"linAccX", "linAccY", "linAccZ", "gravityX", "gravityY", "gravityZ", "Roll", "Pitch", "Yaw"},
			Tail: []string{"0.1", "0.2", "0.3", "0", "0", "1", "2", "3", "4"}, AccHead: upper("acc", ""), GyrHead: upper("gyro", "")},
		{Name: "linear acceleration that has gravity", TimeHead: []string{"%time", "field.header.frame_id"}, Time: func(_ int, t float64) []string {
			return []string{fmt.Sprint(began.UnixNano() + int64(math.Round(t*1e9))), "imu_link"}
		}, AccHead: head("field.linear_acceleration.", ""), GyrHead: head("field.angular_velocity.", "")},
		{Name: "a second accelerometer", AccHead: head("acc16_", ""), GyrHead: head("gyro_", ""), TailHead: []string{"acc200_x", "acc200_y", "acc200_z"}, Tail: []string{"0.5", "0.1", "9.7"}},
		{Name: "sizes of the vectors", TailHead: []string{"amag", "gmag"}, Tail: []string{"9.9", "0.3"}},
		{Name: "words and empty columns", TailHead: []string{"valid", "activity", "mx", "my", "mz"}, Tail: []string{"TRUE", "running", "", "", ""}},
		{Name: "sep line", Delim: ";", Decimal: ",", Preamble: []string{"sep=;"}},
		{Name: "column numbers above", Preamble: []string{numberRow("1", 2, 7)}},
		{Name: "column numbers from 0 above", Preamble: []string{numberRow("", 0, 7)}},
		{Name: "column numbers below", UnitsRow: strings.Split(numberRow("1", 2, 7), ",")},
		{Name: "comment at the end", Footer: []string{"# end of recording"}},
		{Name: "words at the end", Footer: []string{"", "Total samples: 2800", "END"}},
		{Name: "unnamed index", TimeHead: []string{"", "time"}, Time: index},
		{Name: "heading without the index", Delim: " ", Quote: true, TimeHead: []string{"time"}, Time: index},
		{Name: "three heading rows", Preamble: []string{"Sensor 00123,,,,,,", ",Accelerometer,,,Gyroscope,,"}, TimeHead: []string{"Time"}, AccHead: upper("", ""), GyrHead: upper("", ""),
			UnitsRow: []string{"s", "m/s²", "m/s²", "m/s²", "rad/s", "rad/s", "rad/s"}},
		{Name: "rate in a list of settings", TimeHead: []string{"Frame"}, Time: counter(0, 1, 0), Preamble: []string{"Device,Serial,12345", "Filter cut-off: 92 Hz", "Number of samples,2800", "Frames per second: 200"}},
		{Name: "interval before the heading", TimeHead: []string{"n"}, Time: counter(0, 1, 0), Preamble: []string{"Sampling interval: 5 ms"}},
		{Name: "cm/s2 and mrad/s", AccUnit: unit.CentimetrePerSec2, AccHead: head("acc_", " (cm/s²)"), GyrUnit: unit.MilliRadPerSecond, GyrHead: head("gyr_", " (mrad/s)")},
		{Name: "Greek letter", AccHead: head("a", ""), GyrHead: head("ω", "")},
		{Name: "axis before a letter", AccHead: head("", "a"), GyrHead: head("", "g")},
		{Name: "in capitals", TimeHead: []string{"TIMESTAMP_MS"}, Time: number(1000, 0), AccHead: upper("ACCEL_", "_AXIS"), GyrHead: upper("GYRO_", "_AXIS")},
		{Name: "axes in German", Delim: ";", Decimal: ",", TimeHead: []string{"Messzeit"}, AccHead: upper("Beschl. ", "-Achse in m/s²"), GyrHead: upper("Drehgeschw. ", "-Achse in °/s"), GyrUnit: deg},
		{Name: "axes in French", Delim: ";", Decimal: ",", TimeHead: []string{"Temps écoulé (s)"}, AccHead: upper("Accélération axe ", " (m.s-2)"), GyrHead: upper("Vitesse de rotation ", " (deg/s)"), GyrUnit: deg},
		{Name: "axes in Spanish", Delim: ";", Decimal: ",", TimeHead: []string{"Tiempo transcurrido [s]"}, AccHead: upper("Acel. eje ", ""), GyrHead: upper("Velocidad de giro en ", ""), GyrUnit: deg},
		{Name: "axes in Italian", Delim: ";", Decimal: ",", TimeHead: []string{"Tempo trascorso (s)"}, AccHead: upper("Acc. asse ", ""), GyrHead: upper("Vel. angolare ", "")},
		{Name: "axes in Dutch", Delim: ";", Decimal: ",", TimeHead: []string{"Verstreken tijd (s)"}, AccHead: upper("Versnelling ", "-as (g)"), AccUnit: g, GyrHead: upper("Rotatiesnelheid ", "-as (°/s)"), GyrUnit: deg},
	}
}

// sidesInWords differ in how they tell left from right within one file.
func sidesInWords() []Dialect {
	wide := func(name, left, right string, join func(side, name string) string) Dialect {
		return Dialect{Name: "wide " + name, Shape: Wide, Sides: [2]string{left, right}, WideHead: join, AccHead: head("a", ""), GyrHead: head("g", "")}
	}
	before := func(sep string) func(string, string) string { return func(s, n string) string { return s + sep + n } }
	after := func(sep string) func(string, string) string { return func(s, n string) string { return n + sep + s } }
	long := func(key, left, right string) Dialect {
		return Dialect{Name: "long by " + key, Shape: LongSide, KeyHead: key, Sides: [2]string{left, right}}
	}
	out := []Dialect{
		wide("ax_l", "l", "r", after("_")), wide("axL", "L", "R", after("")), wide("lax", "l", "r", before("")), wide("left ax", "left", "right", before("")),
		wide("ax (left)", "(left)", "(right)", after(" ")), wide("G/D", "Pied G", "Pied D", before(" ")), wide("li/re", "li", "re", after("_")), wide("I/D", "I", "D", after("_")),
		long("Côté", "G", "D"), long("Lado", "I", "D"), long("Lato", "sinistro", "destro"), long("Zijde", "links", "rechts"), long("Fuß", "li", "re"),
		long("", "left", "right"), long("Sensor", "Pie izquierdo", "Pie derecho"), long("location", "dorsum of left foot", "dorsum of right foot"),
	}
	upperHeads := Dialect{Name: "wide LaX", Shape: Wide, Sides: [2]string{"L", "R"}, WideHead: before(""), AccHead: upper("a", ""), GyrHead: upper("g", "")}
	groups := Dialect{Name: "sides above the heading", Shape: Wide, Preamble: []string{"Time,Left Foot,,,,,,Right Foot,,,,,"}, WideHead: func(_, n string) string { return n }}
	two := Dialect{Name: "sides and sensors above the heading", Shape: Wide, Preamble: []string{"Time,Left Foot,,,,,,Right Foot,,,,,", ",Acc,,,Gyro,,,Acc,,,Gyro,,"},
		AccHead: head("", ""), GyrHead: head("", ""), WideHead: func(_, n string) string { return n }}
	return append(out, upperHeads, groups, two)
}
