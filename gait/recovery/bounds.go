package recovery

import (
	"fmt"
	"strconv"
)

// bounds are what a condition may be at the most and the least: wide enough for
// every run and walk, narrow enough for a wrong unit or a slip of the key to be
// noticed (the project's own choice; the fastest sprint measured is 12.4 m/s).
var bounds = []struct {
	name, unit string
	low, high  float64
	example    string
	of         func(Conditions) *float64
}{
	{"speed", "m/s", 0.2, 12.5, "2.8 m/s, which is 10 km/h", func(c Conditions) *float64 { return c.SpeedMPS }},
	{"drop", "mm", -20, 40, "8", func(c Conditions) *float64 { return c.DropMM }},
	{"slope", "%", -60, 60, "2", func(c Conditions) *float64 { return c.SlopePercent }},
	{"minutes into the run", "min", 0, 1440, "10", func(c Conditions) *float64 { return c.MinutesIntoRun }},
	{"step rate asked for", "steps a minute", 40, 320, "170, both feet together", func(c Conditions) *float64 { return c.StepRateHint }},
}

// Check tells which condition no run can have, NaN and infinity among them, and
// what it may be.
func (c Conditions) Check() error {
	for _, b := range bounds {
		if v := b.of(c); v != nil && !(*v >= b.low && *v <= b.high) {
			return fmt.Errorf("a %s of %s %s cannot be; it lies from %s to %s, for example %s", b.name, short(*v), b.unit, short(b.low), short(b.high), b.example)
		}
	}
	return nil
}

func short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
