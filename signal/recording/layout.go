package recording

import (
	"fmt"
	"slices"
	"strings"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// draft is a track while it is being put together.
type draft struct {
	label            string
	side             Side
	sideFrom         string
	site             Site
	siteFrom         string
	device           string // the sensor's name in columns or values
	feeds            []*feed
	cols             [][]column // the columns of each feed, channels first
	hasAcc, hasGyr   bool
	accAxes, gyrAxes int
	file             *file
}

// layout is what a file holds: drafts of tracks, or a watch's step rate.
type layout struct {
	f       *file
	s       *sheet
	cols    []column
	drafts  []*draft
	cadence *column
	words   heading
	remarks remark.List
	opt     *Options
	// described are the headings of a Motion-BIDS recording, rate its sampling
	// rate in Hz.
	described []heading
	rate      float64
	// sources is how many files are opened together.
	sources int
	// lines are the first lines of the file.
	lines [][]byte
	// slow is true for a watch export at about 1 Hz.
	slow bool
}

// fail is an error at the heading.
func (l *layout) fail(format string, args ...any) *Error {
	return fault(l.f.name, l.s.header, format, args...)
}

// resolveAxes names the sensor of columns that are only called x, y, z.
func (l *layout) resolveAxes() {
	acc, gyr := l.words.acc, l.words.gyr
	for _, p := range l.s.preamble {
		for _, w := range tokens(p) {
			acc = acc || dictionary.is(w, meansAcc)
			gyr = gyr || dictionary.is(w, meansGyr)
		}
	}
	if acc == gyr || l.keyed() {
		return
	}
	for i := range l.cols {
		c := &l.cols[i]
		if c.role < roleAxisX || c.role > roleAxisZ {
			continue
		}
		if acc {
			c.role = c.role - roleAxisX + roleAccX
		} else {
			c.role = c.role - roleAxisX + roleGyrX
		}
		if c.unitFrom != "" || !c.stated {
			c.takeUnit([]unit.Unit{c.unit})
		}
	}
}

// newFeed makes a feed without channels.
func (l *layout) newFeed() *feed {
	f := &feed{f: l.f, s: l.s, value: -1, clip: noClip()}
	for i := range f.col {
		f.col[i], f.scale[i] = -1, 1
	}
	f.time.col, f.time.date, f.time.sub = -1, -1, -1
	return f
}

// wide makes the drafts of a table in which each row holds all its sensors.
func (l *layout) wide() error {
	l.leaveCounts()
	groups := map[string][]column{}
	var order []string
	for _, c := range l.cols {
		if _, ok := c.role.channel(); !ok {
			continue
		}
		if _, ok := groups[c.group()]; !ok {
			order = append(order, c.group())
		}
		groups[c.group()] = append(groups[c.group()], c)
	}
	for _, g := range l.leaveSecond(mergeGroups(l.leaveCopies(order, groups), groups)) {
		d, err := l.draftOf(g, nil)
		if err != nil {
			return err
		}
		l.drafts = append(l.drafts, d)
	}
	return nil
}

// mergeGroups joins an accelerometer and a gyroscope that are named as two
// devices on the same side and site.
func mergeGroups(order []string, groups map[string][]column) [][]column {
	var out [][]column
	for _, name := range order {
		cols := groups[name]
		acc, gyr := sensorsIn(cols)
		i := slices.IndexFunc(out, func(o []column) bool {
			a, g := sensorsIn(o)
			return o[0].side == cols[0].side && o[0].site == cols[0].site && (acc && !gyr && g && !a || gyr && !acc && a && !g)
		})
		if i >= 0 {
			out[i] = append(out[i], cols...)
			continue
		}
		out = append(out, cols)
	}
	return out
}

// leaveSecond leaves out further accelerometers of a sensor that has one with its
// gyroscope: some have a second one for a wider range.
func (l *layout) leaveSecond(all [][]column) [][]column {
	var out [][]column
	for _, g := range all {
		acc, gyr := sensorsIn(g)
		whole := slices.IndexFunc(all, func(o []column) bool {
			a, w := sensorsIn(o)
			return a && w && o[0].side == g[0].side && o[0].site == g[0].site
		})
		if !acc || gyr || whole < 0 {
			out = append(out, g)
			continue
		}
		l.remarks.Append(remark.Remark{Code: "accelerometer-second", Level: remark.Doubt, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
			Text: fmt.Sprintf("column %q and its like are a second accelerometer of the sensor and were left aside; --columns can choose them", g[0].name)})
	}
	return out
}

// sensorsIn tells which sensors columns name.
func sensorsIn(cols []column) (acc, gyr bool) {
	for _, c := range cols {
		if i, ok := c.role.channel(); ok {
			acc = acc || i < 3
			gyr = gyr || i >= 3
		}
	}
	return acc, gyr
}

// draftOf makes a draft of the columns of one sensor; base carries side and
// site from elsewhere (a key column), or is nil.
func (l *layout) draftOf(cols []column, base *draft) (*draft, error) {
	d := &draft{file: l.f, label: l.f.name}
	if base != nil {
		*d = *base
	}
	acc, gyr := l.newFeed(), l.newFeed()
	var accCols, gyrCols []column
	for _, c := range cols {
		i, _ := c.role.channel()
		f := acc
		if i >= 3 {
			f = gyr
		}
		if f.col[i] >= 0 {
			return nil, l.fail("columns %q and %q both look like %s", l.cols[f.col[i]].name, c.name, c.role).
				hint("say with --columns which one to use; setdown inspect %s --save writes a file to edit", l.f.name)
		}
		f.col[i] = c.index
		if i < 3 {
			accCols = append(accCols, c)
		} else {
			gyrCols = append(gyrCols, c)
		}
	}
	if len(cols) > 0 {
		d.place(&cols[0])
	}
	if err := l.settleAxes(d, acc, gyr); err != nil {
		return nil, err
	}
	l.join(d, acc, gyr, accCols, gyrCols)
	return d, nil
}

// place takes side and site from a column's name.
func (d *draft) place(c *column) {
	if c.device != "" {
		d.device = c.device
	}
	if c.side != SideUnknown {
		d.side, d.sideFrom = c.side, "column"
	}
	if c.site != SiteUnknown {
		d.site, d.siteFrom = c.site, "column"
	}
	if where := strings.TrimSpace(strings.Join(labelParts(c), " ")); where != "" {
		d.label = fmt.Sprintf("%s [%s]", d.file.name, where)
	}
}

// labelParts names a sensor within its file.
func labelParts(c *column) []string {
	var out []string
	if c.side != SideUnknown {
		out = append(out, c.side.String())
	}
	if c.site != SiteUnknown {
		out = append(out, c.site.String())
	}
	if c.device != "" {
		out = append(out, c.device)
	}
	return out
}
