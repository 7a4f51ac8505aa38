package dialects

import "setdown/signal/unit"

// fullCounters wrap long after the first rows at a power of two that these do not
// tell.
func fullCounters() []Dialect {
	return []Dialect{
		{Name: "ticks 24 bit ms", TimeHead: []string{"timestamp_ms"}, Time: counter(1<<24-9000, 5, 1<<24), Start: (1<<24 - 9000) / 1e3},
		{Name: "ticks 24 bit of 100 us", TimeHead: []string{"ticks"}, Time: counter(1<<24-90_000, 50, 1<<24), Preamble: []string{"rate: 200 Hz"}, Start: (1<<24 - 90_000) / 1e4},
	}
}

// longAxis writes a row a value, with the side, the quantity and the axis in columns
// of their own.
func (t *table) longAxis(both [2]Samples) {
	t.begin(join(t.d.TimeHead, []string{t.d.KeyHead, "quantity", "axis", "value"})...)
	for i := range both[0].Len() {
		for side, s := range both {
			for c, v := range join(t.acc(s, i), t.gyr(s, i)) {
				t.row(join(t.time(s, i), []string{t.d.Sides[side], [2]string{"acceleration", "angular velocity"}[c/3], "xyz"[c%3 : c%3+1], v})...)
			}
		}
	}
}

// companions are files whose columns hold a sensor twice: its own values beside
// counts of them or beside a filtered copy.
func companions() []Dialect {
	copied := []string{"0.1", "0.2", "9.8", "0.01", "0.02", "0.03"}
	return []Dialect{
		{Name: "long by side, quantity and axis", Shape: LongAxis},
		{Name: "rates of roll, pitch and yaw", GyrHead: func(axis string) string {
			return map[string]string{"x": "roll", "y": "pitch", "z": "yaw"}[axis] + " rate (rad/s)"
		}},
		{Name: "a filtered copy", TailHead: []string{"acc_filt_x", "acc_filt_y", "acc_filt_z", "gyr_filt_x", "gyr_filt_y", "gyr_filt_z"}, Tail: copied},
		{Name: "a smoothed accelerometer and gyroscope", TailHead: []string{"smoothed acc_x", "smoothed acc_y", "smoothed acc_z", "smoothed gyr_x", "smoothed gyr_y", "smoothed gyr_z"}, Tail: copied},
		{Name: "counts beside", AccHead: head("acc_", " (g)"), AccUnit: unit.G, GyrHead: head("gyr_", " (dps)"), GyrUnit: unit.DegreePerSecond,
			TailHead: []string{"acc_raw_x", "acc_raw_y", "acc_raw_z", "gyr_raw_x", "gyr_raw_y", "gyr_raw_z"}, Tail: []string{"12", "20", "2048", "3", "-5", "8"}},
	}
}
