package cadence

import (
	"fmt"
	"math"
	"strings"

	"setdown/gait/estimate"
	"setdown/gait/event"
)

// worthSaying is how long, s, the second gait must last to be named.
const worthSaying = 10

// Answer says the cadence in one plain line, for example "172 steps a minute
// (171 to 173), running, 10 min 4 s; 2 pauses".
func (r *Result) Answer() string {
	parts := []string{fmt.Sprintf("%s, %s", PerMinute(r.Cadence), Lasting(r.Moving))}
	if len(r.Gaits) > 0 {
		parts[0] = fmt.Sprintf("%s, %s%s", PerMinute(r.mainCadence()), named(r.Gaits[0].Gait), Lasting(r.mainSeconds()))
	}
	if r.mixed() {
		p := r.Gaits[1]
		parts = append(parts, fmt.Sprintf("%s, %s%s", PerMinute(p.Cadence), named(p.Gait), Lasting(p.Seconds)))
	}
	parts = append(parts, fmt.Sprintf("%d steps", r.Steps))
	switch n := len(r.Pauses); n {
	case 0:
		parts = append(parts, "no pause")
	case 1:
		parts = append(parts, "1 pause")
	default:
		parts = append(parts, fmt.Sprintf("%d pauses", n))
	}
	return strings.Join(parts, "; ")
}

// mixed tells whether there was a good deal of both gaits.
func (r *Result) mixed() bool { return len(r.Gaits) > 1 && r.Gaits[1].Seconds >= worthSaying }

// mainCadence and mainSeconds are those of the longer gait where there was a
// good deal of both, else of everything.
func (r *Result) mainCadence() estimate.Estimate {
	if r.mixed() {
		return r.Gaits[0].Cadence
	}
	return r.Cadence
}

func (r *Result) mainSeconds() float64 {
	if r.mixed() {
		return r.Gaits[0].Seconds
	}
	return r.Moving
}

// named is "walking, " or "running, ", or nothing.
func named(g event.Gait) string {
	if g == event.GaitUnknown {
		return ""
	}
	return g.String() + ", "
}

// PerMinute writes a cadence in steps/s as steps a minute with its interval, or
// with what an interval would need. A digit is shown where the interval is
// narrower than 2 steps a minute.
func PerMinute(e estimate.Estimate) string {
	switch {
	case math.IsNaN(e.Center):
		return "no step rate"
	case !e.HasInterval():
		return fmt.Sprintf("%.0f steps a minute (an interval needs %d strides, here are %d)", 60*e.Center, e.Needed, e.N)
	case 60*(e.High-e.Low) < 2:
		return fmt.Sprintf("%.1f steps a minute (%.1f to %.1f)", 60*e.Center, 60*e.Low, 60*e.High)
	}
	return fmt.Sprintf("%.0f steps a minute (%.0f to %.0f)", 60*e.Center, 60*e.Low, 60*e.High)
}

// Lasting writes a time in s as people say it.
func Lasting(seconds float64) string {
	s := int(math.Round(seconds))
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s < 3600:
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	}
	return fmt.Sprintf("%d h %d min", s/3600, s%3600/60)
}
