package recording

import (
	"fmt"
	"slices"
	"strconv"
)

// Sketch writes down what the headings of a file tell of its columns, as a mapping
// to edit, where Open cannot read the file as it stands: the rest of its columns
// are listed in Unused. Of a packed file with several tables it takes the first.
// The error is an *Error: the source cannot be opened, is no table, or is a long one.
func Sketch(src Source, opt Options) (*Mapping, error) {
	fs, err := files(src)
	if err != nil {
		return nil, err
	}
	lines, err := fs[0].head()
	if err != nil {
		return nil, err
	}
	opt.Mapping = nil
	l, err := newOpener(&opt).layoutOf(fs[0], lines, []Source{src})
	if err != nil {
		return nil, err
	}
	if l.keyed() {
		return nil, fault(src.Name, l.s.header, "its rows tell its sensors apart, which columns given by hand cannot say").
			hint("write into the rows of each sensor what it is (acc or gyro, left or right, foot, shin, waist or wrist), and x, y, z above its columns")
	}
	return l.sketch(), nil
}

// sketch is as mapping, from the headings alone.
func (l *layout) sketch() *Mapping {
	m := &Mapping{Name: l.f.name, Delim: l.s.delim, Decimal: l.s.decimal, Heading: l.s.header}
	seen := map[string]bool{}
	for i := range l.cols {
		c := &l.cols[i]
		out := MappedColumn{Side: c.side, Site: c.site, Role: c.role.String(), Column: c.name, Unit: c.unit.Symbol}
		if c.name == "" || l.s.joined || l.twice(c.name) {
			out.Column, out.Index = "", i+1
		}
		key := fmt.Sprint(c.side, c.site, c.role)
		if !slices.Contains(mappedRoles, out.Role) || seen[key] || c.kind == cellsEmpty {
			m.Unused = append(m.Unused, l.outline(i))
			continue
		}
		seen[key] = true
		m.Columns = append(m.Columns, out)
	}
	return m
}

// outline is a column's number, heading and first cell.
func (l *layout) outline(i int) string {
	text := "#" + strconv.Itoa(i+1)
	if name := l.cols[i].name; name != "" {
		text += " " + strconv.Quote(name)
	}
	if cells := l.firstCells(i); len(cells) > 0 {
		text += ": " + cells[0]
	}
	return text
}
