package recording

import "slices"

// deadMoving is how long, s, a sensor must move in its first rows for an axis that
// does not change, or equals another, to be at fault (project's own).
const deadMoving = 2

// checkAxes refuses a sensor that moves while one of its axes stands still, or while
// two of them hold the same: a broken wire, or a column exported twice. Such an axis
// is missing, though its column is there. The step rate can be found without.
func (l *layout) checkAxes(d *draft, f *feed, h *head) error {
	if h.moving < deadMoving || l.stepRateOnly(d, d.gyrAxes > 0) {
		return nil
	}
	for c, col := range f.col {
		if col < 0 || f.axes(c/3*3) < 3 {
			continue
		}
		sensor := [2]string{"accelerometer", "gyroscope"}[c/3]
		if standsStill(h.v[c]) {
			return l.fail("stands at %.6g while the sensor moves: this axis of the %s is missing", h.v[c][0]/f.scale[c], sensor).column(f.columnName(col)).
				hint("all three axes are needed; export the recording again, or say with --columns which column holds %s", roleNames[int(roleAccX)+c])
		}
		for o := c / 3 * 3; o < c; o++ {
			if slices.Equal(h.v[o], h.v[c]) {
				return l.fail("holds the same as %q: an axis of the %s is missing", f.columnName(f.col[o]), sensor).column(f.columnName(col)).
					hint("all three axes are needed; export the recording again, or say with --columns which column holds %s", roleNames[int(roleAccX)+c])
			}
		}
	}
	return nil
}

// standsStill tells whether all values are the same; it ends at the first that
// differs.
func standsStill(v []float64) bool {
	return len(v) > 0 && !slices.ContainsFunc(v, func(x float64) bool { return x != v[0] })
}
