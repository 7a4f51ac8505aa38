package recording

import (
	"math"
	"slices"
	"strconv"
	"time"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// serial is a count of days as spreadsheets and computing environments keep dates.
type serial struct {
	// since names day 0, and epoch is the count on 1970-01-01.
	since string
	epoch int64
}

// serials are the counts in use, most recent day 0 first. They never overlap between
// 2000 and 2100.
var serials = []serial{{"1899-12-30", 25569}, {"the year 0", 719529}}

// serialOf tells which count of days a number is, by the years 2000 to 2100; false
// where it is none. A spreadsheet that counts from 1904 gives a date four years early:
// only the date is then wrong, and never which row comes when.
func serialOf(v float64) (serial, bool) {
	for _, s := range serials {
		if sec := (v - float64(s.epoch)) * unit.Day.Factor; sec >= float64(epochFirst) && sec < float64(epochLast) {
			return s, true
		}
	}
	return serial{}, false
}

// serialDays tells whether the numbers of a column can be nothing but days with the
// time as their fraction: they lie in this century, and step is a sampling interval in
// days.
func (l *layout) serialDays(col int, step float64) (serial, bool) {
	if !l.interval(step * unit.Day.Factor) {
		return serial{}, false
	}
	cells := l.firstCells(col)
	v, _ := parseNumber([]byte(cells[0]), l.s.decimal)
	s, ok := serialOf(v)
	return s, ok && l.largest(col)-v < 2
}

// interval tells whether s seconds can be the time from row to row.
func (l *layout) interval(s float64) bool {
	if l.slow {
		return s >= watchFastest && s < watchSlow
	}
	return s >= 1.0/MaxRate && s < 1.0/MinRate
}

// serialColumn finds a column of days, whatever its name; −1 where there is none.
func (l *layout) serialColumn() int {
	return slices.IndexFunc(l.cols, func(c column) bool {
		if c.kind != cellsNumber || c.role != roleNone && c.role != roleDate && c.role != roleTime {
			return false
		}
		f := l.newFeed()
		f.time.col = c.index
		_, ok := l.serialDays(c.index, l.step(f))
		return ok
	})
}

// step is the mean advance of the stamps per row, over the first rows or, where they
// share one stamp, over more.
func (l *layout) step(f *feed) float64 {
	if s := l.rawStep(f); s > 0 || l.opt.Rate > 0 {
		return s
	}
	return l.longStep(f)
}

// setSerial takes days with the time as their fraction.
func (l *layout) setSerial(p *timePlan, c *column, s serial, step float64) {
	p.setUnit(unit.Day)
	c.role, c.unit, c.unitFrom = roleTime, unit.Day, "inferred"
	l.remarks.Append(remark.Remark{Code: "time-unit", Level: remark.Doubt, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
		Text: "the time column " + strconv.Quote(c.name) + " states no unit; it was read as days since " + s.since + ", which gives " + strconv.FormatFloat(1/(step*unit.Day.Factor), 'g', 4, 64) + " Hz"})
}

// dayEpoch sets up days that stand for a date: whole days are taken off before
// anything is rounded.
func (p *timePlan) dayEpoch(v float64) {
	s, ok := serialOf(v)
	if !ok {
		return
	}
	p.absolute, p.dated, p.local = true, true, true
	p.base, p.day0 = int64(math.Floor(v)), s.epoch
}

// serialInstant is the point in time of 0 s of days.
func (p *timePlan) serialInstant() time.Time { return time.Unix((p.base-p.day0)*86400, 0).UTC() }
