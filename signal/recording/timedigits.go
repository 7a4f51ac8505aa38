package recording

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
)

// How many digits a date and a time of day have without signs.
const (
	dateDigits  = 8
	clockDigits = 6
)

// findDigits looks for a date and a time of day in digits only, in columns of their
// own: 20240309 and 083000.250. Without the date, and where zeros in front are lost,
// the name must say so ("hhmmss"): else the digits may be seconds.
func (p *timeParts) findDigits(l *layout) bool {
	*p = *noParts()
	p.digits = true
	p.date = slices.IndexFunc(l.cols, func(c column) bool { return c.role == roleDate && l.inDigits(c.index, dateDigits, dateOfDigits) })
	p.clock = slices.IndexFunc(l.cols, func(c column) bool {
		if named := namedDigits(c.name); named || c.role == roleTime && !c.stated && p.date >= 0 {
			return l.inDigits(c.index, map[bool]int{true: 0, false: clockDigits}[named], clockOfDigits)
		}
		return false
	})
	return p.clock >= 0
}

// namedDigits tells whether a heading says that hours, minutes and seconds stand
// together.
func namedDigits(name string) bool { return strings.Contains(fold(name), "hhmmss") }

// inDigits tells whether all first cells of a column have n digits before the
// decimal sign, any number where n is 0, that read can read.
func (l *layout) inDigits(i, n int, read func(whole []byte) (int64, bool)) bool {
	cells := l.firstCells(i)
	for _, c := range cells {
		whole, _, _ := strings.Cut(c, string(l.s.decimal))
		if _, ok := read([]byte(whole)); !ok || n > 0 && len(whole) != n || len(whole) > max(n, clockDigits) {
			return false
		}
	}
	return len(cells) > 0
}

// dateOfDigits reads yyyymmdd as ns since 1970.
func dateOfDigits(cell []byte) (int64, bool) {
	v, err := strconv.ParseInt(string(cell), 10, 64)
	if err != nil || len(cell) != dateDigits {
		return 0, false
	}
	day, ok := calendar(v/10000, v/100%100, v%100)
	return day * dayNS, ok
}

// clockOfDigits reads hhmmss as ns since midnight.
func clockOfDigits(cell []byte) (int64, bool) {
	v, err := strconv.ParseInt(string(cell), 10, 64)
	h, m, s := v/10000, v/100%100, v%100
	return ((h*60+m)*60 + s) * secondNS, err == nil && v >= 0 && h < 24 && m < 60 && s < 61
}

// readDigits makes a row's time of a date and a time of day in digits only.
func (p *timeParts) readDigits(cells [][]byte, dec byte) (ns int64, ok bool) {
	if max(p.clock, p.date) >= len(cells) {
		return 0, false
	}
	whole, part, _ := bytes.Cut(cells[p.clock], []byte{dec})
	if ns, ok = clockOfDigits(whole); !ok {
		return 0, false
	}
	c := &cursor{b: part}
	ns += c.fraction()
	if p.date < 0 || c.i < len(c.b) {
		return ns, c.i == len(c.b)
	}
	day, ok := dateOfDigits(cells[p.date])
	return ns + day, ok
}

// perhapsDigits refuses a time that states no unit and may be seconds or a time of
// day in digits whose zeros in front are lost, where a date in digits stands beside.
func (l *layout) perhapsDigits(c *column) error {
	dated := slices.ContainsFunc(l.cols, func(c column) bool { return c.role == roleDate && l.inDigits(c.index, dateDigits, dateOfDigits) })
	if !dated || c.stated || !l.inDigits(c.index, 0, clockOfDigits) || l.largest(c.index) < 100 {
		return nil
	}
	return l.fail("may be a time of day in digits (hours, minutes, seconds) or seconds").column(c.name).
		hint("call the column time_hhmmss or time_s")
}
