package recording

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"setdown/signal/unit"
)

// headingRow returns the index of the line before the first data line that has
// about as many cells as it; -1 when there is none.
func (s *sheet) headingRow(lines [][]byte, first int) int {
	words := false // lines of words that are no row of the table were passed
	for i := first - 1; i >= 0 && i >= first-4; i-- {
		l := uncomment(lines[i])
		if len(trim(l)) == 0 || isNumbering(splitCells(nil, l, s.delim)) {
			continue
		}
		n := len(splitCells(nil, l, s.delim))
		if words && !s.underHeading(l) {
			continue
		}
		if n == s.columns || n == s.columns-1 || n == s.columns+1 || n > 2 && rolesIn(splitCells(nil, l, s.delim)) > 2 {
			return i
		}
		words = words || !isComment(lines[i])
	}
	return -1
}

// uncomment removes the mark of a comment, since some files put the heading
// into one.
func uncomment(line []byte) []byte {
	l := trim(line)
	l = bytes.TrimLeft(l, "#%")
	return trim(bytes.TrimPrefix(l, []byte("//")))
}

// setHeader takes the line at index i as the units row, if it is one, or as the
// heading; a second heading row above it names groups of columns.
func (s *sheet) setHeader(lines [][]byte, i int) {
	row := texts(splitCells(nil, uncomment(lines[i]), s.delim))
	if i > 0 && isUnitsRow(row) {
		if above := texts(splitCells(nil, uncomment(lines[i-1]), s.delim)); len(above) == len(row) || rolesIn(splitCells(nil, uncomment(lines[i-1]), s.delim)) > 2 {
			s.units, row, i = row, above, i-1
		}
	}
	row, i = s.aboveNotes(lines, i, row)
	s.names, s.header = row, i+1
	s.joinGroups(lines, i)
	s.shiftNames()
}

// maxGroupRows is how many rows above the heading may name groups of columns.
const maxGroupRows = 2

// joinGroups puts the names of groups of columns, in the rows above line i, before
// the names of the columns: where these name no sensor, or several the same.
func (s *sheet) joinGroups(lines [][]byte, i int) {
	for range maxGroupRows {
		if i == 0 || countSensors(s.names) > 0 && !repeats(s.names) {
			return
		}
		above := texts(splitCells(nil, uncomment(lines[i-1]), s.delim))
		if len(above) < len(s.names)-1 || len(above) > len(s.names)+1 {
			return
		}
		joined := join(above, s.names)
		if countSensors(joined) == 0 {
			return
		}
		i--
		s.names, s.header, s.joined = joined, i+1, true
	}
}

// repeats tells whether two columns that name an axis of a sensor have the same
// name.
func repeats(names []string) bool {
	seen := map[string]bool{}
	for _, n := range names {
		if _, ok := readHeading(n).role.channel(); !ok {
			continue
		}
		if seen[n] {
			return true
		}
		seen[n] = true
	}
	return false
}

// shiftNames deals with a heading that leaves out the name of the first column,
// as where rows are numbered: it has one cell less than the rows, and the first
// column counts.
func (s *sheet) shiftNames() {
	if len(s.names) != s.columns-1 || len(s.sample) < minDataRows {
		return
	}
	before := 0
	for n, r := range s.sample {
		if len(r) != s.columns || r[len(r)-1] == "" {
			return
		}
		v, err := strconv.Atoi(r[0])
		if err != nil || n > 0 && v != before+1 {
			return
		}
		before = v
	}
	s.names = append([]string{""}, s.names...)
	if len(s.units) > 0 {
		s.units = append([]string{""}, s.units...)
	}
}

// join puts each group name before the names under it: a group name holds until
// the next one.
func join(above, row []string) []string {
	out := slices.Clone(row)
	group := ""
	for i := range out {
		if i < len(above) && above[i] != "" {
			group = above[i]
		}
		if group != "" && !strings.EqualFold(group, out[i]) {
			out[i] = strings.TrimSpace(group + " " + out[i])
		}
	}
	return out
}

// countSensors counts the headings that name an axis of a sensor.
func countSensors(names []string) int {
	n := 0
	for _, name := range names {
		if _, ok := readHeading(name).role.channel(); ok {
			n++
		}
	}
	return n
}

// isUnitsRow tells whether most filled cells of a heading row are units.
func isUnitsRow(row []string) bool {
	units, filled := 0, 0
	for _, c := range row {
		c = strings.Trim(c, "[](){} -")
		if c == "" {
			continue
		}
		filled++
		if _, ok := unit.Parse(c); ok || noUnit[fold(c)] {
			units++
		}
	}
	return units > 0 && units*3 >= filled*2 && countSensors(row) < 3
}

// noUnit are the words that a units row uses for "none".
var noUnit = map[string]bool{"none": true, "n/a": true, "na": true, "1": true, "count": true, "counts": true, "lsb": true, "raw": true, "unitless": true, "iso8601": true, "iso 8601": true}
