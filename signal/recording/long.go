package recording

import (
	"io"
	"strings"
)

// long makes the drafts of a table in which a column tells whose row it is: the
// side, the site or device, the sensor, or the single channel.
func (l *layout) long(keys []int) error {
	values, err := l.keyValues(keys)
	if err != nil {
		return err
	}
	for _, g := range groupKeys(values) {
		d, err := l.draftOfKey(keys, g)
		if err != nil {
			return err
		}
		if d != nil {
			l.drafts = append(l.drafts, d)
		}
	}
	return nil
}

// keyGroup holds the key texts of one sensor (or pair of sensors) on one place.
type keyGroup struct {
	h      heading
	values []string
	heads  []heading
}

// groupKeys puts the key texts of one side, site and device together, in order of
// appearance.
func groupKeys(values []string) []*keyGroup {
	heads, all := make([]heading, len(values)), make([]*heading, len(values))
	for i, v := range values {
		heads[i] = readHeading(strings.ReplaceAll(v, "|", " "))
		all[i] = &heads[i]
	}
	pairSides(all)
	groups := map[string]*keyGroup{}
	var order []*keyGroup
	for i, v := range values {
		h := heads[i]
		id := h.side.String() + "|" + h.site.String() + "|" + h.device
		g, ok := groups[id]
		if !ok {
			g = &keyGroup{h: h}
			groups[id] = g
			order = append(order, g)
		}
		g.values = append(g.values, v)
		g.heads = append(g.heads, h)
	}
	return order
}

// keyValues reads the file through for the texts in its key columns.
func (l *layout) keyValues(keys []int) ([]string, error) {
	r, err := l.f.open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	lines := newLineReader(r, l.f.name, l.f.eol)
	seen := map[string]bool{}
	var out []string
	var cells [][]byte
	var key []byte
	for {
		line, err := lines.next()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if lines.line < l.s.first {
			continue
		}
		cells, _ = l.s.split(cells[:0], line)
		if len(cells) < l.s.columns-1 {
			continue
		}
		key = joinKey(key[:0], cells, keys)
		if seen[string(key)] {
			continue
		}
		if len(out) == maxKeys {
			return nil, fault(l.f.name, lines.line, "more than %d sensors and channels are named", maxKeys).column(l.cols[keys[0]].name)
		}
		seen[string(key)] = true
		out = append(out, string(key))
	}
}

// draftOfKey makes the draft of one key group.
func (l *layout) draftOfKey(keys []int, g *keyGroup) (*draft, error) {
	d := &draft{file: l.f, label: l.f.name, side: g.h.side, site: g.h.site, device: g.h.device}
	if d.side != SideUnknown {
		d.sideFrom = "value"
	}
	if d.site != SiteUnknown {
		d.siteFrom = "value"
	}
	if where := strings.Join(labelParts(&column{heading: g.h}), " "); where != "" {
		d.label = l.f.name + " [" + where + "]"
	}
	if v := l.valueColumn(); v >= 0 {
		return l.draftOfChannels(d, keys, v, g)
	}
	return l.draftOfRows(d, keys, g)
}

// valueColumn is the only number column of a table with one value a line.
func (l *layout) valueColumn() int {
	out := -1
	for i := range l.cols {
		c := &l.cols[i]
		if _, ok := c.role.channel(); ok || c.role >= roleAxisX && c.role <= roleAxisZ {
			return -1
		}
		if c.kind == cellsNumber && (c.role == roleValue || c.role == roleNone || c.role == roleKey && dictionary.is(fold(c.name), meansValue)) {
			if out >= 0 {
				return -1
			}
			out = i
		}
	}
	return out
}

// draftOfChannels makes a draft of a table with one value a line.
func (l *layout) draftOfChannels(d *draft, keys []int, value int, g *keyGroup) (*draft, error) {
	feeds := [2]*feed{l.newFeed(), l.newFeed()}
	var cols [2][]column
	for n, h := range g.heads {
		ch, ok := h.role.channel()
		if !ok {
			continue
		}
		f := feeds[ch/3]
		if f.match == nil {
			f.match = map[string]int{}
		}
		f.keys, f.value, f.sparse = keys, value, true
		f.match[g.values[n]] = ch
		f.col[ch] = value
		c := l.cols[value]
		c.name, c.role = g.values[n], h.role
		if h.stated {
			c.heading.unit, c.stated, c.unitFrom = h.unit, true, "header"
		}
		cols[ch/3] = append(cols[ch/3], c)
	}
	return l.twoFeeds(d, feeds, cols)
}

// draftOfRows makes a draft of a table whose key names a sensor and whose row
// has the axes.
func (l *layout) draftOfRows(d *draft, keys []int, g *keyGroup) (*draft, error) {
	var axes []column
	for _, c := range l.cols {
		if c.role >= roleAxisX && c.role <= roleAxisZ {
			axes = append(axes, c)
		}
	}
	if len(axes) == 0 {
		return l.draftOfSide(d, keys, g)
	}
	feeds := [2]*feed{l.newFeed(), l.newFeed()}
	var cols [2][]column
	for n, h := range g.heads {
		if h.acc == h.gyr {
			continue
		}
		from := 0
		if h.gyr {
			from = 3
		}
		f := feeds[from/3]
		if f.match == nil {
			f.match = map[string]int{}
		}
		f.keys, f.match[g.values[n]] = keys, -1
		for _, c := range axes {
			f.col[from+int(c.role-roleAxisX)] = c.index
			c.role = c.role - roleAxisX + roleAccX + role(from)
			c.stated = false
			cols[from/3] = append(cols[from/3], c)
		}
	}
	return l.twoFeeds(d, feeds, cols)
}

// draftOfSide makes a draft of a table whose key names a side or a device and
// whose row has all channels.
func (l *layout) draftOfSide(d *draft, keys []int, g *keyGroup) (*draft, error) {
	var cols []column
	for _, c := range l.cols {
		if _, ok := c.role.channel(); ok {
			cols = append(cols, c)
		}
	}
	if len(cols) == 0 {
		return nil, nil
	}
	label, site, side := d.label, d.site, d.side
	d, err := l.draftOf(cols, d)
	if err != nil {
		return nil, err
	}
	d.label, d.site, d.side = label, site, side
	for _, f := range d.feeds {
		f.keys, f.match = keys, map[string]int{}
		for _, v := range g.values {
			f.match[v] = -1
		}
	}
	return d, nil
}

// twoFeeds finishes a draft whose accelerometer and gyroscope have their own
// lines; nil when it has neither.
func (l *layout) twoFeeds(d *draft, feeds [2]*feed, cols [2][]column) (*draft, error) {
	for s, f := range feeds {
		n := f.axes(3 * s)
		if n == 0 {
			continue
		}
		if n < 3 {
			name := [2]string{"accelerometer", "gyroscope"}[s]
			return nil, l.fail("the %s of %s has %d of 3 axes", name, d.label, n).hint("export the recording again with all channels")
		}
		f.time.col = l.timeFor(d, 3*s)
		d.feeds = append(d.feeds, f)
		d.cols = append(d.cols, cols[s])
		if s == 0 {
			d.hasAcc, d.accAxes = true, 3
		} else {
			d.hasGyr, d.gyrAxes = true, 3
		}
	}
	if len(d.feeds) == 0 {
		return nil, nil
	}
	return d, nil
}
