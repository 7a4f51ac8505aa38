package recording

import (
	"math"

	"setdown/signal/decimal"
)

// timeKind is how a file tells time.
type timeKind uint8

const (
	timeNone    timeKind = iota // no time: rows are counted
	timeNumber                  // a number in a unit of time, or a counter
	timeMoment                  // a date with a time of day
	timeClock                   // a time of day only
	timeDateful                 // a date in one column, a time of day in another
)

// timePlan turns time cells into seconds.
type timePlan struct {
	kind timeKind
	// col and date are the columns' indexes; −1 when there is none.
	col, date int
	// div is how many of the file's units make 1 s: 1000 for ms, the rate for a
	// counter of samples. mul is 60 for minutes, else 1.
	mul, div float64
	// base is subtracted, exactly, before anything is rounded: whole units of
	// the file for numbers, ns for moments. 0 keeps the file's own axis.
	base int64
	// day0 is the count of days on 1970-01-01, where base is a count of days.
	day0 int64
	// absolute tells that base has a place in the calendar or the day.
	absolute bool
	// dated and zoned say whether the absolute time has a date and a zone.
	dated, zoned bool
	order        dayOrder
	// wrap is the span, s, after which a counter starts again at 0, as far as its
	// first values tell; 0 for none. tick is the length of its count, s.
	wrap, tick float64
	// shift, s, is added so that all inputs share one axis.
	shift float64
	// local is true when the clock may be put forward or back by an hour.
	local bool
	// quantum is the step, s, to which the stamps are rounded; 0 when unknown.
	quantum float64
	// counter is true for a sample counter.
	counter bool
	// sub is the column of the part of a second, −1 when there is none, and subDiv
	// how many of its units make 1 s.
	sub    int
	subDiv float64
	// parts, where the time stands in parts in several columns, replaces all of these.
	parts *timeParts
	// steps tells that each cell is the time since the row before.
	steps bool
	// ticks tells that the numbers are ticks of a clock, which wrap.
	ticks bool
	// carry tells that a row without a stamp belongs to the packet of the stamp
	// before.
	carry bool
}

// number turns a number cell into seconds. Big numbers are split so that a
// count of ns since 1970 keeps its last digit.
func (p *timePlan) number(cell []byte, dec byte) (float64, bool) {
	if p.base == 0 {
		v, ok := parseNumber(cell, dec)
		return v*p.mul/p.div + p.shift, ok
	}
	i := 0
	for i < len(cell) && cell[i]-'0' <= 9 {
		i++
	}
	if i == 0 || i > 19 {
		v, ok := parseNumber(cell, dec)
		return (v-float64(p.base))*p.mul/p.div + p.shift, ok
	}
	var whole uint64
	for _, c := range cell[:i] {
		whole = whole*10 + uint64(c-'0')
	}
	v := float64(int64(whole - uint64(p.base)))
	if i < len(cell) {
		frac, end, ok := decimal.Scan(cell, i, dec)
		if cell[i] != dec || !ok || end != len(cell) {
			if i+1 == len(cell) && cell[i] == dec {
				frac = 0
			} else {
				v, ok := parseNumber(cell, dec)
				return (v-float64(p.base))*p.mul/p.div + p.shift, ok
			}
		}
		v += frac
	}
	return v*p.mul/p.div + p.shift, true
}

// moment turns a moment cell into seconds; day is the ns of the date column.
func (p *timePlan) moment(cell []byte, day int64) (float64, bool) {
	ns, dated, _, ok := parseMoment(cell, p.order)
	if !ok || dated != (p.kind == timeMoment) {
		return math.NaN(), false
	}
	return float64(ns+day-p.base)/1e9 + p.shift, true
}
