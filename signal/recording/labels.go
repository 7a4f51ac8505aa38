package recording

import "bytes"

// minLabels is how many cells with a number behind a name a row has at the least.
const minLabels = 3

// labelled finds the table in lines whose cells have their names before them:
// "ax=0.12,ay=0.03". nil where there is none.
func labelled(lines [][]byte, m *Mapping) *sheet {
	for _, d := range delimiters {
		for i, l := range lines {
			if isComment(l) || bytes.Count(l, []byte("="))+bytes.Count(l, []byte(":")) < minLabels {
				continue
			}
			names := labelsOf(splitCells(nil, l, d))
			if names == nil {
				continue
			}
			if s := labelledTable(lines, i, d, names, m); s != nil {
				return s
			}
			break
		}
	}
	return nil
}

// labelledTable makes a sheet of the lines from index first on, whose cells have the
// names before them.
func labelledTable(lines [][]byte, first int, delim byte, names []string, m *Mapping) *sheet {
	bare := make([][]byte, len(lines))
	naming := &sheet{delim: delim, labels: names}
	for i, l := range lines {
		if bare[i] = l; i >= first {
			cells, _ := naming.split(nil, l)
			bare[i] = bytes.Join(cells, []byte{0x1f})
		}
	}
	best, score := (*sheet)(nil), 0
	for _, dec := range []byte{'.', ','} {
		if m != nil && (m.Delim != 0 && m.Delim != delim || m.Decimal != 0 && m.Decimal != dec) {
			continue
		}
		if s, n := trySheet(bare[first:], 0x1f, dec); n > score {
			best, score = s, n
		}
	}
	if best == nil || best.columns != len(names) || !best.findHeader(bare) {
		return nil
	}
	best.delim, best.labels, best.names, best.units, best.header, best.joined = delim, names, names, nil, 0, false
	best.preamble = texts(lines[:best.first-1])
	return best
}

// labelsOf are the names before the values of cells; nil where a cell has none, or
// fewer than minLabels of the values are numbers.
func labelsOf(cells [][]byte) []string {
	if len(cells) < minLabels {
		return nil
	}
	names, numbers := make([]string, len(cells)), 0
	for i, c := range cells {
		name, value, ok := cutLabel(c)
		if !ok {
			return nil
		}
		names[i] = string(name)
		if isNumber(value, '.') || isNumber(value, ',') {
			numbers++
		}
	}
	if numbers < minLabels {
		return nil
	}
	return names
}

// cutLabel parts a cell into a name, which begins with a letter, and the value behind
// the first = or colon. Quotes about them go.
func cutLabel(cell []byte) (name, value []byte, ok bool) {
	i := bytes.IndexAny(cell, "=:")
	if i < 1 {
		return nil, nil, false
	}
	name, value = bytes.Trim(cell[:i], "\" \t"), bytes.Trim(cell[i+1:], "\" \t")
	return name, value, len(name) > 0 && (name[0]|0x20 >= 'a' && name[0]|0x20 <= 'z' || name[0] >= 0x80)
}

// split cuts a line into cells, without the names before them. bad is the first cell
// that has not the name that the first row has in its place; −1 where there is none.
func (s *sheet) split(dst [][]byte, line []byte) (cells [][]byte, bad int) {
	from := len(dst)
	dst, bad = splitCells(dst, line, s.delim), -1
	for i, label := range s.labels {
		if from+i >= len(dst) {
			break
		}
		name, value, ok := cutLabel(dst[from+i])
		if ok && string(name) == label {
			dst[from+i] = value
		} else if bad < 0 {
			bad = i
		}
	}
	return dst, bad
}

// mislabelled is the error of a cell that has not the name of its column before it.
func (d *decoder) mislabelled(i int) error {
	return fault(d.f.name, d.l.line, "%q does not begin with the name %q, as line %d has it in its place", d.cells[i], d.s.labels[i], d.s.first).
		hint("correct or delete line %d; each row must name the same values in the same order", d.l.line)
}
