package recording

import (
	"bytes"
	"path"
)

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
			cells := splitCells(nil, l, d)
			if len(cells) < 3 || rolesIn(cells) < 2 {
				continue
			}
			if err := noNumbers(name, lines, i, d, cells); err != nil {
				return err
			}
			return fault(name, i+1, "a heading but no samples after it").hint("export the recording again")
		}
	}
	e := fault(name, 1, "no rows of numbers found").hint("setdown reads tables of samples: one line a sample, numbers between commas, semicolons or tabs")
	if !namesFoot(name) {
		e.Err = errOther
	}
	return e
}

// namesFoot tells whether a file's own name says whose recording it is: then it was meant
// to be one, whatever is in it.
func namesFoot(name string) bool {
	words := fileWords(path.Base(name))
	return words.side != SideUnknown || words.site != SiteUnknown
}

// noNumbers is the error of lines under the heading at index i whose cells hold
// more than a number each; nil when there are no such lines.
func noNumbers(name string, lines [][]byte, i int, delim byte, heads [][]byte) error {
	for k, l := range lines[i+1:] {
		cells := splitCells(nil, l, delim)
		if len(cells) != len(heads) || isComment(l) {
			continue
		}
		for c, cell := range cells {
			if isMissing(cell) || isNumber(cell, '.') || isNumber(cell, ',') || isMoment(cell) || !bytes.ContainsAny(cell, "0123456789") {
				continue
			}
			return fault(name, i+k+2, "%q is not a number", cell).column(string(heads[c])).
				hint("each cell must hold one number alone; the unit belongs into the heading")
		}
	}
	return nil
}

func nulError(name string, line int) error {
	return fault(name, line, "a NUL byte (0x00) stands in the text").hint("the file was cut or damaged in copying; export it again")
}
