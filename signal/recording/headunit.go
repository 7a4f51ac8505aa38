package recording

import (
	"slices"
	"strings"

	"setdown/signal/unit"
)

// tailUnit takes a unit off the end of a name: "name, unit", "name / unit",
// "name in unit".
func tailUnit(name string, found []unit.Unit) (string, []unit.Unit) {
	for _, sep := range []string{",", " in ", " / ", ":", ";", " - "} {
		if i := strings.LastIndex(name, sep); i > 0 {
			if u, ok := unit.Parse(name[i+len(sep):]); ok {
				return name[:i], append(found, u)
			}
		}
	}
	if i := strings.Index(name, "/"); i > 0 {
		if u, ok := unit.Parse(name[i+1:]); ok && measuredIn(tokens(name[:i]), u) {
			return name[:i], append(found, u)
		}
	}
	return name, found
}

// measuredIn tells whether words that a stroke and a unit follow are a quantity in that
// unit ("a_x/g", "t/ms"), as DIN 1313 writes it, and not part of the unit ("a_x m/s").
func measuredIn(ws []string, u unit.Unit) bool {
	n := len(ws)
	return n > 0 && ofMotion(u) && axisOf(ws[n-1]) > 0 || n == 1 && u.Kind == unit.Time && dictionary.is(ws[0], meansTime)
}

// tokenUnit reads the words to the end of a heading as a unit: "m s2", "deg s",
// "g". Words that are a single side letter are no unit.
func tokenUnit(ws []string) (unit.Unit, bool) {
	if len(ws) > 3 {
		return unit.Unit{}, false
	}
	for _, join := range []string{"/", "_", ""} {
		if u, ok := unit.Parse(strings.Join(ws, join)); ok && u.Kind != unit.Length && u.Kind != unit.None {
			return u, true
		}
	}
	return unit.Unit{}, false
}

// unitWithin finds a unit behind the axis that more words follow ("acc x m s2
// left", "acc x g imu1"), and tells how many words it takes; 0 when there is none.
// A lone g is one only behind an accelerometer's axis and before no place: there
// it may stand for a side.
func unitWithin(ws []string, i int, acc bool) (unit.Unit, int) {
	if i == 0 || axisOf(ws[i-1]) == 0 {
		return unit.Unit{}, 0
	}
	for n := min(3, len(ws)-i-1); n > 0; n-- {
		u, ok := tokenUnit(ws[i : i+n])
		if !ok || !ofMotion(u) {
			continue
		}
		if ws[i] != "g" || n > 1 || acc && !dictionary.is(ws[i+1], meansSite) {
			return u, n
		}
	}
	return unit.Unit{}, 0
}

// ofMotion tells whether a unit is one of acceleration or angular rate.
func ofMotion(u unit.Unit) bool {
	return u.Kind == unit.Acceleration || u.Kind == unit.AngularRate
}

// oddUnit tells whether text that is no known unit looks like one of acceleration
// or angular rate: something by a time, or a kind of dps.
func oddUnit(text string) bool {
	text = strings.ToLower(strings.ReplaceAll(text, " ", ""))
	what, by, ok := strings.Cut(text, "/")
	// A degree sign in a wrong encoding is any sign that is no letter of English.
	return ok && what != "" && strings.Trim(what, "abcdefghijklmnopqrstuvwxyz") == "" && byTime(by) || len(text) > 3 && strings.HasSuffix(text, "dps") && !strings.ContainsAny(text, "0123456789") // "±2000dps" is a range
}

// byTime tells whether what stands under the stroke of a unit is a time.
func byTime(text string) bool {
	return slices.Contains([]string{"s", "s2", "s^2", "s²", "sec", "min", "h", "hr", "hour"}, text)
}

// turning reads the rates of roll, pitch and yaw as the gyroscope's x, y and z: turns
// about the axes that point forward, to one side and up or down (from memory: ISO 8855
// for vehicles; sensors follow). Without a word or a unit of rate they are angles.
func turning(ws []string, found []unit.Unit) []string {
	axis := slices.IndexFunc(ws, func(w string) bool { return strings.Contains(" roll pitch yaw ", " "+w+" ") })
	rate := slices.Contains(ws, "rate") || namesSensor(ws) || slices.ContainsFunc(found, func(u unit.Unit) bool { return u.Kind == unit.AngularRate })
	if axis < 0 || !rate || hasAxis(ws) || slices.ContainsFunc(ws, func(w string) bool { return dictionary.is(w, meansAcc) }) {
		return ws
	}
	out := slices.DeleteFunc(slices.Clone(ws), func(w string) bool { return w == "rate" || w == ws[axis] || dictionary.is(w, meansGyr) })
	return append([]string{"gyro", map[string]string{"roll": "x", "pitch": "y", "yaw": "z"}[ws[axis]]}, out...)
}
