package recording

import (
	"fmt"
	"math"

	"setdown/signal/unit"
)

// Rules for checking the unit of the angular rate, by how fast a limb turns.
const (
	// turnFast is the 99th percentile of a limb's angular rate, rad/s, that no
	// gait reaches; turnSlow the one, rad/s, below which nothing is decided.
	turnFast = 60
	turnSlow = 0.5
	// turnInferred is the same where the unit is inferred: a little narrower, so
	// that what was accepted by inference is accepted when its unit is stated.
	turnInferred = 50
	// turnSplit parts values in rad/s from values in deg/s where no unit is stated.
	turnSplit = 38
)

// checkGyr finds or checks the unit of the angular rate.
func (l *layout) checkGyr(f *feed, h *head, cols []column) error {
	if f.axes(3) == 0 {
		return nil
	}
	w := h.size(3)
	if len(w) == 0 {
		return nil
	}
	fast := nth(w, int(0.99*float64(len(w)-1)))
	switch first := &cols[indexOfRole(cols, 3)]; {
	case first.stated:
		return l.checkStatedGyr(f, h, cols, fast)
	case first.odd != "":
		return l.oddUnit(first)
	}
	return l.inferGyr(f, h, cols, fast)
}

// checkStatedGyr checks a stated unit of the angular rate, whose fastest hundredth
// begins at fast in that unit.
func (l *layout) checkStatedGyr(f *feed, h *head, cols []column, fast float64) error {
	first := &cols[indexOfRole(cols, 3)]
	u := upright(first.unit)
	s := fast * u.Factor
	if s > turnFast {
		return l.fail("states %s, but its fastest hundredth turns at %.4g %s, where a limb reaches %.4g", u.Symbol, fast, u.Symbol, turnFast/u.Factor).
			column(first.name).hint("the values look like deg/s; correct the heading or state the unit with --columns")
	}
	if h.moving > 2 && s < turnSlow && fast > turnSlow {
		return l.fail("states %s, but its fastest hundredth turns at only %.3g %s (%.3g rad/s) while the sensor moves", u.Symbol, fast, u.Symbol, s).
			column(first.name).hint("the values look like rad/s; correct the heading or state the unit with --columns")
	}
	l.setUnits(f, h, cols, 3, u, first.unitFrom)
	l.addCheck(f, 3, fmt.Sprintf("fastest hundredth turns at %.0f deg/s", s*180/math.Pi))
	return nil
}

// inferGyr finds the unit in which the fastest hundredth of the angular rate, which
// begins at fast, is one that a limb reaches.
func (l *layout) inferGyr(f *feed, h *head, cols []column, fast float64) error {
	u := unit.RadianPerSecond
	switch {
	case fast > 1000*turnSplit:
		u = unit.MilliDegPerSecond
	case fast > turnSplit:
		u = unit.DegreePerSecond
	}
	if fast*u.Factor > turnInferred {
		return l.fail("its fastest hundredth turns at %.4g, which no limb does in rad/s, deg/s or mdeg/s", fast).column(cols[indexOfRole(cols, 3)].name).
			hint("for raw counts give the scale with --columns; setdown inspect %s --save writes a file to edit", l.f.name)
	}
	degrees := fast * u.Factor * 180 / math.Pi
	l.setUnits(f, h, cols, 3, u, "inferred")
	l.inferred("gyroscope", "gyr-unit", u, fmt.Sprintf("its fastest hundredth then turns at %.0f deg/s", degrees))
	l.addCheck(f, 3, fmt.Sprintf("fastest hundredth turns at %.0f deg/s", degrees))
	return nil
}
