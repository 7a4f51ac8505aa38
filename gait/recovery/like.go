package recovery

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/gait/diary"
	"setdown/gait/session"
)

// The tolerances inside which conditions that are numbers count as alike
// (common practice, no source; the lowering rate grows with speed, and the
// complaint often begins after some minutes).
const (
	speedTolerance    = 0.25 // m/s
	slopeTolerance    = 1.0  // percent
	dropTolerance     = 1.0  // mm
	minutesTolerance  = 10.0 // min
	stepRateTolerance = 5.0  // steps/min
)

// condition is one thing that must be alike.
type condition struct {
	// name is how it is told, flag how the command line calls it.
	name, flag string
	text       func(Session) string
	number     func(Session) *float64
	tolerance  float64
	unit       string
	// of names the condition that this one is a property of: who changes that, changes
	// this with it.
	of string
}

// conditions is the one list of what sessions are compared in.
var conditions = []condition{
	{name: "method version", text: func(s Session) string { return s.Method }},
	{name: "gait", text: func(s Session) string { return s.Gait }},
	{name: "shoe", flag: "shoe", text: func(s Session) string { return s.Conditions.Shoe }},
	{name: "heel-to-toe drop", flag: "drop", number: func(s Session) *float64 { return s.Conditions.DropMM }, tolerance: dropTolerance, unit: "mm", of: "shoe"},
	{name: "insole", flag: "insole", text: func(s Session) string { return s.Conditions.Insole }},
	{name: "tape", flag: "tape", text: func(s Session) string { return s.Conditions.Tape }},
	{name: "surface", flag: "surface", text: func(s Session) string { return s.Conditions.Surface }},
	{name: "slope", flag: "slope", number: func(s Session) *float64 { return s.Conditions.SlopePercent }, tolerance: slopeTolerance, unit: "%"},
	{name: "direction", flag: "direction", text: func(s Session) string { return s.Conditions.Direction }},
	{name: "speed", flag: "speed", number: func(s Session) *float64 { return s.Conditions.SpeedMPS }, tolerance: speedTolerance, unit: "m/s"},
	{name: "treadmill", flag: "treadmill", text: func(s Session) string { return s.Conditions.Treadmill.String() }},
	{name: "minutes into the run", flag: "minutes-into-run", number: func(s Session) *float64 { return s.Conditions.MinutesIntoRun }, tolerance: minutesTolerance, unit: "min"},
	{name: "walk and run plan", flag: "intervals", text: func(s Session) string { return s.Conditions.Intervals }},
	{name: "sensor placement", flag: "placement", text: func(s Session) string { return s.Conditions.Placement }},
	{name: "sensors swapped", text: func(s Session) string { return swapped(s) }},
	{name: "step rate asked for", flag: "step-rate", number: func(s Session) *float64 { return s.Conditions.StepRateHint }, tolerance: stepRateTolerance, unit: "steps/min"},
}

// swapped is "yes" where sensors were swapped; unanswered means that they were not.
func swapped(s Session) string {
	if s.Conditions.SensorsSwapped == diary.Yes {
		return "yes"
	}
	return ""
}

// unswapped tells that each sensor was on its own foot.
func unswapped(s Session) bool { return swapped(s) == "" }

// alike tells whether the condition is alike in a and b. Text is compared
// without regard to case and outer space.
func (c condition) alike(a, b Session) bool {
	if c.text != nil {
		return strings.EqualFold(strings.TrimSpace(c.text(a)), strings.TrimSpace(c.text(b)))
	}
	x, y := c.number(a), c.number(b)
	return x == nil && y == nil || x != nil && y != nil && math.Abs(*x-*y) <= c.tolerance
}

// value prints the condition of a session, "not recorded" where it is empty.
func (c condition) value(s Session) string {
	if c.text != nil {
		if v := strings.TrimSpace(c.text(s)); v != "" {
			return v
		}
	} else if v := c.number(s); v != nil {
		return strings.TrimSpace(fmt.Sprintf("%.4g %s", *v, c.unit))
	}
	return "not recorded"
}

// Unlike lists what differs between two sessions' conditions, in words; nil
// when they are alike.
func Unlike(a, b Session) []string { return unlikeBut(a, b, "") }

// unlikeBut is Unlike without regard to one condition and what belongs to it.
func unlikeBut(a, b Session, but string) []string {
	var out []string
	for _, c := range conditions {
		if c.name != but && (c.of == "" || c.of != but) && !c.alike(a, b) {
			out = append(out, c.name)
		}
	}
	return out
}

// Recorded lists the session's recorded conditions in words, for tables.
func Recorded(s Session) []string {
	var out []string
	for _, c := range conditions {
		if v := c.value(s); c.name != "method version" && v != "not recorded" {
			out = append(out, c.name+" "+v)
		}
	}
	return out
}

// NotRecorded lists the conditions without which a change of control cannot be
// told from a change of conditions.
func (c Conditions) NotRecorded() []string {
	var out []string
	for _, w := range []struct {
		missing bool
		what    string
	}{{c.Shoe == "", "shoe"}, {c.Surface == "", "surface"}, {c.SpeedMPS == nil, "speed"}} {
		if w.missing {
			out = append(out, w.what)
		}
	}
	return out
}

// Apart is a session that is shown but not pooled, with the reason.
type Apart struct {
	Session string `json:"session"`
	Because string `json:"because"`
}

// Group is the sessions that are alike among themselves, oldest first.
type Group struct {
	Sessions []Session
	// Differs lists what sets the group apart from the newest group.
	Differs []string
}

// Days returns on how many days the group has sessions.
func (g Group) Days() int {
	n := 0
	for i, s := range g.Sessions {
		if i == 0 || s.Date != g.Sessions[i-1].Date {
			n++
		}
	}
	return n
}

// Groups sorts sessions into groups of like ones. Each group is formed round
// its newest session; the first group holds the newest session of all but those with
// swapped sensors, which are a check of the sensors. Sessions with fewer than
// session.MinSteps used steps on a side stand apart.
func Groups(sessions []Session) ([]Group, []Apart) {
	left := slices.Clone(sessions)
	slices.SortStableFunc(left, func(a, b Session) int {
		return cmp.Or(cmp.Compare(b.Date.Since(a.Date), 0), cmp.Compare(b.Order, a.Order), cmp.Compare(b.ID, a.ID))
	})
	var apart []Apart
	left = slices.DeleteFunc(left, func(s Session) bool {
		if few := min(s.UsedLeft, s.UsedRight); few < session.MinSteps {
			apart = append(apart, Apart{s.ID, fmt.Sprintf("%d used steps on one side: %d more are needed", few, session.MinSteps-few)})
			return true
		}
		return false
	})
	var groups []Group
	for len(left) > 0 {
		anchor := left[max(0, slices.IndexFunc(left, unswapped))]
		g := Group{}
		if len(groups) > 0 {
			newest := groups[0].Sessions
			g.Differs = Unlike(anchor, newest[len(newest)-1])
		}
		var rest []Session
		for _, s := range left {
			if Unlike(anchor, s) == nil {
				g.Sessions = append(g.Sessions, s)
			} else {
				rest = append(rest, s)
			}
		}
		slices.Reverse(g.Sessions)
		groups, left = append(groups, g), rest
	}
	return groups, apart
}
