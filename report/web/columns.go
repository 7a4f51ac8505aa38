package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"setdown/signal/recording"
	"setdown/signal/unit"
)

// columnGroup is files that were read alike, so that one correction holds for
// all of them.
type columnGroup struct {
	// Files are their names.
	Files   []string
	Columns []seenColumn
	// mapping is how they were read; nil where they could not be.
	mapping *recording.Mapping
	// unread tells that one of them could not be read.
	unread bool
}

// correctable sorts the files into groups with the same columns, read in the
// same way; single gives each a group of its own.
func (s *seen) correctable(files []recording.FileView, single bool) {
	var fixed []string
	for i := range files {
		f := &files[i]
		if f.Mapping == nil {
			fixed = append(fixed, f.Input.Name)
			continue
		}
		g := columnGroup{Files: []string{f.Input.Name}, mapping: f.Mapping}
		for k, c := range f.Columns {
			g.Columns = append(g.Columns, seenColumn{Name: c.Name, Index: k + 1, Role: c.Role, Unit: c.Unit, UnitFrom: c.UnitFrom, Check: checkOf(f, c.Name)})
		}
		if at := slices.IndexFunc(s.Groups, g.like); at >= 0 && !single {
			s.Groups[at].Files = append(s.Groups[at].Files, f.Input.Name)
			continue
		}
		s.Groups = append(s.Groups, g)
	}
	if fixed != nil {
		s.Fixed = "The columns of " + strings.Join(fixed, " and ") + " cannot be corrected here: the layout is a long table, or one without places of sensors. Export the recording with one sensor a file."
	}
}

// like tells whether two groups were read in the same way; how a unit was
// checked may differ.
func (g columnGroup) like(other columnGroup) bool {
	return slices.EqualFunc(g.Columns, other.Columns, func(a, b seenColumn) bool {
		return a.Name == b.Name && a.Role == b.Role && a.Unit == b.Unit
	}) && g.wide() == other.wide()
}

// wide tells files that hold both feet.
func (g columnGroup) wide() bool {
	if g.mapping == nil {
		return false
	}
	sides := map[recording.Side]bool{}
	for _, k := range g.mapping.Columns {
		if strings.HasPrefix(k.Role, "acc") || strings.HasPrefix(k.Role, "gyr") {
			sides[k.Side] = true
		}
	}
	return len(sides) > 1
}

// checkOf is how a column's unit was checked against physics.
func checkOf(f *recording.FileView, name string) string {
	for _, t := range f.Tracks {
		for _, c := range t.Track.Mapping {
			if c.Name == name && c.Check != "" {
				return c.Check
			}
		}
	}
	return ""
}

// groups are what can be corrected: what was found, or, where the files could
// not be read, their bare headings. The caller holds in.mu.
func (in *intake) groups() []columnGroup {
	if in.seen != nil {
		return in.seen.Groups
	}
	if len(in.problems) == 0 {
		return nil
	}
	return headings(in)
}

// wide tells an upload with a file that holds both feet.
func (in *intake) wide() bool {
	return in.seen != nil && slices.ContainsFunc(in.seen.Groups, columnGroup.wide)
}

// field names a field of the n-th group.
func field(what string, group, column int) string {
	if group == 0 {
		return fmt.Sprintf("%s-%d", what, column)
	}
	return fmt.Sprintf("%s-%d-%d", what, group, column)
}

// mappings takes the corrected columns over: one text for all files where they
// are of one kind, else one for each file that was corrected. The caller holds
// in.mu.
func (in *intake) mappings(r *http.Request) (columns string, files map[string]string, err error) {
	groups := in.groups()
	all := len(groups) == 1 && len(groups[0].Files) == len(in.files)
	for n, g := range groups {
		text, err := g.corrected(r, n)
		if err != nil {
			return "", nil, err
		}
		if text == "" && all {
			return in.how.Columns, in.how.Files, nil
		}
		if all {
			return text, nil, nil
		}
		for _, name := range g.Files {
			if was := in.how.Files[name]; text == "" && was != "" {
				files = with(files, name, was)
			} else if text == "" && in.how.Columns != "" {
				files = with(files, name, in.how.Columns)
			} else if text != "" {
				files = with(files, name, text)
			}
		}
	}
	return "", files, nil
}

func with(m map[string]string, key, value string) map[string]string {
	if m == nil {
		m = map[string]string{}
	}
	m[key] = value
	return m
}

// corrected turns what was filled in for a group into the text of a mapping; ""
// when nothing differs from what was found, so that the files decide.
func (g columnGroup) corrected(r *http.Request, n int) (string, error) {
	m := &recording.Mapping{Name: "columns"}
	if g.mapping != nil {
		m.Delim, m.Decimal, m.Heading = g.mapping.Delim, g.mapping.Decimal, g.mapping.Heading
	}
	swap := r.PostFormValue("swap") != "" && g.wide()
	same := !swap && !g.unread
	for _, c := range g.Columns {
		role := r.PostFormValue(field("role", n, c.Index))
		symbol := r.PostFormValue(field("unit", n, c.Index))
		same = same && role == c.Role && (symbol == c.Unit || symbol == "")
		if role == "" {
			continue
		}
		if !knownRole(role) {
			return "", bad("the column %q cannot be read as %q", c.Name, role)
		}
		if _, ok := unit.Parse(symbol); symbol != "" && !ok {
			return "", bad("the unit %q of the column %q is not known", symbol, c.Name)
		}
		col := g.mappedColumn(c, role, symbol)
		if swap {
			col.Side = col.Side.Other()
		}
		m.Columns = append(m.Columns, col)
	}
	if same {
		return "", nil
	}
	if len(m.Columns) == 0 {
		return "", bad("no column of %s is used; say at least which ones hold the acceleration and the turning rate", strings.Join(g.Files, " and "))
	}
	return printed(m)
}

// mappedColumn keeps side and place of a column that had them in a file of both
// feet; with one sensor a file, the file's own side decides.
func (g columnGroup) mappedColumn(c seenColumn, role, symbol string) recording.MappedColumn {
	out := recording.MappedColumn{Role: role, Column: c.Name, Index: c.Index, Unit: symbol}
	if role == "date" || role == "counter" {
		out.Unit = ""
	}
	if g.mapping == nil {
		return out
	}
	wide := g.wide()
	for _, k := range g.mapping.Columns {
		if k.Index == c.Index || k.Index == 0 && k.Column == c.Name {
			out.Site, out.Scale = k.Site, k.Scale
			if wide {
				out.Side = k.Side
			}
		}
	}
	return out
}

func printed(m *recording.Mapping) (string, error) {
	var b strings.Builder
	_, err := m.WriteTo(&b)
	if err != nil {
		return "", err
	}
	// What is written must be readable: it is kept with the session.
	if _, err := recording.ParseMapping("columns", strings.NewReader(b.String())); err != nil {
		return "", err
	}
	return b.String(), nil
}

func knownRole(key string) bool {
	for _, r := range roles {
		if r.Key == key {
			return true
		}
	}
	return false
}
