package dialects

import (
	"slices"
	"strings"
)

// Forms are ways to write the plain recording that keep every digit of its values:
// they must read to the very same numbers.
func Forms() []Dialect { return slices.Concat(notes()) }

// notes describe the columns in rows under the heading.
func notes() []Dialect {
	row := func(cells string) []string { return strings.Split(cells, "|") }
	units := row("s|m/s2|m/s2|m/s2|rad/s|rad/s|rad/s")
	words := row("elapsed time|acceleration forward|acceleration left|acceleration up|rate about x|rate about y|rate about z")
	kinds := row("float|float|float|float|float|float|float")
	marked := func(cells []string) []string { return append([]string{"# " + cells[0]}, cells[1:]...) }
	bare := func(name string, rows ...[]string) Dialect {
		return Dialect{Name: name, TimeHead: []string{"time"}, AccHead: head("a", ""), GyrHead: head("g", ""), Notes: rows}
	}
	return []Dialect{
		bare("units, then notes", units, words),
		bare("notes, then units", words, units),
		bare("notes, units and kinds", words, units, kinds),
		bare("kinds of number", kinds),
		bare("two comment rows", marked(units), marked(kinds)),
		bare("units, then a sentence", units, row("Acceleration in m/s2| rates in rad/s")),
		bare("notes with units", row("s since start|forward (m/s2)|left (m/s2)|up (m/s2)|about x (rad/s)|about y (rad/s)|about z (rad/s)")),
	}
}
