package recording

import (
	"math"
	"strconv"
	"unicode/utf8"
)

// parseGrouped reads a number as spreadsheets write it for people: with a minus
// sign of its own (U+2212) and with its thousands in groups of three between
// narrow or unbreakable spaces, apostrophes, or the decimal sign of other
// countries. That last one counts only where the decimal sign follows: "9,930"
// alone may be nine and a bit.
func parseGrouped(cell []byte, dec byte) (float64, bool) {
	g := grouping{dec: rune(dec)}
	text := make([]byte, 0, len(cell))
	for i := 0; i < len(cell); {
		r, n := utf8.DecodeRune(cell[i:])
		i += n
		c, ok := g.next(r)
		if !ok {
			return 0, false
		}
		if c != 0 {
			text = append(text, c)
		}
	}
	if !g.whole() {
		return 0, false
	}
	v, err := strconv.ParseFloat(string(text), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// grouping follows a number from left to right.
type grouping struct {
	dec, mark rune
	run       int // digits since the last mark
	signed    bool
	point     bool
}

// next takes one sign and returns what stands for it in a plain number, 0 for
// nothing.
func (g *grouping) next(r rune) (byte, bool) {
	switch {
	case r >= '0' && r <= '9':
		g.run++
		return byte(r), true
	case (r == '-' || r == '+' || r == '\u2212') && g.run == 0 && g.mark == 0 && !g.signed && !g.point:
		g.signed = true
		if r == '+' {
			return 0, true
		}
		return '-', true
	case r == g.dec && !g.point && (g.mark == 0 || g.run == 3):
		g.point = true
		return '.', true
	case isGroupMark(r) && !g.point && (g.mark == 0 && g.run > 0 && g.run < 4 || g.mark == r && g.run == 3):
		g.mark, g.run = r, 0
		return 0, true
	}
	return 0, false
}

// whole tells whether the number may end here.
func (g *grouping) whole() bool {
	switch {
	case g.point || g.mark == 0:
		return true
	case g.mark == ',' || g.mark == '.':
		return false
	}
	return g.run == 3
}

// isGroupMark tells whether r parts thousands.
func isGroupMark(r rune) bool {
	switch r {
	case '\u00a0', '\u202f', '\u2009', '\u2007', '\'', '’', ',', '.':
		return true
	}
	return false
}
