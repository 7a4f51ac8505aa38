package recording

import (
	"bytes"
	"slices"
	"strconv"
)

// sheet is the layout of a file: how its lines become rows of cells.
type sheet struct {
	// delim separates cells; ' ' stands for any run of spaces and tabs.
	delim byte
	// decimal is '.' or ','.
	decimal byte
	// names are the headings; nil when the file has none.
	names []string
	// units is the second heading row, if there is one.
	units []string
	// header is the heading's line, and first the first data line, both 1-based.
	header, first int
	// joined tells that the headings were made of two rows.
	joined bool
	// preamble are the lines before the heading.
	preamble []string
	// labels are the names that stand before the value in each cell; nil for most files.
	labels []string
	// columns is how many cells a data line has.
	columns int
	// sample holds the first data rows for classifying columns.
	sample [][]string
}

// Limits of the search for a table in a file's head.
const (
	headBytes   = 128 << 10
	sampleRows  = 200
	minDataRows = 2
)

// sniff finds the table in the first lines of a file. The error is an *Error
// that says what is missing.
func sniff(name string, lines [][]byte, m *Mapping) (*sheet, error) {
	best := bestSheet(lines, m)
	if best == nil || best.columns < minLabels {
		if s := labelled(lines, m); s != nil {
			return s, nil
		}
	}
	if best == nil {
		return nil, noTable(name, lines)
	}
	if !best.findHeader(lines) {
		return nil, noTable(name, lines)
	}
	if m != nil && m.Heading > 0 {
		best.takeHeading(lines, m.Heading)
	}
	return best, nil
}

// takeHeading takes the heading from the line that was given by hand. One that does not
// stand before the data is none.
func (s *sheet) takeHeading(lines [][]byte, line int) {
	if line >= s.first || line == s.header {
		return
	}
	s.names = texts(splitCells(nil, uncomment(lines[line-1]), s.delim))
	s.units, s.header = nil, line
	s.shiftNames()
}

// rolesIn counts the cells that are known headings.
func rolesIn(cells [][]byte) int {
	n := 0
	for _, c := range cells {
		if h := readHeading(string(c)); h.role != roleNone || h.acc || h.gyr {
			n++
		}
	}
	return n
}

// dataCells tells whether a line looks like data: at least half of its filled
// cells are numbers or times, words for its sensor and axis left aside.
func dataCells(cells [][]byte, dec byte) bool {
	num, text := 0, 0
	for _, c := range cells {
		if isMissing(c) {
			continue
		}
		if _, ok := parseNumber(c, dec); ok || isMoment(c) {
			num++
		} else {
			text++
		}
	}
	return num > 0 && (num >= text || num >= text-keyCells(cells))
}

// keyCells counts the cells that are nothing but words for a side, a site, a sensor
// or an axis, as in the rows of a long table.
func keyCells(cells [][]byte) int {
	n := 0
	for _, c := range cells {
		ws := tokens(string(c))
		if len(ws) > 0 && !slices.ContainsFunc(ws, func(w string) bool { return axisOf(w) == 0 && !namesPlace(w) }) {
			n++
		}
	}
	return n
}

// namesPlace tells whether a word is one for a side, a site or a sensor.
func namesPlace(w string) bool {
	return slices.ContainsFunc(dictionary[w], func(s sense) bool {
		return s.means == meansSide || s.means == meansSite || s.means == meansAcc || s.means == meansGyr
	})
}

// isComment tells whether a line is a remark: "#" or "//" at its start.
func isComment(line []byte) bool {
	l := trim(line)
	return bytes.HasPrefix(l, []byte("#")) || bytes.HasPrefix(l, []byte("//")) || bytes.HasPrefix(l, []byte("%"))
}

// isMoment tells whether a cell is a date, a time of day or both.
func isMoment(cell []byte) bool {
	if len(cell) < 4 || len(cell) > 64 || bytes.IndexByte(cell, ':') < 1 && !dated(cell) {
		return false
	}
	_, _, _, ok := parseMoment(cell, dayFirst)
	if !ok {
		_, _, _, ok = parseMoment(cell, monthFirst)
	}
	return ok
}

// dated tells whether a cell may be a date or a time without colons: its parts
// stand between two signs, or a T or an h stands among digits.
func dated(cell []byte) bool {
	n := 0
	for _, c := range cell[1:] {
		switch c {
		case '-', '/', '.', '_':
			n++
		case 'T', 'h':
			n += 2
		}
	}
	return n > 1 && cell[0]-'0' <= 9
}

// findHeader finds heading, units row, preamble and the first data rows; false
// when there are no data rows but one that counts the columns.
func (s *sheet) findHeader(lines [][]byte) bool {
	first := -1
	for i, l := range lines {
		cells := splitCells(nil, l, s.delim)
		if isComment(l) || len(cells) < (s.columns+1)/2 || !dataCells(cells, s.decimal) || s.looksLikePreamble(lines, i, len(cells)) ||
			len(s.sample) == 0 && isNumbering(cells) {
			continue
		}
		if first < 0 {
			first = i
		}
		if s.sample = append(s.sample, texts(cells)); len(s.sample) == sampleRows {
			break
		}
	}
	if first < 0 {
		return false
	}
	s.first = first + 1
	at := s.headingRow(lines, first)
	if at < 0 {
		s.preamble = texts(lines[:first])
		return true
	}
	s.setHeader(lines, at)
	s.preamble = texts(lines[:s.header-1])
	return true
}

// minNumbering is how many cells a row of column numbers has at the least.
const minNumbering = 4

// isNumbering tells whether a row only counts the columns: 1, 2, 3 … or 0, 1, 2 …,
// perhaps with an empty first cell.
func isNumbering(cells [][]byte) bool {
	if len(cells) < minNumbering {
		return false
	}
	for i, c := range cells {
		if len(c) == 0 && i == 0 {
			continue
		}
		n, err := strconv.Atoi(string(c))
		one, _ := strconv.Atoi(string(cells[1]))
		if err != nil || n != one+i-1 || one > 2 || one < 0 {
			return false
		}
	}
	return true
}

// looksLikePreamble tells whether a line of numbers before the table (a
// "Rate,200" line) is followed by a heading and so does not belong to it.
func (s *sheet) looksLikePreamble(lines [][]byte, i, n int) bool {
	if n == s.columns || len(s.sample) > 0 {
		return false
	}
	return i+1 < len(lines)
}

// texts copies cells into strings.
func texts(cells [][]byte) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = string(c)
	}
	return out
}
