package recording

import (
	"math"

	"setdown/signal/unit"
)

// Sizes that no sensor for people's movement reaches: the widest ranges on offer
// are some 400 g and 4000 deg/s (makers' data sheets, from memory). A number beyond,
// written again and again, is a sign for a missing value, such as -9999.
var beyondSensors = [2]float64{1000 * unit.StandardGravity, 10_000 * math.Pi / 180}

// signAgain is how often a value beyond all sensors must stand in the first rows to
// be a sign rather than a damaged number.
const signAgain = 3

// checkSigns refuses a channel in which one number beyond all sensors comes again:
// read as a value it would be filtered into its neighbours.
func (l *layout) checkSigns(f *feed, h *head) error {
	for c, col := range f.col {
		if col < 0 || f.clip.near[c] <= beyondSensors[c/3] {
			continue
		}
		low, high := extremes(h.v[c])
		v, n := low, 0
		if high > -low {
			v = high
		}
		for _, x := range h.v[c] {
			if x == v {
				n++
			}
		}
		if n >= signAgain {
			return l.fail("holds %.6g in %d of its first %d rows, which no sensor measures", v/f.scale[c], n, len(h.v[c])).column(f.columnName(col)).
				hint("if it stands for a missing value, empty these cells: they are then marked; else state the unit with --columns")
		}
	}
	return nil
}
