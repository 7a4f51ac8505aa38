package recording

import "strings"

// sideBySide is what to do with files of one axis each.
const sideBySide = "files of one axis each are not joined, since nothing tells that their rows belong together: copy their columns side by side into one table, with a heading like time_s,acc_x,acc_y,acc_z"

// checkAxisFiles refuses files that hold one or two axes each of what is one sensor by
// its side and place: read one by one, each would pass for a recording of its own.
func (o *opener) checkAxisFiles() error {
	for i, b := range o.drafts {
		for _, a := range o.drafts[:i] {
			if a.file == b.file || a.side != b.side || a.site != b.site || !a.part() || !b.part() {
				continue
			}
			if x, y := a.axesHeld(), b.axesHeld(); !strings.ContainsAny(x, y) {
				return fault(b.file.name, 0, "holds only %s of the accelerometer, and %s only %s", spread(y), a.file.name, spread(x)).hint(sideBySide)
			}
		}
	}
	return nil
}

// part tells whether a draft is an accelerometer that lacks axes, alone.
func (d *draft) part() bool {
	return len(d.feeds) == 1 && d.accAxes > 0 && d.accAxes < 3 && d.gyrAxes == 0
}

// axesHeld are the letters of the axes of a draft's accelerometer.
func (d *draft) axesHeld() string {
	var out string
	for c, col := range d.feeds[0].col[:3] {
		if col >= 0 {
			out += "xyz"[c : c+1]
		}
	}
	return out
}

// spread writes letters with "and" between them.
func spread(letters string) string { return strings.Join(strings.Split(letters, ""), " and ") }

// oneAxisOfMany tells whether a table is one of several and holds one axis by the name
// of its file and a single column of values.
func (l *layout) oneAxisOfMany() bool {
	values, axis := 0, false
	for _, c := range l.cols {
		if c.kind == cellsNumber && c.role != roleTime && c.role != roleCounter {
			values++
		}
	}
	for _, w := range splitAxis(tokens(strings.TrimSuffix(l.f.name, ".csv"))) {
		axis = axis || axisOf(w) > 0
	}
	return l.sources > 1 && values == 1 && axis && (l.words.acc || l.words.gyr)
}
