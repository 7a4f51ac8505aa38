package recording

import (
	"slices"

	"setdown/signal/unit"
)

// maxNotes is how many rows under the heading may describe the columns: their
// units, their kind of number, a sentence each.
const maxNotes = 3

// aboveNotes looks above the row at index i, which stands where a heading is
// expected, for the one that names most axes: what stands between is notes on the
// columns, and the units in it count.
func (s *sheet) aboveNotes(lines [][]byte, i int, row []string) ([]string, int) {
	if i == 0 || s.namesPlaces(row) {
		return row, i
	}
	best, from, units := row, i, noteUnits(s.units, row)
	for at := i - 1; at >= 0 && at >= i-maxNotes; at-- {
		cells := splitCells(nil, uncomment(lines[at]), s.delim)
		above := texts(cells)
		if len(above) < len(row)-1 || len(above) > len(row)+1 || dataCells(cells, s.decimal) {
			break
		}
		if countAxes(above) > countAxes(best) && !repeats(above) {
			best, from, s.units = above, at, units
		}
		units = noteUnits(units, above)
	}
	return best, from
}

// noteUnits adds the units that stand in a row of notes to those found below it.
func noteUnits(units, row []string) []string {
	out := make([]string, max(len(units), len(row)))
	copy(out, units)
	for i, c := range row {
		if out[i] == "" {
			out[i] = noteUnit(c)
		}
	}
	return out
}

// noteUnit is the unit that a note is, or states; one that is not known too, so that
// it is refused. It is empty where there is none.
func noteUnit(note string) string {
	for _, m := range bracketed.FindAllStringSubmatch(note, -1) {
		if _, ok := unit.Parse(m[1]); ok || oddUnit(m[1]) {
			return m[1]
		}
	}
	if _, ok := unit.Parse(note); ok || oddUnit(note) {
		return note
	}
	if _, found := tailUnit(note, nil); len(found) > 0 {
		return found[0].Symbol
	}
	return ""
}

// namesPlaces tells whether the cells of a row tell sides or sites, as many as
// would do for one sensor: a row of groups, which completes the one above it.
func (s *sheet) namesPlaces(row []string) bool {
	n := 0
	for _, c := range row {
		if h := readHeading(c); h.side != SideUnknown || h.site != SiteUnknown {
			n++
		}
	}
	return n >= 3
}

// countAxes counts the headings that name an axis, with or without its sensor.
func countAxes(names []string) int {
	n := 0
	for _, name := range names {
		h := readHeading(name)
		if _, ok := h.role.channel(); ok || h.role >= roleAxisX && h.role <= roleAxisZ {
			n++
		}
	}
	return n
}

// underHeading tells whether a line belongs to a heading, though lines of words
// stand between it and the data: it names the axes of a sensor, or is a units row.
func (s *sheet) underHeading(line []byte) bool {
	row := texts(splitCells(nil, line, s.delim))
	return len(row) == s.columns && (countAxes(row) >= 3 && !slices.Contains(row, "") || isUnitsRow(row))
}
