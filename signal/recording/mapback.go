package recording

import (
	"fmt"
	"strings"

	"setdown/signal/unit"
)

// mapping writes down how the table was read; nil for what a mapping cannot say:
// long tables, where rows tell the sensors apart, and several sensors without a
// side or site.
func (l *layout) mapping() *Mapping {
	m := mapBack{l: l, seen: map[string]int{}, Mapping: &Mapping{Name: l.f.name, Delim: l.s.delim, Decimal: l.s.decimal, Heading: l.s.header}}
	for _, d := range l.drafts {
		for i, f := range d.feeds {
			if len(f.keys) > 0 || f.f != l.f || f.time.sub >= 0 || f.time.parts != nil || f.time.steps {
				return nil
			}
			m.time(f)
			m.channels(f, d.cols[i])
		}
	}
	if m.clash {
		return nil
	}
	return m.Mapping
}

// mapBack is a mapping while it is being written down.
type mapBack struct {
	*Mapping
	l *layout
	// seen holds the column of each side, site and role; clash tells that two columns
	// have the same.
	seen  map[string]int
	clash bool
}

// add writes down one column, by its name where that is enough to find it.
func (m *mapBack) add(c MappedColumn) {
	key := fmt.Sprint(c.Side, c.Site, c.Role)
	if at, ok := m.seen[key]; ok {
		m.clash = m.clash || at != c.Index
		return
	}
	m.seen[key] = c.Index
	if c.Column == "" || m.l.s.joined || m.l.twice(c.Column) {
		c.Column = ""
	} else {
		c.Index = 0
	}
	m.Columns = append(m.Columns, c)
}

// time writes down a feed's time and date, and the rate where rows are counted.
func (m *mapBack) time(f *feed) {
	p, cols := &f.time, m.l.cols
	if p.col < 0 || p.counter {
		m.Rate = m.l.givenRate()
	}
	if p.col >= 0 {
		u, scale := plainUnit(cols[p.col].unit)
		m.add(MappedColumn{Role: timeRole(f), Column: cols[p.col].name, Index: p.col + 1, Unit: u, Scale: scale})
	}
	if p.date >= 0 {
		m.add(MappedColumn{Role: "date", Column: cols[p.date].name, Index: p.date + 1})
	}
}

// channels writes down a feed's channels, which are among cols.
func (m *mapBack) channels(f *feed, cols []column) {
	for _, c := range cols {
		if n, _ := c.role.channel(); f.col[n] >= 0 {
			u, scale := plainUnit(c.unit)
			m.add(MappedColumn{Side: c.side, Site: c.site, Role: c.role.String(), Column: c.name, Index: c.index + 1, Unit: u, Scale: scale})
		}
	}
}

// plainUnit takes a scaled unit ("0.07 deg/s") apart.
func plainUnit(u unit.Unit) (string, float64) {
	if _, symbol, ok := strings.Cut(u.Symbol, " "); ok {
		if base, known := unit.Parse(symbol); known {
			return symbol, u.Factor / base.Factor
		}
	}
	return u.Symbol, 0
}

// twice tells whether several columns have the name.
func (l *layout) twice(name string) bool {
	n := 0
	for _, c := range l.cols {
		if c.name == name {
			n++
		}
	}
	return n > 1
}
