package recording

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"setdown/signal/unit"
)

// Mapping says by hand how a file is laid out and which column holds what. It
// is kept in a plain text file, one setting a line:
//
//	# anything after a # is a remark
//	delimiter = semicolon     (comma, semicolon, tab, space, bar)
//	decimal = comma           (point, comma)
//	heading = 3               (the heading's line)
//	rate = 200                (Hz, for files without time)
//	time = t [ms]
//	left foot acc_x = AX [g]
//	gyr_x = "raw gx" [deg/s] * 0.061
//	acc_z = #4 [mg]           (the fourth column)
//
// Side and site may stand before acc_x … gyr_z. The number after * is the value
// of one count in the unit. Roles are time, date, counter, acc_x … gyr_z,
// cadence and speed; a column that is not named is not used.
type Mapping struct {
	// Name is the mapping file's name, for messages.
	Name string
	// Delim and Decimal are the separator and the decimal sign; 0 leaves them to
	// the file.
	Delim, Decimal byte
	// Heading is the heading's 1-based line; 0 leaves it to the file.
	Heading int
	// Rate is the sampling rate in Hz for files without time; 0 when not given.
	Rate float64
	// Columns are the columns in use, in the order of the file.
	Columns []MappedColumn
	// Unused describes the columns that are left out; they are written as remarks.
	Unused []string
}

// MappedColumn is one line of a Mapping.
type MappedColumn struct {
	// Line is the 1-based line in the mapping file; 0 when made by the program.
	Line int
	Side Side
	Site Site
	// Role is "time", "date", "counter", "acc_x" … "gyr_z", "cadence" or "speed".
	Role string
	// Column is the heading; with Index > 0 the 1-based number counts instead.
	Column string
	Index  int
	// Unit is the unit's symbol; empty leaves it to the file and to physics.
	Unit string
	// Scale is the value of one count in Unit; 0 stands for 1.
	Scale float64
}

var delimNames = map[string]byte{"comma": ',', "semicolon": ';', "tab": '\t', "space": ' ', "bar": '|'}
var decimalNames = map[string]byte{"point": '.', "comma": ','}

// mappedRoles are the roles that a mapping may give.
var mappedRoles = []string{"time", "date", "counter", "acc_x", "acc_y", "acc_z", "gyr_x", "gyr_y", "gyr_z", "cadence", "speed"}

// ParseMapping reads a mapping. The error is an *Error with name and line.
func ParseMapping(name string, r io.Reader) (*Mapping, error) {
	m := &Mapping{Name: name}
	sc := bufio.NewScanner(io.LimitReader(r, MaxLine))
	for line := 1; sc.Scan(); line++ {
		text := strings.TrimSpace(stripRemark(strings.TrimPrefix(sc.Text(), "\ufeff")))
		if text == "" {
			continue
		}
		key, value, ok := strings.Cut(text, "=")
		if !ok {
			return nil, fault(name, line, "%q has no = sign", text).hint("write role = column [unit], for example acc_x = ax [g]")
		}
		if err := m.set(line, strings.Fields(strings.ToLower(key)), strings.TrimSpace(value)); err != nil {
			return nil, err
		}
	}
	if err := sc.Err(); err != nil {
		return nil, fault(name, 0, "%v", err)
	}
	if len(m.Columns) == 0 && m.Delim == 0 && m.Decimal == 0 && m.Rate == 0 && m.Heading == 0 {
		return nil, fault(name, 0, "says nothing").hint("write role = column [unit], for example acc_x = ax [g]")
	}
	return m, nil
}

// stripRemark removes a # and what follows, unless a column number is meant
// ("#4") or it stands in quotes.
func stripRemark(s string) string {
	quoted := false
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '"':
			quoted = !quoted
		case s[i] == '#' && !quoted && (i+1 == len(s) || s[i+1]-'0' > 9):
			return s[:i]
		}
	}
	return s
}

// set takes one line.
func (m *Mapping) set(line int, key []string, value string) error {
	if len(key) == 0 {
		return fault(m.Name, line, "nothing stands before the = sign")
	}
	var ok bool
	switch key[0] {
	case "delimiter":
		if m.Delim, ok = delimNames[value]; !ok {
			return fault(m.Name, line, "unknown delimiter %q", value).hint("use comma, semicolon, tab, space or bar")
		}
	case "decimal":
		if m.Decimal, ok = decimalNames[value]; !ok {
			return fault(m.Name, line, "unknown decimal sign %q", value).hint("use point or comma")
		}
	case "heading":
		n, err := strconv.Atoi(value)
		if err != nil || n < 1 {
			return fault(m.Name, line, "%q is no line number", value)
		}
		m.Heading = n
	case "rate":
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(value, "Hz")), 64)
		if err != nil || v < MinRate || v > MaxRate {
			return fault(m.Name, line, "%q is no rate between %d and %d Hz", value, MinRate, MaxRate)
		}
		m.Rate = v
	default:
		return m.column(line, key, value)
	}
	return nil
}

// column takes one "role = column [unit] * scale" line.
func (m *Mapping) column(line int, key []string, value string) error {
	c := MappedColumn{Line: line}
	for len(key) > 1 {
		switch w := key[0]; {
		case w == "left":
			c.Side = Left
		case w == "right":
			c.Side = Right
		case slices.Contains([]string{"foot", "shin", "waist", "wrist"}, w):
			c.Site = Site(1 + slices.Index([]string{"foot", "shin", "waist", "wrist"}, w))
		default:
			return fault(m.Name, line, "unknown word %q", w).hint("side and site are left, right, foot, shin, waist and wrist")
		}
		key = key[1:]
	}
	c.Role = key[0]
	if !slices.Contains(mappedRoles, c.Role) {
		return fault(m.Name, line, "unknown role %q", c.Role).hint("roles are %s", strings.Join(mappedRoles, ", "))
	}
	if err := c.parse(m.Name, value); err != nil {
		return err
	}
	for _, o := range m.Columns {
		if o.Role == c.Role && o.Side == c.Side && o.Site == c.Site {
			return fault(m.Name, line, "%s was given before, on line %d", c.Role, o.Line)
		}
	}
	m.Columns = append(m.Columns, c)
	return nil
}

// parse reads column, unit and scale.
func (c *MappedColumn) parse(name, value string) error {
	if i := strings.LastIndex(value, "*"); i > strings.LastIndex(value, `"`) && i >= 0 {
		v, err := strconv.ParseFloat(strings.TrimSpace(value[i+1:]), 64)
		if err != nil || v == 0 || v-v != 0 {
			return fault(name, c.Line, "%q is no scale", strings.TrimSpace(value[i+1:])).hint("the scale is the value of one count, for example * 0.061")
		}
		c.Scale, value = v, strings.TrimSpace(value[:i])
	}
	if i := strings.LastIndexByte(value, '['); i > strings.LastIndex(value, `"`) && i >= 0 && strings.HasSuffix(value, "]") {
		u, ok := unit.Parse(value[i:])
		if text := strings.Trim(value[i:], "[] "); text != "" && !ok {
			return fault(name, c.Line, "unknown unit %q", text).hint("units are s, ms, us, ns; m/s2, g, mg; rad/s, deg/s, mdeg/s; m/s, km/h")
		}
		c.Unit, value = u.Symbol, strings.TrimSpace(value[:i])
	}
	if n, ok := strings.CutPrefix(value, "#"); ok {
		i, err := strconv.Atoi(n)
		if err != nil || i < 1 {
			return fault(name, c.Line, "%q is no column number", value)
		}
		c.Index = i
		return nil
	}
	if len(value) >= 2 && value[0] == '"' && value[len(value)-1] == '"' {
		value = value[1 : len(value)-1]
	}
	if value == "" {
		return fault(name, c.Line, "no column is named").hint("write role = column [unit], for example acc_x = ax [g]")
	}
	c.Column = value
	return nil
}

// WriteTo writes the mapping in the form that ParseMapping reads.
func (m *Mapping) WriteTo(w io.Writer) (int64, error) {
	var b strings.Builder
	b.WriteString("# Which column holds what. Lines are role = column [unit] * scale; edit them by hand.\n")
	b.WriteString("# Roles: " + strings.Join(mappedRoles, ", ") + ".\n")
	b.WriteString("# Before a role may stand left or right, and foot, shin, waist or wrist.\n")
	for name, d := range delimNames {
		if m.Delim == d {
			fmt.Fprintf(&b, "delimiter = %s\n", name)
		}
	}
	for name, d := range decimalNames {
		if m.Decimal == d {
			fmt.Fprintf(&b, "decimal = %s\n", name)
		}
	}
	if m.Heading > 0 {
		fmt.Fprintf(&b, "heading = %d\n", m.Heading)
	}
	if m.Rate > 0 {
		fmt.Fprintf(&b, "rate = %v\n", m.Rate)
	}
	for _, c := range m.Columns {
		b.WriteString(c.String() + "\n")
	}
	for i, text := range m.Unused {
		if i == 0 {
			b.WriteString("# Not used, with the first value:\n")
		}
		b.WriteString("# " + text + "\n")
	}
	n, err := io.WriteString(w, b.String())
	return int64(n), err
}

// String returns the column's line in a mapping file.
func (c MappedColumn) String() string {
	var s string
	if c.Side != SideUnknown {
		s += c.Side.String() + " "
	}
	if c.Site != SiteUnknown {
		s += c.Site.String() + " "
	}
	s += c.Role + " = "
	if c.Index > 0 {
		s += "#" + strconv.Itoa(c.Index)
	} else {
		s += `"` + c.Column + `"`
	}
	if c.Unit != "" {
		s += " [" + c.Unit + "]"
	}
	if c.Scale != 0 && c.Scale != 1 {
		s += " * " + strconv.FormatFloat(c.Scale, 'g', -1, 64)
	}
	return s
}
