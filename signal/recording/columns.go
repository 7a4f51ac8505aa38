package recording

import (
	"path"
	"strings"

	"setdown/signal/unit"
)

// cellKind is what the cells of a column are, by the first rows.
type cellKind uint8

const (
	cellsEmpty cellKind = iota
	cellsNumber
	cellsMoment
	cellsText
)

// column is one column of a file.
type column struct {
	heading
	index    int
	name     string
	kind     cellKind
	unitFrom string
	// distinct counts the different texts among the first rows.
	distinct int
}

// as describes a column that is used in a role.
func (c *column) as(role string) Channel {
	return Channel{Name: c.name, Role: role, Unit: c.unit.Symbol, UnitFrom: c.unitFrom}
}

// readColumns classifies the columns of a sheet by heading and content.
func readColumns(s *sheet) []column {
	n := max(s.columns, len(s.names))
	cols := make([]column, n)
	for i := range cols {
		c := &cols[i]
		c.index = i
		if i < len(s.names) {
			c.name = s.names[i]
			c.heading = readHeading(c.name)
			if c.stated {
				c.unitFrom = "header"
			}
		}
		if i < len(s.units) {
			c.addUnit(s.units[i])
		}
		c.classify(s, i)
	}
	numberAxes(cols)
	takeAnatomy(cols)
	leaveWithoutGravity(cols)
	takeLinear(cols)
	pairColumns(cols)
	return cols
}

// pairColumns finds the sides of columns whose names differ in a pair of short
// words only.
func pairColumns(cols []column) {
	var first []*heading
	seen := map[string]*heading{}
	for i := range cols {
		if _, ok := cols[i].role.channel(); !ok {
			continue
		}
		if g := cols[i].group(); seen[g] == nil {
			h := cols[i].heading
			seen[g] = &h
			first = append(first, &h)
		}
	}
	if len(first) > maxKeys {
		return
	}
	pairSides(first)
	for i := range cols {
		if h := seen[cols[i].group()]; h != nil {
			cols[i].side, cols[i].device = h.side, h.device
		}
	}
}

// leaveWithoutGravity leaves out an accelerometer's columns beside such that say that
// gravity is in them: then it is not in these.
func leaveWithoutGravity(cols []column) {
	total := map[string]bool{}
	for _, c := range cols {
		if c.total && c.acc {
			total[c.group()] = true
		}
	}
	for i := range cols {
		if n, ok := cols[i].role.channel(); ok && n < 3 && !cols[i].total && total[cols[i].group()] {
			cols[i].role = roleUnused
		}
	}
}

// takeLinear takes columns called linear acceleration for the accelerometer
// where there is no other. The check against gravity then tells whether gravity
// has been taken out of them.
func takeLinear(cols []column) {
	for i := range cols {
		if n, ok := cols[i].role.channel(); ok && n < 3 {
			return
		}
	}
	for i := range cols {
		c := &cols[i]
		if c.linear == 0 {
			continue
		}
		c.role = roleAccX + role(c.linear-1)
		if c.spare.Factor != 0 {
			c.unit, c.stated, c.unitFrom = c.spare, true, "header"
		}
	}
}

// numberAxes names the axes of a sensor whose columns are only numbered: "acc 1"
// to "acc 3", or "acc 0" to "acc 2".
func numberAxes(cols []column) {
	least := 9
	digit := func(c *column) int {
		n := len(c.device)
		if c.role != roleNone || c.acc == c.gyr || n == 0 || c.device[n-1] < '0' || c.device[n-1] > '3' || n > 1 && c.device[n-2] != ' ' {
			return -1
		}
		return int(c.device[n-1] - '0')
	}
	for i := range cols {
		if d := digit(&cols[i]); d >= 0 {
			least = min(least, d)
		}
	}
	for i := range cols {
		c := &cols[i]
		d := digit(c) - least
		if d < 0 || d > 2 || least > 1 {
			continue
		}
		c.device = strings.TrimSpace(c.device[:len(c.device)-1])
		if c.role = roleAccX + role(d); c.gyr {
			c.role = roleGyrX + role(d)
		}
	}
}

// addUnit takes the unit from the units row.
func (c *column) addUnit(text string) {
	u, ok := unit.Parse(text)
	if !ok && !c.stated && oddUnit(strings.Trim(text, "[](){} ")) {
		c.odd = strings.Trim(text, "[](){} ")
	}
	if !ok || c.stated {
		return
	}
	found := []unit.Unit{u}
	c.takeUnit(found)
	if c.stated {
		c.unitFrom = "units row"
	}
}

// classify looks at the column's cells.
func (c *column) classify(s *sheet, i int) {
	var count [4]int
	seen := map[string]bool{}
	for _, r := range s.sample {
		cell := ""
		if i < len(r) {
			cell = r[i]
		}
		seen[cell] = true
		switch b := []byte(cell); {
		case isMissing(b):
			count[cellsEmpty]++
		case isNumber(b, s.decimal):
			count[cellsNumber]++
		case isMoment(b):
			count[cellsMoment]++
		default:
			count[cellsText]++
		}
	}
	c.distinct = len(seen)
	for k := cellsNumber; k <= cellsText; k++ {
		if count[k] > count[c.kind] || c.kind == cellsEmpty && count[k] > 0 {
			c.kind = k
		}
	}
}

func isNumber(cell []byte, dec byte) bool {
	_, ok := parseNumber(cell, dec)
	return ok
}

// useful tells whether a time column has times in it.
func (c *column) useful() bool { return c.kind == cellsNumber || c.kind == cellsMoment }

// group names the sensor that a column belongs to: side, site and device.
func (c *column) group() string {
	return c.side.String() + "|" + c.site.String() + "|" + c.device
}

// words finds side, site and sensor in the file's name; what it does not tell, in the
// archive's name and in the folders.
func (f *file) words(all []Source) heading {
	h := fileWords(path.Base(f.name))
	for _, name := range []string{f.name, path.Dir(f.member), ownFolder(f.src, all)} {
		more := fileWords(name)
		if h.side == SideUnknown {
			h.side = more.side
		}
		if h.site == SiteUnknown {
			h.site = more.site
		}
		if !h.acc && !h.gyr && !h.unused {
			h.acc, h.gyr = more.acc, more.gyr
		}
	}
	h.unused = h.unused && !h.acc && !h.gyr
	return h
}

// ownFolder is what a source's folder does not share, from the root on, with those of all
// the others; "" where there are no others.
func ownFolder(src Source, all []Source) string {
	own := strings.Split(src.Folder, "/")
	shared := len(own)
	for _, s := range all {
		for i, part := range strings.Split(s.Folder, "/") {
			if i >= shared {
				break
			}
			if part != own[i] {
				shared = i
			}
		}
		shared = min(shared, strings.Count(s.Folder, "/")+1)
	}
	return strings.Join(own[shared:], "/")
}

// fileWords finds side, site and sensor in a file's name. A name that holds both sides
// ("injured right - left foot") tells the one that stands beside the word for the site,
// and none where both or neither do.
func fileWords(name string) heading {
	var h heading
	base, _, _ := strings.Cut(strings.ToLower(name), ".csv")
	ws := splitAxis(tokens(base))
	var all, beside [3]bool // by Side
	for i, w := range ws {
		for _, s := range dictionary[w] {
			switch {
			case s.means == meansSide && (!loneLetter(w) || w == "l" || w == "r"):
				all[s.side] = true
				beside[s.side] = beside[s.side] || i > 0 && dictionary.is(ws[i-1], meansSite) || i+1 < len(ws) && dictionary.is(ws[i+1], meansSite) || dictionary.is(w, meansSite)
			case s.means == meansSite && h.site == SiteUnknown:
				h.site = s.site
			case s.means == meansOther, s.means == meansLinear:
				h.unused = true
			case s.means == meansAcc:
				h.acc = true
			case s.means == meansGyr:
				h.gyr = true
			}
		}
	}
	for _, side := range []Side{Left, Right} {
		if all[side] && (!all[side.Other()] || beside[side] && !beside[side.Other()]) {
			h.side = side
		}
	}
	return h
}

func loneLetter(w string) bool { return len(w) == 1 }
