package recording

import (
	"slices"

	"golang.org/x/text/encoding/charmap"
)

// view describes how the table was read.
func (l *layout) view() FileView {
	v := FileView{Input: l.f.input(), Packing: [...]string{"", "gzip", "zip"}[l.f.packed], Encoding: l.f.encodingName(),
		LineEnd: map[byte]string{'\n': "LF", '\r': "CR"}[l.f.eol], Decimal: nameOf(decimalNames, l.s.decimal), Delimiter: nameOf(delimNames, l.s.delim),
		Heading: l.s.header, First: l.s.first}
	if l.f.crlf {
		v.LineEnd = "CRLF"
	}
	used := l.usedColumns()
	for i, c := range l.cols {
		u, ok := used[i]
		if !ok {
			v.Columns = append(v.Columns, ColumnView{Name: c.name})
			continue
		}
		v.Columns = append(v.Columns, ColumnView{Name: c.name, Used: true, Role: u.Role, Unit: u.Unit, UnitFrom: u.UnitFrom})
	}
	v.Mapping = l.mapping()
	return v
}

// usedColumns gives the columns that play a part, by index.
func (l *layout) usedColumns() map[int]Channel {
	out := map[int]Channel{}
	for _, d := range l.drafts {
		for i, f := range d.feeds {
			if f.f != l.f {
				continue
			}
			for _, k := range f.keys {
				out[k] = Channel{Role: "key"}
			}
			l.usedByTime(out, f)
			for _, c := range d.cols[i] {
				if n, _ := c.role.channel(); f.col[n] >= 0 {
					out[f.col[n]] = c.as(c.role.String())
				}
			}
		}
	}
	if l.cadence != nil {
		l.usedByWatch(out)
	}
	return out
}

// usedByTime adds the columns that a feed's time is made of.
func (l *layout) usedByTime(out map[int]Channel, f *feed) {
	p := &f.time
	if p.col >= 0 {
		out[p.col] = l.cols[p.col].as(timeRole(f))
	}
	if p.date >= 0 {
		out[p.date] = Channel{Role: "date"}
	}
	if p.parts != nil {
		for _, c := range p.parts.columns() {
			out[c] = Channel{Role: "part of the time"}
		}
	}
	if p.sub >= 0 {
		out[p.sub] = Channel{Role: "part of a second"}
	}
}

// usedByWatch adds the columns of a watch's step rate: the first of each role.
func (l *layout) usedByWatch(out map[int]Channel) {
	for _, r := range []role{roleTime, roleCadence, roleSpeed} {
		if i := slices.IndexFunc(l.cols, func(c column) bool { return c.role == r }); i >= 0 {
			out[i] = l.cols[i].as(r.String())
		}
	}
}

func timeRole(f *feed) string {
	if f.time.counter {
		return "counter"
	}
	return "time"
}

// encodingName names the text encoding.
func (f *file) encodingName() string {
	switch {
	case f.text == nil && f.skip > 0:
		return "UTF-8 with mark"
	case f.text == nil:
		return "UTF-8"
	case f.text == charmap.Windows1252:
		return "Windows-1252"
	}
	return "UTF-16"
}

func nameOf(names map[string]byte, b byte) string {
	for name, x := range names {
		if x == b {
			return name
		}
	}
	return ""
}
