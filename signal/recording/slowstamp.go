package recording

import (
	"cmp"
	"math"

	"setdown/signal/remark"
)

// stamp reads the row's time. A missing time is no error: the row is left out.
func (d *decoder) stamp() (t float64, ok bool, err error) {
	if d.time.kind == timeNone {
		return math.NaN(), true, nil
	}
	cell := d.at(d.time.col)
	if d.time.steps && (d.broken > 0 || isMissing(cell) && d.begun) {
		return 0, false, d.stepLost(cmp.Or(d.broken, d.l.line))
	}
	if isMissing(cell) && !d.time.steps {
		t, ok = d.noStamp()
		return t, ok, nil
	}
	if d.time.parts != nil {
		return d.partsStamp(cell)
	}
	if t, ok = d.mainStamp(cell); !ok {
		return 0, false, d.notNumber(d.time.col, cell, "a time")
	}
	more, ok := d.time.subSecond(d.cells, d.s.decimal)
	if !ok {
		return 0, false, d.notNumber(d.time.sub, d.at(d.time.sub), "a number")
	}
	d.stampBefore = t + more
	return t + more, true, nil
}

// noStamp is the time of a row without one: that of the packet it belongs to where
// only the first row of a packet has one; otherwise none.
func (d *decoder) noStamp() (t float64, ok bool) {
	if d.time.carry && !math.IsNaN(d.stampBefore) {
		return d.stampBefore, true
	}
	if !d.sparse {
		d.tally.add("time-missing", remark.Loss, remark.At(d.f.name, d.l.line, math.NaN()), "rows without a time, left out: %d")
	}
	return 0, false
}

// mainStamp reads the cell of the time's main column: a number, a step since the row
// before, a time of day with its date beside it, or a moment.
func (d *decoder) mainStamp(cell []byte) (t float64, ok bool) {
	switch d.time.kind {
	case timeNumber:
		if t, ok = d.time.number(cell, d.s.decimal); d.time.steps && (ok || isMissing(cell)) {
			t, ok = d.stepped(t), true
		}
		return t, ok
	case timeDateful:
		day, _, _, dayOK := parseMoment(d.at(d.time.date), d.time.order)
		t, ok = d.time.moment(cell, day)
		return t, ok && dayOK
	}
	return d.time.moment(cell, 0)
}

// partsStamp reads a time in parts, whose main column holds cell.
func (d *decoder) partsStamp(cell []byte) (float64, bool, error) {
	ns, ok := d.time.parts.read(d.cells, d.s.decimal)
	if !ok {
		return 0, false, d.notNumber(d.time.col, cell, "a time with the columns beside it")
	}
	return float64(ns-d.time.base)/1e9 + d.time.shift, true, nil
}
