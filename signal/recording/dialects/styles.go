package dialects

import (
	"fmt"

	"setdown/signal/unit"
)

// styles are further ways to name quantities and units.
func styles() []Dialect {
	g, deg := unit.G, unit.DegreePerSecond
	return []Dialect{
		{Name: "units behind a stroke", TimeHead: []string{"t/s"}, AccHead: head("a_", "/g"), AccUnit: g, GyrHead: head("ω_", "/(deg/s)"), GyrUnit: deg},
		{Name: "axes and units behind a stroke, one sensor a file", Shape: SeparateFiles, TimeHead: []string{"t/s"}, AccHead: head("", "/g"), AccUnit: g, GyrHead: head("", "/(deg/s)"), GyrUnit: deg,
			FileName: func(s string) string { return s + ".csv" }},
		{Name: "unit behind the axis", AccHead: head("a_", "_g"), AccUnit: g, GyrHead: head("w_", "_dps"), GyrUnit: deg},
		// The names of the W3C's Device Orientation and Motion (an open standard).
		{Name: "acceleration with and without gravity", AccHead: head("accelerationIncludingGravity.", ""), GyrHead: head("rotationRate.", ""),
			TailHead: []string{"acceleration.x", "acceleration.y", "acceleration.z"}, Tail: []string{"0.1", "0.2", "0.3"}},
		{Name: "acceleration without gravity in words", AccHead: head("acceleration ", ""), GyrHead: head("angular rate ", ""),
			TailHead: []string{"acceleration without gravity x", "acceleration without gravity y", "acceleration without gravity z"}, Tail: []string{"0.1", "0.2", "0.3"}},
		{Name: "times gravity", AccHead: func(axis string) string { return "gF" + axis }, AccUnit: g, GyrHead: head("w", "")},
		{Name: "units in words", TimeHead: []string{"Time (seconds)"}, AccHead: upper("Acceleration ", " (meters per second squared)"), GyrHead: upper("Ang. rate ", " (degrees per second)"), GyrUnit: deg},
		{Name: "estimated errors beside", TailHead: []string{"acc_bias_x", "acc_bias_y", "acc_bias_z", "gyr_bias_x", "gyr_bias_y", "gyr_bias_z"}, Tail: []string{"0.1", "0.2", "0.3", "0", "0", "0"}},
		{Name: "time in days, hours, minutes and seconds", TimeHead: []string{"", "time"}, Time: func(i int, t float64) []string {
			return []string{fmt.Sprint(i), fmt.Sprintf("0 days 00:00:%09.6f", t)}
		}},
		{Name: "Chinese", TimeHead: []string{"时间(s)"}, AccHead: upper("加速度", "(g)"), AccUnit: g, GyrHead: upper("角速度", "(°/s)"), GyrUnit: deg, FileName: func(s string) string {
			return map[string]string{"left": "左脚.csv", "right": "右脚.csv"}[s]
		}},
		{Name: "Japanese", TimeHead: []string{"時間[ms]"}, Time: number(1e3, 1), AccHead: upper("加速度_", " [m/s^2]"), GyrHead: upper("角速度_", " [rad/s]"), FileName: func(s string) string {
			return map[string]string{"left": "左足.csv", "right": "右足.csv"}[s]
		}},
		{Name: "time of a satellite receiver", TimeHead: []string{"gps_tow_ms"}, Time: number(1e3, 0)},
	}
}
