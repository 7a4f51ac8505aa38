package recording

import (
	"fmt"
	"slices"
	"strings"

	"setdown/signal/remark"
)

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
			if !l.stepRateOnly(d, l.numbers(gyr.col[3:])) {
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
// does not need every axis. turns says that there is a gyroscope.
func (l *layout) stepRateOnly(d *draft, turns bool) bool {
	site := d.site
	if site == SiteUnknown {
		site = l.words.site
	}
	return l.opt.StepRate || site == Waist || site == Wrist || !turns
}

// numbers tells whether one of the columns holds any.
func (l *layout) numbers(cols []int) bool {
	return slices.ContainsFunc(cols, func(c int) bool { return c >= 0 && l.cols[c].kind == cellsNumber })
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
	if l.sources > 1 && len(missing) == 2 {
		return e.hint(sideBySide)
	}
	for i := from; i < from+3; i++ {
		if c := f.col[i]; c >= 0 {
			return e.hint("all three axes are needed; export the recording again with all columns, or say with --columns which column holds %s", missing[0])
		}
	}
	return e
}
