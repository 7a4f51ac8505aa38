package recording

import (
	"fmt"
	"slices"
	"strings"

	"setdown/signal/unit"
)

// mapped applies a mapping to the columns: only the columns that it names are
// used.
func (l *layout) mapped(m *Mapping) error {
	if len(m.Columns) == 0 {
		return nil
	}
	for i := range l.cols {
		l.cols[i].heading = heading{role: roleUnused}
	}
	for _, c := range m.Columns {
		i, err := l.find(m, c)
		if err != nil {
			return err
		}
		col := &l.cols[i]
		col.heading = heading{role: role(slices.Index(roleNames[:], c.Role)), side: c.Side, site: c.Site}
		col.unitFrom = ""
		if c.Unit == "" && c.Scale == 0 {
			continue
		}
		if err := col.given(m, c); err != nil {
			return err
		}
	}
	return nil
}

// given sets unit and scale from the mapping.
func (col *column) given(m *Mapping, c MappedColumn) error {
	u, _ := unit.Parse(c.Unit)
	if c.Unit == "" {
		u = unit.Unit{Symbol: "", Factor: 1, Kind: col.role.kind()}
	}
	if u.Kind != col.role.kind() {
		return fault(m.Name, c.Line, "%s cannot be in %s", c.Role, c.Unit)
	}
	if c.Scale != 0 && c.Scale != 1 {
		u = unit.Unit{Symbol: fmt.Sprintf("%g %s", c.Scale, u.Symbol), Factor: u.Factor * c.Scale, Kind: u.Kind}
	}
	col.heading.unit, col.stated, col.unitFrom = u, true, "given"
	return nil
}

// find finds the column that a line of the mapping names.
func (l *layout) find(m *Mapping, c MappedColumn) (int, error) {
	if c.Index > 0 {
		if c.Index > len(l.cols) {
			return 0, fault(m.Name, c.Line, "column #%d is named, but %s has %d columns", c.Index, l.f.name, len(l.cols))
		}
		return c.Index - 1, nil
	}
	i := slices.IndexFunc(l.cols, func(col column) bool { return col.name == c.Column })
	if i < 0 {
		i = slices.IndexFunc(l.cols, func(col column) bool { return strings.EqualFold(strings.TrimSpace(col.name), c.Column) })
	}
	if i < 0 {
		var names []string
		for _, col := range l.cols[:min(len(l.cols), 20)] {
			names = append(names, col.name)
		}
		return 0, fault(m.Name, c.Line, "no column %q in %s", c.Column, l.f.name).hint("its columns are %s", strings.Join(names, ", "))
	}
	return i, nil
}
