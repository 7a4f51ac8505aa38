package recording

import (
	"bytes"
)

// zone reads Z, UTC, GMT or an offset, with the name of a place in brackets
// behind it. Nothing at all, or a zone's short name, is local time: such names
// are not unique.
func (c *cursor) zone() (offset int64, zoned, ok bool) {
	c.blanks()
	if i := bytes.IndexByte(c.b[c.i:], '['); i >= 0 && c.b[len(c.b)-1] == ']' {
		c.b = c.b[:c.i+i]
	}
	if c.i == len(c.b) {
		return 0, false, true
	}
	rest := c.b[c.i:]
	switch {
	case c.any("Zz"):
		return 0, true, c.i == len(c.b)
	case bytes.HasPrefix(rest, []byte("UTC")), bytes.HasPrefix(rest, []byte("GMT")):
		if c.i += 3; c.i == len(c.b) {
			return 0, true, true
		}
	case shortZone(rest):
		c.i = len(c.b)
		return 0, false, true
	}
	offset, ok = c.offset()
	return offset, ok, ok && c.i == len(c.b)
}

// offset reads a zone's offset, ns: +2, +0200 or +02:00.
func (c *cursor) offset() (ns int64, ok bool) {
	sign := int64(1)
	if c.peek() == '-' {
		sign = -1
	}
	if !c.any("+-") {
		return 0, false
	}
	h, n := c.digits()
	m := int64(0)
	if n == 4 {
		h, m = h/100, h%100
	} else if c.any(":") {
		m, _ = c.digits()
	}
	return sign * (h*3600 + m*60) * secondNS, true
}

// shortZone tells whether text is a zone's short name: CET, MESZ, EST.
func shortZone(text []byte) bool {
	if len(text) < 3 || len(text) > 5 || string(text[:3]) == "UTC" || string(text[:3]) == "GMT" {
		return false
	}
	for _, b := range text {
		if b < 'A' || b > 'Z' {
			return false
		}
	}
	return true
}
