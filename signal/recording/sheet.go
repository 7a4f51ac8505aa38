package recording

import (
	"bytes"
	"slices"
	"strings"

	"setdown/signal/unit"
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

var delimiters = []byte{',', ';', '\t', '|', ' '}

// sniff finds the table in the first lines of a file. The error is an *Error
// that says what is missing.
func sniff(name string, lines [][]byte, m *Mapping) (*sheet, error) {
	best, score := (*sheet)(nil), 0
	for _, d := range delimiters {
		if !occurs(lines, d) {
			continue
		}
		for _, dec := range []byte{'.', ','} {
			if m != nil && (m.Delim != 0 && m.Delim != d || m.Decimal != 0 && m.Decimal != dec) {
				continue
			}
			s, n := trySheet(lines, d, dec)
			if n > score {
				best, score = s, n
			}
		}
	}
	if best == nil {
		return nil, noTable(name, lines)
	}
	best.findHeader(lines)
	if m != nil && m.Heading > 0 && m.Heading < best.first {
		best.names = texts(splitCells(nil, uncomment(lines[m.Heading-1]), best.delim))
		best.units, best.header = nil, m.Heading
	}
	return best, nil
}

// occurs tells whether any line has the delimiter; without it no table of two
// columns comes out.
func occurs(lines [][]byte, delim byte) bool {
	for _, l := range lines {
		if delim == ' ' && !unspaced(l) || delim != ' ' && bytes.IndexByte(l, delim) >= 0 {
			return true
		}
	}
	return false
}

// noTable says why there is no table in lines.
func noTable(name string, lines [][]byte) error {
	for i, l := range lines {
		if bytes.IndexByte(l, 0) >= 0 {
			return nulError(name, i+1)
		}
	}
	text := 0
	for _, l := range lines {
		if len(trim(l)) > 0 {
			text++
		}
	}
	if text == 0 {
		return fault(name, 0, "the file is empty").hint("export the recording again")
	}
	for _, d := range delimiters[:4] {
		for i, l := range lines {
			if cells := splitCells(nil, l, d); len(cells) > 2 && rolesIn(cells) >= 2 {
				return fault(name, i+1, "a heading but no samples after it").hint("export the recording again")
			}
		}
	}
	return fault(name, 1, "no rows of numbers found").hint("setdown reads tables of samples: one line a sample, numbers between commas, semicolons or tabs")
}

func nulError(name string, line int) error {
	return fault(name, line, "a NUL byte (0x00) stands in the text").hint("the file was cut or damaged in copying; export it again")
}

// rolesIn counts the cells that are known headings.
func rolesIn(cells [][]byte) int {
	n := 0
	for _, c := range cells {
		if readHeading(string(c)).role != roleNone {
			n++
		}
	}
	return n
}

// trySheet reads the lines with one delimiter and one decimal sign and scores
// how much of a table comes out: the number of data cells in lines of the
// commonest width.
func trySheet(lines [][]byte, delim, dec byte) (*sheet, int) {
	width, rows := map[int]int{}, 0
	var cells [][]byte
	for _, l := range lines {
		cells = splitCells(cells[:0], l, delim)
		if isComment(l) || !dataCells(cells, dec) {
			continue
		}
		width[len(cells)]++
		if rows++; rows == sampleRows {
			break
		}
	}
	n, score := 0, 0
	for w, count := range width {
		if v := count * w; v > score || v == score && w > n {
			n, score = w, v
		}
	}
	if n < 2 || width[n] < minDataRows && rows > minDataRows || width[n] == 0 {
		return nil, 0
	}
	// A lone comma is rather a delimiter; quotes tell that it is decimal.
	if delim == ',' && dec == ',' {
		score--
	}
	return &sheet{delim: delim, decimal: dec, columns: n}, 4*score - 2*(rows-width[n])*n + tie(delim)
}

// tie prefers the more telling delimiter where two give the same table.
func tie(delim byte) int {
	return len(delimiters) - slices.Index(delimiters, delim) - 1
}

// dataCells tells whether a line looks like data: more than half of its filled
// cells are numbers or times, and at least one is, or it is nearly empty.
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
	return num > 0 && num >= text
}

// isComment tells whether a line is a remark: "#" or "//" at its start.
func isComment(line []byte) bool {
	l := trim(line)
	return bytes.HasPrefix(l, []byte("#")) || bytes.HasPrefix(l, []byte("//")) || bytes.HasPrefix(l, []byte("%"))
}

// isMoment tells whether a cell is a date, a time of day or both.
func isMoment(cell []byte) bool {
	if len(cell) < 4 || len(cell) > 48 || bytes.IndexByte(cell, ':') < 1 && !dated(cell) {
		return false
	}
	_, _, _, ok := parseMoment(cell, dayFirst)
	if !ok {
		_, _, _, ok = parseMoment(cell, monthFirst)
	}
	return ok
}

// dated tells whether a cell may be a date: its parts stand between two signs.
func dated(cell []byte) bool {
	n := 0
	for _, c := range cell[1:] {
		if c == '-' || c == '/' || c == '.' {
			n++
		}
	}
	return n > 1
}

// findHeader finds heading, units row, preamble and the first data rows.
func (s *sheet) findHeader(lines [][]byte) {
	first := -1
	for i, l := range lines {
		cells := splitCells(nil, l, s.delim)
		if isComment(l) || len(cells) < (s.columns+1)/2 || !dataCells(cells, s.decimal) || s.looksLikePreamble(lines, i, len(cells)) {
			continue
		}
		if first < 0 {
			first = i
		}
		if s.sample = append(s.sample, texts(cells)); len(s.sample) == sampleRows {
			break
		}
	}
	s.first = first + 1
	at := s.headingRow(lines, first)
	if at < 0 {
		s.preamble = texts(lines[:first])
		return
	}
	s.setHeader(lines, at)
	s.preamble = texts(lines[:s.header-1])
}

// looksLikePreamble tells whether a line of numbers before the table (a
// "Rate,200" line) is followed by a heading and so does not belong to it.
func (s *sheet) looksLikePreamble(lines [][]byte, i, n int) bool {
	if n == s.columns || len(s.sample) > 0 {
		return false
	}
	return i+1 < len(lines)
}

// headingRow returns the index of the line before the first data line that has
// about as many cells as it; -1 when there is none.
func (s *sheet) headingRow(lines [][]byte, first int) int {
	for i := first - 1; i >= 0 && i >= first-4; i-- {
		l := uncomment(lines[i])
		if len(trim(l)) == 0 {
			continue
		}
		n := len(splitCells(nil, l, s.delim))
		if n == s.columns || n == s.columns-1 || n == s.columns+1 || n > 2 && rolesIn(splitCells(nil, l, s.delim)) > 2 {
			return i
		}
		if !isComment(lines[i]) {
			return -1
		}
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
		if above := texts(splitCells(nil, uncomment(lines[i-1]), s.delim)); len(above) == len(row) || rolesInText(above) > 2 {
			s.units, row, i = row, above, i-1
		}
	}
	s.names, s.header = row, i+1
	if i == 0 || countSensors(row) > 0 {
		return
	}
	above := texts(splitCells(nil, uncomment(lines[i-1]), s.delim))
	if len(above) < len(row)-1 || len(above) > len(row)+1 {
		return
	}
	if joined := join(above, row); countSensors(joined) > 0 {
		s.names, s.header, s.joined = joined, i, true
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

func rolesInText(names []string) int {
	n := 0
	for _, name := range names {
		if readHeading(name).role != roleNone {
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

// texts copies cells into strings.
func texts(cells [][]byte) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = string(c)
	}
	return out
}
