package recording

import (
	"bytes"
	"time"
)

// dayOrder is the order of day, month and year in dates with numbers only.
type dayOrder uint8

const (
	dayFirst dayOrder = iota
	monthFirst
)

const (
	secondNS = int64(time.Second)
	dayNS    = 24 * 3600 * secondNS
)

// cursor reads a moment from left to right.
type cursor struct {
	b []byte
	i int
}

// digits reads a whole number.
func (c *cursor) digits() (v int64, n int) {
	for c.i < len(c.b) && c.b[c.i]-'0' <= 9 && n < 18 {
		v = v*10 + int64(c.b[c.i]-'0')
		c.i++
		n++
	}
	return v, n
}

// peek returns the next byte, or 0 at the end.
func (c *cursor) peek() byte {
	if c.i < len(c.b) {
		return c.b[c.i]
	}
	return 0
}

// any skips one byte if it is one of set.
func (c *cursor) any(set string) bool {
	if c.i < len(c.b) && bytes.IndexByte([]byte(set), c.b[c.i]) >= 0 {
		c.i++
		return true
	}
	return false
}

// parseMoment reads a cell that is a date, a time of day, or a date with a time
// (ISO 8601 / RFC 3339, the numeric dates of the languages read, and names of
// months). It returns nanoseconds: since 1970 in UTC when dated, else since
// midnight. zoned is true when the cell says how far its zone is from UTC.
func parseMoment(cell []byte, order dayOrder) (ns int64, dated, zoned, ok bool) {
	if ns, dated, zoned, ok = plainMoment(cell, order); ok {
		return ns, dated, zoned, ok
	}
	if other := respell(string(cell)); other != "" {
		return plainMoment([]byte(other), order)
	}
	return 0, false, false, false
}

// plainMoment reads the notations in numbers.
func plainMoment(cell []byte, order dayOrder) (ns int64, dated, zoned, ok bool) {
	c := &cursor{b: trim(cell)}
	start := c.i
	v, n := c.digits()
	if n == 0 {
		return 0, false, false, false
	}
	if c.peek() == ':' {
		c.i = start
		ns, ok = c.dayTime()
		return ns, false, false, ok && c.i == len(c.b)
	}
	day, ok := c.date(v, n, order)
	if !ok {
		return 0, false, false, false
	}
	ns = day * dayNS
	for c.any("T t,") {
	}
	if c.i == len(c.b) {
		return ns, true, false, true
	}
	tod, ok := c.dayTime()
	if !ok {
		return 0, false, false, false
	}
	offset, zoned, ok := c.zone()
	return ns + tod - offset, true, zoned, ok
}

// date reads the rest of a date whose first number is v with n digits, and
// returns days since 1970.
func (c *cursor) date(v int64, n int, order dayOrder) (int64, bool) {
	if !c.any("-/.") {
		return 0, false
	}
	m, mn := c.digits()
	if mn == 0 || !c.any("-/.") {
		return 0, false
	}
	d, dn := c.digits()
	if dn == 0 {
		return 0, false
	}
	y := v
	if n != 4 {
		y, d = d, v
		if order == monthFirst {
			d, m = m, d
		}
	}
	return calendar(y, m, d)
}

// calendar returns the days since 1970 of a year of four digits, a month and a day.
func calendar(y, m, d int64) (int64, bool) {
	if m < 1 || m > 12 || d < 1 || d > 31 || y < 1000 || y > 9999 {
		return 0, false
	}
	return time.Date(int(y), time.Month(m), int(d), 0, 0, 0, 0, time.UTC).Unix() / 86400, true
}

// dayTime reads h:mm, h:mm:ss or h:mm:ss.fff (or ,fff or :fff), with AM or PM. Two
// numbers with a fraction are minutes and seconds.
func (c *cursor) dayTime() (int64, bool) {
	a, n := c.digits()
	if n == 0 || !c.any(":") {
		return 0, false
	}
	b, n := c.digits()
	if n == 0 {
		return 0, false
	}
	var h, m, s int64 = a, b, 0
	if c.any(":") {
		if s, n = c.digits(); n == 0 {
			return 0, false
		}
	} else if p := c.peek(); p == '.' || p == ',' {
		h, m, s = 0, a, b
	}
	if m > 59 && h > 0 || s > 60 {
		return 0, false
	}
	ns := ((h*60+m)*60 + s) * secondNS
	if c.any(".,:") {
		ns += c.fraction()
	}
	return c.halfDay(ns, h), true
}

// fraction reads decimals of a second as nanoseconds.
func (c *cursor) fraction() int64 {
	v, n := c.digits()
	for ; n < 9; n++ {
		v *= 10
	}
	for ; n > 9; n-- {
		v /= 10
	}
	return v
}

// halfDay applies AM or PM behind a time of day.
func (c *cursor) halfDay(ns, h int64) int64 {
	at := c.i
	c.blanks()
	mark := c.peek() | 0x20
	if mark != 'a' && mark != 'p' {
		c.i = at
		return ns
	}
	c.i++
	c.any(".")
	c.blanks()
	if !c.any("mM") {
		c.i = at
		return ns
	}
	c.any(".")
	switch {
	case mark == 'p' && h < 12:
		ns += dayNS / 2
	case mark == 'a' && h == 12:
		ns -= dayNS / 2
	}
	return ns
}

// blanks skips spaces, the narrow and the non-breaking one too: some exports put
// them before AM and PM.
func (c *cursor) blanks() {
	for {
		rest := c.b[c.i:]
		switch {
		case c.any(" "):
		case bytes.HasPrefix(rest, []byte("\u202f")):
			c.i += len("\u202f")
		case bytes.HasPrefix(rest, []byte("\u00a0")):
			c.i += len("\u00a0")
		default:
			return
		}
	}
}
