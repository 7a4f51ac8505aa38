package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Rules for checking units against physics. That a sensor at rest reads 1 g is
// what an accelerometer does; the margins are the project's own, wide enough for
// a foot that is never quite at rest and narrow enough to tell g, m/s² and mg
// (factors 9.8 and 102) and rad/s and deg/s (57) apart.
const (
	// stillShare is the share of the windows that are taken as the stillest.
	stillShare = 0.05
	// calmShare is the share of the windows, by the size of the acceleration,
	// that a foot spends in stance at the least.
	calmShare = 0.15
	// stillWindow is the length of a window, s.
	stillWindow = 0.1
	// gLow and gHigh bound the size of the acceleration, in g, that passes for
	// gravity in the stillest windows; medLow and medHigh bound its median.
	gLow, gHigh     = 0.4, 2.5
	medLow, medHigh = 0.4, 5
)

// passes tells whether an acceleration of that size, m/s², can be one that
// gravity makes.
func passes(still, median float64) bool {
	g := unit.StandardGravity
	return still > gLow*g && still < gHigh*g || median > medLow*g && median < medHigh*g && still < gHigh*g
}

// withoutGravity says what to do about an acceleration without gravity: add what stands
// in columns of its own, or what otherwise says.
func (l *layout) withoutGravity(otherwise string) string {
	for i := range l.cols {
		c := &l.cols[i]
		if slices.ContainsFunc(tokens(c.name), func(w string) bool { return strings.HasPrefix(w, "grav") }) && c.kind == cellsNumber && !c.total {
			return fmt.Sprintf("gravity was taken out of it: export raw acceleration, or add column %q and its like to it, axis by axis in one unit, and give the table with the sums", c.name)
		}
	}
	return otherwise
}

// checkAcc finds or checks the unit of the acceleration, scales the head, and
// writes unit and check into cols.
func (l *layout) checkAcc(f *feed, h *head, cols []column, rate float64) error {
	if f.axes(0) == 0 {
		return nil
	}
	first := &cols[indexOfRole(cols, 0)]
	g := h.gravity(rate)
	h.rests = !math.IsNaN(g.rest)
	still, median := g.still, g.median
	if f.axes(0) < 3 {
		return l.unchecked(f, h, cols, median)
	}
	if g.none && !l.opt.StepRate {
		return l.fail("the acceleration reads nearly 0 for more than %d s, where gravity alone is 1 g", fallMost).column(first.name).
			hint("%s", l.withoutGravity("gravity was taken out of it, or it was off; export raw acceleration"))
	}
	if first.stated {
		return l.checkStated(f, h, cols, g)
	}
	if first.odd != "" {
		return l.oddUnit(first)
	}
	infer := func(u unit.Unit, size float64, when string) error {
		why := fmt.Sprintf("%.3g g when %s", size*u.Factor/unit.StandardGravity, when)
		l.setUnits(f, h, cols, 0, u, "inferred")
		l.inferred("accelerometer", "acc-unit", u, "it then reads "+why)
		l.addCheck(f, 0, why)
		return nil
	}
	if u, size, ok := h.unitOfLeast(rate, g.rest); ok {
		return infer(u, size, "it turns least")
	}
	for _, u := range gUnits {
		if g.fits(u) && nearer(still*u.Factor, median*u.Factor) {
			return infer(u, still, "stillest")
		}
	}
	counts := fmt.Sprintf("for raw counts give the scale with --columns; setdown inspect %s --save writes a file to edit", l.f.name)
	if g.still < 1 { // counts are larger
		counts = l.withoutGravity(counts)
	}
	return l.fail("the acceleration reads %.4g when stillest, which is 1 g in none of m/s2, g and mg", g.still).column(first.name).hint("%s", counts)
}

// unitOfLeast is the unit in which an acceleration that never rests is gravity where the
// sensor turns least, and the size that it has there in the file; false where there is
// none.
func (h *head) unitOfLeast(rate, rest float64) (unit.Unit, float64, bool) {
	if h.v[0] == nil || h.v[3] == nil || !math.IsNaN(rest) {
		return unit.Unit{}, 0, false
	}
	size, oneWay := h.turnsLeast(rate)
	for _, u := range gUnits {
		if g := size * u.Factor / unit.StandardGravity; g > leastLow && g < leastHigh && oneWay > leastOne {
			return u, size, true
		}
	}
	return unit.Unit{}, 0, false
}

// checkGravity refuses a limb's acceleration without gravity that never rests: it would
// be taken for one with it, as it stands or in another unit.
func (l *layout) checkGravity(d *draft, f *feed, h *head, i int) error {
	if f.axes(0) < 3 || f.axes(3) < 3 || l.opt.StepRate || d.site == Shin || h.rests || !h.foot {
		return nil
	}
	first := &d.cols[i][indexOfRole(d.cols[i], 0)]
	size, oneWay := h.turnsLeast(f.stamps.rate)
	least, inferred := size/unit.StandardGravity, first.unitFrom == "inferred"
	var e *Error
	switch {
	case least < leastLow || inferred && least > leastHigh:
		e = l.fail("the acceleration reads %.2g g where the sensor turns least, where gravity alone is 1 g", least)
	case inferred && oneWay < leastOne:
		e = l.fail("where the sensor turns least its acceleration points no one way, as gravity does: %.2g of it at most", oneWay)
	default:
		return nil
	}
	return e.column(first.name).
		hint("%s", l.withoutGravity("gravity was taken out of it, or its unit is another: export raw acceleration, or state the unit in the heading"))
}

// nearer tells whether the acceleration is nearer to 1 g than to what it would be in
// another unit.
func nearer(still, median float64) bool {
	g := unit.StandardGravity
	return still > g/3.2 && still < 3.2*g || median > g/3.2 && median < 3.2*g
}

// checkStated checks a stated unit of acceleration.
func (l *layout) checkStated(f *feed, h *head, cols []column, g gravity) error {
	first := &cols[indexOfRole(cols, 0)]
	u := upright(first.unit)
	if !g.fits(u) {
		e := l.fail("states %s, but reads %.4g %s when stillest where gravity alone is %.4g %s", u.Symbol, g.still, u.Symbol, unit.StandardGravity/u.Factor, u.Symbol).column(first.name)
		for _, o := range gUnits {
			if o != u && g.fits(o) {
				return e.hint("the values look like %s; correct the heading or state the unit with --columns", o.Symbol)
			}
		}
		return e.hint("%s", l.withoutGravity("gravity may have been taken out, or the values may be raw counts; export raw acceleration, or give the scale with --columns"))
	}
	l.setUnits(f, h, cols, 0, u, first.unitFrom)
	l.addCheck(f, 0, fmt.Sprintf("%.3g g when stillest", g.still*u.Factor/unit.StandardGravity))
	return nil
}

// upright is a unit without the sign of a scale that turns an axis round.
func upright(u unit.Unit) unit.Unit {
	if u.Factor < 0 {
		u.Factor = -u.Factor
		u.Symbol = strings.TrimPrefix(strings.TrimPrefix(u.Symbol, "-1 "), "-")
	}
	return u
}

// unchecked takes the unit of an accelerometer that lacks an axis: gravity
// cannot be checked, so only g and m/s² are told apart.
func (l *layout) unchecked(f *feed, h *head, cols []column, median float64) error {
	first := &cols[indexOfRole(cols, 0)]
	if first.stated {
		l.setUnits(f, h, cols, 0, first.unit, first.unitFrom)
		return nil
	}
	u := unit.MetrePerSecond2
	if median < 3.2 {
		u = unit.G
	}
	l.setUnits(f, h, cols, 0, u, "inferred")
	l.inferred("accelerometer", "acc-unit", u, "with an axis missing it could not be checked against gravity")
	return nil
}

// oddUnit is the error of a column whose unit is stated but not known: to infer
// another from the values would contradict the file.
func (l *layout) oddUnit(c *column) error {
	return l.fail("states the unit %q, which is not known", c.odd).column(c.name).
		hint("write one of m/s2, g and mg, or rad/s, deg/s and mdeg/s, with the size of one count with --columns; setdown inspect %s --save writes a file to edit", l.f.name)
}

// inferred remarks on a unit that the file does not state.
func (l *layout) inferred(sensor, code string, u unit.Unit, why string) {
	l.remarks.Append(remark.Remark{Code: code, Level: remark.Doubt, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
		Text: fmt.Sprintf("the %s states no unit; it was read as %s: %s", sensor, u.Symbol, why)})
}

// setUnits fixes the unit of a sensor's three channels and scales the head. A
// channel whose own heading states another unit keeps its own.
func (l *layout) setUnits(f *feed, h *head, cols []column, from int, u unit.Unit, how string) {
	for c := from; c < from+3; c++ {
		if f.col[c] < 0 {
			continue
		}
		i := indexOfRole(cols, c)
		if !cols[i].stated {
			cols[i].heading.unit, cols[i].unitFrom = u, how
		}
		f.scale[c] = cols[i].heading.unit.Factor
		h.scale(c, f.scale[c])
	}
}

// addCheck notes how a unit was checked.
func (l *layout) addCheck(f *feed, from int, text string) {
	for c := from; c < from+3; c++ {
		f.check[c] = text
	}
}

// indexOfRole finds the column of a channel.
func indexOfRole(cols []column, channel int) int {
	i := slices.IndexFunc(cols, func(c column) bool {
		n, ok := c.role.channel()
		return ok && (n == channel || channel%3 == 0 && n/3 == channel/3)
	})
	if channel%3 != 0 {
		return i
	}
	if j := slices.IndexFunc(cols, func(c column) bool { n, ok := c.role.channel(); return ok && n == channel }); j >= 0 {
		return j
	}
	return i
}
