package recording

import (
	"math"
	"strings"
	"time"

	"setdown/signal/decimal"
	"setdown/signal/remark"
	"setdown/signal/unit"
)

// The years between which a count since 1970 is taken for a point in time.
var (
	epochFirst = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	epochLast  = time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
)

// decideEpoch tells a count since 1970 from a time since the start, and sets up
// counters that wrap.
func (l *layout) decideEpoch(p *timePlan, c *column, raw []string) error {
	first := []byte(raw[0])
	v, _ := parseNumber(first, l.s.decimal)
	if p.mul == unit.Day.Factor {
		p.dayEpoch(v)
		return nil
	}
	if s := v * p.mul / p.div; !p.counter && s >= float64(epochFirst) && s < float64(epochLast) && p.mul == 1 {
		p.absolute, p.dated, p.zoned = true, true, true
		p.base = bigBase(first)
		return nil
	}
	if math.Abs(v) > decimal.MaxInt/1024 {
		p.base = bigBase(first)
	}
	if !p.counter && (c.unit == unit.Millisecond || c.unit == unit.Microsecond || c.unit == unit.Nanosecond) || p.counter || p.ticks {
		p.wrap, p.tick = wrapOf(l, c.index, 0)*p.mul/p.div, p.mul/p.div
	}
	return nil
}

// instant is the point in time of 0 s of an absolute plan, before any shift.
func (p *timePlan) instant() time.Time {
	if p.kind != timeNumber {
		return time.Unix(0, p.base).UTC()
	}
	if p.day0 > 0 {
		return p.serialInstant()
	}
	switch p.div {
	case 1e9:
		return time.Unix(0, p.base).UTC()
	case 1e6:
		return time.UnixMicro(p.base).UTC()
	case 1e3:
		return time.UnixMilli(p.base).UTC()
	}
	return time.Unix(p.base, 0).UTC()
}

// decideMoment sets up dates and times of day.
func (l *layout) decideMoment(p *timePlan, c *column) error {
	raw := l.firstCells(c.index)
	p.kind = timeClock
	p.order = l.dayOrder(c.index)
	ns, dated, zoned, ok := parseMoment([]byte(raw[0]), p.order)
	if !ok {
		return fault(l.f.name, l.s.first, "%q is not a time", raw[0]).column(c.name)
	}
	if dated {
		p.kind = timeMoment
	}
	p.base, p.absolute, p.dated, p.zoned, p.local = ns, true, dated, zoned, !zoned
	p.quantum = momentQuantum(raw)
	if !dated {
		l.addDate(p, c)
	}
	if p.kind == timeClock && ns < int64(time.Minute) {
		// A time of day within the first minute is a stopwatch.
		p.absolute, p.base, p.local = false, 0, false
	}
	return nil
}

// addDate looks for the date of a time of day: in a column of its own, or in the
// preamble.
func (l *layout) addDate(p *timePlan, c *column) {
	for i := range l.cols {
		if d := &l.cols[i]; i != c.index && d.kind == cellsMoment {
			cell := l.firstCells(i)[0]
			order := l.dayOrder(i)
			if day, dated, _, ok := parseMoment([]byte(cell), order); ok && dated && day%dayNS == 0 {
				p.kind, p.date, p.dated, p.order = timeDateful, i, true, order
				p.base += day
				return
			}
		}
	}
}

// dayOrder decides whether numeric dates are written day or month first. Where
// both are possible, dates with AM or PM are read month first.
func (l *layout) dayOrder(col int) dayOrder {
	numbers, half := false, false
	for _, r := range l.firstCells(col) {
		c := &cursor{b: []byte(r)}
		a, n := c.digits()
		if n == 4 || n == 0 {
			return dayFirst
		}
		numbers = c.peek() == '/' || c.peek() == '-'
		if !c.any("/-.") {
			return dayFirst
		}
		b, n := c.digits()
		if a > 12 || n == 0 {
			return dayFirst
		}
		if b > 12 {
			return monthFirst
		}
		half = strings.HasSuffix(strings.ToUpper(r), "M")
	}
	if !numbers {
		return dayFirst
	}
	order, text := dayFirst, "it was read day first"
	if half {
		order, text = monthFirst, "it was read month first, as is usual with AM and PM"
	}
	l.remarks.Append(remark.Remark{Code: "date-order", Level: remark.Doubt, Place: remark.At(l.f.name, l.s.first, none()), Count: 1,
		Text: "the date may be read day first or month first; " + text})
	return order
}

// momentQuantum is the step, s, to which moments are rounded, by their digits.
func momentQuantum(raw []string) float64 {
	places := 0
	for _, r := range raw {
		i := strings.IndexByte(r, ':')
		if i < 0 {
			continue
		}
		j := strings.IndexAny(r[i:], ".,")
		if j < 0 {
			continue
		}
		_, n := (&cursor{b: []byte(r), i: i + j + 1}).digits()
		places = max(places, n)
	}
	return math.Pow(10, -float64(places))
}
