package recording

import (
	"math"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Sizes that no sensor for people's movement reaches: the widest ranges on offer
// are some 400 g and 4000 deg/s (makers' data sheets, from memory). A number beyond
// is damaged, or a sign for a missing value, such as -9999.
var beyondSensors = [2]float64{1000 * unit.StandardGravity, 10_000 * math.Pi / 180}

const (
	// signAgain is how often a value beyond all sensors must stand in the first rows to
	// be a sign rather than a damaged number.
	signAgain = 3
	// wildMost is the share of the first rows with damaged numbers up to which the rest
	// is used: that of broken lines.
	wildMost = 0.05
	// beyondNumbers is the size beyond which a number counts as damaged where its unit
	// cannot be checked, as in a file of raw counts: its square still is a number.
	beyondNumbers = 1e100
)

// checkBeyond leaves the rows with numbers that no sensor measures out of the head. It
// refuses a channel in which one such number comes again, and a file with many: what
// is there is then not known.
func (l *layout) checkBeyond(f *feed, h *head) error {
	f.beyond = beyondSensors
	wild := false
	for c := range h.v {
		low, high := extremes(h.v[c])
		wild = wild || max(-low, high) > beyondSensors[c/3]
	}
	if !wild {
		return nil
	}
	for s := range f.beyond {
		f.beyond[s] = beyondOf(h.v[3*s:3*s+3], beyondSensors[s])
	}
	return l.leaveBeyond(f, h)
}

// leaveBeyond does what checkBeyond says where there is such a number.
func (l *layout) leaveBeyond(f *feed, h *head) error {
	wild := make([]bool, len(h.t))
	n := 0
	for c, col := range f.col {
		if col < 0 {
			continue
		}
		if err := l.checkSigns(f, h, c); err != nil {
			return err
		}
		for i, x := range h.v[c] {
			if math.Abs(x) > f.beyond[c/3] && !wild[i] {
				wild[i] = true
				n++
			}
		}
		if float64(n) > wildMost*float64(len(h.t)) || len(h.t)-n < 3 {
			return l.fail("holds numbers that no sensor measures in %d of its first %d rows", n, len(h.t)).column(f.columnName(col)).
				hint("state the unit with --columns; if it is right, the file is damaged: export it again")
		}
	}
	if n > 0 {
		f.lost.any = true
		h.leave(wild)
	}
	return nil
}

// beyondOf is the size of a sensor's values beyond which they are no measurements: the
// given one, or where most values are larger, so that their unit is not known, one
// beyond all numbers that mean something.
func beyondOf(axes [][]float64, most float64) float64 {
	for _, v := range axes {
		large := 0
		for _, x := range v {
			if math.Abs(x) > most {
				large++
			}
		}
		if 2*large > len(v) {
			return beyondNumbers
		}
	}
	return most
}

// checkSigns refuses a channel in which one number beyond all sensors comes again:
// read as a value it would be filtered into its neighbours.
func (l *layout) checkSigns(f *feed, h *head, c int) error {
	low, high := extremes(h.v[c])
	v, n := low, 0
	if high > -low {
		v = high
	}
	if math.Abs(v) <= beyondSensors[c/3] {
		return nil
	}
	for _, x := range h.v[c] {
		if x == v {
			n++
		}
	}
	if n < signAgain {
		return nil
	}
	return l.fail("holds %.6g in %d of its first %d rows, which no sensor measures", v/f.scale[c], n, len(h.v[c])).column(f.columnName(f.col[c])).
		hint("if it stands for a missing value, empty these cells: they are then marked; else state the unit with --columns")
}

// leave leaves the marked rows out of the head.
func (h *head) leave(marked []bool) {
	n := 0
	for i, out := range marked {
		if !out {
			h.move(n, i)
			n++
		}
	}
	h.cut(n)
}

// anyBeyond tells whether a batch holds a number that no sensor measures.
func (f *feed) anyBeyond(b *batch) bool {
	for c, v := range b.v {
		most := f.beyond[c/3]
		for _, x := range v {
			if math.Abs(x) > most {
				return true
			}
		}
	}
	return false
}

// markBeyond marks the sensors of a row with a number that no sensor measures, as if
// the cell were empty.
func (f *feed) markBeyond(r *row, t *tally) {
	for c, col := range f.col {
		if bit := sensorBit(c); col >= 0 && r.missing&bit == 0 && math.Abs(r.v[c]) > f.beyond[c/3] {
			r.missing |= bit
			t.add("cell-beyond", remark.Loss, remark.At(f.f.name, r.line, r.t), "rows with a number which no sensor measures, taken as missing: %d; the measures that need it are left out")
		}
	}
}
