package recording

import (
	"bytes"
	"slices"
)

var delimiters = []byte{',', ';', '\t', '|', ' '}

// bestSheet finds the delimiter and the decimal sign that make most of a table of the
// lines, within what m says of them; nil when none makes any.
func bestSheet(lines [][]byte, m *Mapping) *sheet {
	best, score := (*sheet)(nil), 0
	for _, d := range delimiters {
		cells := mostCells(lines, d)
		if cells < 2 {
			continue
		}
		if d == ' ' && best != nil && best.delim != ',' && best.columns > 2 {
			continue // blanks within cells, as in a date with a time
		}
		for _, dec := range []byte{'.', ','} {
			if m != nil && (m.Delim != 0 && m.Delim != d || m.Decimal != 0 && m.Decimal != dec) {
				continue
			}
			if score >= 4*sampleRows*cells+tie(d) {
				continue // full rows of as many cells are found
			}
			s, n := trySheet(lines, d, dec)
			if n > score {
				best, score = s, n
			}
		}
	}
	return best
}

// mostCells bounds how many cells the delimiter makes of any line.
func mostCells(lines [][]byte, delim byte) int {
	most := 1
	for _, l := range lines {
		if delim == ' ' && !unspaced(l) {
			return MaxLine
		}
		if delim != ' ' {
			most = max(most, 1+bytes.Count(l, []byte{delim}))
		}
	}
	return most
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
