package recording

import (
	"slices"
	"strings"

	"setdown/signal/remark"
)

// Names of axes by anatomy: vertical, mediolateral (across the body) and
// anteroposterior (along the way one faces), as x forward, y to the left and z up.
// The names do not say which way each points.
var (
	// anatomyWords spell an axis out; where two words do, they are joined.
	anatomyWords = map[string]string{"vertical": "z", "vertikal": "z", "verticale": "z", "verticaal": "z", "vert": "z", "superoinferior": "z", "craniocaudal": "z",
		"mediolateral": "y", "mediolaterale": "y", "mediallateral": "y", "mediolateraal": "y",
		"anteroposterior": "x", "anteriorposterior": "x", "anteroposteriore": "x", "anteroposterieur": "x", "anteroposterieure": "x"}
	// anatomySigns stand for an axis where those of all three are there.
	anatomySigns = map[string]string{"v": "z", "vt": "z", "ml": "y", "ap": "x"}
)

// anatomyAxis returns the axis that words[i] names by anatomy, alone or with the next
// word, and how many words that takes; spelled tells a word from a sign.
func anatomyAxis(words []string, i int) (axis string, n int, spelled bool) {
	if i+1 < len(words) {
		if a := anatomyWords[words[i]+words[i+1]]; a != "" {
			return a, 2, true
		}
	}
	if a := anatomyWords[words[i]]; a != "" {
		return a, 1, true
	}
	return anatomySigns[words[i]], 1, false
}

// anatomical writes the one axis that words name by anatomy as x, y or z; beside a
// letter of an axis it only describes it and goes. ok is false where there is none, or
// several.
func anatomical(words []string) (out []string, spelled, ok bool) {
	words = unjoined(words)
	found := 0
	for i := 0; i < len(words); {
		axis, n, whole := anatomyAxis(words, i)
		switch {
		case axis == "":
			out = append(out, words[i])
		case hasAxis(words):
			found, spelled = found+1, true
		default:
			out = append(out, axis)
			found, spelled = found+1, whole
		}
		i += max(1, n)
	}
	return out, spelled, found == 1
}

// unjoined parts a sensor from the sign of an axis behind it: "accml".
func unjoined(words []string) []string {
	var out []string
	for _, w := range words {
		at := -1
		for sign := range anatomySigns {
			if sensor, ok := strings.CutSuffix(w, sign); ok && (dictionary.is(sensor, meansAcc) || dictionary.is(sensor, meansGyr)) {
				at = len(sensor)
			}
		}
		if at > 0 && len(dictionary[w]) == 0 {
			out = append(out, w[:at], w[at:])
			continue
		}
		out = append(out, w)
	}
	return out
}

// anatomyReading is what the name of a column tells where its axis is named by
// anatomy.
type anatomyReading struct {
	heading
	at      int
	spelled bool
}

// takeAnatomy reads the axes of columns that name them by anatomy: those spelled out,
// and the signs of a sensor that has all three. Where the letters of a sensor name all
// its axes, such a column is one more, computed from them.
func takeAnatomy(cols []column) {
	lettered, named := map[string]int{}, map[string]map[role]bool{}
	var all []anatomyReading
	for i := range cols {
		if c, ok := cols[i].role.channel(); ok {
			lettered[sensorOf(cols[i].heading)] |= 1 << (c % 3)
		}
		r, ok := readAnatomy(&cols[i])
		if !ok {
			continue
		}
		r.at = i
		all = append(all, r)
		kind := anatomyKind(r.heading)
		if named[kind] == nil {
			named[kind] = map[role]bool{}
		}
		named[kind][r.role] = true
	}
	for _, r := range all {
		sensed := r.acc || r.gyr
		switch {
		case r.anatomy && lettered[sensorOf(r.heading)] == allAxes:
		case r.spelled && sensed, len(named[anatomyKind(r.heading)]) == 3 && (sensed || r.device == ""):
			cols[r.at].heading = r.heading
			if r.stated {
				cols[r.at].unitFrom = "header"
			}
		}
	}
}

// allAxes has a bit for each axis of a sensor.
const allAxes = 1<<3 - 1

// readAnatomy reads a column's name by anatomy; false where it tells no axis so.
func readAnatomy(c *column) (r anatomyReading, ok bool) {
	if _, known := c.role.channel(); c.kind != cellsNumber || known && c.device == "" {
		return r, false
	}
	r.heading = readWords(c.name, func(ws []string) []string {
		out, whole, ok := anatomical(ws)
		if r.spelled = whole; !ok {
			return nil
		}
		return out
	})
	if _, ok = r.role.channel(); !ok && (r.role < roleAxisX || r.role > roleAxisZ) {
		return r, false
	}
	r.anatomy = !hasAxis(tokens(c.name))
	return r, true
}

// anatomyKind tells the sensors apart whose axes are named.
func anatomyKind(h heading) string {
	c := column{heading: h}
	return c.group() + map[bool]string{true: "a"}[h.acc] + map[bool]string{true: "g"}[h.gyr]
}

// sensorOf is the sensor of a channel, with what its name says about it.
func sensorOf(h heading) string {
	c := column{heading: h}
	ch, _ := h.role.channel()
	return c.group() + "ag"[ch/3:ch/3+1]
}

// checkAnatomy refuses a foot or shin whose axes are named by anatomy only: its turning
// has a meaning only where it is known which way they point. The step rate needs none
// of that.
func (o *opener) checkAnatomy(d *draft) error {
	l := o.layouts[d]
	if !slices.ContainsFunc(slices.Concat(d.cols...), func(c column) bool { return c.anatomy }) {
		return nil
	}
	if d.hasAcc && d.hasGyr && !l.stepRateOnly(d, true) {
		return l.fail("the axes are named by anatomy, which does not tell which way each points: forward x, to the left y and up z, as the turning of a foot or shin needs it").
			hint("say with --columns which column is which, with * -1 behind one that points the other way; setdown inspect %s --save writes a file to edit", l.f.name)
	}
	o.set.Remarks.Add(remark.Note, "axes-anatomy", remark.At(l.f.name, l.s.header, none()),
		"the axes are named by anatomy and were taken as x forward, y to the left and z up; the step rate does not depend on it")
	return nil
}
