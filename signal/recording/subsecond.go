package recording

import (
	"math"
	"strings"

	"setdown/signal/unit"
)

// findSubSecond looks for a second column that holds the part of a second: whole
// ms, µs or ns beside whole seconds, as a date with a time or as a number. The
// two together must rise where the seconds alone mostly repeat.
func (l *layout) findSubSecond(p *timePlan) {
	best := 0.95
	for i := range l.cols {
		div := l.cols[i].partOfSecond()
		if div == 0 || !l.whole(i) || l.largest(i) >= div {
			continue
		}
		for k := range l.cols {
			if k == i || !l.wholeSeconds(k) {
				continue
			}
			if s := l.steadyPair(k, i, div); s > best {
				best, p.col, p.sub, p.subDiv = s, k, i, div
			}
		}
	}
	if p.sub >= 0 {
		l.cols[p.col].takeTime()
	}
}

// wholeSeconds tells whether a column may hold whole seconds: a time that mostly
// repeats from row to row.
func (l *layout) wholeSeconds(k int) bool {
	c := &l.cols[k]
	if part := partOf(c.name, -1); part >= 0 && part != partSecond {
		return false
	}
	known := c.role == roleTime || c.role == roleDate || c.role == roleNone
	if !known || !c.useful() || l.steadily(k, -1) >= 0.3 {
		return false
	}
	if c.kind == cellsNumber {
		return l.whole(k)
	}
	ns, _, _, ok := parseMoment([]byte(l.firstCells(k)[0]), dayFirst)
	return !ok || ns%dayNS != 0 || strings.Contains(l.firstCells(k)[0], ":") // no date alone
}

// takeTime makes a column whose name holds nothing but a unit of time the time.
func (c *column) takeTime() {
	if c.timed && c.role == roleNone {
		c.role, c.unit, c.stated, c.unitFrom = roleTime, c.spare, true, "header"
	}
}

// partOfSecond is how many of a column's units make 1 s where its name says that
// it holds ms, µs or ns; else 0.
func (c *column) partOfSecond() float64 {
	if c.kind != cellsNumber || c.role != roleTime && c.role != roleNone {
		return 0
	}
	u, ok := c.unit, c.stated
	for _, w := range tokens(c.name) {
		if v, known := unit.Parse(w); known && v.Kind == unit.Time && !ok {
			u, ok = v, true
		}
		switch w {
		case "millisecond", "millis", "msec":
			u, ok = unit.Millisecond, true
		case "micros", "usec":
			u, ok = unit.Microsecond, true
		case "nanos", "nanosec", "nsec":
			u, ok = unit.Nanosecond, true
		}
	}
	if !ok || u.Kind != unit.Time || u.Factor >= 1 {
		return 0
	}
	return math.Round(1 / u.Factor)
}

// largest is the largest of the first numbers of a column.
func (l *layout) largest(i int) float64 {
	top := math.Inf(-1)
	for _, c := range l.firstCells(i) {
		if v, ok := parseNumber([]byte(c), l.s.decimal); ok {
			top = max(top, v)
		}
	}
	return top
}

// steadyPair is the share of the first rows whose time, from two columns, is later
// than that of the row before.
func (l *layout) steadyPair(whole, part int, div float64) float64 {
	rise, n, before := 0, 0, math.NaN()
	for _, r := range l.s.sample {
		if whole >= len(r) || part >= len(r) {
			continue
		}
		v, ok := l.seconds(r[whole])
		more, fine := parseNumber([]byte(r[part]), l.s.decimal)
		if !ok || !fine {
			continue
		}
		if v += more / div; !math.IsNaN(before) {
			n++
			if v > before {
				rise++
			}
		}
		before = v
	}
	return float64(rise) / float64(max(1, n))
}

// seconds reads a cell of time, in s or in the file's units, to compare it with its
// neighbours.
func (l *layout) seconds(cell string) (float64, bool) {
	if v, ok := parseNumber([]byte(cell), l.s.decimal); ok {
		return v, true
	}
	ns, _, _, ok := parseMoment([]byte(cell), dayFirst)
	return float64(ns) / 1e9, ok
}

// mostlyEmpty tells whether a time column is filled only in some rows, as where
// only the first sample of a packet has a stamp.
func (l *layout) mostlyEmpty(col int) bool {
	return len(l.firstCells(col))*2 < len(l.s.sample)
}

// subSecond returns the part of a second of a row, in s; false when its cell is
// no number.
func (p *timePlan) subSecond(cells [][]byte, dec byte) (float64, bool) {
	if p.sub < 0 {
		return 0, true
	}
	if p.sub >= len(cells) {
		return 0, false
	}
	v, ok := parseNumber(cells[p.sub], dec)
	return v / p.subDiv, ok
}

// cellsOf gives sample cells the form of a line's cells.
func cellsOf(r []string) [][]byte {
	out := make([][]byte, len(r))
	for i, c := range r {
		out[i] = []byte(c)
	}
	return out
}
