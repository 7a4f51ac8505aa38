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

// settleAxes counts the axes that hold values and drops a sensor whose columns
// are all empty.
func (l *layout) settleAxes(d *draft, acc, gyr *feed) error {
	for _, s := range []struct {
		f    *feed
		from int
		name string
	}{{acc, 0, "accelerometer"}, {gyr, 3, "gyroscope"}} {
		var missing []string
		filled := 0
		for i := s.from; i < s.from+3; i++ {
			switch c := s.f.col[i]; {
			case c >= 0 && l.cols[c].kind == cellsNumber:
				filled++
			case c >= 0 && l.cols[c].kind == cellsText:
				return l.letters(c)
			default:
				missing = append(missing, roleNames[int(roleAccX)+i])
				s.f.col[i] = -1
			}
		}
		if filled > 0 && filled < 3 {
			if !l.stepRateOnly(d, gyr) {
				return l.axisMissing(s.f, s.from, s.name, missing)
			}
			l.without(s.f, s.from, s.name, missing)
			filled = s.f.axes(s.from)
		}
		if s.from == 0 {
			d.hasAcc, d.accAxes = filled == 3, filled
		} else {
			d.hasGyr, d.gyrAxes = filled == 3, filled
		}
	}
	return nil
}

// letters is the error of a sensor's column that holds words.
func (l *layout) letters(c int) error {
	for i, r := range l.s.sample {
		if c < len(r) && !isMissing([]byte(r[c])) && !isNumber([]byte(r[c]), l.s.decimal) {
			return fault(l.f.name, l.s.first+i, "%q is not a number", r[c]).column(l.cols[c].name).
				hint("correct the file, or say with --columns which columns hold what")
		}
	}
	return l.fail("holds no numbers").column(l.cols[c].name)
}

// stepRateOnly tells whether no more than the step rate is asked of a sensor or
// can come from it: that of the trunk or a wrist, and one without a gyroscope. It
// does not need every axis.
func (l *layout) stepRateOnly(d *draft, gyr *feed) bool {
	site := d.site
	if site == SiteUnknown {
		site = l.words.site
	}
	turns := slices.ContainsFunc(gyr.col[3:], func(c int) bool { return c >= 0 && l.cols[c].kind == cellsNumber })
	return l.opt.StepRate || site == Waist || site == Wrist || !turns
}

// without goes on without a sensor's missing axes: an accelerometer gives the step
// rate from those left, a gyroscope is left out.
func (l *layout) without(f *feed, from int, name string, missing []string) {
	is, rest := "is", "only the step rate can be found"
	if len(missing) > 1 {
		is = "are"
	}
	if from > 0 {
		rest = "the gyroscope is left out, and only the step rate can be found"
		for i := from; i < from+3; i++ {
			f.col[i] = -1
		}
	}
	l.remarks.Append(remark.Remark{Code: "axis-missing", Level: remark.Loss, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
		Text: fmt.Sprintf("the %s's %s %s missing; %s", name, strings.Join(missing, " and "), is, rest)})
}

// axisMissing is the error of a sensor that cannot do without the axes it lacks.
func (l *layout) axisMissing(f *feed, from int, name string, missing []string) error {
	e := l.fail("the %s has no %s", name, strings.Join(missing, " and "))
	for i := from; i < from+3; i++ {
		if c := f.col[i]; c >= 0 {
			return e.hint("all three axes are needed; export the recording again with all columns, or say with --columns which column holds %s", missing[0])
		}
	}
	return e
}

// join makes one feed of accelerometer and gyroscope where they share their
// rows and their time, else two.
func (l *layout) join(d *draft, acc, gyr *feed, accCols, gyrCols []column) {
	one := acc.axes(0) == 0 || gyr.axes(3) == 0 || l.timeFor(d, 0) == l.timeFor(d, 3) && !l.interleaved(acc, gyr)
	if one {
		f := acc
		for i := 3; i < 6; i++ {
			f.col[i] = gyr.col[i]
		}
		f.time.col = l.timeFor(d, 0)
		if acc.axes(0) == 0 {
			f.time.col = l.timeFor(d, 3)
		}
		d.feeds, d.cols = []*feed{f}, [][]column{append(accCols, gyrCols...)}
		return
	}
	acc.time.col, gyr.time.col = l.timeFor(d, 0), l.timeFor(d, 3)
	acc.sparse, gyr.sparse = true, true
	d.feeds, d.cols = []*feed{acc, gyr}, [][]column{accCols, gyrCols}
}

// interleaved tells whether many rows hold only one of the two sensors, each at
// its own times.
func (l *layout) interleaved(acc, gyr *feed) bool {
	only, both := 0, 0
	for _, r := range l.s.sample {
		a, g := filledIn(r, acc.col[:3]), filledIn(r, gyr.col[3:])
		switch {
		case a && g:
			both++
		case a || g:
			only++
		}
	}
	return only > both/2
}

// filledIn tells whether any of the cells has a value.
func filledIn(r []string, cols []int) bool {
	for _, c := range cols {
		if c >= 0 && c < len(r) && !isMissing([]byte(r[c])) {
			return true
		}
	}
	return false
}
